"""What is odd about the times of a log: rows that share one, time that runs backwards, gaps."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from alertlang.logs.tally import Tally
from alertlang.units.number import say_value
from alertlang.units.unit import UNITS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

GAP = 2
"""A step of so many usual ones or more is told as a gap: a row at least is not there. Common practice, no source."""


class Times:
    """Takes the times of rows as they follow each other. `time` and `mark`: the log's names for these columns."""

    def __init__(self, tally: Tally, time: str, mark: str | None) -> None:
        self._tally, self._time, self._mark = tally, time, mark
        self._usual: float | None = None
        self._gaps = 0
        self._first_row: int | None = None
        self._longest = 0
        self._from = 0
        self._row = 0

    def look(self, ticks: NDArray[np.int64], fields: Mapping[str, Any]) -> None:
        """The next rows, the last of those before them once more in front."""
        import numpy as np

        rows = fields["#rows"]
        steps = np.diff(ticks)
        same = steps == 0
        if same.any():
            words = "rows have the time of the row after them: the last of one time counts"
            self._tally.add("repeated-time", int(same.sum()), int(rows[same.argmax()]), self._time, words)
            lost = same & fields["#marks"][:-1]
            words = "marks stand in rows that do not count, as the next has the same time"
            self._tally.add("lost-mark", int(lost.sum()), int(rows[lost.argmax()]), self._mark, words)
        back = steps < 0
        if back.any():
            words = "the time runs backwards: a new segment with fresh state begins"
            first = int(rows[back.argmax() + 1])
            self._tally.add("backward-time", int(back.sum()), first, self._time, words)
        onward = steps[steps > 0]
        if len(onward) and self._usual is None:
            self._usual = float(np.median(onward))
        if self._usual is None:
            return
        gap = steps >= GAP * self._usual
        if gap.any():
            self._gaps += int(gap.sum())
            if self._first_row is None:
                self._first_row = int(rows[gap.argmax() + 1])
            at = int(steps.argmax())
            if steps[at] > self._longest:
                self._longest, self._from, self._row = int(steps[at]), int(ticks[at]), int(rows[at + 1])

    def tell_gaps(self, tick: Fraction) -> None:
        """After the last rows."""
        if not self._gaps:
            return
        longest, start, end = (
            say_value(number * tick, UNITS["s"]) for number in (self._longest, self._from, self._from + self._longest)
        )
        words = (
            f"steps of time are at least twice the usual one: nothing was recorded there. The longest is {longest}, "
            f"from {start} to {end} (row {self._row}). What held before a gap and after it counts as having held "
            "all through it"
        )
        self._tally.add("gap", self._gaps, self._first_row, self._time, words)
