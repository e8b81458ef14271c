"""How moments and lengths of a recording are told: the same on a screen, on a page and in a picture.

A moment is a clock, `19:31` or `1:02:03.5`, counted as the log counts; where the log has a clock of its own, that
stands first: `14:32:05 (19:31)`. A length has its units, `56 s` or `2 min 36 s`: neither is taken for the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Protocol

from alertlang.results.replay import SegmentTimes
from alertlang.units.number import say_value, show_number
from alertlang.units.unit import UNITS

_DAY = 86400


def clock(seconds: Fraction) -> str:
    """A time as a person reads it, to the millisecond: `2:03`, `1:02:03.5`, `-0:01`."""
    thousandths = round(abs(seconds) * 1000)
    whole, rest = divmod(thousandths, 1000)
    hours, minutes, left = whole // 3600, whole // 60 % 60, whole % 60
    tail = f".{rest:03}".rstrip("0") if rest else ""
    sign = "-" if seconds < 0 and thousandths else ""
    return sign + (f"{hours}:{minutes:02}:{left:02}" if hours else f"{minutes}:{left:02}") + tail


def length(seconds: Fraction) -> str:
    """How long something was: `56 s`, `2 min 36 s`, `1 h 5 min`. Below two minutes in seconds alone, exact where six
    decimals are."""
    if seconds < 120:
        return say_value(seconds, UNITS["s"])
    minutes, rest = divmod(Fraction(round(seconds * 1000), 1000), 60)
    hours, minutes = divmod(minutes, 60)
    said = [f"{hours} h"] if hours else []
    said += [f"{minutes} min"] if minutes else []
    said += [f"{show_number(rest)} s"] if rest else []
    return " ".join(said)


class DayClock(Protocol):
    """What the log's own clock showed."""

    def of_day(self, time: Fraction) -> Fraction:
        """The time of day, in seconds since midnight."""


class Times:
    """The moments of one recording. `of_day`: its own clock, none where it has none."""

    def __init__(self, segments: Sequence[SegmentTimes], of_day: DayClock | None = None) -> None:
        self._segments = segments
        self._of_day = of_day

    @property
    def several(self) -> bool:
        """Several segments: a moment says nothing without the number of its own."""
        return len(self._segments) > 1

    def day(self, time: Fraction) -> str | None:
        """The time of day, `14:32:05`; none where the log has no clock."""
        if self._of_day is None:
            return None
        # A tenth of a thousandth before midnight is midnight.
        thousandths = round(self._of_day.of_day(time) * 1000) % (_DAY * 1000)
        said = clock(Fraction(thousandths % 60_000, 1000)).partition(":")[2]
        return f"{thousandths // 3_600_000:02}:{thousandths // 60_000 % 60:02}:{said}"

    @property
    def zero_of_day(self) -> Fraction | None:
        """The time of day at time 0, in seconds since midnight."""
        return None if self._of_day is None else self._of_day.of_day(Fraction(0))

    def labels(self, time: Fraction) -> tuple[str, ...]:
        """What stands under a picture: the time of day, and below it the elapsed time."""
        day = self.day(time)
        return (clock(time),) if day is None else (day, clock(time))

    def at(self, time: Fraction) -> str:
        """A moment: `14:32:05 (19:31)`, or `19:31`."""
        day = self.day(time)
        return clock(time) if day is None else f"{day} ({clock(time)})"
