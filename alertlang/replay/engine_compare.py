"""Comparing values over a chunk, exactly.

A sensor against a number is decided by its doubles alone (see `Column.compared`). Anything else is first compared as
doubles; the rows at which the two are closer than their errors allow to tell are decided again as fractions, once for
each different set of readings among them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from alertlang.logs.table import Column
from alertlang.model import expression as e
from alertlang.model import ruleset as m
from alertlang.replay.engine_truth import Rows, RowTruth, Truths
from alertlang.replay.engine_values import Near, Values

# Fewer rows than this are decided one by one.
_FEW = 24


@dataclass(frozen=True, slots=True)
class LinearTerm:
    """`factor` times the value of a variable (`rpm`, `cht[2]`) plus `offset`, or `offset` alone. It is failed where the
    variable is."""

    variable: str | None
    factor: Fraction
    offset: Fraction

    @classmethod
    def number(cls, value: Fraction) -> LinearTerm:
        return cls(None, Fraction(0), value)

    @classmethod
    def value(cls, variable: str) -> LinearTerm:
        return cls(variable, Fraction(1), Fraction(0))

    @classmethod
    def ends(cls, region: m.Region, variable: Callable[[str], str]) -> list[LinearTerm]:
        """The ends of a region; `variable` names the value of a quantity that one moves with."""
        return [
            cls(variable(end.quantity), end.factor, end.offset) if isinstance(end, m.Moving) else cls.number(end)
            for end in region.bounds
        ]

    def plus(self, number: Fraction) -> LinearTerm:
        return LinearTerm(self.variable, self.factor, self.offset + number)

    @property
    def is_plain(self) -> bool:
        return self.factor == 1 and self.offset == 0

    def exact(self, values: Values, row: int) -> Fraction | None:
        if self.variable is None:
            return self.offset
        value = values.exact(self.variable, row)
        return None if value is None else value * self.factor + self.offset

    def near(self, values: Values) -> tuple[NDArray[np.float64] | float, float]:
        """Doubles, and how far they may be off."""
        if self.variable is None:
            number = float(self.offset)
            return number, abs(number) * 2.0**-52 + 1e-300
        part: Near = values.near(self.variable)
        if self.is_plain:
            return part.numbers, part.error
        by, plus = float(self.factor), float(self.offset)
        size = part.size * abs(by) + abs(plus)
        return part.numbers * by + plus, part.error * abs(by) + 2.0**-50 * size + 1e-300


class LessThan:
    """Whether one term is less than another, or (`strict` false) not above it; false where either has failed."""

    __slots__ = ("_stands", "_unit", "left", "right", "sensor", "strict", "zoned")

    def __init__(self, left: LinearTerm, right: LinearTerm, strict: bool, sensor: bool) -> None:
        """`sensor`: one term is the plain value of a variable with a sensor of its own, the other a number."""
        self.left = left
        self.right = right
        self.strict = strict
        self.sensor = sensor
        # Whether to look first between which numbers a column lies, which pays where it is compared often.
        self.zoned = False
        self._unit: tuple[Fraction, Fraction] | None = None
        self._stands: tuple[float, int] = (0.0, 0)

    def truth(self, values: Values) -> RowTruth:
        if not self.sensor:
            return self._by_error(values)
        left = self.left.variable
        variable = left if left is not None else self.right.variable
        assert variable is not None
        column = values.column(variable)
        if column is None:
            return RowTruth.constant(len(values.chunk), False)
        return self._of_column(values, variable, column, below=left is not None)

    def _of_column(self, values: Values, variable: str, column: Column, *, below: bool) -> RowTruth:
        size = len(values.chunk)
        number, stands = self._place(column)
        # The double next to the bound counts as less (more) than the bound if its exact number is.
        takes_in = stands < 0 if below else stands > 0
        takes_in = takes_in or (stands == 0 and not self.strict)
        if self.zoned:
            zone = values.zone(variable, column)
            # Where all have failed no comparison with the ends of the zone is true.
            if below:
                every = zone.high < number or (takes_in and zone.high == number)
                some = zone.low < number or (takes_in and zone.low == number)
            else:
                every = zone.low > number or (takes_in and zone.low == number)
                some = zone.high > number or (takes_in and zone.high == number)
            if not some or (every and not zone.gaps):
                return RowTruth.constant(size, some)
        numbers = column.numbers
        if below:
            return RowTruth.of(numbers <= number if takes_in else numbers < number)
        return RowTruth.of(numbers >= number if takes_in else numbers > number)

    def _place(self, column: Column) -> tuple[float, int]:
        unit = (column.scale, column.offset)
        if unit != self._unit:
            bound = self.right.offset if self.right.variable is None else self.left.offset
            self._unit, self._stands = unit, column.compared(bound)
        return self._stands

    def _by_error(self, values: Values) -> RowTruth:
        (left, left_off), (right, right_off) = self.left.near(values), self.right.near(values)
        apart = np.asarray(right - left)
        off = (left_off + right_off) * (1 + 2.0**-40)
        truths = apart > off
        open_rows = np.flatnonzero(np.abs(apart) <= off)
        if len(open_rows):
            truths[open_rows] = self._exactly(values, open_rows)
        return RowTruth.of(truths)

    def _exactly(self, values: Values, rows: Rows) -> Truths:
        if len(rows) < _FEW:
            return np.array([self._at(values, row) for row in rows.tolist()], np.bool_)
        firsts, which = same_readings(values, [t.variable for t in (self.left, self.right) if t.variable], rows)
        return np.array([self._at(values, row) for row in rows[firsts].tolist()], np.bool_)[which]

    def _at(self, values: Values, row: int) -> bool:
        left, right = self.left.exact(values, row), self.right.exact(values, row)
        if left is None or right is None:
            return False
        return left < right if self.strict else left <= right


def same_readings(values: Values, variables: Sequence[str], rows: Rows) -> tuple[Rows, Rows]:
    """Of rows the first of each kind, and for each row the number of its kind. In rows of one kind all that these
    variables are computed from is equal."""
    sensors: set[tuple[str, int]] = set()
    for variable in variables:
        sensors |= _read(values, variable)
    kinds = np.zeros(len(rows), np.int64)
    back = max((row for _, row in sensors), default=0)
    for step in range(1, back + 1):
        # What a trend looks back to: so many ticks, to a row before. Before row 0 each row is of its own kind.
        gone = values.chunk.ticks[rows] - values.chunk.ticks[np.maximum(rows - step, 0)]
        kinds = _refined(kinds, np.where(rows >= step, gone, -1 - rows))
    for variable, step in sorted(sensors):
        column = values.column(variable)
        if column is not None:
            kinds = _refined(kinds, column.numbers[np.maximum(rows - step, 0)])
    _, firsts, which = np.unique(kinds, return_index=True, return_inverse=True)
    return firsts, which


def _refined(kinds: Rows, by: NDArray[np.generic]) -> Rows:
    _, other = np.unique(by, return_inverse=True)
    _, found = np.unique(kinds * (len(by) + 1) + other, return_inverse=True)
    return found.astype(np.int64)


def _read(values: Values, variable: str) -> set[tuple[str, int]]:
    """The sensors that a variable is computed from, each with how many rows before."""
    reading = m.ReadingId(variable)
    index = reading.element
    derived = values.quantities[reading.quantity].derived
    if derived is None:
        return {(variable, 0)}
    found: set[tuple[str, int]] = set()
    for node in e.nodes(derived):
        match node:
            case e.Statistic():
                parts: list[str] = [m.variable(node.quantity, i) for i in range(1, node.size + 1)]
            case e.ReadingOf() | e.Trend() | e.CurveOver():
                parts = [values.read_by(node, index)]
            case _:
                continue
        for part in parts:
            read = _read(values, part)
            found |= read
            if isinstance(node, e.Trend):
                found |= {(sensor, step + 1) for sensor, step in read}
    return found


def knows(values: Values, variable: str) -> RowTruth:
    """Where a variable has not failed."""
    size = len(values.chunk)
    column = values.column(variable)
    if column is not None:
        zone = values.zone(variable, column)
        if not zone.gaps or zone.low != zone.low:
            return RowTruth.constant(size, not zone.gaps)
        return RowTruth.of(column.numbers == column.numbers)
    if is_sensor(values.quantities, variable):
        return RowTruth.constant(size, False)
    numbers = values.near(variable).numbers
    return RowTruth.of(numbers == numbers)


def is_sensor(quantities: Mapping[str, m.Quantity], variable: str) -> bool:
    return quantities[m.ReadingId(variable).quantity].derived is None
