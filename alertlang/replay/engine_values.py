"""The values of a chunk of a log: sensors as they are, derived quantities as doubles with a bound on their error.

A derived value is computed twice: for all rows as a double that is off by no more than a stated error, and exactly, as
a fraction, for the few rows at which that error could decide something.

Every operation on doubles is off by at most 2**-53 of its result. The bounds here count twice that much for each, so
what is rounded while they are added up themselves, and products of errors, are covered.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from alertlang.logs.table import Column, Segment
from alertlang.model import expression as e
from alertlang.model import ruleset as m

Numbers = NDArray[np.float64]

_UNIT = 2.0**-52
# What numbers too small to be kept with all their digits can be off by, and far more.
_LEAST = 1e-300


@dataclass(frozen=True, slots=True)
class Zone:
    """Between which doubles the numbers of a column lie in this chunk, NaN where all have failed; `gaps`: some have."""

    low: float
    high: float
    gaps: bool


@dataclass(frozen=True, slots=True)
class Near:
    """Doubles, NaN where failed, each within `error` of the exact value; exact values within `size` of 0."""

    numbers: Numbers
    error: float
    size: float


@dataclass(frozen=True, slots=True)
class Before:
    """The row before the first of a chunk: its time in ticks, and the exact values that trends look back to."""

    ticks: int
    values: Mapping[str, Fraction | None]


class Values:
    """The values of one chunk, by the names of variables (`rpm`, `cht[2]`); each is found once."""

    def __init__(self, quantities: Mapping[str, m.Quantity], chunk: Segment, before: Before | None) -> None:
        self.quantities = quantities
        self.chunk = chunk
        self.before = before
        self._zones: dict[str, Zone] = {}
        self._near: dict[str, Near] = {}
        self._exact: dict[tuple[str, int], Fraction | None] = {}

    def variable(self, quantity: str, index: int | None) -> str:
        """A quantity that is no array has its one value, whatever the index."""
        return m.variable(quantity, None if self.quantities[quantity].size is None else index)

    def read_by(self, node: e.ReadingOf | e.CurveOver | e.Trend, index: int | None) -> str:
        """What a part of an expression reads: the element that it names, or that of the whole."""
        return self.variable(node.quantity, node.index if node.index is not None else index)

    def column(self, variable: str) -> Column | None:
        return self.chunk.columns.get(variable)

    def zone(self, variable: str, column: Column) -> Zone:
        found = self._zones.get(variable)
        if found is None:
            numbers = column.numbers
            low, high = float(numbers.min()), float(numbers.max())
            gaps = low != low
            if gaps:
                low, high = float(np.fmin.reduce(numbers)), float(np.fmax.reduce(numbers))
            found = self._zones[variable] = Zone(low, high, gaps)
        return found

    # ---- as doubles

    def near(self, variable: str) -> Near:
        """The value in the quantity's own unit."""
        found = self._near.get(variable)
        if found is None:
            quantity, index = _split(self.quantities, variable)
            if quantity.derived is None:
                found = self._sensor(variable)
            elif isinstance(quantity.derived, e.Trend):
                found = self._trend(quantity, quantity.derived, index, variable)
            else:
                found = self._expression(quantity.derived, index)
            if found.numbers.ndim == 0:
                found = Near(np.full(len(self.chunk), found.numbers), found.error, found.size)
            self._near[variable] = found
        return found

    def _sensor(self, variable: str) -> Near:
        column = self.column(variable)
        if column is None:
            return Near(np.full(len(self.chunk), np.nan), 0.0, 0.0)
        zone = self.zone(variable, column)
        size = max(abs(zone.low), abs(zone.high)) if zone.low == zone.low else 0.0
        # The number that is written is half a unit in the last place from its double.
        plain = Near(column.numbers, _UNIT * size + _LEAST, size)
        if column.scale == 1 and column.offset == 0:
            return plain
        return _scaled(plain, column.scale, column.offset)

    def _expression(self, node: e.Expression, index: int | None) -> Near:
        match node:
            case e.Number():
                size = abs(float(node.value))
                return Near(np.array(float(node.value)), _UNIT * size + _LEAST, size)
            case e.ReadingOf():
                return self.near(self.read_by(node, index))
            case e.Scaled():
                return _scaled(self._expression(node.part, index), node.factor, node.offset)
            case e.Sum():
                parts = [self._expression(part, index) for part in node.parts]
                numbers = parts[0].numbers
                for part in parts[1:]:
                    numbers = numbers + part.numbers
                size = sum(part.size for part in parts)
                return Near(numbers, sum(part.error for part in parts) + len(parts) * _UNIT * size + _LEAST, size)
            case e.Statistic():
                return self._statistic(node, index)
            case e.CurveOver():
                return _curve(node, self.near(self.read_by(node, index)))
            case e.Trend():
                raise ValueError("a rise or fall is a quantity of its own")

    def _statistic(self, node: e.Statistic, index: int | None) -> Near:
        parts = [self.near(m.variable(node.quantity, i)) for i in range(1, node.size + 1)]
        error, size = max(part.error for part in parts), max(part.size for part in parts)
        arrays = [part.numbers for part in parts]
        if node.kind in {"highest", "lowest"}:
            return Near(_extreme(arrays, node.kind == "highest"), error, size)
        if node.kind == "spread":
            spread = _extreme(arrays, True) - _extreme(arrays, False)
            return Near(spread, 2 * error + 2 * _UNIT * size + _LEAST, 2 * size)
        average = arrays[0].copy()
        for array in arrays[1:]:
            average += array
        average /= node.size
        off = error + (node.size + 2) * _UNIT * size + _LEAST
        if node.kind == "average":
            return Near(average, off, size)
        assert index is not None
        return Near(arrays[index - 1] - average, error + off + 2 * _UNIT * size, 2 * size)

    def _trend(self, quantity: m.Quantity, trend: e.Trend, index: int | None, variable: str) -> Near:
        part = self.near(self.read_by(trend, index))
        ticks = self.chunk.ticks
        rates = np.empty(len(ticks))
        np.subtract(part.numbers[1:], part.numbers[:-1], out=rates[1:])
        gone = np.empty(len(ticks))
        gone[1:] = np.diff(ticks)
        then = None if self.before is None else self.before.values[variable]
        gone[0] = 1.0 if self.before is None else float(int(ticks[0]) - self.before.ticks)
        rates[0] = np.nan if then is None else part.numbers[0] - float(then)
        size = part.size if then is None else max(part.size, abs(float(then)))
        seconds = float(trend.seconds / self.chunk.tick)
        rates *= seconds if trend.kind == "rise" else -seconds
        rates /= gone
        least = float(gone.min())
        # The difference, the three factors and both roundings of the time are each off by one unit at most.
        error = (2 * part.error + 12 * _UNIT * size + _LEAST) * seconds / least
        low, high = float(quantity.low), float(quantity.high)
        np.clip(rates, low, high, out=rates)
        most = max(abs(low), abs(high))
        return Near(rates, error + _UNIT * most + _LEAST, most)

    # ---- exactly

    def exact(self, variable: str, row: int) -> Fraction | None:
        """The exact value at a row of this chunk, in the quantity's own unit; none where failed."""
        key = (variable, row)
        if key not in self._exact:
            self._exact[key] = self._new_exact(variable, row)
        return self._exact[key]

    def _new_exact(self, variable: str, row: int) -> Fraction | None:
        quantity, index = _split(self.quantities, variable)
        if quantity.derived is None:
            column = self.column(variable)
            return None if column is None else column.value(row)
        if isinstance(quantity.derived, e.Trend):
            return self._exact_trend(quantity, quantity.derived, index, variable, row)
        return self._exact_of(quantity.derived, index, row)

    def _exact_of(self, node: e.Expression, index: int | None, row: int) -> Fraction | None:
        match node:
            case e.Number():
                return node.value
            case e.ReadingOf():
                return self.exact(self.read_by(node, index), row)
            case e.Scaled():
                part = self._exact_of(node.part, index, row)
                return None if part is None else part * node.factor + node.offset
            case e.Sum():
                total = Fraction(0)
                for expression in node.parts:
                    part = self._exact_of(expression, index, row)
                    if part is None:
                        return None
                    total += part
                return total
            case e.Statistic():
                values = [self.exact(m.variable(node.quantity, i), row) for i in range(1, node.size + 1)]
                known = [value for value in values if value is not None]
                return _exact_statistic(node, known, index) if len(known) == node.size else None
            case e.CurveOver():
                x = self.exact(self.read_by(node, index), row)
                return node.otherwise if x is None else _exact_curve(node, x)
            case e.Trend():
                raise ValueError("a rise or fall is a quantity of its own")

    def _exact_trend(
        self, quantity: m.Quantity, trend: e.Trend, index: int | None, variable: str, row: int
    ) -> Fraction | None:
        part = self.read_by(trend, index)
        ticks = self.chunk.ticks
        if row > 0:
            then, since = self.exact(part, row - 1), int(ticks[row - 1])
        elif self.before is not None:
            then, since = self.before.values[variable], self.before.ticks
        else:
            return None
        now = self.exact(part, row)
        if now is None or then is None:
            return None
        change = now - then if trend.kind == "rise" else then - now
        rate = change * trend.seconds / ((int(ticks[row]) - since) * self.chunk.tick)
        return max(quantity.low, min(quantity.high, rate))

    def after(self) -> Before:
        """What the next chunk has to know of this one, which has at least one row."""
        last = len(self.chunk) - 1
        values: dict[str, Fraction | None] = {}
        for quantity in self.quantities.values():
            trend = quantity.derived
            if isinstance(trend, e.Trend):
                for index in quantity.indexes:
                    part = self.read_by(trend, index)
                    values[m.variable(quantity.name, index)] = self.exact(part, last)
        return Before(int(self.chunk.ticks[last]), values)


def _split(quantities: Mapping[str, m.Quantity], variable: str) -> tuple[m.Quantity, int | None]:
    name, element = m.ReadingId(variable).parts
    return quantities[name], element


def _scaled(part: Near, factor: Fraction, offset: Fraction) -> Near:
    by, plus = float(factor), float(offset)
    size = part.size * abs(by) + abs(plus)
    numbers = part.numbers if factor == 1 else part.numbers * by
    if offset != 0:
        numbers = numbers + plus
    return Near(numbers, part.error * abs(by) + 4 * _UNIT * size + _LEAST, size)


def _extreme(arrays: list[Numbers], highest: bool) -> Numbers:
    """Failed where any has."""
    pick = np.maximum if highest else np.minimum
    found = arrays[0]
    for array in arrays[1:]:
        found = pick(found, array)
    return found


def _curve(node: e.CurveOver, at: Near) -> Near:
    xs = np.array([float(x) for x, _ in node.points])
    ys = np.array([float(y) for _, y in node.points])
    size = float(np.abs(ys).max())
    if (np.diff(xs) > 0).all():
        slopes = [abs((y1 - y0) / (x1 - x0)) for (x0, y0), (x1, y1) in pairwise(node.points)]
        reach = max(float(np.abs(xs).max()), at.size)
        # A curve has no jumps, so x a little off, even on the other piece, gives y off by no more than the steepest.
        error = float(max(slopes, default=0)) * (at.error + 12 * _UNIT * reach) + 12 * _UNIT * size + _LEAST
    else:
        # Two points too close for doubles: every row is decided exactly.
        error = float("inf")
    numbers = np.interp(at.numbers, xs, ys)
    # A failed reading stays NaN.
    numbers[np.isnan(at.numbers)] = np.nan if node.otherwise is None else float(node.otherwise)
    if node.otherwise is not None:
        size = max(size, abs(float(node.otherwise)))
    return Near(numbers, error + _UNIT * size, size)


def _exact_statistic(node: e.Statistic, values: list[Fraction], index: int | None) -> Fraction:
    match node.kind:
        case "highest":
            return max(values)
        case "lowest":
            return min(values)
        case "spread":
            return max(values) - min(values)
    average = sum(values, Fraction(0)) / node.size
    if node.kind == "average":
        return average
    assert index is not None
    return values[index - 1] - average


def _exact_curve(node: e.CurveOver, x: Fraction) -> Fraction:
    points = node.points
    if x <= points[0][0]:
        return points[0][1]
    for (x0, y0), (x1, y1) in pairwise(points):
        if x <= x1:
            return y0 + (x - x0) * ((y1 - y0) / (x1 - x0))
    return points[-1][1]
