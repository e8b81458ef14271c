"""A recorded run that was replayed, as text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from alertlang.output.judged import none_of, unjudged_lines
from alertlang.output.style import Line, wrapped
from alertlang.output.text import counted
from alertlang.results.replay import (
    AlertUp,
    Metric,
    Problem,
    ReadingUse,
    ReplayResult,
    SegmentTimes,
    Violation,
    Worst,
)
from alertlang.units.number import say_value, show_number
from alertlang.units.unit import UNITS

_MARGIN = "  "
# An alert that came up more often than this is summed up in one line.
_SINGLY = 4
_STYLES = {"warning": "error", "caution": "warning", "advisory": "note", "red": "error", "yellow": "warning"}


def replay_lines(found: ReplayResult, width: int) -> list[Line]:
    """One log: what was up and when, then how long everything was as it was."""
    several = len(found.segments) > 1
    lines = _head(found.log, found.rows, found.segments, width)
    lines += wrapped(
        "dim", f'rules "{found.rules.name}" version {found.rules.version} ({found.rules.path})', width, rest=_MARGIN
    )
    lines += _problem_lines(found.problems, width)
    lines += _section("Readings as used", _reading_lines(found.readings, width), "")
    lines += unjudged_lines(found, width)
    lines += _section("Alerts", _alert_lines(found.alerts, several, width), none_of(found, "alert", "none came up"))
    lines += _section(
        "Limits that were broken", _violation_lines(found.violations, several, width), none_of(found, "limit", "none")
    )
    lines += _left_out_lines(found, width)
    lines += _section("Marks", _mark_lines(found, several, width), "")
    lines += _section("Lamps", _lamp_lines(found, several, width), "")
    lines += _section("Time in each colour", _colour_lines(found, width), "")
    lines += _section("Time in each band (hidden or not by a worse one)", _band_lines(found, width), "")
    lines += _section("How much the rules nag", _metric_lines(found.metrics, width), "")
    lines += _section("Not exercised by this log", _unexercised_lines(found, width), "")
    return lines


# ---- parts


def _head(log: str, rows: int, segments: Sequence[SegmentTimes], width: int) -> list[Line]:
    samples = sum(segment.samples for segment in segments)
    seconds = sum((segment.seconds for segment in segments), Fraction(0))
    said = f"{counted(rows, 'row')}, {counted(samples, 'sample')}, {_duration(seconds)}"
    if len(segments) > 1:
        said += f" in {len(segments)} segments"
    return [*wrapped("strong", log, width, rest=_MARGIN), *wrapped("", said, width, rest=_MARGIN)]


def _alert_lines(alerts: Sequence[AlertUp], several: bool, width: int) -> list[Line]:
    groups: dict[tuple[str, int | None], list[AlertUp]] = {}
    for alert in sorted(alerts, key=lambda alert: (alert.segment, alert.start)):
        groups.setdefault((alert.statement, alert.element), []).append(alert)
    lines: list[Line] = []
    for times in groups.values():
        first = times[0]
        name = first.statement if first.element is None else f"{first.statement}[{first.element}]"
        lines += _indented(_STYLES[first.level], f'{first.level} "{first.text}"  {name}', width)
        if len(times) > _SINGLY:
            lines += _further(_summed(times, several), width)
            continue
        for alert in times:
            lines += _further(
                _span_of(alert.segment, alert.start, alert.end, alert.seconds, several) + _worst(alert), width
            )
    return lines


def _summed(times: Sequence[AlertUp], several: bool) -> str:
    seconds = sum((alert.seconds for alert in times), Fraction(0))
    last = times[-1]
    end = "the end" if last.end is None else f"{_at_second(last.end)}"
    text = f"{len(times)} times from {_at_second(times[0].start)} to {end}, {_duration(seconds)} in all"
    if several:
        text += f", segments {times[0].segment} to {last.segment}" if last.segment != times[0].segment else ""
    deepest = max((alert for alert in times if alert.worst is not None), key=_past, default=None)
    return text if deepest is None else text + _worst(deepest)


def _past(alert: AlertUp) -> Fraction:
    return Fraction(0) if alert.worst is None else alert.worst.past


def _worst(alert: AlertUp) -> str:
    if alert.worst is None:
        return ""
    text = f"; {_worst_words(alert.worst)}"
    if alert.margin is not None:
        left = alert.margin.left
        amount = _amount_of(abs(left), alert.margin.unit.name)
        text += f", {amount} {'past' if left < 0 else 'left to'} {alert.margin.limit}"
    return text


def _worst_words(worst: Worst) -> str:
    return f"worst {worst.reading} {say_value(worst.value, worst.unit)} at {_at_second(worst.time)}"


def _violation_lines(violations: Sequence[Violation], several: bool, width: int) -> list[Line]:
    groups: dict[tuple[str, int | None], list[Violation]] = {}
    for violation in violations:
        groups.setdefault((violation.limit, violation.element), []).append(violation)
    lines: list[Line] = []
    for (limit, element), times in groups.items():
        lines += _indented("strong", limit if element is None else f"{limit}[{element}]", width)
        deepest = max(
            (violation.worst for violation in times if violation.worst is not None),
            key=lambda worst: worst.past,
            default=None,
        )
        past = "" if deepest is None else f"; {_worst_words(deepest)}"
        if deepest is not None:
            past += f", {_amount_of(deepest.past, deepest.unit.name)} past it"
        if len(times) > _SINGLY:
            seconds = sum((violation.seconds for violation in times), Fraction(0))
            lines += _further(f"{len(times)} times, {_duration(seconds)} in all{past}", width)
            continue
        for violation in times:
            mine = past if violation.worst is deepest else ""
            lines += _further(
                _span_of(violation.segment, violation.start, violation.end, violation.seconds, several) + mine, width
            )
    return lines


def _mark_lines(found: ReplayResult, several: bool, width: int) -> list[Line]:
    lines: list[Line] = []
    for mark in found.marks:
        shown = [f'{level} "{text}"' for _, _, text, level in mark.alerts]
        shown += [f"{_gauge_name(quantity, element)} {colour}" for quantity, element, colour in mark.colours]
        shown += [f"{text} {state}" for text, state in mark.lamps]
        where = f"segment {mark.segment}, " if several else ""
        text = ", ".join(shown) if shown else "nothing up, nothing yellow or red"
        lines += _indented("", f"{where}{_at_second(mark.time)} (row {mark.row}): {text}", width)
    return lines


def _lamp_lines(found: ReplayResult, several: bool, width: int) -> list[Line]:
    lines: list[Line] = []
    for text in dict.fromkeys(lit.text for lit in found.lamps):
        lines += _indented("strong", text, width)
        for lit in found.lamps:
            if lit.text == text and lit.state != "normal":
                sound = "" if lit.sound == "silent" else f", {lit.sound} sounds"
                span = _span_of(lit.segment, lit.start, lit.end, lit.seconds, several)
                lines += _further(f"{lit.state} ({lit.light}{sound}) {span}", width)
        if len(lines[-1]) and all(lit.state == "normal" for lit in found.lamps if lit.text == text):
            lines += _further("stayed off", width)
    return lines


def _colour_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    for gauge in dict.fromkeys((time.quantity, time.element) for time in found.colour_times):
        those = [time for time in found.colour_times if (time.quantity, time.element) == gauge]
        said = ", ".join(f"{time.colour or 'no colour'} {_duration(time.seconds)}" for time in those)
        lines += _indented("", f"{_gauge_name(*gauge)}: {said}", width)
    return lines


def _band_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    for time in found.band_times:
        if time.times:
            text = f"{_gauge_name(time.statement, time.element)} ({time.colour}): {_duration(time.seconds)}"
            lines += _indented("", text + (f", {time.times} times" if time.times > 1 else ""), width)
    return lines


def _metric_lines(metrics: Iterable[Metric], width: int) -> list[Line]:
    lines: list[Line] = []
    for metric in metrics:
        value = "none" if metric.value is None else _rounded(metric.value)
        if metric.value is not None and metric.name.endswith("_share"):
            value = percent(metric.value)
        names = f" ({', '.join(metric.names)})" if metric.names else ""
        lines += _indented("strong", f"{metric.name}: {value}{names}", width)
        lines += _further(f"{metric.words}; {metric.source} ({metric.status})", width, "dim")
        for held in metric.held_against:
            lines += _further(f"{held.verdict}: {held.words}; {held.source} ({held.status})", width, "dim")
    note = (
        "The published figures are for plants that run day and night: a yardstick, never a requirement on an aircraft."
    )
    return [*lines, *_indented("dim", note, width)]


def _unexercised_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    groups: dict[tuple[str, str], list[str]] = {}
    for unexercised in found.unexercised:
        groups.setdefault((unexercised.kind, unexercised.why), []).append(unexercised.name)
    for (kind, why), names in groups.items():
        word = kind if len(names) == 1 else {"avoid": "avoid ranges"}.get(kind, f"{kind}s")
        lines += _indented("", f"{word} {', '.join(names)}: {why}", width)
    return lines


# ---- the log itself: what was odd about it, the readings as used, rows that were left out


def _problem_lines(problems: Sequence[Problem], width: int) -> list[Line]:
    """What can make a quiet replay say nothing comes first, and apart."""
    lines: list[Line] = []
    for title, grave in (("Look at this first", True), ("Found in the log", False)):
        some: list[Line] = []
        for problem in problems:
            if problem.grave is grave:
                column = f" ({problem.column})" if problem.column else ""
                row = f", first in row {problem.first_row}" if problem.first_row is not None else ""
                text = f"{problem.kind}{column}: {problem.count}{row}" + (f"; {problem.words}" if problem.words else "")
                some += _indented("warning" if grave else "", text, width)
        lines += _section(title, some, "")
    return lines


def _reading_lines(readings: Iterable[ReadingUse], width: int) -> list[Line]:
    """How far each reading went: what cannot be true is a wrong column or a wrong unit."""
    lines: list[Line] = []
    for reading in readings:
        if reading.column is None or reading.read_in is None:
            lines += _indented("warning", f"{reading.name}: no column feeds it", width)
            continue
        if reading.low is None or reading.high is None:
            said = "nothing was read"
        else:
            said = f"{_rounded(reading.low)} to {_amount_of(reading.high, reading.unit.name)}"
        unit = f" in {reading.read_in.name}" if reading.read_in.name and reading.read_in != reading.unit else ""
        failed = f"; {percent(Fraction(reading.failed, reading.rows))} failed" if reading.failed else ""
        style = "warning" if reading.failed * 2 > reading.rows else ""
        lines += _indented(style, f"{reading.name}: {said} ({reading.column}{unit}){failed}", width)
    return lines


def _left_out_lines(found: ReplayResult, width: int) -> list[Line]:
    """Rows that do not count may have broken a limit, and nobody would know."""
    count = sum(problem.count for problem in found.problems if problem.kind == "repeated-time")
    if not count:
        return []
    held = sum(problem.count for problem in found.problems if problem.kind == "left-out-limit")
    lines: list[Line] = []
    for left_out in found.left_out:
        rows = counted(left_out.rows, "row")
        name = _gauge_name(left_out.statement, left_out.element)
        text = f"{left_out.kind} {name}: {rows}, first row {left_out.first_row}"
        if left_out.value is not None and left_out.unit is not None and left_out.past is not None:
            text += f"; worst {left_out.reading} {say_value(left_out.value, left_out.unit)}"
            text += f", {_amount_of(left_out.past, left_out.unit.name)} past it" if left_out.past > 0 else ""
        lines += _indented("error", text, width)
    if not held:
        text = (
            f"{counted(count, 'row')} left out: a later row has their time. None of them holds a limit broken or red."
        )
        return [[], *wrapped("", text, width, rest=_MARGIN)]
    text = (
        f"{held} of {count} left-out rows are past a limit, red or a warning, and nothing above shows it. "
        'They have the time of a later row; repeats = "spread" in the map\'s [options] lets them count'
    )
    return [[], [("strong", "Rows that were left out")], *_indented("error", text, width), *lines]


# ---- small parts


def _section(title: str, lines: list[Line], empty: str) -> list[Line]:
    if not lines and not empty:
        return []
    return [[], [("strong", title)], *(lines or [[("", _MARGIN + empty)]])]


def _span_of(segment: int, start: Fraction, end: Fraction | None, seconds: Fraction, several: bool) -> str:
    where = f"segment {segment}, " if several else ""
    until = "to the end" if end is None else f"to {_at_second(end)}"
    return f"{where}from {_at_second(start)} {until}, {_duration(seconds)}"


def _gauge_name(quantity: str, element: int | None) -> str:
    return quantity if element is None else f"{quantity}[{element}]"


def _at_second(time: Fraction) -> str:
    """A time as the log counts it, so that it can be found there."""
    return say_value(time, UNITS["s"])


def _duration(seconds: Fraction) -> str:
    minutes, rest = divmod(seconds, 60)
    if minutes < 2:
        return say_value(seconds, UNITS["s"])
    hours, minutes = divmod(minutes, 60)
    said = f"{hours} h {minutes} min" if hours else f"{minutes} min"
    return said + (f" {say_value(rest, UNITS['s'])}" if rest and "about" not in say_value(rest, UNITS["s"]) else "")


def _amount_of(value: Fraction, unit: str) -> str:
    return f"{_rounded(value)} {unit}".rstrip()


def _rounded(value: Fraction) -> str:
    """For people: exact where three decimals are, else _rounded to them."""
    if (value * 1000).denominator == 1:
        return show_number(value)
    return f"about {show_number(Fraction(round(value * 1000), 1000))}"


def _indented(style: str, text: str, width: int) -> list[Line]:
    return wrapped(style, text, width, _MARGIN, _MARGIN * 2)


def _further(text: str, width: int, style: str = "") -> list[Line]:
    return wrapped(style, text, width, _MARGIN * 2, _MARGIN * 3)


def percent(share: Fraction) -> str:
    """To a tenth; what is neither nothing nor all is not said to be."""
    tenths = Fraction(round(share * 1000), 10)
    if share and not tenths:
        return "less than 0.1 %"
    return "more than 99.9 %" if tenths == 100 and share < 1 else f"{show_number(tenths)} %"
