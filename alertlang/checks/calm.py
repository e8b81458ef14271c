"""States in which nothing is wrong, for nuisance: everything normal, or an engine that stands still."""

from __future__ import annotations

from dataclasses import dataclass

from alertlang.checks.context import Context
from alertlang.logic.solver import Answer
from alertlang.logic.terms import TRUE, At, Term, both, conjunction, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.model.expression import inputs

# The values outside a region, as a region.
_OUTSIDE = {
    "at_most": "above",
    "below": "at_least",
    "at_least": "below",
    "above": "at_most",
    "within": "outside",
    "outside": "within",
}
# A region in which a reading may be, by when that counts; none: any value will do.
_Clause = tuple[m.Formula | None, m.Region | None]


def is_known(ruleset: m.RuleSet, name: str) -> bool:
    """Whether something says what is normal for a quantity: a limit or normal range on it or, if it is computed from
    others, on all of these. What a rise or fall is of says nothing about how fast it may go."""
    if any(one.kind in {"limit", "normal"} for one in ruleset.ranges_by_quantity[name]):
        return True
    quantity = ruleset.quantities[name]
    if quantity.derived is None or quantity.is_trend:
        return False
    read = inputs(quantity.derived)
    return bool(read) and all(is_known(ruleset, one) for one in read)


@dataclass(frozen=True, slots=True)
class _Reading:
    """What is asked of one reading: to be in none of the `never` regions, and in one of the `usual` ones that count,
    if any does. Each by the value there is."""

    quantity: str
    index: int | None
    never: tuple[_Clause, ...]
    usual: tuple[_Clause, ...]

    def term(self, context: Context) -> Term:
        encoder = context.encoder

        def inside(region: m.Region | None) -> Term:
            return TRUE if region is None else encoder.in_region(self.quantity, self.index, region, told=False)

        kept = [negate(both(encoder.formula(when), inside(region))) for when, region in self.never]
        if self.usual:
            none = conjunction(negate(encoder.formula(when)) for when, _ in self.usual)
            some = (both(encoder.formula(when), inside(region)) for when, region in self.usual)
            kept.append(disjunction((none, *some)))
        return conjunction(kept)

    def holds(self, instant: Instant) -> bool:
        """The same in a state."""

        def inside(region: m.Region | None) -> bool:
            return region is None or instant.is_in_region(self.quantity, self.index, region, told=False)

        if any(instant.holds(when) and inside(region) for when, region in self.never):
            return False
        counting = [region for when, region in self.usual if instant.holds(when)]
        return not counting or any(inside(region) for region in counting)


@dataclass(frozen=True, slots=True)
class Wanted:
    """A goal in a state in which nothing is wrong, and what was asked of such a state."""

    term: Term
    readings: tuple[_Reading, ...]
    first: tuple[tuple[str, str], ...]

    def is_calm(self, instant: Instant) -> bool:
        """What was asked, of a state, in the words of the reference evaluator."""
        positions = instant.state.positions
        return all(one.holds(instant) for one in self.readings) and all(
            positions[name] == position for name, position in self.first
        )


class Calm:
    """The states of one of the two kinds. `still`: ranges are only kept on their high side."""

    def __init__(self, context: Context, *, still: bool) -> None:
        self.context = context
        ruleset = context.ruleset
        self._readings: list[tuple[_Reading, Term]] = []
        for name, quantity in ruleset.quantities.items():
            ranges = ruleset.ranges_by_quantity[name]
            for index in quantity.indexes if ranges else ():
                one = _asked_of(name, index, [r for r in ranges if r.index in {None, index}], still)
                term = one.term(context)
                if term is not TRUE:
                    self._readings.append((one, term))
        self._switches = [(s.name, s.positions[0]) for s in ruleset.switches.values()]

    def where(self, goal: Term, quantities: tuple[str, ...]) -> Wanted | Answer:
        """A goal in a state of the kind, without what has nothing to do with it; the answer, where that is not yes.

        `quantities`: those that most likely stand in its way.
        """
        near = (term for one, term in self._readings if one.quantity in quantities)
        answer = self.context.possible(both(goal, *near))
        return self._whole(goal) if answer is Answer.YES else answer

    def _whole(self, goal: Term) -> Wanted | Answer:
        about = self.context.decider.about
        names = set(about(goal.reads)[0])
        left: list[tuple[_Reading | tuple[str, str], Term]] = [
            *self._readings,
            *(((name, position), At(name, position)) for name, position in self._switches),
        ]
        taken: list[tuple[_Reading | tuple[str, str], Term]] = []
        grew = True
        while grew:
            grew = False
            for part in tuple(left):
                reads = about(part[1].reads)[0]
                if not names.isdisjoint(reads):
                    names |= reads
                    left.remove(part)
                    taken.append(part)
                    grew = True
        whole = both(goal, *(term for _, term in taken))
        # What is left shares no name with the goal: it must only be possible by itself.
        for term in (whole, conjunction(term for _, term in left)):
            answer = Answer.YES if term is TRUE else self.context.possible(term)
            if answer is not Answer.YES:
                return answer
        return Wanted(
            whole,
            tuple(one for one, _ in taken if isinstance(one, _Reading)),
            tuple(one for one, _ in taken if not isinstance(one, _Reading)),
        )


def _asked_of(name: str, index: int | None, ranges: list[m.Range], still: bool) -> _Reading:
    never: list[_Clause] = []
    for one in ranges:
        if one.kind == "normal":
            continue
        region = _opposite(one.region) if one.kind == "limit" else one.region
        high = _high_part(region, ranges) if still else region
        if high is not None:
            never.append((one.when, high))
    normal = [one for one in ranges if one.kind == "normal"]
    usual = tuple((one.when, _up_to(one.region) if still else one.region) for one in normal)
    return _Reading(name, index, tuple(never), usual)


def _opposite(region: m.Region) -> m.Region:
    return m.Region(_OUTSIDE[region.kind], region.first, region.second, span=region.span)


def _high_part(region: m.Region, ranges: list[m.Range]) -> m.Region | None:
    """What of a region that is to be avoided lies on the high side, none if it is all low readings."""
    match region.kind:
        case "below" | "at_most":
            return None
        case "outside":
            assert region.second is not None
            return m.Region("above", region.second, span=region.span)
        case "within":
            # Below what is normal it is on the low side.
            return None if _is_below_normal(region, ranges) else region
    return region


def _is_below_normal(region: m.Region, ranges: list[m.Range]) -> bool:
    top = max(part.high for part in region.values if part.high is not None) if region.values.parts else None
    if top is None:
        return False
    normal = [part for one in ranges if one.kind == "normal" for part in one.region.values]
    return any(part.low is not None and part.low >= top for part in normal)


def _up_to(region: m.Region) -> m.Region | None:
    """A normal range with all below it; none if it has no high end."""
    match region.kind:
        case "below" | "at_most":
            return region
        case "within":
            assert region.second is not None
            return m.Region("at_most", region.second, span=region.span)
    return None
