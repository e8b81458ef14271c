"""Times of a log as whole numbers of a tick, exactly: integers and fractions from what is written to the tick."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from alertlang.logs.log_error import LogError
from alertlang.logs.tally import Tally
from alertlang.logs.time_units import DAY, MIDNIGHT, since_seconds
from alertlang.results.log_clock import LogClock

if TYPE_CHECKING:
    import numpy as np
    import polars as pl
    from numpy.typing import NDArray

# So large a tick still has room in an integer of 64 bits when a day is added a million times.
_MOST = 9_000_000_000_000_000_000
# Powers of ten that such an integer can be multiplied by.
_PLACES = 18
_DIRECTIVES = frozenset("YymdHMSfjbBpIzaAT%")
_ZONE = re.compile(r"\s*(Z|[+-]\d{2}(?::?\d{2})?)$")


class _Days:
    """Times of day from their ticks: one that steps back by more than half a `period` of ticks has passed its end."""

    def __init__(self, period: int, column: str, tally: Tally) -> None:
        self._period, self._column, self._tally = period, column, tally
        self._gone = 0
        self._before: int | None = None

    def passed(self, ticks: NDArray[np.int64], rows: NDArray[np.int64]) -> NDArray[np.int64]:
        import numpy as np

        before = ticks[0] if self._before is None else self._before
        back = np.diff(ticks, prepend=before) < -self._period // 2
        if back.any():
            words = "the time of day began anew: the next day was taken"
            self._tally.add("midnight", int(back.sum()), int(rows[back.argmax()]), self._column, words)
        self._before = int(ticks[-1])
        moved: NDArray[np.int64] = ticks + (self._gone + np.cumsum(back)) * self._period
        self._gone += int(back.sum())
        return moved


class Clock:
    """Numbers of a unit of `seconds` as ticks of 10^-places of it. The first numbers say how many places there are,
    nine at least where that fits; a later number with more is rounded, and that is told.

    `since`: what they count from, a date or `midnight`; times then begin at 0 with the first, and the clock is known.
    `to`: the seconds that every time is rounded to whole ones of, where the column map asks for it.
    """

    def __init__(
        self, seconds: Fraction, column: str, tally: Tally, since: str | None = None, to: Fraction | None = None
    ) -> None:
        self._seconds, self._column, self._tally, self._to = seconds, column, tally, to
        self._since = since
        self._places: int | None = None
        self._last = 0
        self._start: int | None = None
        self._days: _Days | None = None

    @property
    def tick(self) -> Fraction:
        return self._to if self._to is not None else self._seconds / Fraction(10) ** (self._places or 0)

    @property
    def shown(self) -> LogClock | None:
        """The log's clock, where it is known."""
        if self._since is None or self._start is None:
            return None
        begin = Fraction(0) if self._since == MIDNIGHT else since_seconds(self._since)
        assert begin is not None, "the column map has looked at it"
        return LogClock(begin + self._start * self.tick, self._since != MIDNIGHT)

    def ticks(
        self, numbers: NDArray[np.float64], rows: NDArray[np.int64], texts: Sequence[str] | None = None
    ) -> tuple[NDArray[np.int64], NDArray[np.bool_] | None]:
        """Their ticks, and where they have one; none: all have. All numbers are finite. `texts`: what is written, with
        a point for the decimal sign, where a double does not hold all of it."""
        import numpy as np

        found = self._decimals(numbers) if texts is None else None
        whole, places = found if found is not None else _written(numbers, texts)
        if not len(whole):
            return np.zeros(0, np.int64), None
        if self._places is None:
            # What nearly all of them need: one that is damaged takes no digit from the others.
            sizes = sorted(abs(number) for number in whole.tolist())
            most = sizes[(len(sizes) - 1) * 9 // 10]
            # What counts from a date is as large at the beginning as it will be; what counts from 0 will grow.
            room = 1000 if self._since is None or self._since == MIDNIGHT else 4
            self._places = max(places, 9 if room == 1000 else _PLACES)
            while self._places > places and most * 10**self._places > _MOST // room * 10**places:
                self._places -= 1
            while self._places > 0 and most * 10**self._places > _MOST * 10**places:
                self._places -= 1
        scaled = self._scaled(whole, places, rows)
        known = None
        if scaled.dtype == object:
            fits = np.array([abs(tick) <= _MOST for tick in scaled], np.bool_)
            known = None if fits.all() else fits
            scaled = np.where(fits, scaled, 0).astype(np.int64)
        if self._since is None:
            return scaled, known
        return self._from_start(scaled, rows, known), known

    def _scaled(self, whole: NDArray[Any], places: int, rows: NDArray[np.int64]) -> NDArray[Any]:
        """Whole numbers of 10^-places of the unit as ticks: of 64 bits where they fit, else objects of any size."""
        import numpy as np

        assert self._places is not None
        over, under = 10 ** max(self._places - places, 0), 10 ** max(places - self._places, 0)
        words = f"times have more digits than ticks of 10^-{self._places} can hold and were rounded to these"
        if self._to is not None:
            factor = self._seconds / self._to / 10**places
            over, under = factor.numerator, factor.denominator
            words = "times were rounded, as the map asks"
        if under == 1 and int(abs(whole).max()) * over <= _MOST:
            scaled: NDArray[Any] = whole.astype(np.int64) * np.int64(over)
            return scaled
        exact: NDArray[Any] = whole.astype(object) * over
        if under == 1:
            return exact
        # Halves go up, so that no two times change places.
        scaled = (2 * exact + under) // (2 * under)
        odd = (exact != scaled * under).astype(np.bool_)
        self._tally.add("time-rounded", int(odd.sum()), int(rows[odd.argmax()]), self._column, words)
        return scaled

    def _from_start(
        self, ticks: NDArray[np.int64], rows: NDArray[np.int64], known: NDArray[np.bool_] | None
    ) -> NDArray[np.int64]:
        chosen = ticks if known is None else ticks[known]
        if not len(chosen):
            return ticks
        if self._since == MIDNIGHT:
            if self._days is None:
                self._days = _Days(round(DAY / self.tick), self._column, self._tally)
            chosen = self._days.passed(chosen, rows if known is None else rows[known])
        if self._start is None:
            self._start = int(chosen[0])
        if known is None:
            return chosen - self._start
        moved = ticks.copy()
        moved[known] = chosen - self._start
        return moved

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


def _written(numbers: NDArray[np.float64], texts: Sequence[str] | None) -> tuple[NDArray[Any], int]:
    """The same for any number of digits, one by one: whole numbers of any size."""
    import numpy as np

    exact = []
    for at, number in enumerate(numbers.tolist()):
        try:
            exact.append(Decimal(texts[at]) if texts is not None else Decimal(repr(number)))
        except InvalidOperation:  # a sign that polars takes for none of the number
            exact.append(Decimal(repr(number)))
    places = min(_PLACES, max((max(0, -int(one.normalize().as_tuple().exponent)) for one in exact), default=0))
    whole = [round(Fraction(one) * 10**places) for one in exact]
    return np.array(whole, dtype=object), places


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
        self._dated = any(one in "Yyj" for one in used)
        self._zoned = "z" in used
        # Where no hour is told the minutes begin anew after an hour.
        self._hourly = not self._dated and not any(one in "HIT" for one in used)
        self._form = form.replace(".%f", "%.f").replace("%z", "%#z")
        self._fraction = "f" in used
        self._tally, self._column = tally, column
        self._days = _Days((3600 if self._hourly else int(DAY)) * 1_000_000, column, tally)
        self._start: int | None = None
        self._zone: str | None = None
        self._whole = False

    @property
    def shown(self) -> LogClock | None:
        """The log's clock; minutes and seconds alone are none."""
        if self._start is None or self._hourly:
            return None
        return LogClock(self._start * self.tick + _offset(self._zone), self._dated, self._zone)

    def takes(self, kind: pl.DataType) -> None:
        """The times come from a column of this type."""
        import polars as pl

        self._dated, self._hourly = isinstance(kind, (pl.Datetime, pl.Date)), isinstance(kind, pl.Duration)
        # What has passed since something is no time of day.
        self._whole = isinstance(kind, pl.Duration)
        if isinstance(kind, pl.Datetime) and kind.time_zone is not None:
            self._zone = "Z"

    def times(self, texts: pl.Series, first: int = 1) -> pl.Series:
        """Microseconds since 1970 (of a time of day: since midnight); null where a text is no such date. `first`: the
        row of the first text."""
        import polars as pl

        stripped = texts.str.strip_chars()
        if self._zoned and self._zone is None:
            found = next((zone for text in stripped.drop_nulls().head(100) if (zone := _ZONE.search(text))), None)
            self._zone = None if found is None else found[1]
        if self._fraction:
            if stripped.str.contains(",", literal=True).any():
                stripped = stripped.str.replace(r"([0-9]),([0-9]+)", "$1.$2")
            long = stripped.str.contains(r"\.[0-9]{6}[0-9]*[1-9]").fill_null(False)
            if long.any():
                words = "times have more than six digits of a second: those after them are not read"
                self._tally.add("time-rounded", int(long.sum()), first + int(long.arg_max() or 0), self._column, words)
                stripped = stripped.str.replace(r"(\.[0-9]{6})[0-9]+", "$1")
        form = self._form
        if not self._dated:
            day = "1970-01-01 00:" if self._hourly else "1970-01-01 "
            stripped, form = day + stripped, ("%Y-%m-%d %H:" if self._hourly else "%Y-%m-%d ") + form
        kind = pl.Datetime("us", "UTC") if self._zoned else pl.Datetime("us")
        return stripped.str.strptime(kind, form, strict=False).dt.timestamp("us")

    def ticks(self, numbers: NDArray[np.int64], rows: NDArray[np.int64]) -> NDArray[np.int64]:
        """From the first time on."""
        if not len(numbers):
            return numbers
        if not self._dated and not self._whole:
            numbers = self._days.passed(numbers, rows)
        if self._start is None:
            self._start = int(numbers[0])
        return numbers - self._start


def _offset(zone: str | None) -> Fraction:
    """The seconds that a zone is ahead of UTC."""
    if zone is None or zone == "Z":
        return Fraction(0)
    digits = zone[1:].replace(":", "")
    seconds = Fraction(int(digits[:2]) * 3600 + int(digits[2:] or 0) * 60)
    return -seconds if zone.startswith("-") else seconds
