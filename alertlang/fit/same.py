"""Which formulas mean the same in every state, so that a box need hold only one of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from alertlang.checks.context import Context
from alertlang.checks.reaction import own_delay
from alertlang.logic.solver import WORK_LIMIT, Answer
from alertlang.logic.terms import Term, both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.model.snapshot import PLAIN, FaultModel, formula_words

# A condition may be built on another one: each round may open the way for the next.
_ROUNDS = 4


@dataclass(frozen=True, slots=True)
class Grouping:
    """`group`: for each of some terms the number of its group, from 0 in order. `decided`: that terms of two groups
    differ was proved for every pair, so that there can be no fewer groups."""

    group: tuple[int, ...]
    decided: bool

    @property
    def count(self) -> int:
        return len(set(self.group))


class Same:
    """One rule set in which what has a memory or a clock and is proved to mean the same has one name.

    Two formulas are the same if no state tells them apart that keeps the assumptions: whichever sensors have failed and
    whatever has not settled yet.
    """

    def __init__(self, ruleset: m.RuleSet, work_limit: int = WORK_LIMIT) -> None:
        self.work_limit = work_limit
        self.decided = True
        self._take(ruleset)
        for _ in range(_ROUNDS):
            names, parts = self._equal_conditions(), self._equal_parts()
            if not names and not parts:
                break
            self._take(_renamed(self.ruleset, names, parts))

    def _take(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        self.context = Context(ruleset, self.work_limit)
        self.encoder = self.context.encoder.in_mode(_everything_open(ruleset))

    def condition_of(self, rule: m.Band | m.Alert) -> Term:
        """`when` and not `unless` of a statement, in states where sensors may have failed."""
        return self.encoder.context(rule)

    def always(self, term: Term) -> bool:
        """Whether it is proved that a term holds in every state."""
        return self._never(negate(term))

    def equal(self, term: Term, other: Term) -> Answer:
        """YES: proved to be the same; NO: proved to differ."""
        if term is other:
            return Answer.YES
        differs = disjunction((both(term, negate(other)), both(other, negate(term))))
        answer = self.context.is_satisfiable(differs)
        return {Answer.YES: Answer.NO, Answer.NO: Answer.YES}.get(answer, Answer.UNDECIDED)

    def grouped(self, terms: Sequence[Term]) -> Grouping:
        """Terms with those together that are proved to be the same: the fewest groups, where every answer was had."""
        first: list[Term] = []
        group: list[int] = []
        decided = True
        for term in terms:
            for number, known in enumerate(first):
                answer = self.equal(term, known)
                decided = decided and answer is not Answer.UNDECIDED
                if answer is Answer.YES:
                    group.append(number)
                    break
            else:
                group.append(len(first))
                first.append(term)
        return Grouping(tuple(group), decided)

    def _never(self, term: Term) -> bool:
        answer = self.context.is_satisfiable(term)
        self.decided = self.decided and answer is not Answer.UNDECIDED
        return answer is Answer.NO

    # ---- one name for what is the same

    def _equal_conditions(self) -> dict[str, str]:
        """Conditions with a memory or delays that are the same as an earlier one, by name."""
        kept: list[m.Condition] = []
        found: dict[str, str] = {}
        for condition in self.ruleset.conditions.values():
            if condition.until is None and not condition.is_delayed:
                continue
            for other in kept:
                if _times(condition) != _times(other) or (condition.until is None) != (other.until is None):
                    continue
                if all(self._same_formula(a, b) for a, b in zip(condition.parts, other.parts, strict=True)):
                    found[condition.name] = other.name
                    break
            else:
                kept.append(condition)
        read = self.ruleset.conditions_read(*self.ruleset.formulas)
        named = {part.name for f in self.ruleset.formulas for part in m.parts_of(f) if isinstance(part, m.ConditionIs)}
        return {name: other for name, other in found.items() if name in read and name in named}

    def _equal_parts(self) -> dict[str, m.Formula]:
        """What is timed by `for at least`, in words, by an earlier formula that is the same."""
        kept: dict[str, m.Formula] = {}
        found: dict[str, m.Formula] = {}
        for formula in self.ruleset.formulas:
            for part in m.parts_of(formula):
                if not isinstance(part, m.Held):
                    continue
                words = formula_words(self.ruleset, part.part)
                if words in kept or words in found:
                    continue
                known = next((other for other in kept.values() if self._same_formula(part.part, other)), None)
                if known is None:
                    kept[words] = part.part
                else:
                    found[words] = known
        return found

    def _same_formula(self, formula: m.Formula, other: m.Formula) -> bool:
        answer = self.equal(self.encoder.formula(formula), self.encoder.formula(other))
        self.decided = self.decided and answer is not Answer.UNDECIDED
        return answer is Answer.YES


def _everything_open(ruleset: m.RuleSet) -> FaultModel:
    """Any sensor may have failed, any delayed condition may not have settled."""
    unsettled = frozenset((c, v) for c in ruleset.conditions for v in (True, False) if own_delay(ruleset, c, not v))
    failing = frozenset(
        reading
        for quantity in ruleset.quantities.values()
        for index in quantity.indexes
        for reading in ruleset.sensors_read(quantity.name, index)
    )
    return FaultModel(unsettled, failing, " (as told)") if unsettled or failing else PLAIN


def _times(condition: m.Condition) -> tuple[object, object]:
    return (condition.set_after or None, condition.cleared_after or None)


def _renamed(ruleset: m.RuleSet, names: dict[str, str], parts: dict[str, m.Formula]) -> m.RuleSet:
    """A rule set with conditions and timed parts under the names of those that are the same."""

    def new(formula: m.Formula) -> m.Formula:
        match formula:
            case m.ConditionIs():
                return replace(formula, name=names.get(formula.name, formula.name))
            case m.Held():
                part = parts.get(formula_words(ruleset, formula.part), formula.part)
                return replace(formula, part=new(part))
            case m.Not():
                return replace(formula, part=new(formula.part))
            case m.And() | m.Or():
                return replace(formula, parts=tuple(new(part) for part in formula.parts))
        return formula

    def maybe(formula: m.Formula | None) -> m.Formula | None:
        return None if formula is None else new(formula)

    conditions = {c.name: replace(c, formula=new(c.formula), until=maybe(c.until)) for c in ruleset.conditions.values()}
    return replace(
        ruleset,
        conditions=conditions,
        assumptions=tuple(replace(a, when=maybe(a.when), formula=new(a.formula)) for a in ruleset.assumptions),
        ranges=tuple(replace(r, when=maybe(r.when)) for r in ruleset.ranges),
        bands=tuple(replace(b, when=maybe(b.when), unless=maybe(b.unless)) for b in ruleset.bands),
        alerts=tuple(replace(a, when=new(a.when), unless=maybe(a.unless)) for a in ruleset.alerts),
        claims=tuple(replace(c, when=maybe(c.when)) for c in ruleset.claims),
    )
