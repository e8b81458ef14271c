"""A recorded run that was replayed, as text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from alertlang.output.replay_log import left_out_lines, problem_lines, reading_lines, same_lines
from alertlang.output.replay_parts import (
    MARGIN,
    amount_of,
    at_second,
    duration,
    further,
    gauge_name,
    indented,
    percent,
    rounded,
    section,
    span_of,
)
from alertlang.output.style import Line, wrapped
from alertlang.output.text import counted
from alertlang.results.replay import (
    AlertUp,
    Metric,
    Read,
    ReplayComparison,
    ReplayDifference,
    ReplayResult,
    Stretch,
    Violation,
    Worst,
)
from alertlang.units.number import say_value

# An alert that came up more often than this is summed up in one line.
_SINGLY = 4
_STYLES = {"warning": "error", "caution": "warning", "advisory": "note", "red": "error", "yellow": "warning"}


def replay_lines(found: ReplayResult, width: int) -> list[Line]:
    """One log: what was up and when, then how long everything was as it was."""
    several = len(found.segments) > 1
    lines = _head(found.log, found.rows, found.segments, width)
    lines += wrapped(
        "dim", f'rules "{found.rules.name}" version {found.rules.version} ({found.rules.path})', width, rest=MARGIN
    )
    lines += problem_lines(found.problems, width)
    lines += section("Readings as used", reading_lines(found.readings, width), "")
    lines += section("Alerts", _alert_lines(found.alerts, several, width), "none came up")
    lines += section("Limits that were broken", _violation_lines(found.violations, several, width), "none")
    lines += left_out_lines(found, width)
    lines += section("Marks", _mark_lines(found, several, width), "")
    lines += section("Lamps", _lamp_lines(found, several, width), "")
    lines += section("Time in each colour", _colour_lines(found, width), "")
    lines += section("Time in each band (hidden or not by a worse one)", _band_lines(found, width), "")
    lines += section("How much the rules nag", _metric_lines(found.metrics, width), "")
    lines += section("Not exercised by this log", _unexercised_lines(found, width), "")
    return lines


def comparison_lines(found: ReplayComparison, width: int) -> list[Line]:
    """One log under two rule sets: every stretch over which they show something different."""
    several = len(found.segments) > 1
    lines = _head(found.log, found.rows, found.segments, width)
    for name, file in (("one", found.rules), ("other", found.against)):
        lines += wrapped(
            "dim", f'{name + ":":<7}"{file.name}" version {file.version} ({file.path})', width, rest=MARGIN
        )
    lines += problem_lines(found.problems, width)
    lines.append([])
    if found.same:
        return [*lines, *same_lines(found, width)]
    lines += _difference_lines(found.differences, several, width)
    count = counted(len(found.differences), "difference")
    return [*lines, [], *wrapped("strong", f"{count} on this log", width, rest=MARGIN)]


# ---- parts


def _head(log: str, rows: int, segments: Sequence[Stretch], width: int) -> list[Line]:
    samples = sum(one.samples for one in segments)
    seconds = sum((one.seconds for one in segments), Fraction(0))
    said = f"{counted(rows, 'row')}, {counted(samples, 'sample')}, {duration(seconds)}"
    if len(segments) > 1:
        said += f" in {len(segments)} segments"
    return [*wrapped("strong", log, width, rest=MARGIN), *wrapped("", said, width, rest=MARGIN)]


def _alert_lines(alerts: Sequence[AlertUp], several: bool, width: int) -> list[Line]:
    groups: dict[tuple[str, int | None], list[AlertUp]] = {}
    for one in sorted(alerts, key=lambda one: (one.segment, one.start)):
        groups.setdefault((one.statement, one.element), []).append(one)
    lines: list[Line] = []
    for times in groups.values():
        first = times[0]
        name = first.statement if first.element is None else f"{first.statement}[{first.element}]"
        lines += indented(_STYLES[first.level], f'{first.level} "{first.text}"  {name}', width)
        if len(times) > _SINGLY:
            lines += further(_summed(times, several), width)
            continue
        for one in times:
            lines += further(span_of(one.segment, one.start, one.end, one.seconds, several) + _worst(one), width)
    return lines


def _summed(times: Sequence[AlertUp], several: bool) -> str:
    seconds = sum((one.seconds for one in times), Fraction(0))
    last = times[-1]
    end = "the end" if last.end is None else f"{at_second(last.end)}"
    text = f"{len(times)} times from {at_second(times[0].start)} to {end}, {duration(seconds)} in all"
    if several:
        text += f", segments {times[0].segment} to {last.segment}" if last.segment != times[0].segment else ""
    deepest = max((one for one in times if one.worst is not None), key=_past, default=None)
    return text if deepest is None else text + _worst(deepest)


def _past(one: AlertUp) -> Fraction:
    return Fraction(0) if one.worst is None else one.worst.past


def _worst(one: AlertUp) -> str:
    if one.worst is None:
        return ""
    text = f"; {_worst_words(one.worst)}"
    if one.margin is not None:
        left = one.margin.left
        amount = amount_of(abs(left), one.margin.unit.name)
        text += f", {amount} {'past' if left < 0 else 'left to'} {one.margin.limit}"
    return text


def _worst_words(worst: Worst) -> str:
    return f"worst {worst.reading} {say_value(worst.value, worst.unit)} at {at_second(worst.time)}"


def _violation_lines(violations: Sequence[Violation], several: bool, width: int) -> list[Line]:
    groups: dict[tuple[str, int | None], list[Violation]] = {}
    for one in violations:
        groups.setdefault((one.limit, one.element), []).append(one)
    lines: list[Line] = []
    for (limit, element), times in groups.items():
        lines += indented("strong", limit if element is None else f"{limit}[{element}]", width)
        deepest = max((one.worst for one in times if one.worst is not None), key=lambda one: one.past, default=None)
        past = "" if deepest is None else f"; {_worst_words(deepest)}"
        if deepest is not None:
            past += f", {amount_of(deepest.past, deepest.unit.name)} past it"
        if len(times) > _SINGLY:
            seconds = sum((one.seconds for one in times), Fraction(0))
            lines += further(f"{len(times)} times, {duration(seconds)} in all{past}", width)
            continue
        for one in times:
            mine = past if one.worst is deepest else ""
            lines += further(span_of(one.segment, one.start, one.end, one.seconds, several) + mine, width)
    return lines


def _mark_lines(found: ReplayResult, several: bool, width: int) -> list[Line]:
    lines: list[Line] = []
    for mark in found.marks:
        shown = [f'{level} "{text}"' for _, _, text, level in mark.alerts]
        shown += [f"{gauge_name(quantity, element)} {colour}" for quantity, element, colour in mark.colours]
        shown += [f"{text} {state}" for text, state in mark.lamps]
        where = f"segment {mark.segment}, " if several else ""
        text = ", ".join(shown) if shown else "nothing up, nothing yellow or red"
        lines += indented("", f"{where}{at_second(mark.time)} (row {mark.row}): {text}", width)
    return lines


def _lamp_lines(found: ReplayResult, several: bool, width: int) -> list[Line]:
    lines: list[Line] = []
    for text in dict.fromkeys(one.text for one in found.lamps):
        lines += indented("strong", text, width)
        for one in found.lamps:
            if one.text == text and one.state != "normal":
                sound = "" if one.sound == "silent" else f", {one.sound} sounds"
                span = span_of(one.segment, one.start, one.end, one.seconds, several)
                lines += further(f"{one.state} ({one.light}{sound}) {span}", width)
        if len(lines[-1]) and all(one.state == "normal" for one in found.lamps if one.text == text):
            lines += further("stayed off", width)
    return lines


def _colour_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    for gauge in dict.fromkeys((one.quantity, one.element) for one in found.colour_times):
        those = [one for one in found.colour_times if (one.quantity, one.element) == gauge]
        said = ", ".join(f"{one.colour or 'no colour'} {duration(one.seconds)}" for one in those)
        lines += indented("", f"{gauge_name(*gauge)}: {said}", width)
    return lines


def _band_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    for one in found.band_times:
        if one.times:
            text = f"{gauge_name(one.statement, one.element)} ({one.colour}): {duration(one.seconds)}"
            lines += indented("", text + (f", {one.times} times" if one.times > 1 else ""), width)
    return lines


def _metric_lines(metrics: Iterable[Metric], width: int) -> list[Line]:
    lines: list[Line] = []
    for one in metrics:
        value = "none" if one.value is None else rounded(one.value)
        if one.value is not None and one.name.endswith("_share"):
            value = percent(one.value)
        names = f" ({', '.join(one.names)})" if one.names else ""
        lines += indented("strong", f"{one.name}: {value}{names}", width)
        lines += further(f"{one.words}; {one.source} ({one.status})", width, "dim")
        for held in one.held_against:
            lines += further(f"{held.verdict}: {held.words}; {held.source} ({held.status})", width, "dim")
    note = (
        "The published figures are for plants that run day and night: a yardstick, never a requirement on an aircraft."
    )
    return [*lines, *indented("dim", note, width)]


def _unexercised_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    groups: dict[tuple[str, str], list[str]] = {}
    for one in found.unexercised:
        groups.setdefault((one.kind, one.why), []).append(one.name)
    for (kind, why), names in groups.items():
        word = kind if len(names) == 1 else {"avoid": "avoid ranges"}.get(kind, f"{kind}s")
        lines += indented("", f"{word} {', '.join(names)}: {why}", width)
    return lines


def _difference_lines(differences: Iterable[ReplayDifference], several: bool, width: int) -> list[Line]:
    groups: dict[str, list[ReplayDifference]] = {}
    for one in differences:
        groups.setdefault(_what_differs(one), []).append(one)
    lines: list[Line] = []
    for what, those in groups.items():
        lines += indented("strong", what, width)
        for one in those:
            text = span_of(one.segment, one.start, one.end, one.seconds, several)
            if one.first is not None and one.last is not None:
                text += f"; {one.first.reading} first {_read(one.first)}, last {_read(one.last)}"
            lines += further(text, width)
    return lines


def _what_differs(one: ReplayDifference) -> str:
    if one.kind == "colour":
        gauge = gauge_name(one.quantity or "", one.element)
        return f"{gauge}: one {one.one or 'no colour'}, other {one.other or 'no colour'}"
    return f'{one.level} "{one.text}": up only by the {"one" if one.one else "other"} ({", ".join(one.statements)})'


def _read(read: Read) -> str:
    return "failed" if read.value is None else say_value(read.value, read.unit)
