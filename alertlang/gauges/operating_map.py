"""Operating maps: which colour a gauge shows over two readings, everything else held still. The regions are exact."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.gauges.breaklines import Plane
from alertlang.gauges.course import Course, course
from alertlang.gauges.geometry import Edge, Point, Polygon, centre, cut, outline, rectangle
from alertlang.gauges.states import NOTHING, HeldStill, moved, usual_state
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.model.snapshot import formula_words, held_flag, until_flag
from alertlang.text.short import Short
from alertlang.units.number import show_value


@dataclass(frozen=True, slots=True, repr=False)
class Axis(Short):
    """A reading along one side of a map, in its own unit."""

    name: str
    quantity: m.Quantity
    index: int | None

    @property
    def label(self) -> str:
        title = self.quantity.title or self.quantity.name
        number = "" if self.index is None else f" {self.index}"
        return f"{title}{number} ({self.quantity.unit.name})" if self.quantity.unit.name else f"{title}{number}"


@dataclass(frozen=True, slots=True, repr=False)
class OperatingMap(Short):
    """`of`: whose colour it is, which is one of the axes. `regions`: convex pieces by the colour, now and later, the
    calmest first. `broken`: what goes around the points at which a limit is broken, by the label
    of the limit. `still`: the state that is held."""

    of: Axis
    x: Axis
    y: Axis
    regions: tuple[tuple[Course, tuple[Polygon, ...]], ...]
    broken: tuple[tuple[str, tuple[Edge, ...]], ...]
    still: Instant
    shown_still: tuple[str, ...]


def axis(ruleset: m.RuleSet, name: str) -> Axis:
    """The reading of that name; an array without a number stands for its first element. KeyError if there is none,
    ValueError if it is worked out from others, so that it cannot be moved by itself."""
    base, _, rest = name.partition("[")
    quantity = ruleset.quantities[base]
    index = int(rest[:-1]) if rest else None
    if index is None and quantity.size is not None:
        index = 1
    if (index is not None and index not in quantity.indexes) or (index is not None and quantity.size is None):
        raise KeyError(name)
    if quantity.is_computed:
        raise ValueError(name)
    return Axis(m.variable(base, index), quantity, index)


def operating_map(context: Context, of: str, over: str, held: HeldStill = NOTHING) -> OperatingMap | None:
    """The colour of one reading's gauge up the side over another along the bottom; none if what is held is impossible.

    The map is of a state that goes on: the colour at once, and what it becomes.
    """
    ruleset = context.ruleset
    y, x = axis(ruleset, of), axis(ruleset, over)
    still = usual_state(context, held, free=(x.name, y.name), inner=True)
    if still is None:
        return None
    limits = [r for r in ruleset.ranges if r.forbids and r.quantity in {x.quantity.name, y.quantity.name}]
    bands = [band for band in ruleset.bands if band.quantity == y.quantity.name]
    formulas = [f for band in bands for f in (band.when, band.unless)] + [declared.when for declared in limits]
    lines = Plane(ruleset, x.name, y.name, still).lines((x.quantity.name, y.quantity.name), formulas)
    whole = rectangle(x.quantity.low, x.quantity.high, y.quantity.low, y.quantity.high)
    by_course: dict[Course, list[Polygon]] = {}
    broken: dict[str, list[Polygon]] = {}
    for piece in cut([whole], lines):
        across, up = centre(piece)
        there = moved(still, {x.name: across, y.name: up})
        shown = course(band for band in bands if there.applies(band, y.index, eventually=True, linger=False))
        by_course.setdefault(shown, []).append(piece)
        for declared in limits:
            index = x.index if declared.quantity == x.quantity.name else y.index
            if declared.index in (None, index) and there.violates(declared, index):
                broken.setdefault(declared.label, []).append(piece)
    return OperatingMap(
        y,
        x,
        y,
        tuple((shown, tuple(by_course[shown])) for shown in sorted(by_course, key=_calm_first)),
        tuple((label, tuple(_inside(outline(pieces), whole))) for label, pieces in broken.items()),
        still,
        _still_words(context, still, (x.name, y.name), formulas),
    )


def _calm_first(shown: Course) -> tuple[int, ...]:
    ranks = [-1 if colour is None else int(colour) for colour in (shown.last, shown.now)]
    return (*ranks, *(-int(1000 * turn.timer.seconds) for turn in shown.later))


def _inside(edges: Sequence[Edge], whole: Polygon) -> list[Edge]:
    """The edges that are not part of the frame."""
    (left, bottom), (right, top) = whole[0], whole[2]

    def on_frame(edge: Edge) -> bool:
        (x0, y0), (x1, y1) = edge
        return (x0 == x1 and x0 in (left, right)) or (y0 == y1 and y0 in (bottom, top))

    return [edge for edge in edges if not on_frame(edge)]


def _still_words(
    context: Context, still: Instant, moving: Sequence[str], formulas: Sequence[m.Formula | None]
) -> tuple[str, ...]:
    """What is held still, as far as it matters to what is shown."""
    ruleset = context.ruleset
    found = []
    quantities = (ruleset.quantities[name] for name in ruleset.quantities_read(*formulas))
    read = {
        v for measured in quantities for index in measured.indexes for v in ruleset.sensors_read(measured.name, index)
    }
    for name in context.in_order([v for v in still.state.readings if v in read and v not in moving], None):
        quantity = context.quantity(name)
        found.append(f"{name} {show_value(still.state.readings[name], quantity.unit)}")
    switches = ruleset.switches_read(*formulas)
    found += [f"{switch} {still.state.positions[switch]}" for switch in ruleset.switches if switch in switches]
    return (*found, *_past_words(still, formulas))


def _past_words(still: Instant, formulas: Sequence[m.Formula | None]) -> list[str]:
    """How what only the past decides is held: it is so in each part of the map in which it can be."""
    ruleset = still.ruleset
    conditions = ruleset.conditions_read(*formulas)
    read = [f for f in formulas if f is not None]
    read += [part for name in sorted(conditions) for part in ruleset.conditions[name].parts]
    said = {
        until_flag(ruleset, name): name
        for name in ruleset.conditions
        if name in conditions and ruleset.conditions[name].until is not None
    }
    said |= {
        held_flag(ruleset, part): formula_words(ruleset, m.Held(part.part, True, part.duration, part.span))
        for formula in read
        for part in m.parts_of(formula)
        if isinstance(part, m.Held)
    }
    return [
        f"{words} {'true' if still.state.flags.get(flag, False) else 'false'} wherever only the past decides"
        for flag, words in said.items()
    ]


# ---- the numbers at the sides: where something changes


def numbers(found: OperatingMap, side: str) -> list[Fraction]:
    """The places, along the side `x` or `y`, of the corners of all regions of a colour and of the edges of limits."""
    limits = (edges for _, edges in found.broken)
    return sorted({*colour_numbers(found, side), *_places(limits, side)})


def colour_numbers(found: OperatingMap, side: str) -> list[Fraction]:
    """Those of the regions alone."""
    return sorted(_places((outline(pieces) for _, pieces in found.regions), side))


def _places(drawn: Iterable[Iterable[Edge]], side: str) -> set[Fraction]:
    place = 0 if side == "x" else 1
    return {corner[place] for edges in drawn for corner in _corners(edges)}


def _corners(edges: Iterable[Edge]) -> list[Point]:
    """Where edges end or turn. A straight one that is made of several pieces does neither where they meet."""
    directions: dict[Point, list[Fraction | None]] = defaultdict(list)
    for pair, other in edges:
        run, rise = other[0] - pair[0], other[1] - pair[1]
        slope = None if run == 0 else rise / run
        directions[pair].append(slope)
        directions[other].append(slope)
    return [point for point, slopes in directions.items() if len(slopes) < 2 or len(set(slopes)) > 1]
