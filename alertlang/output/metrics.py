"""How much rules nag, told alike by every command: each number, what it counts by whom, and what it is held against."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from alertlang.output.style import Line, wrapped
from alertlang.output.text import tenths
from alertlang.output.times import length
from alertlang.results.replay import Metric

NOTE = "The published figures are for plants that run day and night: a yardstick, never a requirement on an aircraft."
_TIMES = frozenset({"longest_up", "longest_unacknowledged"})


def metric_value(metric: Metric) -> str:
    """The number in words; of a list of alerts how many, and which."""
    if metric.value is None:
        return "none"
    if metric.names is not None:
        return f"{len(metric.names)}" + (f" ({', '.join(metric.names)})" if metric.names else "")
    if metric.name in _TIMES:
        return length(metric.value)
    return percent(metric.value) if metric.name.endswith("_share") else tenths(metric.value)


def metric_lines(metrics: Iterable[Metric], width: int) -> list[Line]:
    lines: list[Line] = []
    for metric in metrics:
        lines += wrapped("strong", f"{metric.name}: {metric_value(metric)}", width, "  ", "    ")
        lines += wrapped("dim", f"{metric.words}; {metric.source} ({metric.status})", width, "    ", "      ")
        for held in metric.held_against:
            style = {True: "good", False: "warning", None: "dim"}[held.met]
            said = f"{held.verdict}: {held.words}; {held.source} ({held.status})"
            lines += wrapped(style, said, width, "    ", "      ")
    return [*lines, *wrapped("dim", NOTE, width, "  ", "    ")]


def percent(share: Fraction) -> str:
    """To a tenth; what is neither nothing nor all is not said to be."""
    said = tenths(share * 100)
    if share and said == "0":
        return "less than 0.1 %"
    return "more than 99.9 %" if said == "100" and share < 1 else f"{said} %"
