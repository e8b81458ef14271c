"""A recorded run that was replayed, as text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from fractions import Fraction

from alertlang.diagnostics.replay import (
    AlertUp,
    Metric,
    Problem,
    Read,
    ReplayComparison,
    ReplayDifference,
    ReplayResult,
    Stretch,
    Violation,
    Worst,
)
from alertlang.output.style import Line
from alertlang.units.number import say_value, show_number
from alertlang.units.unit import UNITS

# An alert that came up more often than this is summed up in one line.
_SINGLY = 4
_STYLES = {"warning": "error", "caution": "warning", "advisory": "note", "red": "error", "yellow": "warning"}
_MARGIN = "  "


def replay_lines(found: ReplayResult, width: int) -> list[Line]:
    """One log: what was up and when, then how long everything was as it was."""
    several = len(found.segments) > 1
    lines = _head(found.log, found.rows, found.segments, width)
    lines += _wrapped("dim", f'rules "{found.rules.name}" version {found.rules.version} ({found.rules.path})', width)
    lines += _problem_lines(found.problems, width)
    lines += _section("Alerts", _alert_lines(found.alerts, several, width), "none came up")
    lines += _section("Limits that were broken", _violation_lines(found.violations, several, width), "none")
    lines += _left_out(found, width)
    lines += _section("Marks", _mark_lines(found, several, width), "")
    lines += _section("Lamps", _lamp_lines(found, several, width), "")
    lines += _section("Time in each colour", _colour_lines(found, width), "")
    lines += _section("Time in each band (hidden or not by a worse one)", _band_lines(found, width), "")
    lines += _section("How much the rules nag", _metric_lines(found.metrics, width), "")
    lines += _section("Not exercised by this log", _unexercised_lines(found, width), "")
    return lines


def _left_out(found: ReplayResult, width: int) -> list[Line]:
    """Rows that were not looked at may have broken a limit, and nobody would know."""
    count = sum(one.count for one in found.problems if one.kind == "repeated-time")
    if not count:
        return []
    text = (
        f"  {count} rows have the time of a later row and were not looked at: what broke a limit only in them is not "
        "here. Record finer times to see them."
    )
    return [[("warning", part)] for part in textwrap.wrap(text, width, subsequent_indent="  ")]


def comparison_lines(found: ReplayComparison, width: int) -> list[Line]:
    """One log under two rule sets: every stretch over which they show something different."""
    several = len(found.segments) > 1
    lines = _head(found.log, found.rows, found.segments, width)
    for name, file in (("one", found.rules), ("other", found.against)):
        lines += _wrapped("dim", f'{name + ":":<7}"{file.name}" version {file.version} ({file.path})', width)
    lines += _problem_lines(found.problems, width)
    lines.append([])
    if found.same:
        return [*lines, *_wrapped("good", "no difference on this log", width)]
    lines += _difference_lines(found.differences, several, width)
    count = _count(len(found.differences), "difference")
    return [*lines, [], *_wrapped("strong", f"{count} on this log", width)]


# ---- parts


def _head(log: str, rows: int, segments: Sequence[Stretch], width: int) -> list[Line]:
    samples = sum(one.samples for one in segments)
    seconds = sum((one.seconds for one in segments), Fraction(0))
    said = f"{_count(rows, 'row')}, {_count(samples, 'sample')}, {_time(seconds)}"
    if len(segments) > 1:
        said += f" in {len(segments)} segments"
    return [*_wrapped("strong", log, width), *_wrapped("", said, width)]


def _problem_lines(problems: Iterable[Problem], width: int) -> list[Line]:
    lines: list[Line] = []
    for one in problems:
        column = f" ({one.column})" if one.column else ""
        row = f", first in row {one.first_row}" if one.first_row is not None else ""
        text = f"{one.kind}{column}: {one.count}{row}" + (f"; {one.words}" if one.words else "")
        lines += _indented("", text, width)
    return _section("Found in the log", lines, "")


def _alert_lines(alerts: Sequence[AlertUp], several: bool, width: int) -> list[Line]:
    groups: dict[tuple[str, int | None], list[AlertUp]] = {}
    for one in sorted(alerts, key=lambda one: (one.segment, one.start)):
        groups.setdefault((one.statement, one.element), []).append(one)
    lines: list[Line] = []
    for times in groups.values():
        first = times[0]
        name = first.statement if first.element is None else f"{first.statement}[{first.element}]"
        lines += _indented(_STYLES[first.level], f'{first.level} "{first.text}"  {name}', width)
        if len(times) > _SINGLY:
            lines += _further(_summed(times, several), width)
            continue
        for one in times:
            lines += _further(_span(one.segment, one.start, one.end, one.seconds, several) + _worst(one), width)
    return lines


def _summed(times: Sequence[AlertUp], several: bool) -> str:
    seconds = sum((one.seconds for one in times), Fraction(0))
    last = times[-1]
    end = "the end" if last.end is None else f"{_second(last.end)}"
    text = f"{len(times)} times from {_second(times[0].start)} to {end}, {_time(seconds)} in all"
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
        amount = _amount(abs(left), one.margin.unit.name)
        text += f", {amount} {'past' if left < 0 else 'left to'} {one.margin.limit}"
    return text


def _worst_words(worst: Worst) -> str:
    return f"worst {worst.reading} {say_value(worst.value, worst.unit)} at {_second(worst.time)}"


def _violation_lines(violations: Sequence[Violation], several: bool, width: int) -> list[Line]:
    groups: dict[tuple[str, int | None], list[Violation]] = {}
    for one in violations:
        groups.setdefault((one.limit, one.element), []).append(one)
    lines: list[Line] = []
    for (limit, element), times in groups.items():
        lines += _indented("strong", limit if element is None else f"{limit}[{element}]", width)
        deepest = max((one.worst for one in times if one.worst is not None), key=lambda one: one.past, default=None)
        past = "" if deepest is None else f"; {_worst_words(deepest)}"
        if deepest is not None:
            past += f", {_amount(deepest.past, deepest.unit.name)} past it"
        if len(times) > _SINGLY:
            seconds = sum((one.seconds for one in times), Fraction(0))
            lines += _further(f"{len(times)} times, {_time(seconds)} in all{past}", width)
            continue
        for one in times:
            mine = past if one.worst is deepest else ""
            lines += _further(_span(one.segment, one.start, one.end, one.seconds, several) + mine, width)
    return lines


def _mark_lines(found: ReplayResult, several: bool, width: int) -> list[Line]:
    lines: list[Line] = []
    for mark in found.marks:
        shown = [f'{level} "{text}"' for _, _, text, level in mark.alerts]
        shown += [f"{_gauge(quantity, element)} {colour}" for quantity, element, colour in mark.colours]
        shown += [f"{text} {state}" for text, state in mark.lamps]
        where = f"segment {mark.segment}, " if several else ""
        text = ", ".join(shown) if shown else "nothing up, nothing yellow or red"
        lines += _indented("", f"{where}{_second(mark.time)} (row {mark.row}): {text}", width)
    return lines


def _lamp_lines(found: ReplayResult, several: bool, width: int) -> list[Line]:
    lines: list[Line] = []
    for text in dict.fromkeys(one.text for one in found.lamps):
        lines += _indented("strong", text, width)
        for one in found.lamps:
            if one.text == text and one.state != "normal":
                sound = "" if one.sound == "silent" else f", {one.sound} sounds"
                span = _span(one.segment, one.start, one.end, one.seconds, several)
                lines += _further(f"{one.state} ({one.light}{sound}) {span}", width)
        if len(lines[-1]) and all(one.state == "normal" for one in found.lamps if one.text == text):
            lines += _further("stayed off", width)
    return lines


def _colour_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    for gauge in dict.fromkeys((one.quantity, one.element) for one in found.colour_times):
        those = [one for one in found.colour_times if (one.quantity, one.element) == gauge]
        said = ", ".join(f"{one.colour or 'no colour'} {_time(one.seconds)}" for one in those)
        lines += _indented("", f"{_gauge(*gauge)}: {said}", width)
    return lines


def _band_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    for one in found.band_times:
        if one.times:
            text = f"{_gauge(one.statement, one.element)} ({one.colour}): {_time(one.seconds)}"
            lines += _indented("", text + (f", {one.times} times" if one.times > 1 else ""), width)
    return lines


def _metric_lines(metrics: Iterable[Metric], width: int) -> list[Line]:
    lines: list[Line] = []
    for one in metrics:
        value = "none" if one.value is None else _rounded(one.value)
        names = f" ({', '.join(one.names)})" if one.names else ""
        lines += _indented("strong", f"{one.name}: {value}{names}", width)
        lines += _further(f"{one.words}; {one.source} ({one.status})", width, "dim")
        for held in one.held_against:
            met = {True: "kept", False: "not kept", None: "no number to hold it against"}[held.met]
            lines += _further(f"{met}: {held.words}; {held.source} ({held.status})", width, "dim")
    note = (
        "The published figures are for plants that run day and night: a yardstick, never a requirement on an aircraft."
    )
    return [*lines, *_indented("dim", note, width)]


def _unexercised_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    groups: dict[tuple[str, str], list[str]] = {}
    for one in found.unexercised:
        groups.setdefault((one.kind, one.why), []).append(one.name)
    for (kind, why), names in groups.items():
        word = kind if len(names) == 1 else {"avoid": "avoid ranges"}.get(kind, f"{kind}s")
        lines += _indented("", f"{word} {', '.join(names)}: {why}", width)
    return lines


def _difference_lines(differences: Iterable[ReplayDifference], several: bool, width: int) -> list[Line]:
    groups: dict[str, list[ReplayDifference]] = {}
    for one in differences:
        groups.setdefault(_what_differs(one), []).append(one)
    lines: list[Line] = []
    for what, those in groups.items():
        lines += _indented("strong", what, width)
        for one in those:
            text = _span(one.segment, one.start, one.end, one.seconds, several)
            if one.first is not None and one.last is not None:
                text += f"; {one.first.reading} first {_read(one.first)}, last {_read(one.last)}"
            lines += _further(text, width)
    return lines


def _what_differs(one: ReplayDifference) -> str:
    if one.kind == "colour":
        gauge = _gauge(one.quantity or "", one.element)
        return f"{gauge}: one {one.one or 'no colour'}, other {one.other or 'no colour'}"
    return f'{one.level} "{one.text}": up only by the {"one" if one.one else "other"} ({", ".join(one.statements)})'


def _read(read: Read) -> str:
    return "failed" if read.value is None else say_value(read.value, read.unit)


# ---- small parts


def _section(title: str, lines: list[Line], empty: str) -> list[Line]:
    if not lines and not empty:
        return []
    return [[], [("strong", title)], *(lines or [[("", _MARGIN + empty)]])]


def _span(segment: int, start: Fraction, end: Fraction | None, seconds: Fraction, several: bool) -> str:
    where = f"segment {segment}, " if several else ""
    until = "to the end" if end is None else f"to {_second(end)}"
    return f"{where}from {_second(start)} {until}, {_time(seconds)}"


def _gauge(quantity: str, element: int | None) -> str:
    return quantity if element is None else f"{quantity}[{element}]"


def _second(time: Fraction) -> str:
    """A time as the log counts it, so that it can be found there."""
    return say_value(time, UNITS["s"])


def _time(seconds: Fraction) -> str:
    minutes, rest = divmod(seconds, 60)
    if minutes < 2:
        return say_value(seconds, UNITS["s"])
    hours, minutes = divmod(minutes, 60)
    said = f"{hours} h {minutes} min" if hours else f"{minutes} min"
    return said + (f" {say_value(rest, UNITS['s'])}" if rest and "about" not in say_value(rest, UNITS["s"]) else "")


def _amount(value: Fraction, unit: str) -> str:
    return f"{_rounded(value)} {unit}".rstrip()


def _rounded(value: Fraction) -> str:
    """For people: exact where three decimals are, else rounded to them."""
    if (value * 1000).denominator == 1:
        return show_number(value)
    return f"about {show_number(Fraction(round(value * 1000), 1000))}"


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _indented(style: str, text: str, width: int) -> list[Line]:
    return _wrapped(style, text, width, _MARGIN, _MARGIN * 2)


def _further(text: str, width: int, style: str = "") -> list[Line]:
    return _wrapped(style, text, width, _MARGIN * 2, _MARGIN * 3)


def _wrapped(style: str, text: str, width: int, first: str = "", rest: str = _MARGIN) -> list[Line]:
    wrapped = textwrap.wrap(
        text, width, initial_indent=first, subsequent_indent=rest, break_long_words=False, break_on_hyphens=False
    )
    return [[(style, line)] for line in wrapped]
