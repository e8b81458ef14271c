"""Two bands of one quantity that apply together: what conflict and disagreement have in common."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from alertlang.checks.context import Context
from alertlang.logic.solver import Answer
from alertlang.logic.terms import TRUE, Term, both, in_set, negate
from alertlang.model import ruleset as m
from alertlang.units.interval import IntervalSet


class PairFault(Enum):
    """What is wrong with a pair."""

    CONFLICT = "conflict"
    DISAGREEMENT = "disagreement"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True)
class Pair:
    """`calmer` and `worse` apply together (of equal rank: the earlier and the later). `overlap` is where, and `goal`
    says when. `reason` is same-rank, same-context, narrower or crossing."""

    kind: PairFault
    calmer: m.Band
    worse: m.Band
    index: int | None
    overlap: IntervalSet
    goal: Term
    reason: str


def pairs(context: Context, name: str) -> tuple[Pair, ...]:
    """Every pair of bands of a quantity that is a conflict or a disagreement, or was not decided."""
    found = context.kept.get(("pairs", name))
    if not isinstance(found, tuple):
        found = context.kept["pairs", name] = tuple(_pairs(context, name))
    return found


def _pairs(context: Context, name: str) -> Iterator[Pair]:
    bands = context.ruleset.bands_by_quantity[name]
    sensor = IntervalSet.of(context.ruleset.quantities[name].range)
    # A band of a failed sensor shows nothing that a value could contradict: it has no values.
    values = [band.region.values.intersect(sensor) for band in bands]
    for j, later in enumerate(bands):
        for i in range(j):
            earlier = bands[i]
            if earlier.colour is later.colour:
                continue
            if earlier.index is not None and later.index is not None and earlier.index != later.index:
                continue
            overlap = values[i].intersect(values[j]).interior()
            if overlap.is_empty:
                continue
            named = earlier.index if earlier.index is not None else later.index
            for index in (named,) if named is not None else context.ruleset.elements(name):
                found = _judge(context, earlier, later, overlap, index)
                if found is not None:
                    yield found
                    break


def _judge(context: Context, earlier: m.Band, later: m.Band, overlap: IntervalSet, index: int | None) -> Pair | None:
    encoder = context.encoder
    name = later.quantity
    calmer, worse = (later, earlier) if later.colour.rank < earlier.colour.rank else (earlier, later)
    if _is_red_arc(context, calmer, worse, overlap, index):
        return None
    of_calmer, of_worse = _lasting(context, calmer, worse)
    shared = in_set(m.variable(name, index), overlap, context.ruleset.quantities[name].range)
    goal = both(shared, *(encoder.applies(band, index, linger=False) for band in (calmer, worse)))
    if earlier.region.moves or later.region.moves:
        goal = both(goal, *(encoder.interior(name, index, band.region) for band in (earlier, later)))

    def pair(kind: PairFault, reason: str) -> Pair:
        return Pair(kind, calmer, worse, index, overlap, goal, reason)

    # Asked even without any context: an assumption may rule out the values they share.
    together = context.is_satisfiable(goal)
    if together is Answer.NO:
        return None
    if together is Answer.UNDECIDED:
        return pair(PairFault.UNDECIDED, "")
    if calmer.colour.rank == worse.colour.rank:
        return pair(PairFault.CONFLICT, "same-rank")
    if worse.region.moves and not calmer.region.moves:
        # Where the worse one's end has moved away the calmer one shows: that is what a moving end is for.
        away = both(shared, encoder.applies(calmer, index, linger=False), negate(encoder.applies(worse, index)))
        if context.is_satisfiable(away) is Answer.YES:
            return None
    if of_calmer is TRUE and of_worse is TRUE:
        return pair(PairFault.CONFLICT, "same-context")
    calmer_alone = context.is_satisfiable(both(of_calmer, negate(of_worse)))
    worse_alone = context.is_satisfiable(both(of_worse, negate(of_calmer)))
    if Answer.UNDECIDED in (calmer_alone, worse_alone):
        return pair(PairFault.UNDECIDED, "")
    if calmer_alone is Answer.NO:
        return pair(PairFault.CONFLICT, "same-context" if worse_alone is Answer.NO else "narrower")
    if worse_alone is Answer.YES and calmer.colour.calm and not worse.colour.calm:
        return pair(PairFault.DISAGREEMENT, "crossing")
    return None


def _lasting(context: Context, *bands: m.Band) -> list[Term]:
    """The contexts of two bands, what must have lasted longer being the narrower one."""
    times = sorted({band.held for band in bands if band.held is not None})
    names = context.encoder.names
    return [
        both(
            context.encoder.context(band),
            *(names.flag(f"lasted {m.in_seconds(t)}", TRUE) for t in times if band.held is not None and t <= band.held),
        )
        for band in bands
    ]


def _is_red_arc(context: Context, calmer: m.Band, worse: m.Band, overlap: IntervalSet, index: int | None) -> bool:
    """Whether a red band marks declared avoid ranges inside a calmer band that reaches over it (14 CFR 25.1549(d)).

    A calmer band that ends inside the red one is another matter: one of the two numbers is wrong.
    """
    if worse.colour is not m.Colour.RED:
        return False
    name = worse.quantity
    if (
        not worse.region.values.intersect(IntervalSet.of(context.ruleset.quantities[name].range))
        .interior()
        .is_subset(calmer.region.values)
    ):
        return False
    declared = IntervalSet.EMPTY
    for stated in context.ruleset.ranges_by_quantity[name]:
        if (
            stated.kind is not m.RangeKind.AVOID
            or stated.index not in {None, index}
            or stated.region.values.intersect(overlap).is_empty
        ):
            continue
        # What is avoided only at times gives no reason for a red that shows at other times too.
        outside = both(context.encoder.context(worse), negate(context.encoder.given(stated)))
        if stated.when is None or context.is_satisfiable(outside) is Answer.NO:
            declared = declared.union(stated.region.values)
    return overlap.is_subset(declared)
