"""States in which nothing is wrong, for nuisance: everything normal, or an engine that stands still."""

from __future__ import annotations

from dataclasses import dataclass

from alertlang.checks.context import Context, DisagreementError
from alertlang.logic.solver import Answer, Model
from alertlang.logic.terms import TRUE, AtValue, Flag, Term, both, conjunction, disjunction, in_interval, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.model.expression import inputs
from alertlang.units.interval import Interval

# A region in which a reading may be, by when that counts; none: any value will do.
_Clause = tuple[m.Formula | None, m.Region | None]


def is_known(ruleset: m.RuleSet, name: str) -> bool:
    """Whether something says what is normal for a quantity: a limit or normal range on it or, if it is computed from
    others, on all of these. What a rise or fall is of says nothing about how fast it may go."""
    if any(declared.kind.tells_normal for declared in ruleset.ranges_by_quantity[name]):
        return True
    quantity = ruleset.quantities[name]
    if quantity.derived is None or quantity.is_trend:
        return False
    read = inputs(quantity.derived)
    return bool(read) and all(is_known(ruleset, text) for text in read)


@dataclass(frozen=True, slots=True)
class _CalmReading:
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
class _Known:
    """That something says, in the state there is, what is normal for a reading (see `is_known`)."""

    quantity: str
    index: int | None

    def term(self, context: Context) -> Term:
        own = [context.encoder.formula(declared.when) for declared in self._ranges(context.ruleset)]
        made_of = self._made_of(context.ruleset)
        if made_of:
            own.append(conjunction(known.term(context) for known in made_of))
        return disjunction(own)

    def holds(self, instant: Instant) -> bool:
        """The same in a state."""
        made_of = self._made_of(instant.ruleset)
        if made_of and all(known.holds(instant) for known in made_of):
            return True
        return any(instant.holds(declared.when) for declared in self._ranges(instant.ruleset))

    def _ranges(self, ruleset: m.RuleSet) -> list[m.Range]:
        ranges = ruleset.ranges_by_quantity[self.quantity]
        return [declared for declared in ranges if declared.kind.tells_normal and declared.index in {None, self.index}]

    def _made_of(self, ruleset: m.RuleSet) -> list[_Known]:
        quantity = ruleset.quantities[self.quantity]
        if quantity.derived is None or quantity.is_trend:
            return []
        read = sorted(inputs(quantity.derived))
        return [_Known(name, index) for name in read for index in ruleset.quantities[name].indexes]


@dataclass(frozen=True, slots=True)
class _First:
    """A switch is at its first position."""

    switch: str
    position: str

    def holds(self, instant: Instant) -> bool:
        return instant.state.positions[self.switch] == self.position


# What is asked, and the same as a term.
_Part = tuple[_CalmReading | _Known | _First, Term]


@dataclass(frozen=True, slots=True)
class CalmGoal:
    """A goal in a state in which nothing is wrong, as far as the names go that it is about."""

    term: Term
    names: frozenset[str]
    parts: tuple[_Part, ...]

    def is_calm(self, instant: Instant) -> bool:
        """What was asked of the state, in the words of the reference evaluator."""
        return all(one.holds(instant) for one, _ in self.parts)


class NormalOperation:
    """The states of one of the two kinds. `still`: ranges are only kept on their high side."""

    def __init__(self, context: Context, *, still: bool) -> None:
        self.context = context
        self.still = still
        ruleset = context.ruleset
        self._readings: dict[str, _Part] = {}
        for name, quantity in ruleset.quantities.items():
            ranges = ruleset.ranges_by_quantity[name]
            for index in quantity.indexes if ranges else ():
                reading = _asked_of(name, index, [r for r in ranges if r.index in {None, index}], still)
                term = reading.term(context)
                if term is not TRUE:
                    self._readings[m.variable(name, index)] = (reading, term)
        self._switches: dict[str, _Part] = {
            s.name: (_First(s.name, s.positions[0]), AtValue(s.name, s.positions[0])) for s in ruleset.switches.values()
        }

    def wanted(self, goal: Term, reading: str | None, subjects: list[tuple[str, int | None]]) -> CalmGoal:
        """A goal with what is asked of the readings and switches that it is about, and of the reading that it is shown
        with. `subjects`: the quantities and elements of which it must be known what is normal, unless all stands
        still."""
        shown = frozenset() if reading is None else frozenset({reading})
        names = self.context.decider.cone_of_influence(goal.reads | shown)[0]
        own = (self._readings, self._switches)
        parts = [found[name] for found in own for name in found if name in names]
        if not self.still:
            known = [_Known(name, index) for name, index in subjects]
            parts += [(one, one.term(self.context)) for one in known]
        return CalmGoal(both(goal, *(term for _, term in parts)), names, tuple(parts))

    def whole(self, wanted: CalmGoal) -> CalmGoal | Answer:
        """What is wanted, with what is asked of all that it shares a name with, however indirectly; the answer, where
        the rest cannot be calm or that was not decided."""
        cone = self.context.decider.cone_of_influence
        names = set(cone(wanted.names | wanted.term.reads)[0])
        taken = list(wanted.parts)
        left = [part for some in (self._readings, self._switches) for part in some.values() if part not in taken]
        grew = True
        while grew:
            grew = False
            for part in tuple(left):
                reads = cone(part[1].reads)[0]
                if not names.isdisjoint(reads):
                    names |= reads
                    left.remove(part)
                    taken.append(part)
                    grew = True
        # What is left shares no name with the goal: it must only be possible by itself.
        by_itself = self.context.is_satisfiable(conjunction(term for _, term in left)) if left else Answer.YES
        if by_itself is not Answer.YES:
            return by_itself
        more = (term for _, term in taken[len(wanted.parts) :])
        return CalmGoal(both(wanted.term, *more), frozenset(names), tuple(taken))

    def extends(self, whole: CalmGoal, found: Model) -> bool:
        """Whether a state of some names is part of one in which all that is wanted is so."""
        goal = both(whole.term, exactly(found))
        model = self.context.decider.model(goal)
        if model is not None and not self._is_whole(whole, model):
            # As for every witness: something that the question left out may matter after all.
            with self.context.decider.keeping_all():
                model = self.context.decider.model(goal)
            if model is not None and not self._is_whole(whole, model):
                raise DisagreementError(f"not a calm state: {dict(model.readings)} {dict(model.positions)}")
        return model is not None

    def _is_whole(self, whole: CalmGoal, model: Model) -> bool:
        instant = self.context.instant(model)
        return instant.is_possible() and whole.is_calm(instant)


def exactly(model: Model) -> Term:
    """This state and no other, as far as a model says it."""
    return conjunction(
        (
            *(in_interval(name, Interval.point(value)) for name, value in model.readings.items()),
            *(AtValue(name, position) for name, position in model.positions.items()),
            *(Flag(name) if holds else negate(Flag(name)) for name, holds in model.flags.items()),
        )
    )


def _asked_of(name: str, index: int | None, ranges: list[m.Range], still: bool) -> _CalmReading:
    never: list[_Clause] = []
    for declared in ranges:
        if declared.kind is m.RangeKind.NORMAL:
            continue
        region = declared.broken if declared.kind is m.RangeKind.LIMIT else declared.region
        high = _high_part(region, ranges) if still else region
        if high is not None:
            never.append((declared.when, high))
    normal = [declared for declared in ranges if declared.kind is m.RangeKind.NORMAL]
    usual = tuple((declared.when, _up_to(declared.region) if still else declared.region) for declared in normal)
    return _CalmReading(name, index, tuple(never), usual)


def _high_part(region: m.Region, ranges: list[m.Range]) -> m.Region | None:
    """What of a region that is to be avoided lies on the high side, none if it is all low readings."""
    if region.kind.outside:
        return region.sides()[1]
    # Below what is normal it is on the low side.
    is_low = region.kind.is_low or (not region.kind.is_high and _is_below_normal(region, ranges))
    return None if is_low else region


def _is_below_normal(region: m.Region, ranges: list[m.Range]) -> bool:
    top = max(part.high for part in region.values if part.high is not None) if region.values.parts else None
    if top is None:
        return False
    normal = [part for declared in ranges if declared.kind is m.RangeKind.NORMAL for part in declared.region.values]
    return any(part.low is not None and part.low >= top for part in normal)


def _up_to(region: m.Region) -> m.Region | None:
    """A normal range with all below it; none if it has no high end."""
    return next((side for side in region.sides() if side.kind.is_low and not region.kind.outside), None)
