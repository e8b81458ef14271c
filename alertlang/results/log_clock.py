"""The clock of a recording: what its own times were, beside the seconds from its beginning."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

DAY = 86_400
_EPOCH = date(1970, 1, 1).toordinal()


@dataclass(frozen=True, slots=True)
class LogClock:
    """`zero`: what the clock showed at time 0, in seconds since 1970, or since midnight where it has no date (`dated`).
    `zone`: the offset from UTC that it was written with, none where it says none."""

    zero: Fraction
    dated: bool
    zone: str | None = None

    def of_day(self, time: Fraction) -> Fraction:
        """The time of day, in seconds since midnight."""
        return (self.zero + time) % DAY

    def date(self, time: Fraction) -> str | None:
        """The day, `2026-05-03`; none where the log has no date."""
        number = _EPOCH + (self.zero + time) // DAY
        if not self.dated or not 1 <= number <= date.max.toordinal():
            return None
        return date.fromordinal(number).isoformat()

    def text(self, time: Fraction) -> str:
        """What the log's clock showed, `2026-05-03 23:40:00.5`, to the microsecond."""
        whole = Fraction(round((self.zero + time) * 1_000_000), 1_000_000)
        millionths = round(whole % DAY * 1_000_000)
        seconds, rest = divmod(millionths, 1_000_000)
        tail = f".{rest:06}".rstrip("0") if rest else ""
        day = self.date(whole - self.zero)
        said = f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}{tail}"
        return said if day is None else f"{day} {said}"
