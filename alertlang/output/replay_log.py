"""What is told of the log itself as text: what was odd about it, the readings as used, rows that were left out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from alertlang.output.replay_parts import MARGIN, amount_of, gauge_name, indented, percent, rounded, section
from alertlang.output.style import Line, wrapped
from alertlang.output.text import counted
from alertlang.results.replay import Problem, Reading, ReplayComparison, ReplayResult
from alertlang.units.number import say_value


def problem_lines(problems: Sequence[Problem], width: int) -> list[Line]:
    """What can make a quiet replay say nothing comes first, and apart."""
    lines: list[Line] = []
    for title, grave in (("Look at this first", True), ("Found in the log", False)):
        some: list[Line] = []
        for one in problems:
            if one.grave is grave:
                column = f" ({one.column})" if one.column else ""
                row = f", first in row {one.first_row}" if one.first_row is not None else ""
                text = f"{one.kind}{column}: {one.count}{row}" + (f"; {one.words}" if one.words else "")
                some += indented("warning" if grave else "", text, width)
        lines += section(title, some, "")
    return lines


def reading_lines(readings: Iterable[Reading], width: int) -> list[Line]:
    """How far each reading went: what cannot be true is a wrong column or a wrong unit."""
    lines: list[Line] = []
    for one in readings:
        if one.column is None or one.read_in is None:
            lines += indented("warning", f"{one.name}: no column feeds it", width)
            continue
        if one.low is None or one.high is None:
            said = "nothing was read"
        else:
            said = f"{rounded(one.low)} to {amount_of(one.high, one.unit.name)}"
        unit = f" in {one.read_in.name}" if one.read_in.name and one.read_in != one.unit else ""
        failed = f"; {percent(Fraction(one.failed, one.rows))} failed" if one.failed else ""
        style = "warning" if one.failed * 2 > one.rows else ""
        lines += indented(style, f"{one.name}: {said} ({one.column}{unit}){failed}", width)
    return lines


def left_out_lines(found: ReplayResult, width: int) -> list[Line]:
    """Rows that do not count may have broken a limit, and nobody would know."""
    count = sum(one.count for one in found.problems if one.kind == "repeated-time")
    if not count:
        return []
    held = sum(one.count for one in found.problems if one.kind == "left-out-limit")
    lines: list[Line] = []
    for one in found.left_out:
        rows = counted(one.rows, "row")
        text = f"{one.kind} {gauge_name(one.statement, one.element)}: {rows}, first row {one.first_row}"
        if one.value is not None and one.unit is not None and one.past is not None:
            text += f"; worst {one.reading} {say_value(one.value, one.unit)}"
            text += f", {amount_of(one.past, one.unit.name)} past it" if one.past > 0 else ""
        lines += indented("error", text, width)
    if not held:
        text = (
            f"{counted(count, 'row')} left out: a later row has their time. None of them holds a limit broken or red."
        )
        return [[], *wrapped("", text, width, rest=MARGIN)]
    text = (
        f"{held} of {count} left-out rows are past a limit, red or a warning, and nothing above shows it. "
        'They have the time of a later row; repeats = "spread" in the map\'s [options] lets them count'
    )
    return [[], [("strong", "Rows that were left out")], *indented("error", text, width), *lines]


def same_lines(found: ReplayComparison, width: int) -> list[Line]:
    """That nothing differs, and of what that is said."""
    count = sum(one.count for one in found.problems if one.kind == "repeated-time")
    if not count:
        return wrapped("good", "no difference on this log", width, rest=MARGIN)
    text = (
        f"no difference on the rows that count; {counted(count, 'row')} with the time of a later row were not "
        'compared: repeats = "spread" in the map\'s [options] lets them count'
    )
    return wrapped("warning", text, width, rest=MARGIN)
