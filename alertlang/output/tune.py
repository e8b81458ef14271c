"""What tuning a statement comes to, as text and for JSON."""

from __future__ import annotations

from alertlang.output.json import Json, every, told
from alertlang.output.library import columns
from alertlang.output.style import Line, wrapped
from alertlang.output.text import WIDTH, caution_lines, counted, tenths
from alertlang.results.tune import KNOBS, Candidate, KnobValue, Tuning
from alertlang.units.number import show_number

_HEAD = ("value", "alerts", "/h", "chatter", "fleeting", "up s", "reacts", "unseen", "late", "missed")


def tuning_lines(found: Tuning, width: int = WIDTH) -> list[Line]:
    """A table for each knob, then what may be put in the place of the statement."""
    hours = tenths(found.seconds / 3600)
    lines = wrapped(
        "strong",
        f'{found.statement} ({found.level} "{found.alert}") over {counted(len(found.logs), "log")}, {hours} h',
        width,
    )
    if found.limit is not None and found.allowed is not None:
        allowed = show_number(found.allowed)
        lines += wrapped("dim", f"the limit {found.limit} wants it within {allowed} s", width, "  ")
    if found.events:
        near = show_number(found.near)
        said = f"{counted(found.events, 'mark')} in the logs, {found.caught} of them within {near} s of this alert now"
        lines += wrapped("dim", said, width, "  ")
    if not found.judged:
        said = (
            "nothing here tells a wanted alert from a nuisance: this alert guards no limit, and no row is marked. "
            "Fewer alerts is then fewer and no better; write the limit that it guards, or have marked what mattered"
        )
        lines += wrapped("warning", said, width, "  ")
    for log, problem in found.doubts:
        column = f" ({problem.column})" if problem.column else ""
        lines += wrapped("warning", f"{log}: {problem.kind}{column}: {problem.count}; {problem.words}", width, "  ")
    if found.grid:
        lines += [[], *_grid(found, width)]
    for knob in KNOBS:
        curve = found.curve(knob)
        if curve:
            lines += [[], *_table(knob, curve, width)]
    lines += [[], *_legend(found, width), [], *_proposals(found, width)]
    return [*lines, *caution_lines(width)]


def _table(knob: str, curve: tuple[Candidate, ...], width: int) -> list[Line]:
    unit = f" ({curve[0].unit})" if curve[0].unit else ""
    rows = [_row(candidate) for candidate in curve]
    lines: list[Line] = [[("strong", f"{knob}{unit}")]]
    head, *table = columns(rows, _HEAD)
    lines.append([("", "  "), *head])
    for candidate, line in zip(curve, table, strict=True):
        style = "dim" if candidate.now else "" if candidate.harmless else "mark"
        lines.append([(style, "  " + "".join(text for _, text in line))])
        lines += wrapped("mark", "; ".join(candidate.breaks), width, "          ") if candidate.breaks else []
    return lines


def _grid(found: Tuning, width: int) -> list[Line]:
    """A row for each value of the first knob, a column for each of the second: how often the alert came up, and a
    letter for each thing that is lost."""
    rows = found.grid
    second = rows[0][0].second
    assert second is not None, "a grid is of two knobs"
    head = [_with_unit(rows[0][0].knob, rows[0][0].unit), *(_amount(one.second) for one in rows[0])]
    cells = [[show_number(row[0].value), *map(_cell, row)] for row in rows]
    sizes = [max(len(line[i]) for line in (head, *cells)) + 2 for i in range(len(head))]
    lines: list[Line] = [[("strong", f"{head[0]} downwards, {_with_unit(second.knob, second.unit)} across: alerts")]]
    for number, (line, row) in enumerate(zip((["", *head[1:]], *cells), ((), *rows), strict=True)):
        styles = ["dim", *("" if not one.losses else "mark" if not one.harmless else "" for one in row)]
        if not number:
            styles = ["dim"] * len(line)
        lines.append([("", "  "), *((s, f"{cell:<{size}}") for s, cell, size in zip(styles, line, sizes, strict=True))])
    text = (
        "*: as it is now; -: it never came up; u: so many breaks of a limit that nothing told of; l: told late; "
        "m: marks missed; x: the checks find something new. The JSON has all of each"
    )
    return [*lines, *wrapped("dim", text, width, "  ", "  ")]


def _cell(candidate: Candidate) -> str:
    said = str(candidate.alerts) if candidate.alerts else "-"
    said += "*" if candidate.now else ""
    counts = ((candidate.unseen, "u"), (candidate.late, "l"), (candidate.missed, "m"))
    said += "".join(f" {letter}{number}" for number, letter in counts if number)
    return said + (" x" if candidate.breaks else "")


def _amount(second: KnobValue | None) -> str:
    return "" if second is None else show_number(second.value)


def _with_unit(knob: str, unit: str) -> str:
    return f"{knob} ({unit})" if unit else knob


def _row(candidate: Candidate) -> tuple[str, ...]:
    return (
        show_number(candidate.value) + (" now" if candidate.now else ""),
        str(candidate.alerts),
        "none" if candidate.alerts_per_hour is None else tenths(candidate.alerts_per_hour),
        str(candidate.chattering),
        str(candidate.fleeting),
        tenths(candidate.up),
        "none" if candidate.reacts is None else show_number(candidate.reacts),
        str(candidate.unseen),
        str(candidate.late),
        str(candidate.missed),
    )


def _legend(found: Tuning, width: int) -> list[Line]:
    text = (
        "reacts: seconds until the alert is up, at worst; none where it never comes up; unseen: a limit was broken and "
        "over before anything came up; late: it was told later than it allows, and is not now; missed: marks within "
        f"{show_number(found.near)} s of the alert now and of none then"
    )
    return wrapped("dim", text, width)


def _proposals(found: Tuning, width: int) -> list[Line]:
    if not found.proposed:
        text = "nothing to propose: no value nags less, brings no new finding, tells no limit late and misses no mark"
        return wrapped("note", text, width)
    place = dict(found.place)
    now = next(one for one in found.candidates if one.now)
    lines: list[Line] = []
    for number in found.proposed:
        candidate = found.candidates[number]
        values = [KnobValue(candidate.knob, candidate.value, candidate.unit)]
        values += [] if candidate.second is None else [candidate.second]
        what = " and ".join(f"{one.knob} {show_number(one.value)} {one.unit}".rstrip() for one in values)
        places = " and ".join(dict.fromkeys(place[one.knob] for one in values))
        said = f"{what}: {counted(candidate.alerts, 'alert')} for {now.alerts}; the checks find nothing new. "
        said += f"In {places} write"
        lines += wrapped("good", said, width)
        # Not wrapped: it is there to be copied.
        lines += [[("code", f"  {line}")] for line in candidate.text.split("\n")]
        if "deadband" in {one.knob for one in values}:
            lines += wrapped("dim", "it holds for every band of the quantity, wherever it is used", width, "  ")
        if candidate.unseen > now.unseen:
            times = counted(candidate.unseen, "time")
            text = f"{times} a limit was broken for less time than it allows, and nothing came up"
            lines += wrapped("warning", text, width, "  ")
        lines.append([])
    return lines


# ---- for programs


def tuning_data(found: Tuning) -> Json:
    """Times in seconds."""
    return {
        **told(found, "rules map statement"),
        "alert": {"text": found.alert, "level": found.level},
        **told(found, "logs seconds"),
        "places": dict(found.place),
        **told(found, "near events caught judged"),
        "doubts": [{"log": log, **told(problem, "kind count column message=words")} for log, problem in found.doubts],
        **told(found, "limit allowed"),
        "candidates": every(found.candidates, _CANDIDATE),
        **told(found, "proposed"),
    }


_CANDIDATE = (
    "knob value unit now alerts alerts_per_hour chattering fleeting up reaction=reacts unseen late missed breaks "
    "harmless losses text second"
)
