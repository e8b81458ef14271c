"""Times of a log as whole numbers of a tick, exactly."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from alertlang.logs.log_error import LogError
from alertlang.logs.tally import Tally

if TYPE_CHECKING:
    import numpy as np
    import polars as pl
    from numpy.typing import NDArray

_MOST = 9_000_000_000_000_000_000
_DIRECTIVES = frozenset("YmdHMSfyjbBpIzaAT%")


class Clock:
    """Numbers of a unit of `seconds` as ticks of 10^-places of it. The first numbers say how many places there are,
    nine at least where that fits; a later number with more is rounded, and that is told."""

    def __init__(self, seconds: Fraction, column: str, tally: Tally) -> None:
        self._seconds, self._column, self._tally = seconds, column, tally
        self._places: int | None = None
        self._last = 0

    @property
    def tick(self) -> Fraction:
        return self._seconds / Fraction(10) ** (self._places or 0)

    def ticks(self, numbers: NDArray[np.float64], rows: NDArray[np.int64]) -> NDArray[np.int64]:
        """All numbers are finite."""
        import numpy as np

        found = self._decimals(numbers)
        if found is None:
            return self._slowly(numbers, rows)
        whole, places = found
        if self._places is None:
            self._places = max(places, 9)
            while self._places > places and abs(whole).max(initial=0) * 10 ** (self._places - places) > _MOST // 1000:
                self._places -= 1
        if places > self._places or int(abs(whole).max(initial=0)) * 10 ** (self._places - places) > _MOST:
            return self._slowly(numbers, rows)
        scaled: NDArray[np.int64] = whole * np.int64(10 ** (self._places - places))
        return scaled

    def _decimals(self, numbers: NDArray[np.float64]) -> tuple[NDArray[np.int64], int] | None:
        """The numbers times a power of ten, and that power; none if they have more than fifteen digits."""
        import numpy as np

        for places in (*range(self._last, 13), *range(self._last)):
            scaled = np.rint(numbers * 10.0**places)
            # A whole number below 10^15 over a power of ten is the double of a decimal of fifteen digits at most.
            if np.abs(scaled).max(initial=0) < 1e15 and bool((scaled / 10.0**places == numbers).all()):
                self._last = places
                return scaled.astype(np.int64), places
        return None

    def _slowly(self, numbers: NDArray[np.float64], rows: NDArray[np.int64]) -> NDArray[np.int64]:
        import numpy as np

        exact = [Decimal(repr(one)) for one in numbers.tolist()]
        if self._places is None:
            most = max((abs(number) for number in exact), default=Decimal(1))
            wanted = max((max(0, -int(number.normalize().as_tuple().exponent)) for number in exact), default=0)
            self._places = max(wanted, 9)
            while self._places > 0 and int(most) * 10**self._places > _MOST // 10:
                self._places -= 1
        ticks = []
        rounded = []
        for at, number in enumerate(exact):
            scaled = Fraction(number) * 10**self._places
            whole = max(-_MOST, min(_MOST, round(scaled)))
            if whole != scaled:
                rounded.append(at)
            ticks.append(whole)
        if rounded:
            words = f"times have more digits than ticks of 10^-{self._places} can hold and were rounded to these"
            self._tally.add("time-rounded", len(rounded), int(rows[rounded[0]]), self._column, words)
        return np.array(ticks, dtype=np.int64)


class Calendar:
    """Dates of a format as microseconds from the first one."""

    tick = Fraction(1, 1_000_000)

    def __init__(self, form: str, shown: str, line: int | None, tally: Tally, column: str) -> None:
        used = re.findall(r"%(.)", form)
        odd = [one for one in used if one not in _DIRECTIVES]
        if odd:
            known = " ".join(f"%{text}" for text in sorted(_DIRECTIVES))
            raise LogError(shown, f"%{odd[0]} in the format of time is not known", f"there are {known}", line)
        if "f" in used and ".%f" not in form:
            raise LogError(shown, "%f must stand after a point", 'write "%S.%f"', line)
        self._form = form.replace(".%f", "%.f")
        self._dated = any(one in "Yyj" for one in used)
        self._zoned = "z" in used
        self._tally, self._column = tally, column
        self._start: int | None = None
        self._days = 0
        self._before: int | None = None

    def times(self, texts: pl.Series) -> pl.Series:
        """Microseconds since 1970 (of a time of day: since midnight); null where a text is no such date."""
        import polars as pl

        stripped = texts.str.strip_chars()
        form = self._form
        if not self._dated:
            stripped, form = "1970-01-01 " + stripped, "%Y-%m-%d " + form
        kind = pl.Datetime("us", "UTC") if self._zoned else pl.Datetime("us")
        return stripped.str.strptime(kind, form, strict=False).dt.timestamp("us")

    def ticks(self, numbers: NDArray[np.int64], rows: NDArray[np.int64]) -> NDArray[np.int64]:
        """From the first time on. A time of day that steps back by more than half a day has passed midnight."""
        import numpy as np

        if not len(numbers):
            return numbers
        if not self._dated:
            day = 86_400_000_000
            before = numbers[0] if self._before is None else self._before
            back = np.diff(numbers, prepend=before) < -day // 2
            if back.any():
                words = "the time of day began anew: the next day was taken"
                self._tally.add("midnight", int(back.sum()), int(rows[back.argmax()]), self._column, words)
            self._before = int(numbers[-1])
            numbers = numbers + (self._days + np.cumsum(back)) * day
            self._days += int(back.sum())
        if self._start is None:
            self._start = int(numbers[0])
        return numbers - self._start
