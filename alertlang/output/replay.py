"""A recorded run that was replayed, as text."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from fractions import Fraction

from alertlang.output.judged import none_of, unjudged_lines, unused_words
from alertlang.output.metrics import metric_lines, percent
from alertlang.output.style import Line, wrapped
from alertlang.output.text import counted, several
from alertlang.output.times import Times, length
from alertlang.results.bursts import Burst, bursts
from alertlang.results.replay import (
    DISTRUST,
    GRAVE,
    AlertUp,
    Problem,
    ReadingUse,
    ReplayComparison,
    ReplayResult,
    SwitchUse,
    Violation,
    Worst,
)
from alertlang.results.why import Why
from alertlang.units.number import say_value, show_number

_MARGIN = "  "
# So many alerts and limits stand on the first screen.
_MOST = 12
# From so many times in one burst on, the first screen says so: the number is that of the definition of chattering.
_NAGS = 3
# So many problems are accepted one by one; of more their kinds are named.
_FEW = 3
_STYLES = {"warning": "error", "caution": "warning", "advisory": "note", "red": "error", "yellow": "warning"}


def replay_lines(found: ReplayResult, width: int, *, everything: bool = False, yardsticks: bool = False) -> list[Line]:
    """One log: what came up, what was broken and what is doubtful, on a screen.

    `everything`: below it every time of all of these, and how long everything was as it was. `yardsticks`: how much the
    rules nag.
    """
    times = Times(found.segments, found.clock)
    lines = _head(found, width)
    lines += wrapped(
        "dim", f'rules "{found.rules.name}" version {found.rules.version} ({found.rules.path})', width, rest=_MARGIN
    )
    lines += problem_lines(found, True, width)
    lines += unjudged_lines(found, width)
    lines += _section(
        _came_up_title(found), _came_up_lines(found, times, width), none_of(found, "alert", "none came up")
    )
    broken = len(_by_limit(found))
    title = f"Limits broken: {broken}" if broken else "Limits broken"
    lines += _section(title, _broken_lines(found, times, width), none_of(found, "limit", "none"))
    lines += _marked_lines(found, times, width)
    lines += _left_out_lines(found, width)
    lines += _section("In doubt", _doubt_lines(found, width), "nothing")
    if everything:
        lines += _section("Alerts, in order of time", _alert_lines(found, times, width), "")
        lines += _section("Limits, each time", _violation_lines(found, times, width), "")
        lines += _section("Marks", _mark_lines(found, times, width), "")
        lines += _section("Lamps", _lamp_lines(found, times, width), "")
        lines += _section(
            "Readings as used", _reading_lines(found.readings, width) + _switch_lines(found.switches, width), ""
        )
        lines += _section("Time in each colour", _colour_lines(found, width), "")
        lines += _section("Time in each band (hidden or not by a worse one)", _band_lines(found, width), "")
        lines += _section("Not exercised by this log", _unexercised_lines(found, width), "")
        lines += problem_lines(found, False, width)
    if yardsticks:
        lines += _section("How much the rules nag", metric_lines(found.metrics, width), "")
    return lines + _further_words(everything, yardsticks, width)


def _further_words(everything: bool, yardsticks: bool, width: int) -> list[Line]:
    said = [] if everything else ["--all tells every time, the readings as used, colours, bands, marks and lamps"]
    said += [] if yardsticks else ["--metrics how much the rules nag" if said else "--metrics tells how much they nag"]
    return [[], *wrapped("dim", "; ".join(said), width, rest=_MARGIN)] if said else []


# ---- parts


def _head(found: ReplayResult | ReplayComparison, width: int) -> list[Line]:
    samples = sum(segment.samples for segment in found.segments)
    seconds = sum((segment.seconds for segment in found.segments), Fraction(0))
    said = f"{counted(found.rows, 'row')}, {counted(samples, 'sample')}, {length(seconds)}"
    if len(found.segments) > 1:
        said += f" in {len(found.segments)} segments"
    lines = [*wrapped("strong", found.log, width, rest=_MARGIN), *wrapped("", said, width, rest=_MARGIN)]
    if found.clock is not None and found.segments:
        begin, end = (found.clock.text(time) for time in (found.segments[0].first, found.segments[-1].last))
        zone = f" ({found.clock.zone})" if found.clock.zone else ""
        lines += wrapped("", f"by its own clock {begin} to {end}{zone}", width, rest=_MARGIN)
    return lines


# ---- the first screen


def _came_up_title(found: ReplayResult) -> str:
    said = ", ".join(counted(number, word, several(word)) for word, number in found.levels if number)
    return f"Came up: {said}" if said else "Came up"


def _came_up_lines(found: ReplayResult, times: Times, width: int) -> list[Line]:
    """One line for each alert, the gravest first, then as they came."""
    groups: dict[tuple[str, int | None], list[Burst]] = {}
    for burst in bursts(found.alerts):
        groups.setdefault((burst.alert.statement, burst.alert.element), []).append(burst)
    rank = {word: number for number, (word, _) in enumerate(found.levels)}
    ordered = sorted(groups.values(), key=lambda group: rank.get(group[0].alert.level, 0))
    rows = [
        (_STYLES[group[0].alert.level], group[0].alert.level, group[0].alert.text, _came_up_words(group, times))
        for group in ordered[:_MOST]
    ]
    wide = max((len(text) for _, _, text, _ in rows), default=0) + 2
    lines: list[Line] = []
    for style, level, text, said in rows:
        lines += _beside(style, [f"{level:<10}", f"{text:<{wide}}"], said, width)
    return lines + _more(len(ordered) - _MOST, "alert")


def _came_up_words(group: Sequence[Burst], times: Times) -> str:
    ups = [up for burst in group for up in burst.ups]
    said = _times_words([(up.segment, up.start, up.seconds) for up in ups], times)
    most = max(group, key=lambda burst: len(burst.ups))
    if len(most.ups) < _NAGS:
        return said
    which = "all" if len(group) == 1 else str(len(most.ups))
    return f"{said}; {which} within {length(most.span)}"


def _times_words(spans: Sequence[tuple[int, Fraction, Fraction]], times: Times) -> str:
    """Segment, start and seconds of each time."""
    segment, start, seconds = spans[0]
    at = _segment(segment, times) + times.at(start)
    if len(spans) == 1:
        return f"at {at} for {length(seconds)}"
    return f"{len(spans)} times from {at}, {length(sum((s for _, _, s in spans), Fraction(0)))} in all"


def _broken_lines(found: ReplayResult, times: Times, width: int) -> list[Line]:
    """One line for each limit."""
    groups = _by_limit(found)
    rows = [
        (
            _named(limit, element),
            _times_words([(v.segment, v.start, v.seconds) for v in those], times) + _past_words(_deepest(those)),
        )
        for (limit, element), those in list(groups.items())[:_MOST]
    ]
    wide = max((len(name) for name, _ in rows), default=0) + 2
    lines = [line for name, said in rows for line in _beside("error", [f"{name:<{wide}}"], said, width)]
    return lines + _more(len(groups) - _MOST, "limit")


def _marked_lines(found: ReplayResult, times: Times, width: int) -> list[Line]:
    """When the pilot marked something; what was up then is told with everything."""
    said = [f"{_segment(mark.segment, times)}{times.at(mark.time)}" for mark in found.marks[:_MOST]]
    more = f" and {len(found.marks) - _MOST} more" if len(found.marks) > _MOST else ""
    lines = _indented("", f"at {', '.join(said)}{more}", width) if said else []
    return _section(f"Marked: {len(found.marks)}", lines, "")


def _by_limit(found: ReplayResult) -> dict[tuple[str, int | None], list[Violation]]:
    """Each limit's times, those of the limit that was broken first before the others'."""
    groups: dict[tuple[str, int | None], list[Violation]] = {}
    for violation in sorted(found.violations, key=lambda violation: (violation.segment, violation.start)):
        groups.setdefault((violation.limit, violation.element), []).append(violation)
    return groups


def _deepest(violations: Iterable[Violation]) -> Worst | None:
    known = [violation.worst for violation in violations if violation.worst is not None]
    return max(known, key=lambda worst: worst.past, default=None)


def _past_words(worst: Worst | None) -> str:
    if worst is None:
        return ""
    return f", by {_amount_of(worst.past, worst.unit.name)}: {worst.reading} {say_value(worst.value, worst.unit)}"


def _doubt_lines(found: ReplayResult, width: int) -> list[Line]:
    """What stands between a quiet run and a good one."""
    lines: list[Line] = []
    unfed = [reading.name for reading in found.readings if reading.column is None]
    if unfed:
        lines += _indented("warning", f"no column feeds {', '.join(unfed)}", width)
    failed = [
        f"{reading.name} {percent(Fraction(reading.failed, reading.rows))}"
        for reading in found.readings
        if reading.column is not None and reading.failed
    ]
    if failed:
        lines += _indented("warning", f"failed readings: {', '.join(failed)} of the rows", width)
    odd: Counter[str] = Counter()
    for problem in found.problems:
        odd[problem.kind] += 0 if problem.grave or problem.kind == "no-column" else problem.count
    if +odd:
        lines += _indented("", f"found in the log: {', '.join(f'{kind} {n}' for kind, n in (+odd).items())}", width)
    if found.unused and not any(judged.missing for judged in found.not_judged):
        lines += _indented("", unused_words(found), width)
    kinds = Counter(unexercised.kind for unexercised in found.unexercised)
    if kinds:
        said = ", ".join(counted(number, kind, several(kind)) for kind, number in kinds.items())
        lines += _indented("", f"not exercised by this log, so that nothing is known of them: {said}", width)
    return lines


def _beside(style: str, cells: Sequence[str], said: str, width: int) -> list[Line]:
    """Cells in their columns and words beside them, which hang there where there is room."""
    head = _MARGIN + "".join(cells)
    indent = min(len(head), width // 2)
    folded = wrapped("", said, width, " " * len(head), " " * indent)
    folded[0] = [(style, head), ("", folded[0][0][1][len(head) :])]
    return folded


def _more(number: int, word: str) -> list[Line]:
    return [[("dim", f"{_MARGIN}and {counted(number, f'more {word}')}: see --all")]] if number > 0 else []


# ---- everything


def _alert_lines(found: ReplayResult, times: Times, width: int) -> list[Line]:
    lines: list[Line] = []
    numbers = found.numbers
    for burst in bursts(found.alerts):
        first = burst.alert
        name = _named(first.statement, first.element)
        said = f'{first.level} "{first.text}"  {name}'
        if len(burst.ups) > 1:
            said += f", {len(burst.ups)} times within {length(burst.span)}"
        lines += _indented(_STYLES[first.level], said, width)
        for up in burst.ups:
            span = _span_of(up.segment, up.start, up.end, up.seconds, times)
            lines += _further(f"{numbers[up]}: {span}{_worst(up, times)}", width)
    return lines


def _worst(alert: AlertUp, times: Times) -> str:
    if alert.worst is None:
        return ""
    text = f"; {_worst_words(alert.worst, times)}"
    if alert.margin is not None:
        left = alert.margin.left
        amount = _amount_of(abs(left), alert.margin.unit.name)
        text += f", {amount} {'past' if left < 0 else 'left to'} {alert.margin.limit}"
    return text


def _worst_words(worst: Worst, times: Times) -> str:
    return f"worst {worst.reading} {say_value(worst.value, worst.unit)} at {times.at(worst.time)}"


def _violation_lines(found: ReplayResult, times: Times, width: int) -> list[Line]:
    lines: list[Line] = []
    for (limit, element), those in _by_limit(found).items():
        lines += _indented("strong", _named(limit, element), width)
        for violation in those:
            text = _span_of(violation.segment, violation.start, violation.end, violation.seconds, times)
            if violation.worst is not None:
                text += f"; {_worst_words(violation.worst, times)}"
                text += f", {_amount_of(violation.worst.past, violation.worst.unit.name)} past it"
            lines += _further(text, width)
    return lines


def _mark_lines(found: ReplayResult, times: Times, width: int) -> list[Line]:
    lines: list[Line] = []
    for number, mark in enumerate(found.marks, 1):
        shown = [f'{level} "{text}"' for _, _, text, level in mark.alerts]
        shown += [f"{_named(quantity, element)} {colour}" for quantity, element, colour in mark.colours]
        shown += [f"{text} {state}" for text, state in mark.lamps]
        text = ", ".join(shown) if shown else "nothing up, nothing yellow or red"
        where = f"{_segment(mark.segment, times)}{times.at(mark.time)}"
        lines += _indented("", f"{number}: {where}, row {mark.row}: {text}", width)
    return lines


def _lamp_lines(found: ReplayResult, times: Times, width: int) -> list[Line]:
    lines: list[Line] = []
    for text in dict.fromkeys(lit.text for lit in found.lamps):
        lines += _indented("strong", text, width)
        for lit in found.lamps:
            if lit.text == text and lit.state != "normal":
                sound = "" if lit.sound == "silent" else f", {lit.sound} sounds"
                span = _span_of(lit.segment, lit.start, lit.end, lit.seconds, times)
                lines += _further(f"{lit.state} ({lit.light}{sound}) {span}", width)
        if len(lines[-1]) and all(lit.state == "normal" for lit in found.lamps if lit.text == text):
            lines += _further("stayed off", width)
    return lines


def _colour_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    for gauge in dict.fromkeys((time.quantity, time.element) for time in found.colour_times):
        those = [time for time in found.colour_times if (time.quantity, time.element) == gauge]
        said = ", ".join(f"{time.colour or 'no colour'} {length(time.seconds)}" for time in those)
        lines += _indented("", f"{_named(*gauge)}: {said}", width)
    return lines


def _band_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    for time in found.band_times:
        if time.times:
            text = f"{_named(time.statement, time.element)} ({time.colour}): {length(time.seconds)}"
            lines += _indented("", text + (f", {time.times} times" if time.times > 1 else ""), width)
    return lines


def _unexercised_lines(found: ReplayResult, width: int) -> list[Line]:
    lines: list[Line] = []
    groups: dict[tuple[str, str], list[str]] = {}
    for unexercised in found.unexercised:
        groups.setdefault((unexercised.kind, unexercised.why), []).append(unexercised.name)
    for (kind, why), names in groups.items():
        word = kind if len(names) == 1 else several(kind)
        lines += _indented("", f"{word} {', '.join(names)}: {why}", width)
    return lines


# ---- the log itself: what was odd about it, the readings as used, rows that were left out


def problem_lines(found: ReplayResult | ReplayComparison | Why, grave: bool, width: int) -> list[Line]:
    """What can make a quiet replay say nothing stands apart; of that first what it may not be trusted for."""
    those = [problem for problem in found.problems if problem.grave is grave]
    if grave:
        those.sort(key=lambda problem: (not problem.distrusts(found.accepted), GRAVE.index(problem.kind)))
    lines = [line for problem in those for line in _problem(problem, found.accepted, width)]
    if grave and found.doubts:
        lines += _untrusted(found.doubts, width)
    return _section("Look at this first" if grave else "Found in the log", lines, "")


def _problem(problem: Problem, accepted: Collection[str], width: int) -> list[Line]:
    column = f" ({problem.column})" if problem.column else ""
    row = f", first in row {problem.first_row}" if problem.first_row is not None else ""
    text = f"{problem.kind}{column}: {problem.count}{row}" + (f"; {problem.words}" if problem.words else "")
    if problem.kind in DISTRUST and not problem.distrusts(accepted):
        text += " (accepted)"
    style = "error" if problem.distrusts(accepted) else "warning" if problem.grave else ""
    return _indented(style, text, width)


def _untrusted(doubts: Sequence[Problem], width: int) -> list[Line]:
    """What stands between this log and an answer that can be relied on."""
    named = [problem.name if len(doubts) <= _FEW else problem.kind for problem in doubts]
    names = " ".join(f"--accept-log {_word(name)}" for name in dict.fromkeys(named))
    text = (
        "Nothing below is to be trusted before this is mended, in the column map or in the log. Accepting mends "
        f"nothing: only where it was looked at and is well, say: {names}"
    )
    return _indented("error", text, width)


def _word(name: str) -> str:
    """One word of a command line."""
    return name if re.fullmatch(r"[\w:.-]+", name) else f'"{name}"'


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


def _switch_lines(switches: Iterable[SwitchUse], width: int) -> list[Line]:
    """How long each position lasted: what cannot be true is a wrong column, or positions that are mixed up."""
    lines: list[Line] = []
    for switch in switches:
        if switch.column is None:
            lines += _indented("warning", f"{switch.name}: no column feeds it", width)
            continue
        said = ", ".join(f"{time.position or 'unknown'} {length(time.seconds)}" for time in switch.positions)
        lines += _indented("", f"{switch.name}: {said} ({switch.column})", width)
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
        name = _named(left_out.statement, left_out.element)
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


def _span_of(segment: int, start: Fraction, end: Fraction | None, seconds: Fraction, times: Times) -> str:
    until = "to the end" if end is None else f"to {times.at(end)}"
    return f"{_segment(segment, times)}from {times.at(start)} {until}, {length(seconds)}"


def _segment(number: int, times: Times) -> str:
    return f"segment {number}, " if times.several else ""


def _named(name: str, element: int | None) -> str:
    return name if element is None else f"{name}[{element}]"


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
