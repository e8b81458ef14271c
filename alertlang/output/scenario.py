"""A scenario that was run: as text and for JSON."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from alertlang.findings.finding import WitnessReading
from alertlang.output.json import Json, every, finding_data, told
from alertlang.output.style import Line, wrapped
from alertlang.output.text import counted, field, finding_lines, snippet
from alertlang.results.scenario import Difference, Read, Reason, ScenarioReport
from alertlang.text.source import Span
from alertlang.units.number import say_value, show_number


def scenario_lines(report: ScenarioReport, width: int) -> list[Line]:
    """What became of one scenario, and the first difference."""
    lines: list[Line] = []
    for finding in report.findings:
        lines += [*finding_lines(finding, width), []]
    file = report.file
    if not report.readable:
        return [*lines, *wrapped("error", f"{file.path}: not run: it could not be read", width)]
    found = report.difference
    rules = f', rules "{report.rules.name}" version {report.rules.version}' if report.rules is not None else ""
    said = counted(report.expectations, "expectation")
    if found is None:
        over = f" over {_seconds(report.seconds)}" if report.seconds else ""
        text = f'as said   "{file.name}" ({file.path}): {said}, {counted(report.samples, "sample")}{over}{rules}'
        return [*lines, *wrapped("good", text, width, rest="          ")]
    lines += wrapped("error", f'differs   "{file.name}" ({file.path}): {said}{rules}', width, rest="          ")
    return [*lines, *_difference_lines(found, width)]


def _difference_lines(found: Difference, width: int) -> list[Line]:
    place = f"{found.where.source.path}:{found.where.line}:{found.where.column}: "
    since = f" (it had to be so from {_seconds(found.since)} on)" if found.time != found.since else ""
    lines: list[Line] = [[("dim", place), ("error", f"at {_seconds(found.time)}")]]
    lines += [[("", "  "), *line] for line in wrapped("strong", found.message + since, width - 2)]
    lines += snippet(found.where, width)
    if found.read:
        lines += field("read", read_words(found.read), width)
    for i, reason in enumerate(found.reasons):
        lines += field("" if i else "why", _reason(reason), width)
    if found.more:
        lines += field("", f"and {counted(found.more, 'more statement')}", width)
    return lines


def _reason(reason: Reason) -> str:
    return f"{reason.label} ({_place(reason.where)}) {reason.says}"


def _place(span: Span) -> str:
    return f"{span.source.path} line {span.line}"


def read_words(read: Read) -> str:
    """For example `rpm 2100 rpm, oil_temp failed, canopy open`."""
    return ", ".join(f"{name} {_value(value)}" for name, value in read.items())


def _value(value: WitnessReading | str | None) -> str:
    if isinstance(value, WitnessReading):
        return say_value(value.value, value.unit)
    return "failed" if value is None else value


def summary_lines(reports: Iterable[ScenarioReport], width: int) -> list[Line]:
    """One line over all of several scenarios."""
    listed = list(reports)
    if len(listed) < 2:
        return []
    counts = (
        (sum(1 for report in listed if report.as_said), "as said"),
        (sum(1 for report in listed if report.difference is not None), "with a difference"),
        (sum(1 for report in listed if not report.readable), "not run"),
    )
    told = ", ".join(f"{count} {word}" for count, word in counts if count)
    style = "good" if all(report.as_said for report in listed) else "error"
    return [[], *wrapped(style, f"{len(listed)} scenarios: {told}", width)]


# ---- for programs


def scenario_data(report: ScenarioReport) -> Json:
    """Times in seconds."""
    found = report.difference
    return {
        **told(report, "scenario=file rules readable as_said expectations samples seconds"),
        "difference": None
        if found is None
        else {
            **told(found, "time since where expected message read"),
            "reasons": every(found.reasons, "statement=label where applies says"),
            "more": found.more,
        },
        "findings": [finding_data(finding) for finding in report.findings],
    }


# ---- small parts


def _seconds(time: Fraction) -> str:
    minutes, rest = divmod(time, 60)
    if minutes < 2:
        return f"{show_number(time)} s"
    return f"{minutes} min" + (f" {show_number(rest)} s" if rest else "")
