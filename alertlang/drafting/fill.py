"""What is neither red nor yellow: green where a normal range says so; the rest is decided here, and asked about.

A gauge is cut at every number that is said of it. Between two of them nothing that is said changes but by context.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from alertlang.checks.normal_not_green import is_flap_range
from alertlang.drafting.demands import DraftDemand, complement, ranges_of
from alertlang.drafting.profile_queries import (
    ALWAYS,
    RUNNING,
    LimitedReading,
    ProfileQueries,
    When,
    all_of,
    any_term,
    opposite,
    shorter,
)
from alertlang.drafting.regions import NumberForms, on_sensor
from alertlang.drafting.style import Style
from alertlang.logic.terms import Term, both, in_interval, negate
from alertlang.model import ruleset as m
from alertlang.model.snapshot import PLAIN
from alertlang.units.interval import Interval, IntervalSet


@dataclass(frozen=True, slots=True)
class FilledStretch:
    """A calm or an undecided stretch. `why`: `normal`, or `stopped`, `between`, `beyond`, `other`, `no-normal` for what
    no profile says. `region`: what to write where an end moves, in place of `part`. `under`: others lie over it."""

    colour: m.Colour
    when: When
    part: Interval
    stated: tuple[m.Range, ...]
    why: str
    region: m.Region | None = None
    under: bool = False


@dataclass(frozen=True, slots=True)
class _Entry:
    colour: m.Colour
    when: When
    stated: tuple[m.Range, ...]
    why: str
    under: bool = False

    @property
    def key(self) -> tuple[m.Colour, str, str]:
        return (self.colour, self.when.text, self.why)


@dataclass(frozen=True, slots=True)
class _Normal:
    """A normal range with its colour and context. `whole`: it is one band as it stands, wherever its ends move."""

    one: m.Range
    colour: m.Colour
    when: When
    whole: bool


def stretches(
    world: ProfileQueries,
    gauge: LimitedReading,
    numbers: NumberForms,
    style: Style,
    reds: list[DraftDemand],
    yellows: list[DraftDemand],
) -> list[FilledStretch]:
    """In the order of the scale, then of the profiles."""
    worse = [d for d in (*reds, *yellows) if not d.held and not d.lost]
    normals = [declared for declared in ranges_of(world, gauge) if declared.kind == "normal"]
    cells = _cells(gauge, worse, normals)
    calm = [_normal(world, gauge, numbers, declared, worse) for declared in normals]
    plans = [_plan(world, gauge, numbers, style, cell, worse, calm) for cell in cells]
    _mend_points(cells, plans)
    found = [
        FilledStretch(
            n.colour,
            world.when(n.one.when),
            next(iter(on_sensor(gauge, n.one.region))),
            (n.one,),
            "normal",
            n.one.region,
        )
        for n in calm
        if n.whole
    ]
    open_: dict[tuple[m.Colour, str, str], tuple[_Entry, Interval]] = {}
    for cell, plan in zip(cells, plans, strict=True):
        now = {entry.key: entry for entry in plan}
        found += [_stretch(*open_.pop(key)) for key in list(open_) if key not in now]
        for key, entry in now.items():
            before = open_.get(key)
            joined = (
                cell
                if before is None
                else Interval(before[1].low, before[1].low_included, cell.high, cell.high_included)
            )
            stated = entry.stated if before is None else tuple(dict.fromkeys((*before[0].stated, *entry.stated)))
            under = entry.under or (before is not None and before[0].under)
            open_[key] = (_Entry(entry.colour, entry.when, stated, entry.why, under), joined)
    found += [_stretch(*pair) for pair in open_.values()]
    found.sort(key=lambda s: (s.part.low is not None, s.part.low or 0))
    return found


def _stretch(entry: _Entry, part: Interval) -> FilledStretch:
    return FilledStretch(entry.colour, entry.when, part, entry.stated, entry.why, under=entry.under)


def _normal(
    world: ProfileQueries, gauge: LimitedReading, numbers: NumberForms, declared: m.Range, worse: list[DraftDemand]
) -> _Normal:
    white = is_flap_range(world.ruleset, world.encoder, world.decider.is_satisfiable, declared)
    colour = m.Colour.WHITE if white else m.Colour.GREEN
    own = world.when(declared.when)
    if not declared.region.moves:
        return _Normal(declared, colour, own, False)
    text = f"{gauge.subject} {numbers.region(gauge, declared.region)}"
    inside = When(text, world.inside(gauge, declared.region), frozenset({gauge.quantity.name}))
    # A shared end is no overlap: the worse of the two shows there.
    ends = declared.region.inner()
    apart = all(
        _is_apart(world, both(*(world.inside(gauge, end) for end in (*ends, d.region))), own.term, d.when.term)
        for d in worse
    )
    return _Normal(declared, colour, all_of([own, inside]), apart and not on_sensor(gauge, declared.region).is_empty)


def _cells(gauge: LimitedReading, worse: list[DraftDemand], normals: list[m.Range]) -> list[Interval]:
    """The scale cut at every number: points and what is between them."""
    low, high = gauge.quantity.low, gauge.quantity.high
    regions = (*(d.region for d in worse), *(n.region for n in normals))
    ends = {n for region in regions for n in region.numbers}
    # A moving end: the numbers between which it moves.
    moving = [b for region in regions for b in region.moving]
    ends |= {n for bound in moving for n in (bound.low, bound.high)}
    cuts = sorted({low, high, *(n for n in ends if low < n < high)})
    cells = [Interval.point(cuts[0])]
    for number, other in pairwise(cuts):
        cells += [Interval.open(number, other), Interval.point(other)]
    return cells


def _mend_points(cells: list[Interval], plans: list[list[_Entry]]) -> None:
    """A point by itself goes with a neighbour that takes its end in."""
    for i, cell in enumerate(cells):
        if not cell.is_point or not plans[i]:
            continue
        beside = [plans[j] for j in (i - 1, i + 1) if 0 <= j < len(plans)]
        keys = {entry.key for plan in beside for entry in plan}
        if any(entry.key not in keys for entry in plans[i]):
            nearest = next((plan for plan in beside if plan), None)
            if nearest is not None:
                plans[i] = [*(e for e in plans[i] if e.key in keys), *(e for e in nearest if e not in plans[i])]


def _covers(region: m.Region, cell: Interval) -> bool:
    return IntervalSet.of(cell).is_subset(region.values)


def _plan(
    world: ProfileQueries,
    gauge: LimitedReading,
    numbers: NumberForms,
    style: Style,
    cell: Interval,
    worse: list[DraftDemand],
    calm: list[_Normal],
) -> list[_Entry]:
    here = [d for d in worse if _covers(d.region, cell)]
    # Where a moving end leaves off, too, something has to be shown.
    contexts = [(d, _context(world, gauge, numbers, d)) for d in here]
    inside = _at(world, gauge, cell)
    if not world.is_satisfiable(inside, negate(any_term([c for _, c in contexts]))):
        return []
    entries: list[_Entry] = []
    greens: list[_Normal] = []
    # White first: it and green rank equal, so green gives way where both could be.
    for normal in sorted(calm, key=lambda n: n.colour is not m.Colour.WHITE):
        if not _covers(normal.one.region, cell):
            continue
        own = normal.when
        same = next((g for g in greens if not g.whole and world.implies(own.term, g.when.term)), None)
        if same is not None:
            entries = [replace(e, stated=(*e.stated, normal.one)) if same.one in e.stated else e for e in entries]
            continue
        others = [
            opposite(g.when)
            for g in greens
            if g.colour is not normal.colour and world.is_satisfiable(inside, own.term, g.when.term)
        ]
        greens.append(normal)
        if normal.whole:
            continue
        when = _freed(
            world,
            inside,
            [own, *others],
            _against(world, gauge, numbers, contexts, own),
            [w for _, w in contexts],
        )
        if world.is_satisfiable(inside, when.term):
            entries.append(_Entry(normal.colour, when, (normal.one,), "normal"))
    rest = [negate(any_term([g.when for g in greens])), negate(any_term([c for _, c in contexts]))]
    if not world.is_satisfiable(inside, *rest):
        return entries
    for split in _running(world, gauge):
        if not world.is_satisfiable(inside, *rest, split.term):
            continue
        colour, why = _decide(world, gauge, style, cell, split, rest, worse, [n.one for n in calm])
        base = [split] if split.text else []
        nots = [opposite(g.when) for g in greens]
        if colour is m.Colour.YELLOW:
            nots += [opposite(w) for d, w in contexts if d.colour is m.Colour.YELLOW]
            when = all_of(_needed(world, inside, [*base, *nots]))
            under = False
        else:
            over = [*(g.when for g in greens), *(w for _, w in contexts)]
            nots += [opposite(w) for _, w in contexts]
            when = _freed(world, inside, base, nots, over)
            under = any(world.is_satisfiable(inside, when.term, one.term) for one in over)
        entries.append(_Entry(colour, when, (), why, under))
    return entries


def _at(world: ProfileQueries, gauge: LimitedReading, cell: Interval) -> Term:
    index = gauge.index if gauge.index is not None else gauge.quantity.indexes[0]
    name = world.encoder.names.reading(gauge.quantity.name, index, PLAIN)
    return in_interval(name, cell, gauge.quantity.range)


def _context(world: ProfileQueries, gauge: LimitedReading, numbers: NumberForms, demand: DraftDemand) -> When:
    """When a demand is in force in a cell that its region can take in."""
    if not demand.region.moves:
        return demand.when
    text = f"{gauge.subject} {numbers.region(gauge, demand.region)}"
    own = When(text, world.inside(gauge, demand.region), frozenset({gauge.quantity.name}))
    return all_of([demand.when, own])


def _against(
    world: ProfileQueries,
    gauge: LimitedReading,
    numbers: NumberForms,
    contexts: list[tuple[DraftDemand, When]],
    own: When,
) -> list[When]:
    found = []
    for demand, when in contexts:
        if demand.region.moves and world.implies(own.term, demand.when.term):
            found.append(complement(gauge, numbers, world, demand))
        else:
            found.append(opposite(when))
    return found


def _freed(world: ProfileQueries, inside: Term, base: list[When], nots: list[When], worse: list[When]) -> When:
    """As few words as will do: a worse band may lie in a wider calm one, and nothing else."""
    plain = both(*(w.term for w in base))
    if all(_is_apart(world, inside, plain, when.term) for when in worse):
        return all_of(base)
    kept = list(nots)
    for one in reversed(nots):
        without = [other for other in kept if other is not one]
        term = both(*(w.term for w in (*base, *without)))
        if all(_is_apart(world, inside, term, when.term) for when in worse):
            kept = without
    return all_of([*base, *(shorter(world, plain, one) for one in kept)])


def _is_apart(world: ProfileQueries, inside: Term, calm: Term, worse: Term) -> bool:
    """Whether the two never hold together, or the worse one is the narrower."""
    if not world.is_satisfiable(inside, calm, worse):
        return True
    return world.implies(worse, calm) and not world.implies(calm, worse)


def _needed(world: ProfileQueries, inside: Term, parts: list[When]) -> list[When]:
    """Without what the others say already."""
    kept = [part for part in parts if part.text]
    for when in list(reversed(kept)):
        others = [other for other in kept if other is not when]
        if not world.is_satisfiable(inside, *(o.term for o in others), negate(when.term)):
            kept = others
    return [shorter(world, both(*(o.term for o in kept if o is not when)), when) for when in kept]


def _running(world: ProfileQueries, gauge: LimitedReading) -> list[When]:
    """The engine running and not, where the limits of the gauge tell the two apart."""
    ruleset = world.ruleset
    if RUNNING not in ruleset.conditions or not any(
        RUNNING in ruleset.conditions_read(declared.when) for declared in ranges_of(world, gauge)
    ):
        return [ALWAYS]
    running = world.when(m.ConditionIs(RUNNING, ruleset.conditions[RUNNING].formula.span))
    running = replace(running, text=RUNNING)
    return [running, opposite(running)]


def _decide(
    world: ProfileQueries,
    gauge: LimitedReading,
    style: Style,
    cell: Interval,
    split: When,
    rest: list[Term],
    worse: list[DraftDemand],
    normals: list[m.Range],
) -> tuple[m.Colour, str]:
    """The colour of what nothing says, and why."""
    if split.text.startswith("not "):
        return m.Colour.UNMARKED, "stopped"
    if not normals:
        return m.Colour.UNMARKED, "no-normal"
    # What can hold at the same time, on some other stretch of the scale.
    apart = [d for d in worse if world.is_satisfiable(*rest, split.term, d.when.term)]
    for side in (1, -1):
        if _lies(gauge, cell, [n.region for n in normals], -side) and _lies(
            gauge, cell, [d.region for d in apart], side
        ):
            colour = m.Colour.YELLOW if style.between == "yellow" else m.Colour.UNMARKED
            if not any(_covers(n.region, cell) for n in normals):
                return colour, "between"
    inside_other = any(_covers(n.region, cell) for n in normals)
    return m.Colour.UNMARKED, "other" if inside_other else "beyond"


def _lies(gauge: LimitedReading, cell: Interval, regions: list[m.Region], side: int) -> bool:
    """Whether some region reaches past a cell on one side (1: above)."""
    assert cell.low is not None
    assert cell.high is not None
    for region in regions:
        for part in on_sensor(gauge, region):
            reach: Fraction | None = part.high if side > 0 else part.low
            if reach is not None and (reach > cell.high if side > 0 else reach < cell.low):
                return True
    return False
