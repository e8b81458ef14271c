"""A log in columns: what reading gives and the vectorised engine takes.

A number of a log is kept as the double next to what is written and stays in the log's own unit. Its exact value is the
shortest decimal that reads as that double, which for up to fifteen digits is what the file says. The order of doubles
is the order of those decimals, so a comparison with a bound is exact if the bound, not the column, is converted: see
`Column.compared`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Column:
    """The readings of one quantity that is no array, or of one element of an array.

    `numbers`: one for each row, in the log's own unit, NaN where failed (empty, no number, outside the sensor's range).
    The value in the quantity's unit is `scale` times the exact number, plus `offset`; `scale` is above zero.
    """

    numbers: NDArray[np.float64]
    scale: Fraction = Fraction(1)
    offset: Fraction = Fraction(0)

    def value(self, row: int) -> Fraction | None:
        """The exact value of one row in the quantity's unit; none where failed."""
        number = float(self.numbers[row])
        return None if number != number else self.scale * exact(number) + self.offset

    def compared(self, bound: Fraction) -> tuple[float, int]:
        """Where a bound, given in the quantity's unit, stands among the column's numbers: a double, and -1, 0 or 1 as
        the exact number of that double is below the bound, is the bound, or is above it. A greater double is above
        the bound, a lesser one below it."""
        wanted = (bound - self.offset) / self.scale
        near = float(wanted)
        own = exact(near)
        return near, (own > wanted) - (own < wanted)


def exact(number: float) -> Fraction:
    """The shortest decimal that reads as this double."""
    return Fraction(repr(number))


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of a log in which time only runs forward; each row at a time of its own.

    `ticks`: whole numbers, rising, `tick` seconds each, from the beginning of the log. `rows`: the number of each row
    in the file, counted from 1 at the first after the heading. `columns` by `rpm`, `cht[2]`: a quantity that is not in
    it is failed throughout. `positions` by switch: the number of the position as declared, -1 where unknown; a switch
    that is not in it is unknown throughout. `inputs`: where a button (acknowledge, reset) is held down, by the name of
    the column map's input. `marks`: the rows the pilot marked. `repeated`: where rows of one time were spread, those
    that had the time of a later one and would not count else; none: no row was spread.
    """

    ticks: NDArray[np.int64]
    tick: Fraction
    rows: NDArray[np.int64]
    columns: Mapping[str, Column]
    positions: Mapping[str, NDArray[np.int8]]
    inputs: Mapping[str, NDArray[np.bool_]]
    marks: NDArray[np.bool_]
    repeated: NDArray[np.bool_] | None = None

    def __len__(self) -> int:
        return len(self.ticks)

    def seconds(self, row: int) -> Fraction:
        """The time of a row."""
        return int(self.ticks[row]) * self.tick


@dataclass(frozen=True, slots=True)
class TableProblem:
    """Something found in a log that was not as it should be.

    `first_row` counts from 1 after the heading; none where it is about no row. `column`: the log's own name for it,
    if it is about one.
    """

    kind: str
    count: int
    first_row: int | None
    column: str | None = None
    words: str = ""
