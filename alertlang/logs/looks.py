"""What cells look like: numbers, dates, times of day, and the format that they are written in."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

_NUMBER = re.compile(r"\s*[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?\s*")
_MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
_MONTH = f"(?i:{'|'.join(_MONTHS)})[a-z]*"
# Each with its format. Of two numbers before a year either may be the day.
_DATES = (
    (r"(?P<year>\d{4})-(?P<month>\d{1,2})-(?P<day>\d{1,2})", "%Y-%m-%d"),
    (r"(?P<year>\d{4})/(?P<month>\d{1,2})/(?P<day>\d{1,2})", "%Y/%m/%d"),
    (r"(?P<year>\d{4})\.(?P<month>\d{1,2})\.(?P<day>\d{1,2})", "%Y.%m.%d"),
    (r"(?P<year>(?:19|20)\d{2})(?P<month>\d{2})(?P<day>\d{2})", "%Y%m%d"),
    *[
        (rf"(?P<one>\d{{1,2}}){re.escape(sign)}(?P<two>\d{{1,2}}){re.escape(sign)}(?P<year>{digits})", year)
        for sign in "./-"
        for digits, year in ((r"\d{4}", f"?{sign}?{sign}%Y"), (r"\d{2}", f"?{sign}?{sign}%y"))
    ],
    (rf"\d{{1,2}}-{_MONTH}-\d{{4}}", "%d-%b-%Y"),
    (rf"\d{{1,2}} {_MONTH} \d{{4}}", "%d %b %Y"),
)  # fmt: skip
_CLOCKS = (
    (r"\d{1,2}:\d{2}:\d{2}(?:[.,]\d+)? ?(?i:[ap]m)", "%I:%M:%S.%f %p"),
    (r"\d{1,2}:\d{2}:\d{2}(?:[.,]\d+)?", "%H:%M:%S.%f"),
    (r"\d{1,2}:\d{2}[.,]\d+", "%M:%S.%f"),
    (r"(?P<first>\d{1,2}):(?P<second>\d{2})", "%H:%M"),
)
_ZONES = (
    (r"Z|[+-]\d{2}(?::?\d{2})?", "%z"),
    (r" (?:Z|[+-]\d{2}(?::?\d{2})?)", " %z"),
    (r" UTC", " UTC"),
    (r" GMT", " GMT"),
)
# Digits alone are a time of day only beside a date.
_BESIDE_A_DATE = ((r"\d{6}(?:\.\d+)?", "%H%M%S.%f"),)
_ENOUGH = 0.9
"""Of so many of the cells a format must be; the others are told as what they are. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class TimeLook:
    """How times are written. `dated`, `clocked`: a date, a time of day is in them. `doubt`: what else it might be."""

    format: str
    dated: bool
    clocked: bool
    doubt: str | None = None


def is_number(cell: str) -> bool:
    return _NUMBER.fullmatch(cell) is not None


def is_moment(cell: str) -> bool:
    """Whether it looks like a date, a time of day, or both."""
    return _moment(cell.strip()) is not None


def time_look(cells: Sequence[str]) -> TimeLook | None:
    """The format in which nearly all cells are dates or times of day; none if they are neither."""
    texts = [cell.strip() for cell in cells if cell.strip()]
    found = next((moment for text in texts[:5] if (moment := _moment(text)) is not None), None)
    if found is None:
        return None
    pattern, form = found
    matches = [match for text in texts if (match := re.fullmatch(pattern, text)) is not None]
    if len(matches) < _ENOUGH * len(texts):
        return None
    doubt = None
    if "?" in form:
        form = _day_and_month(form, matches)
    if form == "%H:%M":
        form, doubt = _two_numbers(matches)
    dated, clocked = any(f"%{word}" in form for word in "Yy"), any(f"%{word}" in form for word in "HIM")
    return TimeLook(form, dated, clocked, doubt)


def _moment(text: str) -> tuple[str, str] | None:
    """The pattern and the format of one text."""
    # What no date and no clock can be or begin with; digits alone are a number.
    if not 4 <= len(text) <= 48 or not text[0].isdigit() or is_number(text):
        return None
    for clock, clock_form in _CLOCKS:
        for zone, zone_form in (("", ""), *_ZONES):
            if re.fullmatch(clock + (f"(?:{zone})" if zone else ""), text):
                return clock + (f"(?:{zone})" if zone else ""), clock_form + zone_form
    for date_pattern, date_form in _DATES:
        begin = re.match(date_pattern, text)
        if begin is None:
            continue
        if begin.end() == len(text):
            return date_pattern, date_form
        for sign in ("T", " ", "  ", ", "):
            for clock, clock_form in (*_CLOCKS, *_BESIDE_A_DATE):
                for zone, zone_form in (("", ""), *_ZONES):
                    pattern = date_pattern + sign + clock + (f"(?:{zone})" if zone else "")
                    if re.fullmatch(pattern, text):
                        return pattern, date_form + sign + clock_form + zone_form
    return None


def _day_and_month(form: str, matches: Sequence[re.Match[str]]) -> str:
    """Which of two numbers is the day: the one that is above 12 somewhere; else that by which fewer days pass, as a run
    is short; else the first."""
    ones, twos = ([int(match[name]) for match in matches] for name in ("one", "two"))
    day_first = form.replace("?", "%d", 1).replace("?", "%m", 1)
    month_first = form.replace("?", "%m", 1).replace("?", "%d", 1)
    if max(ones) > 12 or max(twos) > 12:
        return month_first if max(twos) > 12 else day_first
    years = [int(match["year"]) + (2000 if len(match["year"]) == 2 else 0) for match in matches]
    spans = []
    for days, months in ((ones, twos), (twos, ones)):
        try:
            dates = [date(*parts).toordinal() for parts in zip(years, months, days, strict=True)]
        except ValueError:
            spans.append(10**9)
        else:
            spans.append(max(dates) - min(dates))
    return month_first if spans[1] < spans[0] else day_first


def _two_numbers(matches: Sequence[re.Match[str]]) -> tuple[str, str | None]:
    """Hours and minutes, or minutes and seconds."""
    if max(int(match["first"]) for match in matches) > 23:
        return "%M:%S.%f", None
    written = [match[0] for match in matches]
    if len(set(written)) == len(written) > 1:
        return "%M:%S.%f", "taken for minutes and seconds; they could be hours and minutes"
    return "%H:%M", "taken for hours and minutes; they could be minutes and seconds"
