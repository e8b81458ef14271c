"""What is odd about the times of a log: rows that share one, time that runs backwards, gaps, what no flight is like."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from alertlang.logs.runs import BEGINS
from alertlang.logs.tally import Tally
from alertlang.logs.time_units import TIME_UNITS
from alertlang.results.log_clock import LogClock
from alertlang.units.number import say_value, show_number
from alertlang.units.unit import UNITS, Unit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

GAP = 2
"""A step of so many usual ones or more is told as a gap: a row at least is not there. Common practice, no source."""


SLOWEST, FASTEST, LONGEST = Fraction(20), Fraction(1, 1000), Fraction(86_400)
"""Seconds. Rows further apart than `SLOWEST`, closer than `FASTEST`, or a run longer than `LONGEST` speak for another
unit of time than was taken. Common practice, no source."""
_STEPS = 8192
"""The usual step is that of so many steps at the beginning, whatever the size of a block."""


class Times:
    """Takes the times of rows as they follow each other. `time` and `mark`: the log's names for these columns. `unit`:
    that of a time in numbers, none where it is written as a date or a clock."""

    def __init__(self, tally: Tally, time: str, mark: str | None, unit: Unit | None) -> None:
        self._tally, self._time, self._mark, self._unit = tally, time, mark, unit
        self._steps: list[NDArray[np.int64]] = []
        self._counted = 0
        self._start: int | None = None
        self._span = 0
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
        begins = fields[BEGINS][1:]
        self._measure(ticks, begins, steps)
        # From one run to the next nothing is a step.
        steps = np.where(begins, 1 if self._usual is None else self._usual, steps)
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

    def _measure(self, ticks: NDArray[np.int64], begins: NDArray[np.bool_], steps: NDArray[np.int64]) -> None:
        """The steps onward at the beginning of the log, and how long its longest run is."""
        import numpy as np

        onward = steps[(steps > 0) & ~begins]
        if self._counted < _STEPS and len(onward):
            self._steps.append(onward[: _STEPS - self._counted])
            self._counted += len(self._steps[-1])
        if self._start is None:
            self._start = int(ticks[0])
        breaks = np.flatnonzero((steps < 0) | begins) + 1
        for first, last in pairwise([0, *breaks.tolist(), len(ticks)]):
            self._start = int(ticks[first]) if first else self._start
            self._span = max(self._span, int(ticks[last - 1]) - self._start)

    def tell(self, tick: Fraction, clock: LogClock | None) -> None:
        """After the last rows."""
        self._tell_gaps(tick, clock)
        if not self._steps:
            return
        import numpy as np

        every = np.concatenate(self._steps)
        usual, span = int(np.sort(every)[(len(every) - 1) // 2]) * tick, self._span * tick
        if FASTEST <= usual <= SLOWEST and span <= LONGEST:
            return
        read = "" if self._unit is None else f"read in {self._unit.name} "
        words = f"{read}rows are {_short(usual)} apart and the longest run lasts {_short(span)}: no flight is like that"
        if self._unit is not None:
            own = self._unit.factor
            others = [unit for unit in TIME_UNITS.values() if unit.factor != own]
            fitting = [
                unit.name for unit in others if is_plausible(usual * unit.factor / own, span * unit.factor / own)
            ]
            words += f"; in {' or '.join(fitting)} it would be like one" if fitting else ""
        self._tally.add("time-doubtful", 1, None, self._time, words)

    def _tell_gaps(self, tick: Fraction, clock: LogClock | None) -> None:
        if not self._gaps:
            return
        start, end = self._from * tick, (self._from + self._longest) * tick
        longest, begin, until = (say_value(number, UNITS["s"]) for number in (self._longest * tick, start, end))
        if clock is not None:
            begin, until = f"{clock.text(start)} ({begin})", f"{clock.text(end)} ({until})"
        words = (
            f"steps of time are at least twice the usual one: nothing was recorded there. The longest is {longest}, "
            f"from {begin} to {until} (row {self._row}). What held before a gap and after it counts as having held "
            "all through it"
        )
        self._tally.add("gap", self._gaps, self._first_row, self._time, words)


def is_plausible(step: Fraction, span: Fraction) -> bool:
    """Whether seconds from row to row, and from first to last, are those of a flight."""
    return FASTEST <= step <= SLOWEST and step <= span <= LONGEST


def _short(seconds: Fraction) -> str:
    """A length in the unit that people would say it in."""
    for name, least in (("d", 2 * LONGEST), ("h", Fraction(7200)), ("min", Fraction(600)), ("s", Fraction(1))):
        if seconds >= least:
            return _about(seconds / TIME_UNITS[name].factor, name)
    return _about(seconds * 1000, "ms")


def _about(number: Fraction, unit: str) -> str:
    rounded = Fraction(round(number * 1000), 1000)
    return f"{'' if rounded == number else 'about '}{show_number(rounded)} {unit}"
