"""What the limits and precautions of one gauge ask to be red and yellow, without what another one asks more sharply."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.drafting.profile_queries import RUNNING, LimitedReading, ProfileQueries, When
from alertlang.drafting.regions import NumberForms, on_sensor
from alertlang.drafting.style import SCAN_ROOM, Style
from alertlang.logic.terms import FALSE, Term, both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.model.expression import CurveOver

_ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class DraftDemand:
    """A stretch that must be red or yellow while `when` holds; red may wait `held` seconds. `after` seconds the alert
    of `level` may wait, `allowed` it may at most. `stated` are the statements it comes from, the first one in force.
    `tolerated`: yellow because a limit gives it some time. `lost`: it stands for a bound that has failed."""

    colour: m.Colour
    when: When
    region: m.Region
    stated: tuple[m.Range, ...]
    held: Fraction = _ZERO
    level: m.Level | None = None
    after: Fraction = _ZERO
    allowed: Fraction = _ZERO
    tolerated: bool = False
    lost: bool = False
    reason: str = ""

    @property
    def first(self) -> m.Range:
        return self.stated[0]


def gauges(ruleset: m.RuleSet) -> list[LimitedReading]:
    """One for each quantity; for an array of which one element is limited by itself, one for each element; also where
    an end moves, for a context can only ask for an element whether it is past it."""
    found: list[LimitedReading] = []
    for quantity in ruleset.quantities.values():
        single = any(
            declared.index is not None or declared.region.moves
            for declared in ruleset.ranges_by_quantity[quantity.name]
        )
        found += [LimitedReading(quantity, index) for index in (quantity.indexes if single else (None,))]
    return found


def ranges_of(world: ProfileQueries, gauge: LimitedReading) -> list[m.Range]:
    ranges = world.ruleset.ranges_by_quantity[gauge.quantity.name]
    return [
        declared
        for declared in ranges
        if declared.index is None or gauge.index is None or declared.index == gauge.index
    ]


def where_broken(world: ProfileQueries, gauge: LimitedReading) -> Iterator[tuple[m.Range, When, m.Region]]:
    """Each limit and range to avoid of a gauge, with when it holds and each region that breaks it and can be met."""
    for declared in ranges_of(world, gauge):
        if not declared.forbids:
            continue
        when = world.when(declared.when)
        for region in declared.broken.pieces():
            if not on_sensor(gauge, region).is_empty and world.is_satisfiable(when.term, world.inside(gauge, region)):
                yield declared, when, region


def reds(world: ProfileQueries, gauge: LimitedReading, style: Style) -> list[DraftDemand]:
    """In the order of the profiles; what comes with a broken limit, and what stands for a bound that has failed."""
    found = [
        DraftDemand(
            m.Colour.RED,
            when,
            region,
            (declared,),
            declared.except_for or _ZERO,
            _on_red(declared.needs),
            _delay(world, declared, region, when, style),
            declared.allowed,
        )
        for declared, when, region in where_broken(world, gauge)
    ]
    kept = _sharpest(world, gauge, found)
    return [*kept, *(lost for demand in kept for lost in _blind(world, demand))]


def yellows(world: ProfileQueries, gauge: LimitedReading, reds_of: list[DraftDemand]) -> list[DraftDemand]:
    """Precautions, and what a limit with a time tolerates."""
    found: list[DraftDemand] = []
    for declared in ranges_of(world, gauge):
        if declared.kind == "precaution":
            when = world.when(declared.when)
            parts = [region for region in declared.region.pieces() if not on_sensor(gauge, region).is_empty]
            found += [DraftDemand(m.Colour.YELLOW, when, region, (declared,)) for region in parts]
    found += [
        DraftDemand(m.Colour.YELLOW, limit.when, limit.region, limit.stated, tolerated=True)
        for limit in reds_of
        if limit.held
    ]
    found = [d for d in found if _shows(world, gauge, d, reds_of)]
    red = disjunction(both(r.when.term, world.inside(gauge, r.region)) for r in reds_of if not r.held and not r.lost)
    return _without_covered(world, gauge, _sharpest(world, gauge, found, red), red)


def _without_covered(
    world: ProfileQueries, gauge: LimitedReading, demands: list[DraftDemand], red: Term
) -> list[DraftDemand]:
    """Without those that several others take in together; the first of them then says where it comes from."""
    kept = list(demands)
    for demand in reversed(demands):
        if not demand.tolerated:
            continue
        others = [other for other in kept if other.first is not demand.first]
        covered = disjunction(both(o.when.term, world.inside(gauge, o.region)) for o in others)
        inside = both(demand.when.term, world.inside(gauge, demand.region), negate(red))
        if others and world.implies(inside, covered):
            kept = [replace(o, stated=(*o.stated, demand.first)) if o is others[0] else o for o in kept if o != demand]
    return kept


def _shows(world: ProfileQueries, gauge: LimitedReading, demand: DraftDemand, reds_of: list[DraftDemand]) -> bool:
    """Whether there is a state in which it is yellow and not red anyway."""
    red = [negate(both(r.when.term, world.inside(gauge, r.region))) for r in reds_of if not r.held and not r.lost]
    return world.is_satisfiable(demand.when.term, world.inside(gauge, demand.region), *red)


def _on_red(level: m.Level | None) -> m.Level | None:
    """An advisory is not for red: it becomes a caution."""
    return None if level is None else max(level, m.Level.CAUTION)


def _delay(world: ProfileQueries, declared: m.Range, region: m.Region, when: When, style: Style) -> Fraction:
    if declared.needs is None or world.is_delayed(when):
        return _ZERO
    # What a limit allows is for the whole, from the engine to the eye, and the display needs some of it.
    most = declared.allowed - min(SCAN_ROOM, declared.allowed / 2)
    if style.start_delay and declared.allowed_by == "`within`" and _is_start(world, region, when):
        return most
    return min(style.delay, most)


def _is_start(world: ProfileQueries, region: m.Region, when: When) -> bool:
    """A lower limit that begins to hold with the engine: at that moment the reading is still low."""
    return region.kind.is_low and RUNNING in world.ruleset.conditions_read(when.formula)


def _sharpest(
    world: ProfileQueries, gauge: LimitedReading, demands: list[DraftDemand], red: Term = FALSE
) -> list[DraftDemand]:
    """Without those that another one takes in where it is not `red` anyway; it is then said where that one comes from
    too."""
    kept = list(demands)
    i = 0
    while i < len(kept):
        demand = kept[i]
        others = (j for j, other in enumerate(kept) if j != i and _takes_in(world, gauge, other, demand, red))
        j = next(others, None)
        if j is None:
            i += 1
            continue
        stated = tuple(dict.fromkeys((*kept[j].stated, *demand.stated)))
        kept[j] = replace(kept[j], stated=stated)
        del kept[i]
    return kept


def _takes_in(world: ProfileQueries, gauge: LimitedReading, other: DraftDemand, demand: DraftDemand, red: Term) -> bool:
    if other.held > demand.held:
        return False
    if demand.level is not None:
        in_time = other.held + other.after <= demand.held + demand.allowed
        if other.level is None or other.level < demand.level or not in_time:
            return False
    inside = both(demand.when.term, world.inside(gauge, demand.region), negate(red))
    return world.implies(inside, both(other.when.term, world.inside(gauge, other.region)))


def _blind(world: ProfileQueries, demand: DraftDemand) -> list[DraftDemand]:
    """A moving end that can fail: red as far as it can reach."""
    found = []
    for bound in demand.region.bounds:
        failed = _failing(world, demand.region, bound) if isinstance(bound, m.Moving) else None
        if failed is None:
            continue
        # A context that reads what has failed cannot be told either: in doubt it holds.
        derived = world.ruleset.quantities[bound.quantity].derived if isinstance(bound, m.Moving) else None
        lost = {m.ReadingId(failed).quantity} | ({derived.quantity} if isinstance(derived, CurveOver) else set())
        asks = demand.when.text and lost.isdisjoint(_all_read(world, demand.when))
        text = f"{failed} failed" + (f" and {demand.when.grouped}" if asks else "")
        when = When(text, world.encoder.formula(None))
        found.append(replace(demand, when=when, region=widest(demand.region), lost=True))
    return found


def _all_read(world: ProfileQueries, when: When) -> frozenset[str]:
    """The quantities that a context reads, and those that these are made of."""
    derived = (world.ruleset.quantities[name].derived for name in when.reads)
    return when.reads | {expression.quantity for expression in derived if isinstance(expression, CurveOver)}


def widest(region: m.Region) -> m.Region:
    """The most that a region with moving ends can take in. Of two ends both may have failed at once."""

    def end(bound: m.Bound, lowest: bool) -> m.Bound:
        return bound if not isinstance(bound, m.Moving) else bound.low if lowest else bound.high

    if region.second is not None:
        return replace(region, first=end(region.first, True), second=end(region.second, False))
    return replace(region, first=end(region.first, region.kind.is_high))


def _failing(world: ProfileQueries, region: m.Region, bound: m.Moving) -> str | None:
    """What has failed when an end cannot be told; None where it is then on the safe side of itself."""
    derived = world.ruleset.quantities[bound.quantity].derived
    if not isinstance(derived, CurveOver) or derived.otherwise is None:
        return bound.quantity
    lower = region.kind.is_high or (region.second is not None and bound is region.first)
    safe = derived.otherwise <= bound.low if lower else derived.otherwise >= bound.high
    return None if safe else m.variable(derived.quantity, derived.index)


def complement(gauge: LimitedReading, numbers: NumberForms, world: ProfileQueries, demand: DraftDemand) -> When:
    """That the reading is not in the region of a demand."""
    text = f"{gauge.subject} {numbers.region(gauge, demand.region, complement=True)}"
    return When(text, negate(world.inside(gauge, demand.region)), frozenset({gauge.quantity.name}))
