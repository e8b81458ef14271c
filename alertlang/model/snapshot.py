"""What a snapshot leaves open, by name: truths that one instant does not decide.

The names read as sentences, because witnesses show them. Solver and reference evaluator share these names and
nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.model import formula as f
from alertlang.model.reading import ReadingId, variable
from alertlang.model.ruleset import Alert, Band, RuleSet


@dataclass(frozen=True, slots=True)
class FaultModel:
    """Which states are looked at.

    `unsettled`: delayed conditions that may still be true (or false) although their undelayed values are not; all
    others have settled. `may_fail`: readings (`rpm`, `cht[2]`) that may be missing; all others are healthy. `suffix`:
    told after the names of open truths that differ from those of the plain mode, so that one question can look at both.
    `told`: in its place after those that differ for want of a reading alone, if modes are to share them.

    `moved`: readings that have other values than in the state itself; `copy` is told after the names of what follows
    from them, and `pinned` gives them these values. Nothing else differs: open truths are as in the state where that is
    possible. But an `until` whose set part reads a moved reading has its set part alone, a `for more than` whose rest
    reads one has not run out, and no deadband keeps anything.

    `earlier`: for a condition that may still be true (or false), the mode of its delay before: it was due to be so at
    that time or later. One that is not there may be still so whatever it was due to be.
    """

    unsettled: frozenset[tuple[str, bool]] = frozenset()
    may_fail: frozenset[str] = frozenset()
    suffix: str = ""
    told: str = ""
    moved: frozenset[str] = frozenset()
    copy: str = ""
    pinned: tuple[tuple[str, Fraction], ...] = ()
    earlier: tuple[tuple[str, bool, FaultModel], ...] = ()

    @property
    def unmoved(self) -> FaultModel:
        """The mode of the state itself."""
        return replace(self, moved=frozenset(), copy="", pinned=())

    @property
    def there(self) -> FaultModel:
        """What there is, whatever is told and still settling."""
        return FaultModel(moved=self.moved, copy=self.copy, pinned=self.pinned)

    def before(self, condition: str, value: bool) -> FaultModel | None:
        """Where to look for why a condition is still so; none if that is left open."""
        return next((mode for name, held, mode in self.earlier if (name, held) == (condition, value)), None)

    def touches(self, ruleset: RuleSet, *formulas: f.Formula | None) -> bool:
        """Whether formulas can differ from what they are in the plain mode."""
        if self.unsettles(ruleset, *formulas):
            return True
        if not self.may_fail:
            return False
        return any(self.touches_quantity(ruleset, name) for name in ruleset.quantities_read(*formulas))

    def unsettles(self, ruleset: RuleSet, *formulas: f.Formula | None) -> bool:
        """Whether formulas read a condition that may not have settled."""
        if not self.unsettled:
            return False
        names = {name for name, _ in self.unsettled}
        return not names.isdisjoint(ruleset.conditions_read(*formulas))

    def touches_quantity(self, ruleset: RuleSet, quantity: str) -> bool:
        """Whether something that a quantity depends on may fail."""
        sensors = ruleset.sensors_of(quantity)
        return any(ReadingId(reading).quantity in sensors for reading in self.may_fail)

    def touches_rule(self, ruleset: RuleSet, rule: Band | Alert) -> bool:
        """Whether a statement can differ from what it is in the plain mode."""
        if self.touches(ruleset, rule.when, rule.unless):
            return True
        return isinstance(rule, Band) and self.touches_region(ruleset, rule)

    def touches_region(self, ruleset: RuleSet, band: Band) -> bool:
        """Whether what a band compares may be missing."""
        if not self.may_fail:
            return False
        read = [band.quantity, *(bound.quantity for bound in band.region.moving)]
        return any(self.touches_quantity(ruleset, name) for name in read)

    def after(self, ruleset: RuleSet, *formulas: f.Formula | None) -> str:
        """What stands after the name of an open truth that the mode touches and that goes by some formulas."""
        return self.told if self.told and not self.unsettles(ruleset, *formulas) else self.suffix


PLAIN = FaultModel()


TOLD = " (told without "


def told_without(readings: frozenset[str]) -> FaultModel:
    """States in which some readings may be missing; plain if there are none."""
    return FaultModel(may_fail=readings, suffix=f"{TOLD}{', '.join(sorted(readings))})") if readings else PLAIN


def until_flag(ruleset: RuleSet, condition: str, mode: FaultModel = PLAIN) -> str:
    """A condition with `until`, between its set part and its clear part."""
    parts = ruleset.conditions[condition].parts
    return condition + (mode.after(ruleset, *parts) if mode.touches(ruleset, *parts) else "")


UNSETTLED = " (unsettled)"


def settling_flag(condition: str, mode: FaultModel) -> str:
    """A delayed condition that has not settled."""
    return condition + UNSETTLED + mode.suffix


def held_flag(ruleset: RuleSet, held: f.Held, mode: FaultModel = PLAIN) -> str:
    """Whether the part has held for at least the duration (also where `for less than` is written)."""
    suffix = mode.after(ruleset, held.part) if mode.touches(ruleset, held.part) else ""
    return f"{formula_words(ruleset, held.part)} for at least {f.in_seconds(held.duration)}{suffix}"


def elapsed_flag(ruleset: RuleSet, rule: Band | Alert, index: int | None, mode: FaultModel = PLAIN) -> str:
    """Whether the rest of a statement has lasted longer than its `for more than`."""
    assert rule.held is not None
    suffix = mode.after(ruleset, rule.when, rule.unless) if mode.touches_rule(ruleset, rule) else ""
    return f"{variable(rule.label, index)} for more than {f.in_seconds(rule.held)}{suffix}"


def lingers_flag(ruleset: RuleSet, band: Band, index: int | None, mode: FaultModel = PLAIN) -> str:
    """Whether a band still applies within its quantity's deadband: by what its region was, whatever else it says."""
    suffix = mode.after(ruleset) if mode.touches_region(ruleset, band) else ""
    return f"{variable(band.label, index)} kept by its deadband{suffix}"


FAILED = " failed"


def failed_flag(variable: str) -> str:
    """Whether a reading is missing."""
    return variable + FAILED


MISSED = " missing before"


def missed_flag(variable: str) -> str:
    """Whether a reading was missing at the sample before, or there was none: its rise or fall has failed with it."""
    return variable + MISSED


def formula_words(ruleset: RuleSet, formula: f.Formula) -> str:
    """A formula in the words of the language, in one way for all that mean the same tree."""
    match formula:
        case f.Compare():
            what = formula.quantifier + " " if formula.quantifier else ""
            unit = ruleset.quantities[formula.quantity].unit
            return f"{what}{variable(formula.quantity, formula.index)} {formula.region.in_words(unit)}"
        case f.SwitchIs():
            return f"{formula.switch} is {'not ' if formula.negated else ''}{formula.position}"
        case f.ConditionIs():
            return formula.name
        case f.Held():
            how = "at least" if formula.at_least else "less than"
            return f"{_inner(ruleset, formula.part)} for {how} {f.in_seconds(formula.duration)}"
        case f.Not():
            return f"not {_inner(ruleset, formula.part)}"
        case f.And() | f.Or():
            word = " and " if isinstance(formula, f.And) else " or "
            return f"({word.join(formula_words(ruleset, part) for part in formula.parts)})"


def _inner(ruleset: RuleSet, formula: f.Formula) -> str:
    words = formula_words(ruleset, formula)
    return f"({words})" if isinstance(formula, f.Not | f.Held) else words
