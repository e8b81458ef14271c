"""A recorded run that was replayed, for JSON. Times in seconds."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from alertlang.output.json import Json, every, told
from alertlang.results.replay import MarkedRows, Metric, ReplayComparison, ReplayResult
from alertlang.units.number import show_number

_SPAN = "start end seconds segment"


def replay_data(found: ReplayResult) -> Json:
    return {
        **_head(found),
        "alerts": every(found.alerts, f"statement element text level {_SPAN} acknowledged worst margin"),
        "colours": every(found.colours, f"quantity element colour {_SPAN}"),
        "metrics": {metric.name: _metric(metric) for metric in found.metrics}
        | {"levels": dict(found.levels), "definitions": {metric.name: _definition(metric) for metric in found.metrics}},
        "violations": every(found.violations, f"limit element {_SPAN} worst"),
        "marks": [_mark(mark) for mark in found.marks],
        "lamps": every(found.lamps, f"text state light sound {_SPAN}"),
        **told(found, "colour_times band_times unexercised left_out"),
        "judged": every(found.judged, "statement element kind level text inputs missing context share judged why"),
        "readings": every(found.readings, "name column read_in low high unit rows failed"),
        **told(found, "samples stretches=segments rules map"),
    }


def against_data(found: ReplayComparison) -> Json:
    names = f"kind quantity element text level statements {_SPAN} rules=one against=other first last"
    return {
        **_head(found),
        "same": found.same,
        "alerts": every(found.alerts, "kind text level segment rules=one against=other by"),
        "differences": every(found.differences, names),
        **told(found, "stretches=segments rules against map"),
    }


def _head(found: ReplayResult | ReplayComparison) -> Json:
    return {
        **told(found, "log rows"),
        "segments": len(found.segments),
        "seconds": show_number(sum((segment.seconds for segment in found.segments), Fraction(0))),
        "problems": every(found.problems, "kind count first_row column message=words"),
    }


def _mark(mark: MarkedRows) -> Json:
    def named(names: tuple[str, ...], rows: tuple[tuple[Any, ...], ...]) -> list[Json]:
        return [dict(zip(names, row, strict=True)) for row in rows]

    return {
        **told(mark, "segment time row"),
        "alerts": named(("statement", "element", "text", "level"), mark.alerts),
        "colours": named(("quantity", "element", "colour"), mark.colours),
        "lamps": named(("text", "state"), mark.lamps),
    }


def _metric(metric: Metric) -> Any:
    """Names as a list; what is counted as a number; what need not be whole as a string."""
    if metric.names is not None:
        return list(metric.names)
    if metric.value is None:
        return None
    return int(metric.value) if metric.name in _COUNTS else show_number(metric.value)


_COUNTS = frozenset({"alerts", "worst_10_min", "floods", "most_repeats"})


def _definition(metric: Metric) -> Json:
    held = every(metric.held_against, "figure=words source status met")
    return {**told(metric, "definition=words source status"), "held_against": held}
