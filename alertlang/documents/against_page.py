"""Two rule sets over one recorded run as a page: what became of every alert, drawn and listed, and which gauges
differ."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from fractions import Fraction

from matplotlib import rc_context
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from alertlang.documents.html import page, picture
from alertlang.documents.paint import STYLE, saved
from alertlang.model import ruleset as m
from alertlang.output.against import change_counts, change_words
from alertlang.output.text import CAUTION
from alertlang.output.times import Times, clock, length
from alertlang.results import replay as d
from alertlang.units.number import say_value

_WIDTH, _LEFT, _LANE = 10.5, 2.4, 0.32
# Of the axes; what is shorter could not be found.
_LEAST = 0.003
# The one above, the other below it in the same lane: told apart in black and white.
_ONE = {"facecolor": "#111111", "edgecolor": "#111111"}
_OTHER = {"facecolor": "#ffffff", "edgecolor": "#111111", "hatch": "////"}


def against_page(found: d.ReplayComparison, *, tool: str) -> str:
    """The page, with every time that an alert was up under either."""
    times = Times(found.segments, found.clock)
    changed = [change for change in found.alerts if change.kind != "same"]
    same = sum(change.kind == "same" for change in found.alerts)
    return page(
        "against.html.j2",
        {
            "title": f"Two rule sets over {found.log}",
            "caution": CAUTION,
            "foot": tool,
            "log": found.log,
            "one": _rules(found.rules),
            "other": _rules(found.against),
            "map": found.map,
            "rows": found.rows,
            "same": found.same,
            "counts": change_counts(found.alerts) or "no alert came up under either",
            "grave": [problem for problem in found.problems if problem.grave],
            "untrusted": [problem.name for problem in found.doubts],
            "several": len(found.segments) > 1,
            "pictures": [
                picture(_drawn(found, number))
                for number in range(1, len(found.segments) + 1)
                if any(change.segment == number for change in changed)
            ],
            "changes": [_change(change, times) for change in sorted(changed, key=_begins)],
            "unchanged": same,
            "colours": [_colour(one, times) for one in found.differences if one.kind == "colour"],
        },
    )


def _rules(file: object) -> str:
    return f'"{getattr(file, "name", "")}" version {getattr(file, "version", "")}'


def _begins(change: d.AlertChange) -> tuple[int, Fraction]:
    return change.segment, min(span.start for span in (change.one, change.other) if span is not None)


def _change(change: d.AlertChange, times: Times) -> dict[str, object]:
    return {
        "text": change.text,
        "level": change.level,
        "segment": change.segment,
        "kind": change_words(change),
        "one": _span(change.one, times),
        "other": _span(change.other, times),
    }


def _span(span: d.AlertSpan | None, times: Times) -> str:
    if span is None:
        return "not up"
    until = "still up at the end" if span.end is None else times.at(span.end)
    rows = f"row {span.first_row}" if span.first_row == span.last_row else f"rows {span.first_row} to {span.last_row}"
    names = ", ".join(span.statements)
    return f"{times.at(span.start)} to {until}, {length(span.seconds)} ({rows}; {names})"


def _colour(difference: d.ReplayDifference, times: Times) -> dict[str, object]:
    return {
        "gauge": m.variable(difference.quantity or "", difference.element),
        "segment": difference.segment,
        "one": difference.one or "no colour",
        "other": difference.other or "no colour",
        "start": times.at(difference.start),
        "end": "the end" if difference.end is None else times.at(difference.end),
        "seconds": length(difference.seconds),
        "first": _read(difference.first),
        "last": _read(difference.last),
    }


def _read(read: d.SampleReading | None) -> str:
    if read is None:
        return ""
    return "failed" if read.value is None else say_value(read.value, read.unit)


# ---- the picture


def _drawn(found: d.ReplayComparison, number: int) -> bytes:
    """One segment: a lane for each alert that is not the same throughout, the one's times above the other's."""
    segment = found.segments[number - 1]
    those = [change for change in found.alerts if change.segment == number]
    changed = dict.fromkeys((change.level, change.text) for change in those if change.kind != "same")
    lanes = sorted(changed, key=lambda lane: ("warning", "caution", "advisory").index(lane[0]))
    total = len(lanes) * _LANE + 0.7
    with rc_context(STYLE):
        figure = Figure(figsize=(_WIDTH, total))
        axes = figure.add_axes(
            (_LEFT / _WIDTH, 0.45 / total, (_WIDTH - _LEFT - 0.2) / _WIDTH, len(lanes) * _LANE / total)
        )
        first, seconds = float(segment.first), float(segment.seconds) or 1.0
        for row, lane in enumerate(lanes):
            of = [change for change in those if (change.level, change.text) == lane]
            _bars(axes, row + 0.08, [change.one for change in of], (first, seconds), _ONE)
            _bars(axes, row + 0.52, [change.other for change in of], (first, seconds), _OTHER)
            if row:
                axes.axhline(row, color="#cccccc", linewidth=0.5, zorder=0)
        names = [textwrap.shorten(f"{text}, {level}", 44, placeholder=" ...") for level, text in lanes]
        axes.set_yticks([row + 0.5 for row in range(len(lanes))], names, fontsize=7)
        axes.set_ylim(len(lanes), 0)
        axes.set_xlim(first, first + seconds)
        ticks = [first + seconds * part / 6 for part in range(7)]
        axes.set_xticks(ticks, [clock(Fraction(round(tick))) for tick in ticks], fontsize=7)
        axes.tick_params(axis="y", length=0)
        return saved(figure, "svg", dpi=120)


def _bars(
    axes: object,
    top: float,
    spans: Sequence[d.AlertSpan | None],
    segment: tuple[float, float],
    look: dict[str, str],
) -> None:
    first, seconds = segment
    for span in spans:
        if span is not None:
            width = max(float(span.seconds), _LEAST * seconds)
            start = min(float(span.start), first + seconds - width)
            bar = Rectangle((start, top), width, 0.4, linewidth=0.6, **look)  # type: ignore[arg-type]
            axes.add_patch(bar)  # type: ignore[attr-defined]
