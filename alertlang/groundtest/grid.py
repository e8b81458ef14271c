"""The values a stimulus can be set to, and the two that stand at an edge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from alertlang.model import ruleset as m
from alertlang.units.number import say_value, show_value
from alertlang.units.unit import Unit, convert, convert_difference

# What some stimuli are set to, by name: a value in its own unit, a switch position, or none for a sensor taken off.
Setting = Fraction | str | None
Stimuli = Mapping[str, Setting]

NO_STIMULI: Stimuli = {}


@dataclass(frozen=True, slots=True)
class Grid:
    """Multiples of `resolution` in `unit`; values are given in the quantity's own unit."""

    quantity: m.Quantity
    unit: Unit
    resolution: Fraction

    def _at(self, count: int) -> Fraction:
        return self._turned(count * self.resolution, self.unit, self.quantity.unit)

    def _place(self, value: Fraction) -> Fraction:
        return self._turned(value, self.quantity.unit, self.unit) / self.resolution

    def _turned(self, value: Fraction, source: Unit, target: Unit) -> Fraction:
        turn = convert_difference if self.quantity.difference else convert
        return turn(value, source, target)

    def shown(self, value: Fraction) -> Fraction:
        """A value in the unit of the gauge."""
        return self._turned(value, self.quantity.unit, self.unit)

    def show(self, value: Fraction) -> str:
        """A value as it is set: in the unit of the gauge, exact."""
        return show_value(self.shown(value), self.unit)

    def say(self, value: Fraction) -> str:
        """The same for a sentence, long numbers shortened."""
        return say_value(self.shown(value), self.unit)

    @property
    def step(self) -> Fraction:
        """The resolution in the quantity's own unit."""
        return self._at(1) - self._at(0)

    def under(self, edge: Fraction, *, at: bool) -> Fraction:
        """The highest value below an edge; `at`: or at it."""
        place = self._place(edge)
        return self._at(floor(place) if at else ceil(place) - 1)

    def over(self, edge: Fraction, *, at: bool) -> Fraction:
        """The lowest value above an edge; `at`: or at it."""
        place = self._place(edge)
        return self._at(ceil(place) if at else floor(place) + 1)

    def near(self, value: Fraction) -> Fraction | None:
        """The value nearest to another; none if it is beyond the range."""
        found = self._at(floor(self._place(value) + Fraction(1, 2)))
        return found if self.quantity.low <= found <= self.quantity.high else None


@dataclass(frozen=True, slots=True)
class GridEdge:
    """The two values beside an end of a region; none where it is beyond the sensor's range."""

    number: Fraction
    inside: Fraction | None
    outside: Fraction | None


def grid_of(ruleset: m.RuleSet, quantity: m.Quantity) -> Grid:
    """What the gauge says it shows, else the step of the quantity, else that of what it is worked out from, else a
    round thousandth of the range."""
    for gauge in ruleset.gauges:
        if gauge.quantity != quantity.name:
            continue
        unit = gauge.unit or quantity.unit
        if gauge.resolution is not None:
            return Grid(quantity, unit, gauge.resolution)
        if unit != quantity.unit and quantity.step is not None:
            # Round numbers of the gauge's unit, no coarser than the step.
            return Grid(quantity, unit, _round(convert_difference(quantity.step, quantity.unit, unit)))
    if quantity.step is not None:
        return Grid(quantity, quantity.unit, quantity.step)
    sensors = [ruleset.quantities[name] for name in sorted(ruleset.sensors_of(quantity.name))]
    known = [
        sensor.step * sensor.unit.factor / quantity.unit.factor
        for sensor in sensors
        if sensor.step is not None and sensor.unit.dimension == quantity.unit.dimension
    ]
    if known and quantity.is_computed:
        return Grid(quantity, quantity.unit, min(known))
    return Grid(quantity, quantity.unit, _round((quantity.high - quantity.low) / 200))


def _round(width: Fraction) -> Fraction:
    """The greatest power of ten that is no greater."""
    size = Fraction(1)
    while size > width:
        size /= 10
    while size * 10 <= width:
        size *= 10
    return size


def edges(grid: Grid, region: m.Region) -> tuple[GridEdge, ...]:
    """The ends of a region that are numbers, lowest first."""
    sides = () if region.is_failed else region.sides()
    return tuple(_edge(grid, side.kind, side.first) for side in sides if isinstance(side.first, Fraction))


def _edge(grid: Grid, kind: str, end: Fraction) -> GridEdge:
    match kind:
        case "below":
            inside, outside = grid.under(end, at=False), grid.over(end, at=True)
        case "at_most":
            inside, outside = grid.under(end, at=True), grid.over(end, at=False)
        case "above":
            inside, outside = grid.over(end, at=False), grid.under(end, at=True)
        case _:
            inside, outside = grid.over(end, at=True), grid.under(end, at=False)
    low, high = grid.quantity.low, grid.quantity.high
    return GridEdge(end, *(value if low <= value <= high else None for value in (inside, outside)))
