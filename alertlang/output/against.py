"""Two rule sets over one recorded run, as text: each alert that is new, lost, earlier or later, then the gauges."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from alertlang.output.replay import _further, _head, _indented, _named, _span_of, problem_lines
from alertlang.output.style import Line, wrapped
from alertlang.output.text import counted
from alertlang.output.times import Times, length
from alertlang.results.replay import (
    CHANGES,
    AlertChange,
    AlertSpan,
    ReplayComparison,
    ReplayDifference,
    SampleReading,
)
from alertlang.units.number import say_value

_MARGIN = "  "


def comparison_lines(found: ReplayComparison, width: int) -> list[Line]:
    """One log under two rule sets: what became of every alert, then every stretch over which a gauge differs."""
    times = Times(found.segments, found.clock)
    lines = _head(found, width)
    for name, file in (("one", found.rules), ("other", found.against)):
        lines += wrapped(
            "dim", f'{name + ":":<7}"{file.name}" version {file.version} ({file.path})', width, rest=_MARGIN
        )
    lines += [line for grave in (True, False) for line in problem_lines(found, grave, width)]
    lines.append([])
    if found.same:
        return [*lines, *_same_lines(found, width)]
    lines += _alert_lines(found.alerts, times, width)
    colours = [difference for difference in found.differences if difference.kind == "colour"]
    if colours:
        lines += [[], [("strong", "Gauges")], *_colour_lines(colours, times, width)]
    return [*lines, [], *wrapped("strong", f"{_counts(found, colours)} on this log", width, rest=_MARGIN)]


def change_counts(changes: Iterable[AlertChange]) -> str:
    """How many became what: `2 lost, 1 later, 3 the same`."""
    counts = Counter(change.kind for change in changes)
    return ", ".join(f"{counts[kind]} {'the ' * (kind == 'same')}{kind}" for kind in CHANGES if counts[kind])


def _counts(found: ReplayComparison, colours: Sequence[ReplayDifference]) -> str:
    changed = [change for change in found.alerts if change.kind != "same"]
    said = [f"{counted(len(changed), 'alert')} not the same"] if changed else ["every alert the same"]
    return ", ".join([*said, f"{counted(len(colours), 'difference')} of gauges"])


def _alert_lines(changes: Sequence[AlertChange], times: Times, width: int) -> list[Line]:
    """Alert by alert; those that are the same are counted."""
    lines: list[Line] = [[("strong", "Alerts")]]
    if not changes:
        return [*lines, [("", f"{_MARGIN}none came up under either")]]
    groups: dict[tuple[str, str], list[AlertChange]] = {}
    for change in changes:
        groups.setdefault((change.level, change.text), []).append(change)
    for (level, text), those in groups.items():
        if all(change.kind == "same" for change in those):
            lines += _indented("", f'{level} "{text}": {change_counts(those)}', width)
            continue
        lines += _indented("strong", f'{level} "{text}": {change_counts(those)}', width)
        for change in those:
            if change.kind != "same":
                lines += _further(f"{change_words(change)}: {_spans(change, times)}", width)
    return lines


def change_words(change: AlertChange) -> str:
    """What became of it: `lost`, `later by 1.5 s`."""
    return change.kind if change.by is None else f"{change.kind} by {length(change.by)}"


def _spans(change: AlertChange, times: Times) -> str:
    one, other = change.one, change.other
    if one is None or other is None:
        span = one or other
        assert span is not None
        return _span(change.segment, span, times)
    return f"one {_span(change.segment, one, times)}; other {_span(change.segment, other, times)}"


def _span(segment: int, span: AlertSpan, times: Times) -> str:
    rows = f"row {span.first_row}" if span.first_row == span.last_row else f"rows {span.first_row} to {span.last_row}"
    said = _span_of(segment, span.start, span.end, span.seconds, times)
    return f"{said} ({rows}; {', '.join(span.statements)})"


def _colour_lines(differences: Iterable[ReplayDifference], times: Times, width: int) -> list[Line]:
    groups: dict[str, list[ReplayDifference]] = {}
    for difference in differences:
        gauge = _named(difference.quantity or "", difference.element)
        what = f"{gauge}: one {difference.one or 'no colour'}, other {difference.other or 'no colour'}"
        groups.setdefault(what, []).append(difference)
    lines: list[Line] = []
    for what, those in groups.items():
        lines += _indented("strong", what, width)
        for difference in those:
            text = _span_of(difference.segment, difference.start, difference.end, difference.seconds, times)
            if difference.first is not None and difference.last is not None:
                text += f"; {difference.first.reading} first {_read(difference.first)}, last {_read(difference.last)}"
            lines += _further(text, width)
    return lines


def _read(read: SampleReading) -> str:
    return "failed" if read.value is None else say_value(read.value, read.unit)


def _same_lines(found: ReplayComparison, width: int) -> list[Line]:
    """That nothing differs, and of what that is said."""
    count = sum(problem.count for problem in found.problems if problem.kind == "repeated-time")
    if not count:
        return wrapped("good", "no difference on this log", width, rest=_MARGIN)
    text = (
        f"no difference on the rows that count; {counted(count, 'row')} with the time of a later row were not "
        'compared: repeats = "spread" in the map\'s [options] lets them count'
    )
    return wrapped("warning", text, width, rest=_MARGIN)
