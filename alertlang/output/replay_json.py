"""A recorded run that was replayed, for JSON. Times in seconds."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from alertlang.output.json import Json, every, told
from alertlang.results.log_clock import LogClock
from alertlang.results.replay import MarkedRows, Metric, ReplayComparison, ReplayResult
from alertlang.units.number import show_number

_SPAN = "start end seconds segment"


def replay_data(found: ReplayResult) -> Json:
    return _clocked(found.clock, _replay_data(found))


def _replay_data(found: ReplayResult) -> dict[str, Any]:
    numbers = found.numbers
    return {
        **_head(found),
        "alerts": [
            {**told(alert, f"statement element text level {_SPAN} acknowledged worst margin"), "number": numbers[alert]}
            for alert in found.alerts
        ],
        "colours": every(found.colours, f"quantity element colour {_SPAN}"),
        "metrics": {metric.name: _metric(metric) for metric in found.metrics}
        | {"levels": dict(found.levels), "definitions": {metric.name: _definition(metric) for metric in found.metrics}},
        "violations": every(found.violations, f"limit element {_SPAN} worst"),
        "marks": [_mark(mark) for mark in found.marks],
        "lamps": every(found.lamps, f"text state light sound {_SPAN}"),
        **told(found, "colour_times band_times unexercised left_out"),
        "judged": every(found.judged, "statement element kind level text inputs missing context share judged why"),
        "readings": every(found.readings, "name column read_in low high unit rows failed"),
        "switches": [
            {
                **told(switch, "name column"),
                "positions": every(switch.positions, "position seconds times"),
                "changes": every(switch.changes, f"position {_SPAN}"),
            }
            for switch in found.switches
        ],
        **told(found, "samples stretches=segments rules map unused marks_read"),
    }


def against_data(found: ReplayComparison) -> Json:
    names = f"kind quantity element text level statements {_SPAN} rules=one against=other first last"
    data = {
        **_head(found),
        "same": found.same,
        "alerts": every(found.alerts, "kind text level segment rules=one against=other by"),
        "differences": every(found.differences, names),
        **told(found, "stretches=segments rules against map"),
    }
    return _clocked(found.clock, data)


def _head(found: ReplayResult | ReplayComparison) -> Json:
    return {
        **told(found, "log rows"),
        "segments": len(found.segments),
        "seconds": show_number(sum((segment.seconds for segment in found.segments), Fraction(0))),
        "trusted": found.trusted,
        "problems": [
            {
                **told(problem, "kind count first_row column message=words look_first=grave"),
                "trusted": not problem.distrusts(found.accepted),
            }
            for problem in found.problems
        ],
    }


# Times of the log, as the keys of the JSON call them.
_TIMES = ("start", "end", "acknowledged", "time", "first", "last")


def _clocked(clock: LogClock | None, data: Json) -> dict[str, Any]:
    """The same with what the log's own clock showed beside each time, as `start_clock`; as it is where it has none."""
    if clock is None:
        return dict(data)

    def beside(value: Any) -> Any:
        if isinstance(value, list):
            return [beside(one) for one in value]
        if not isinstance(value, dict):
            return value
        found = {}
        for key, one in value.items():
            found[key] = beside(one)
            if key in _TIMES and isinstance(one, str):
                found[f"{key}_clock"] = clock.text(Fraction(one))
        return found

    parts = ("alerts", "colours", "violations", "marks", "lamps", "stretches", "differences")
    shown = {key: beside(one) if key in parts else one for key, one in data.items()}
    return {**shown, "clock": {"start": clock.text(Fraction(0)), "dated": clock.dated, "zone": clock.zone}}


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
    return {**told(metric, "definition=words source status fits_aircraft"), "held_against": held}
