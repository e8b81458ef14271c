"""What a rule set means at one instant. No solver, no cleverness: this is the text the others are held against."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TypeVar

from alertlang.meaning.derived import computed
from alertlang.meaning.regions import is_in, is_near
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.model.expression import CurveOver, elements
from alertlang.model.reading import ReadingId

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class State:
    """Readings in their own units by name (`rpm`, `cht[2]`), switch positions by name, and by their names in
    `model.snapshot` the truths that one instant leaves open. What is derived from other readings need not be given.

    `moved`: other values of some readings, by the name of what was asked of them (see `meaning.news`)."""

    readings: Mapping[str, Fraction]
    positions: Mapping[str, str]
    flags: Mapping[str, bool] = field(default_factory=dict)
    moved: Mapping[str, Mapping[str, Fraction]] = field(default_factory=dict)


class Instant:
    """One state of a rule set. A reading or position that the state does not give is a KeyError; an open truth that
    it does not give is as if nothing had happened before: not held yet, not elapsed, not kept, settled, healthy."""

    def __init__(self, ruleset: m.RuleSet, state: State, mode: s.FaultModel = s.PLAIN) -> None:
        self.ruleset = ruleset
        self.state = state
        self.mode = mode

    def in_mode(self, mode: s.FaultModel) -> Instant:
        """The same state looked at in another mode."""
        return Instant(self.ruleset, self.state, mode)

    # ---- readings

    def reading(self, quantity: str, index: int | None) -> Fraction:
        """The value there is, whether or not its sensor tells it."""
        value = self._value(quantity, index, frozenset())
        assert value is not None
        return value

    def told(self, quantity: str, index: int | None) -> Fraction | None:
        """The value as it is told: none where a sensor it needs has failed."""
        return self._value(quantity, index, self.mode.may_fail)

    def _value(self, name: str, index: int | None, failing: Set[str]) -> Fraction | None:
        quantity = self.ruleset.quantities[name]
        reading = self.ruleset.reading(name, index)
        if quantity.is_computed:
            return computed(quantity, reading.element, lambda n, i: self._value(n, i, failing))
        if quantity.is_trend and self._is_missing(name, reading.element, failing):
            return None
        if reading in failing and self.state.flags.get(s.failed_flag(reading), False):
            return None
        return self.state.readings[reading]

    def _is_missing(self, name: str, index: int | None, failing: Set[str]) -> bool:
        """Whether a reading has failed, without needing a value. A rise or fall has failed with what it is of, and
        while that was missing at the sample before."""
        quantity = self.ruleset.quantities[name]
        derived = quantity.derived
        if derived is None:
            reading = self.ruleset.reading(name, index)
            return reading in failing and self.state.flags.get(s.failed_flag(reading), False)
        if isinstance(derived, CurveOver) and derived.otherwise is not None:
            return False
        read = elements(derived, index)
        if any(self._is_missing(of, element, failing) for of, element in read):
            return True
        return quantity.is_trend and any(self._was_missing(of, element, failing) for of, element in read)

    def _was_missing(self, name: str, index: int | None, failing: Set[str]) -> bool:
        """The same of the sample before, if it can be missing at all."""
        may_be = not failing.isdisjoint(self.ruleset.sensors_read(name, index))
        return may_be and self.state.flags.get(s.missed_flag(self.ruleset.reading(name, index)), False)

    def is_in_region(self, quantity: str, index: int | None, region: m.Region, *, told: bool = True) -> bool:
        """Whether a reading is in a region; nothing that has failed is. `told` false: the value there is counts."""
        return is_in(region, quantity, index, self.told if told else self.reading)

    # ---- formulas

    def holds(self, formula: m.Formula | None) -> bool:
        """Whether a formula is true; none is."""
        match formula:
            case None:
                return True
            case m.Compare():
                each = (self.is_in_region(formula.quantity, i, formula.region) for i in formula.indexes)
                return formula.of_all(each)
            case m.SwitchIs():
                return (self.state.positions[formula.switch] == formula.position) is not formula.negated
            case m.ConditionIs():
                return self.condition(formula.name)
            case m.Held():
                long = self._has_held(formula)
                return self.holds(formula.part) and long is formula.at_least
            case m.Not():
                return not self.holds(formula.part)
            case m.And():
                return all(self.holds(part) for part in formula.parts)
            case m.Or():
                return any(self.holds(part) for part in formula.parts)

    def condition(self, name: str) -> bool:
        """Whether a named condition holds."""
        condition = self.ruleset.conditions[name]
        may_be = self._may_still_be(name)
        settling = self.state.flags.get(s.settling_flag(name, self.mode)) if may_be else None
        return self._undelayed(condition) if settling is None else settling

    def _may_still_be(self, name: str) -> set[bool]:
        """What a condition may still be although its undelayed value is not."""
        return {value for value in (True, False) if (name, value) in self.mode.unsettled}

    def _undelayed(self, condition: m.Condition) -> bool:
        if condition.until is not None:
            known = self.state.flags.get(s.until_flag(self.ruleset, condition.name, self.mode))
            if known is not None:
                return known
        return self.holds(condition.formula)

    # ---- which states there are

    def is_possible(self) -> bool:
        """Every reading within its sensor's range, every assumption kept that this state can tell of, and no open
        truth that contradicts the rest."""
        for name, value in self.state.readings.items():
            quantity = self.ruleset.quantities.get(ReadingId(name).quantity)
            if quantity is None:
                continue
            if not quantity.low <= value <= quantity.high:
                return False
            if quantity.is_computed and self._differs(name, value):
                return False
        for name, position in self.state.positions.items():
            if position not in self.ruleset.switches[name].positions:
                return False
        return (
            all(_unless_unknown(self._keeps, assumption) for assumption in self.ruleset.assumptions)
            and self.past_fits()
        )

    def past_fits(self) -> bool:
        """No open truth contradicts the rest."""
        return (
            all(_unless_unknown(self._until_fits, condition) for condition in self.ruleset.conditions.values())
            and all(_unless_unknown(self._settling_fits, c) for c in self.ruleset.conditions.values())
            and all(_unless_unknown(self._held_fits, part) for part in self.ruleset.held)
            and all(_unless_unknown(self._elapsed_fits, rule) for rule in self.ruleset.rules)
        )

    def _differs(self, name: str, value: Fraction) -> bool:
        reading = ReadingId(name)
        try:
            return self.reading(reading.quantity, reading.element) != value
        except KeyError:
            return False

    def _keeps(self, assumption: m.Assumption) -> bool:
        # An assumption is about what there is, whatever is told or still settling.
        there = self.in_mode(s.PLAIN)
        return not there.holds(assumption.when) or there.holds(assumption.formula)

    def _until_fits(self, condition: m.Condition) -> bool:
        known = self.state.flags.get(s.until_flag(self.ruleset, condition.name, self.mode))
        if condition.until is None or known is None:
            return True
        if not self._same_in_all(condition, known):
            return False
        if self.holds(condition.formula):
            return known
        return not (known and self.holds(condition.until))

    def _same_in_all(self, condition: m.Condition, known: bool) -> bool:
        """What is set and cleared by the same formulas is the same, delays aside."""
        others = [one for one in self._alike(condition) if one.until is not None]
        flags = [self.state.flags.get(s.until_flag(self.ruleset, other.name, self.mode), known) for other in others]
        return all(flag is known for flag in flags)

    def _settling_fits(self, condition: m.Condition) -> bool:
        may_be = self._may_still_be(condition.name)
        if not may_be:
            return True
        known = self.state.flags.get(s.settling_flag(condition.name, self.mode))
        if known and not all(self.condition(name) for name in self._sooner(condition)):
            return False
        if known is None or known is self._undelayed(condition):
            return True
        # What has not settled was due to be as it is, no longer ago than its delay.
        before = self.mode.before(condition.name, known)
        return known in may_be and (before is None or self.in_mode(before)._undelayed(condition) is known)

    def _sooner(self, condition: m.Condition) -> list[str]:
        """The conditions on the same formula that are set no later and cleared no sooner than one."""
        return [
            other.name
            for other in self._alike(condition)
            if (other.set_after or 0) <= (condition.set_after or 0)
            and (other.cleared_after or 0) >= (condition.cleared_after or 0)
        ]

    def _alike(self, condition: m.Condition) -> list[m.Condition]:
        """The conditions that are set and cleared by the same formulas."""

        def parts(condition: m.Condition) -> tuple[m.Formula, ...]:
            if condition.until is None and isinstance(condition.formula, m.ConditionIs):
                # Another name for something is what it names, unless that comes later.
                named = self.ruleset.conditions[condition.formula.name]
                return condition.parts if named.is_delayed else parts(named)
            return condition.parts

        return [one for one in self.ruleset.conditions.values() if parts(one) == parts(condition)]

    def _held_fits(self, held: m.Held) -> bool:
        flags = self.state.flags
        if not self._has_held(held):
            return not self._part_has_held(held)
        if not self.holds(held.part):
            return False
        # What has lasted long has also lasted less long.
        return all(
            flags.get(s.held_flag(self.ruleset, other, self.mode), True)
            for formula in self.ruleset.formulas
            for other in m.parts_of(formula)
            if isinstance(other, m.Held) and other.part == held.part and other.duration < held.duration
        )

    def _has_held(self, held: m.Held) -> bool:
        """Whether it has lasted so long; where nothing is said of it, it has only if it must."""
        known = self.state.flags.get(s.held_flag(self.ruleset, held, self.mode))
        return self._part_has_held(held) if known is None else known

    def _part_has_held(self, held: m.Held) -> bool:
        """Whether one part of an `or` has lasted so long, so that the `or` has. What there is counts too, if each
        failure that may be told is another part: where that part is told otherwise than it is, something has failed."""
        if not isinstance(held.part, m.Or):
            return False
        named = self.ruleset.failures_read(*(part for part in held.part.parts if isinstance(part, m.Compare)))
        for other in self.ruleset.held:
            if other.part not in held.part.parts or other.duration < held.duration:
                continue
            modes = [self.mode]
            if self.mode.may_fail <= named and self.ruleset.is_momentary(other.part):
                modes.append(s.PLAIN)
            if any(self.in_mode(mode)._has_held(other) for mode in modes):
                return True
        return False

    def _elapsed_fits(self, rule: m.Rule) -> bool:
        """What has elapsed needs the rest of its statement."""
        return rule.held is None or all(
            not self._has_elapsed(rule, index) or self.applies(rule, index, eventually=True)
            for index in self.ruleset.indexes_of(rule)
        )

    def _has_elapsed(self, rule: m.Rule, index: int | None) -> bool:
        return self.state.flags.get(s.elapsed_flag(self.ruleset, rule, index, self.mode), False)

    # ---- statements

    def in_context(self, rule: m.Rule) -> bool:
        """`when` holds and `unless` does not, however long."""
        return self.holds(rule.when) and not (rule.unless is not None and self.holds(rule.unless))

    def _in_band(self, band: m.Band, index: int | None, linger: bool) -> bool:
        """In the band's region; with `linger` also where the deadband keeps it."""
        if self.is_in_region(band.quantity, index, band.region):
            return True
        deadband = self.ruleset.quantities[band.quantity].deadband
        if (
            not linger
            or deadband is None
            or not self.state.flags.get(s.lingers_flag(self.ruleset, band, index, self.mode), False)
        ):
            return False
        return is_near(band.region, band.quantity, index, self.told, deadband)

    def applies(self, rule: m.Rule, index: int | None, *, eventually: bool = False, linger: bool = True) -> bool:
        """Whether a statement applies: a band to an element, an alert on its own whatever the element. `eventually`:
        its `for more than` counts as over. `linger`: a deadband may keep it."""
        if isinstance(rule, m.Alert):
            index = None
        elif rule.index is not None and rule.index != index:
            return False
        if not self.in_context(rule) or (isinstance(rule, m.Band) and not self._in_band(rule, index, linger)):
            return False
        return rule.held is None or eventually or self._has_elapsed(rule, index)

    def colours(
        self, quantity: str, index: int | None, *, eventually: bool = False, linger: bool = True
    ) -> list[m.Colour]:
        """The colours of all bands that apply."""
        return [
            b.colour
            for b in self.ruleset.bands
            if b.quantity == quantity and self.applies(b, index, eventually=eventually, linger=linger)
        ]

    def colour(
        self, quantity: str, index: int | None, *, eventually: bool = False, linger: bool = True
    ) -> m.Colour | None:
        """The worst colour that applies, which is what the gauge shows; none if no band applies."""
        return max(self.colours(quantity, index, eventually=eventually, linger=linger), default=None)

    def violates(self, declared: m.Range, index: int | None) -> bool:
        """Whether a limit is broken or an avoid range entered (its `except for` aside), by the value there is."""
        inside = self.is_in_region(declared.quantity, index, declared.region, told=False)
        return self.holds(declared.when) and inside is (declared.kind is m.RangeKind.AVOID)

    def is_in(self, declared: m.Range, index: int | None) -> bool:
        """Whether a precaution or normal range holds the reading."""
        return self.holds(declared.when) and self.is_in_region(declared.quantity, index, declared.region, told=False)

    def matters(self, declared: m.Range, index: int | None) -> bool:
        """Whether a limit is broken or an avoid range entered, or a precaution or normal range holds the reading."""
        return self.violates(declared, index) if declared.forbids else self.is_in(declared, index)

    def level_for(
        self, quantity: str, index: int | None, *, eventually: bool = False, linger: bool = True
    ) -> m.Level | None:
        """The highest level of the alerts that are up and count for a limit on the quantity."""
        return max(
            (
                rule.alert.level
                for rule in self.ruleset.rules
                if rule.alert is not None
                and (rule.quantity == quantity if isinstance(rule, m.Band) else self._reads(rule, quantity))
                and self.applies(rule, index, eventually=eventually, linger=linger)
            ),
            default=None,
        )

    def _reads(self, alert: m.Alert, quantity: str) -> bool:
        return quantity in self.ruleset.quantities_read(alert.when)

    def level(self, *, eventually: bool = False, linger: bool = True) -> m.Level | None:
        """The highest level of all alerts that are up."""
        return max(
            (
                rule.alert.level
                for rule in self.ruleset.rules
                if rule.alert is not None
                for index in self.ruleset.indexes_of(rule)
                if self.applies(rule, index, eventually=eventually, linger=linger)
            ),
            default=None,
        )


def _unless_unknown(test: Callable[[_T], bool], one: _T) -> bool:
    """A test that counts as passed where it reads what the state does not give."""
    try:
        return test(one)
    except KeyError:
        return True
