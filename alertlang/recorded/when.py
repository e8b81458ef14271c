"""Which moment of a recording is meant: a time, an alert or a mark by its number or its text."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from alertlang.logs.log_error import LogError
from alertlang.model import ruleset as m
from alertlang.recorded.rows import At
from alertlang.replay.kept import KeptSegment
from alertlang.text.lists import listed
from alertlang.text.suggest import nearest
from alertlang.units.number import parse_seconds, say_value
from alertlang.units.unit import UNITS
from alertlang.why.subject import alert_text

_DAY = Fraction(86_400)
_CLOCK = re.compile(r"([0-9]{1,6}):([0-5][0-9])(?::([0-5][0-9](?:\.[0-9]+)?))?")


@dataclass(frozen=True, slots=True)
class Time:
    """A time as it was asked for: `seconds` as the log counts them, or a `time of day` in seconds since midnight."""

    seconds: Fraction
    of_day: bool


@dataclass(frozen=True, slots=True)
class AlertTime:
    """One time that an alert came up: of which statement, at which row."""

    at: At
    time: Fraction
    place: tuple[str, int | None]
    text: m.AlertText


def times_of(text: str, *, has_clock: bool) -> tuple[Time, ...]:
    """What a text can mean, the likelier first. `871s`, `871`, `14.5 min`: elapsed, as the log counts it. `14:32:05`,
    `14:32` of a log that has a clock: the time of day, or else hours, minutes and seconds elapsed, or minutes and
    seconds, for both are what is told of a moment; of another elapsed alone. ValueError for anything else."""
    match = _CLOCK.fullmatch(text.strip())
    if match is not None:
        first, second, third = match.groups()
        whole = int(first) * 60 + int(second)
        counted = Time(Fraction(whole) if third is None else whole * 60 + Fraction(third), False)
        of_day = whole * 60 + Fraction(third or 0)
        return (Time(of_day, True), counted) if has_clock and of_day < _DAY else (counted,)
    try:
        return (Time(parse_seconds(text), False),)
    except ValueError:
        raise ValueError(f"{text!r} is no time: write 871s, 14.5min, 14:32:05 or 14:32") from None


def full_clock(text: str) -> str:
    """A time of day as it is told, `04:03:00` for `4:03`: elapsed it is never written so."""
    said = text.strip()
    said += ":00" if said.count(":") == 1 else ""
    return said if said.index(":") > 1 else f"0{said}"


def elapsed(of_day: Fraction, day_start: Fraction) -> Fraction:
    """The first time, as the log counts it, at which its clock showed a time of day; `day_start`: what it showed at
    0."""
    return (of_day - day_start) % _DAY


def row_at(
    segments: Sequence[KeptSegment], rows: Sequence[int | None], time: Fraction, number: int | None, log: str
) -> At:
    """The last row no later than a time (`rows`: that of each segment), of one segment or of the first that has it.
    LogError if none has."""
    if number is not None and not 1 <= number <= len(segments):
        raise LogError(log, f"there is no segment {number}", f"it has {len(segments)}")
    for k, (segment, row) in enumerate(zip(segments, rows, strict=True), 1):
        if number in {None, k} and row is not None and time <= segment.recording.last:
            return k, row
    spans = [f"{_seconds(one.recording.first)} to {_seconds(one.recording.last)}" for one in segments]
    raise LogError(log, f"nothing was recorded at {_seconds(time)}", f"it goes from {listed(spans)}")


def alert_times(segments: Sequence[KeptSegment], ruleset: m.RuleSet) -> list[AlertTime]:
    """Every time that an alert came up, in the order of time; together in the order of declaration."""
    alerts = {rule.label: rule.alert for rule in ruleset.rules}
    found: list[AlertTime] = []
    for number, segment in enumerate(segments, 1):
        for place, track in segment.recording.alerts.items():
            alert = alerts[place[0]]
            assert alert is not None
            text = m.AlertText(alert.level, alert_text(alert, place[1]))
            found += [AlertTime((number, i.start_row), i.start, place, text) for i in track.intervals()]
    return sorted(found, key=lambda one: one.at)


def alert_at(segments: Sequence[KeptSegment], ruleset: m.RuleSet, wanted: int | str, log: str) -> AlertTime:
    """By its number, from 1, or the first of a text. LogError if there is none."""
    found = alert_times(segments, ruleset)
    if isinstance(wanted, int):
        if not 1 <= wanted <= len(found):
            raise LogError(log, f"there is no alert {wanted}", _so_many(len(found), "alert"))
        return found[wanted - 1]
    for one in found:
        if one.text.text == wanted:
            return one
    texts = list(dict.fromkeys(one.text.text for one in found))
    close = nearest(wanted, texts)
    advice = f'did you mean "{close}"?' if close else f"there came up {listed(texts)}" if texts else "no alert came up"
    raise LogError(log, f'no alert "{wanted}" came up', advice)


def mark_at(segments: Sequence[KeptSegment], wanted: int, log: str) -> At:
    """By its number, from 1. LogError if there is none."""
    marks = [(number, mark.row) for number, segment in enumerate(segments, 1) for mark in segment.marks]
    if not 1 <= wanted <= len(marks):
        raise LogError(log, f"there is no mark {wanted}", _so_many(len(marks), "mark"))
    return marks[wanted - 1]


def _so_many(count: int, word: str) -> str:
    return f"it has {count or 'no'} {word}{'' if count == 1 else 's'}"


def _seconds(time: Fraction) -> str:
    return say_value(time, UNITS["s"])
