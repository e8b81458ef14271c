"""Which column of a log is proposed as its time, in which unit and from which beginning: by its name and its values."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from alertlang.logs.bind import time_named
from alertlang.logs.dialect import bracketed
from alertlang.logs.looks import TimeLook, time_look
from alertlang.logs.sample import LogSample
from alertlang.logs.time_units import JULIAN, MIDNIGHT, TIME_UNITS, since_seconds, unit_in_name
from alertlang.logs.times import is_plausible
from alertlang.units.number import show_number
from alertlang.units.unit import Unit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_ALIKE = re.compile(r"time|stamp|elapsed|seconds?\b|clock|epoch|utc|zulu|julian|\bjd\b|\bmjd\b|\bt\b|\bts\b")
_OF_DAY = re.compile(r"of day|clock|utc|zulu|local|\btod\b")
_LOOKED = 200
# Digits that are a day, and a time of day; numbers that count seconds do not keep to the latter for a minute.
_DAY_DIGITS = r"(?:19|20)\d{2}(?:0\d|1[0-2])[0-3]\d"
_CLOCK_DIGITS = r"(?:[01]\d|2[0-3])[0-5]\d[0-5]\d(?:\.\d+)?"
# A recorder's day lies in these years; by it what numbers count from is told. Common practice, no source.
_YEARS = (since_seconds("2000-01-01"), since_seconds("2040-01-01"))
_UNIX, _SHEET, _MODIFIED = "1970-01-01", "1899-12-30", "1858-11-17"
_BEGINNINGS = (
    *[(name, _UNIX, f"{name} since 1970") for name in ("s", "ms", "us", "ns")],
    ("d", _SHEET, "days as spreadsheets count them, since 1899-12-30"),
    ("d", _MODIFIED, "modified Julian days"),
    ("d", JULIAN, "Julian days"),
)
# What a unit that nobody has named must make of a log: rows so far apart at most, and so long a run at least.
_ROOM, _LEAST = Fraction(10), Fraction(60)


@dataclass(frozen=True, slots=True)
class TimeGuess:
    """`text`: the line of the map. `places`: its columns. `seconds`: the times of the first rows, none where a row has
    none that can be told here."""

    text: str
    why: str
    places: tuple[int, ...]
    seconds: NDArray[np.float64] | None


def propose_time(sample: LogSample) -> TimeGuess | None:
    """None where no column is like the time."""
    looks = {
        place: look
        for place in range(len(sample.names))
        if place not in sample.moments and (look := _look(sample, place)) is not None
    }
    chosen = max(_candidates(sample, looks), default=None)
    if chosen is None:
        return None
    place = -chosen[1]
    if place in sample.moments:
        return TimeGuess(f"time = {{{named(sample.names, place)}}}", "the file says that it is one", (place,), None)
    date = _date(sample, looks, place)
    if date is not None:
        joined = [f"{day} {time}" for day, time in zip(*(sample.some(at) for at in (date, place)), strict=True)]
        look = time_look(joined)
        if look is not None and look.dated and look.clocked:
            listed = ", ".join(_listed(sample.names, at) for at in (date, place))
            return _written(
                sample, (date, place), f"columns = [{listed}]", look, "a date and a time of day side by side"
            )
    if place in looks:
        return _written(sample, (place,), named(sample.names, place), looks[place], "it looks like one")
    return _numbers(sample, place)


def _look(sample: LogSample, place: int) -> TimeLook | None:
    """How the cells of a column are written, if as dates or times of day; digits alone are where its name says so and
    all of them can be."""
    found = time_look(sample.texts(place, _LOOKED))
    if found is not None:
        # Days pass in the whole of it, if at all.
        return time_look(sample.some(place)) or found
    if not re.search(r"date|day", _plain(sample.names[place])) and _ALIKE.search(_plain(sample.names[place])) is None:
        return None
    texts = [text for text in sample.some(place) if text]
    if _all(texts, _DAY_DIGITS):
        return TimeLook("%Y%m%d", True, False)
    return TimeLook("%H%M%S.%f", False, True) if len(texts) > 60 and _all(texts, _CLOCK_DIGITS) else None


def _all(texts: list[str], pattern: str) -> bool:
    return bool(texts) and all(re.fullmatch(pattern, text) for text in texts)


def _candidates(sample: LogSample, looks: dict[int, TimeLook]) -> Iterator[tuple[float, int]]:
    """How likely each column is, with its place below zero: of equals the first is taken."""
    import numpy as np

    called = time_named(sample.names)
    for place, name in enumerate(sample.names):
        look = looks.get(place)
        alike = _ALIKE.search(_plain(name)) is not None
        share = 4.0 * (place == called) + 2.0 * alike + 0.5 * (place == 0)
        if place in sample.moments:
            yield share + 3, -place
        elif look is not None and look.clocked:
            yield share + 2 + look.dated, -place
        elif look is None:
            numbers = sample.values(place)
            rises = (
                numbers is not None
                and len(numbers) > 1
                and bool((np.diff(numbers) >= 0).mean() >= 0.99)
                and numbers.max() > numbers.min()
            )
            if (rises and (alike or place == 0)) or (place == called and numbers is not None and len(numbers)):
                yield share + rises, -place


def _date(sample: LogSample, looks: dict[int, TimeLook], place: int) -> int | None:
    """The column with the date to a time of day."""
    look = looks.get(place)
    if look is not None and look.dated:
        return None
    for at in range(len(sample.names)):
        if at == place:
            continue
        beside = looks.get(at)
        if beside is not None and beside.dated and not beside.clocked:
            return at
    return None


def _written(sample: LogSample, places: tuple[int, ...], column: str, look: TimeLook, why: str) -> TimeGuess:
    """A date or a time of day in a format."""
    import numpy as np
    import polars as pl

    from alertlang.logs.clock import Calendar
    from alertlang.logs.tally import Tally

    doubt = f", doubt = {quoted(look.doubt)}" if look.doubt else ""
    texts = [sample.texts(place) for place in places]
    joined = pl.Series([" ".join(cells) for cells in zip(*texts, strict=True)], dtype=pl.String)
    calendar = Calendar(look.format, "", None, Tally(), "")
    read = calendar.times(joined)
    seconds = np.full(sample.height, np.nan)
    known = ~read.is_null().to_numpy()
    seconds[known] = calendar.ticks(read.drop_nulls().to_numpy(), np.flatnonzero(known)) / 1e6
    text = f"time = {{{column}, format = {quoted(look.format)}{doubt}}}"
    return TimeGuess(text, _doubted(why, look.doubt), places, seconds)


def _numbers(sample: LogSample, place: int) -> TimeGuess:
    """Numbers of a unit, since a beginning that is told or not."""
    name = sample.names[place]
    said = sample.units.get(place)
    said = said if said is not None and said.dimension == "time" else unit_in_name(bracketed(name)[0])
    numbers = sample.numbers.get(place)
    values = sample.values(place)
    unit, since, why, doubt = said or TIME_UNITS["s"], None, "by its name", None
    if values is None or len(values) < 2:
        doubt = None if said is not None else "no unit is said, and there are too few rows to tell it by"
    else:
        unit, since, why, doubt = _unit_of(_plain(name), said, values)
    parts = [named(sample.names, place), f"unit = {quoted(unit.name)}"]
    parts += [f"since = {quoted(since)}"] if since is not None else []
    whole = _rounded_to(sample, place, unit)
    parts += [f"to = {quoted(f'{show_number(whole)} s')}"] if whole is not None else []
    parts += [f"doubt = {quoted(doubt)}"] if doubt is not None else []
    seconds = None if numbers is None else (numbers - (0 if values is None or not len(values) else values[0]))
    return TimeGuess(
        f"time = {{{', '.join(parts)}}}",
        _doubted(why, doubt),
        (place,),
        None if seconds is None else seconds * float(unit.factor),
    )


def _unit_of(name: str, said: Unit | None, values: NDArray[np.float64]) -> tuple[Unit, str | None, str, str | None]:
    """The unit, the beginning, why so, and what is in doubt."""
    import numpy as np

    steps = np.diff(values)
    onward = np.sort(steps[steps > 0])
    step = Fraction(float(onward[(len(onward) - 1) // 2])) if len(onward) else Fraction(0)
    first, span = Fraction(float(values[0])), Fraction(float(values.max() - values.min()))
    shown = f"values {values[0]:.15g} to {values[-1]:.15g}, a step of {float(step):.6g}"
    for word, since, meant in _BEGINNINGS:
        unit, begin = TIME_UNITS[word], since_seconds(since)
        assert begin is not None
        assert _YEARS[0] is not None
        assert _YEARS[1] is not None
        inside = _YEARS[0] <= first * unit.factor + begin <= _YEARS[1]
        if inside and said in (None, unit) and is_plausible(step * unit.factor, span * unit.factor):
            return unit, since, f"{shown}: {meant}", None
    day = next((unit for unit in TIME_UNITS.values() if _is_clock(name, said, unit, values, step)), None)
    if day is not None:
        return day, MIDNIGHT, f"{shown}: the time of day in {day.name}", None
    if said is not None:
        plain = is_plausible(step * said.factor, span * said.factor)
        doubt = None if plain else f"in {said.name}, as the log says, no flight is like that"
        return said, None, f"the log says {said.name}; {shown}", doubt
    fits = [
        unit
        for unit in TIME_UNITS.values()
        if is_plausible(step * unit.factor, span * unit.factor) and step * unit.factor <= _ROOM
        and span * unit.factor >= _LEAST
    ]  # fmt: skip
    if not fits:
        return TIME_UNITS["s"], None, shown, "no unit is said, and in none would it be like a flight"
    best = TIME_UNITS["s"] if TIME_UNITS["s"] in fits else fits[0]
    others = " or ".join(unit.name for unit in fits if unit is not best)
    doubt = f"no unit is said, and in {others} it would be like a flight too" if others else None
    return best, None, f"{shown}: like a flight in {best.name}", doubt


def _is_clock(name: str, said: Unit | None, unit: Unit, values: NDArray[np.float64], step: Fraction) -> bool:
    """Whether numbers are the time of day in a unit."""
    day = float(TIME_UNITS["d"].factor / unit.factor)
    inside = bool((values >= 0).all() and (values < day).all())
    seconds = step * unit.factor
    return _OF_DAY.search(name) is not None and said in (None, unit) and inside and is_plausible(seconds, seconds)


def _rounded_to(sample: LogSample, place: int, unit: Unit) -> Fraction | None:
    """Whole seconds, or parts of them, that the last digit of a coarse unit is rounded to by the recorder: those in
    which steps are more alike than as they are written."""
    if unit.factor <= 1:
        return None
    written = [text.replace(sample.decimal, ".") for text in sample.texts(place, 2000)]
    digits = [text for text in written if re.fullmatch(r"[-+]?\d*\.?\d+", text)]
    places = max((len(text.partition(".")[2]) for text in digits), default=0)
    last = unit.factor / 10**places
    whole = Fraction(1)
    while whole / 10 >= last:
        whole /= 10
    if len(digits) < 3 or whole < last or whole == last:
        return None
    times = [Fraction(text) * unit.factor for text in digits]
    rounded = [round(time / whole) for time in times]
    steps = [after - before for before, after in pairwise(times)]
    alike = [after - before for before, after in pairwise(rounded)]
    if len(set(alike)) < len(set(steps)) and alike.count(0) <= steps.count(Fraction(0)):
        return whole
    return None


def _doubted(why: str, doubt: str | None) -> str:
    return why if doubt is None else f"{why}. In doubt: {doubt}"


def _plain(name: str) -> str:
    """`RunTime_ms` as words."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name).replace("_", " ").casefold()


def _listed(names: tuple[str, ...], place: int) -> str:
    if names[place] and names.count(names[place]) == 1:
        return quoted(names[place])
    return f"{{number = {place + 1}}}"


def named(names: tuple[str, ...], place: int) -> str:
    """How a map names a column: by its number where names will not do."""
    if names[place] and names.count(names[place]) == 1:
        return f"column = {quoted(names[place])}"
    return f"number = {place + 1}"


def quoted(text: str) -> str:
    """A TOML string; JSON's escapes are TOML's, but for the one character that TOML wants escaped too."""
    import json

    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
