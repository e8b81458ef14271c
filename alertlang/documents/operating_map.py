"""Operating maps: which colour a gauge shows over two readings, everything else held still. The regions are exact."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.documents.geometry import Edge, Polygon, centre, cut, outline, rectangle
from alertlang.documents.states import NOTHING, Held, moved, usual_state
from alertlang.documents.straight import Plane
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.units.number import show_value


@dataclass(frozen=True, slots=True)
class Axis:
    """A reading along one side of a map, in its own unit."""

    name: str
    quantity: m.Quantity
    index: int | None

    @property
    def label(self) -> str:
        title = self.quantity.title or self.quantity.name
        number = "" if self.index is None else f" {self.index}"
        return f"{title}{number} ({self.quantity.unit.name})" if self.quantity.unit.name else f"{title}{number}"


@dataclass(frozen=True, slots=True)
class OperatingMap:
    """`of`: whose colour it is, which is one of the axes. `regions`: convex pieces by colour (none where no band
    applies), the calmest colour first. `broken`: what goes around the points at which a limit is broken, by the label
    of the limit. `still`: the state that is held."""

    of: Axis
    x: Axis
    y: Axis
    regions: tuple[tuple[m.Colour | None, tuple[Polygon, ...]], ...]
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


def operating_map(context: Context, of: str, over: str, held: Held = NOTHING) -> OperatingMap | None:
    """The colour of one reading's gauge up the side over another along the bottom; none if what is held is impossible.

    What takes time to show counts as lasted: the map is of a state that goes on.
    """
    ruleset = context.ruleset
    y, x = axis(ruleset, of), axis(ruleset, over)
    still = usual_state(context, held, free=(x.name, y.name))
    if still is None:
        return None
    limits = [
        r for r in ruleset.ranges if r.kind in {"limit", "avoid"} and r.quantity in {x.quantity.name, y.quantity.name}
    ]
    bands = [band for band in ruleset.bands if band.quantity == y.quantity.name]
    formulas = [f for band in bands for f in (band.when, band.unless)] + [one.when for one in limits]
    lines = Plane(ruleset, x.name, y.name, still).lines((x.quantity.name, y.quantity.name), formulas)
    whole = rectangle(x.quantity.low, x.quantity.high, y.quantity.low, y.quantity.high)
    by_colour: dict[m.Colour | None, list[Polygon]] = {}
    broken: dict[str, list[Polygon]] = {}
    for piece in cut([whole], lines):
        across, up = centre(piece)
        there = moved(still, {x.name: across, y.name: up})
        by_colour.setdefault(there.colour(y.quantity.name, y.index, eventually=True, linger=False), []).append(piece)
        for one in limits:
            index = x.index if one.quantity == x.quantity.name else y.index
            if one.index in (None, index) and there.violates(one, index):
                broken.setdefault(one.label, []).append(piece)
    return OperatingMap(
        y,
        x,
        y,
        tuple(
            sorted(((c, tuple(p)) for c, p in by_colour.items()), key=lambda pair: -1 if pair[0] is None else pair[0])
        ),
        tuple((label, tuple(_inside(outline(pieces), whole))) for label, pieces in broken.items()),
        still,
        _still_words(context, still, (x.name, y.name), formulas),
    )


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
    read = {
        v
        for name in ruleset.quantities_read(*formulas)
        for i in (None, *_indexes(ruleset, name))
        for v in _sensors(ruleset, name, i)
    }
    for name in context.in_order([v for v in still.state.readings if v in read and v not in moving], None):
        quantity = context.quantity(name)
        found.append(f"{name} {shown_value(still.state.readings[name], quantity)}")
    switches = ruleset.switches_read(*formulas)
    found += [f"{switch} {still.state.positions[switch]}" for switch in ruleset.switches if switch in switches]
    return tuple(found)


def _indexes(ruleset: m.RuleSet, name: str) -> tuple[int | None, ...]:
    return ruleset.quantities[name].indexes


def _sensors(ruleset: m.RuleSet, name: str, index: int | None) -> frozenset[str]:
    if index is None and ruleset.quantities[name].size is not None:
        return frozenset()
    return ruleset.sensors_read(name, index)


def shown_value(value: Fraction, quantity: m.Quantity) -> str:
    """A value with its unit."""
    return show_value(value, quantity.unit)
