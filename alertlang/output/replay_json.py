"""A recorded run that was replayed, as one JSON object on one line.

Times in seconds and values are strings: exact decimals, or fractions where no decimal is exact.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from alertlang.results.replay import (
    AlertUp,
    LeftOut,
    Metric,
    Problem,
    Read,
    Reading,
    ReplayComparison,
    ReplayDifference,
    ReplayResult,
    Stretch,
    Worst,
)
from alertlang.results.report import FileName
from alertlang.units.number import show_number


def replay_json(found: ReplayResult, version: str) -> str:
    return json.dumps(replay_data(found, version), ensure_ascii=False)


def comparison_json(found: ReplayComparison, version: str) -> str:
    return json.dumps(comparison_data(found, version), ensure_ascii=False)


def replay_data(found: ReplayResult, version: str) -> dict[str, Any]:
    return {
        **_head(found.log, found.rows, found.segments, found.problems),
        "alerts": [_alert(one) for one in found.alerts],
        "colours": [
            {
                "quantity": one.quantity,
                "element": one.element,
                "colour": one.colour,
                **_span(one.segment, one.start, one.end, one.seconds),
            }
            for one in found.colours
        ],
        "metrics": {one.name: _metric(one) for one in found.metrics}
        | {"levels": dict(found.levels), "definitions": {one.name: _definition(one) for one in found.metrics}},
        "violations": [
            {
                "limit": one.limit,
                "element": one.element,
                **_span(one.segment, one.start, one.end, one.seconds),
                "worst": _worst(one.worst),
            }
            for one in found.violations
        ],
        "marks": [
            {
                "segment": one.segment,
                "time": show_number(one.time),
                "row": one.row,
                "alerts": [
                    {"statement": label, "element": element, "text": text, "level": level}
                    for label, element, text, level in one.alerts
                ],
                "colours": [
                    {"quantity": quantity, "element": element, "colour": colour}
                    for quantity, element, colour in one.colours
                ],
                "lamps": [{"text": text, "state": state} for text, state in one.lamps],
            }
            for one in found.marks
        ],
        "lamps": [
            {
                "text": one.text,
                "state": one.state,
                "light": one.light,
                "sound": one.sound,
                **_span(one.segment, one.start, one.end, one.seconds),
            }
            for one in found.lamps
        ],
        "colour_times": [
            {
                "quantity": one.quantity,
                "element": one.element,
                "colour": one.colour,
                "seconds": show_number(one.seconds),
                "times": one.times,
            }
            for one in found.colour_times
        ],
        "band_times": [
            {
                "statement": one.statement,
                "quantity": one.quantity,
                "element": one.element,
                "colour": one.colour,
                "seconds": show_number(one.seconds),
                "times": one.times,
            }
            for one in found.band_times
        ],
        "unexercised": [{"kind": one.kind, "name": one.name, "why": one.why} for one in found.unexercised],
        "left_out": [_left_out(one) for one in found.left_out],
        "readings": [_reading(one) for one in found.readings],
        "samples": found.samples,
        "stretches": [_stretch(one) for one in found.segments],
        "rules": _file(found.rules),
        "map": found.map,
        "tool": {"name": "alertlang", "version": version},
    }


def comparison_data(found: ReplayComparison, version: str) -> dict[str, Any]:
    return {
        **_head(found.log, found.rows, found.segments, found.problems),
        "same": found.same,
        "differences": [_difference(one) for one in found.differences],
        "stretches": [_stretch(one) for one in found.segments],
        "rules": _file(found.rules),
        "against": _file(found.against),
        "map": found.map,
        "tool": {"name": "alertlang", "version": version},
    }


def _head(log: str, rows: int, segments: tuple[Stretch, ...], problems: Iterable[Problem]) -> dict[str, Any]:
    return {
        "log": log,
        "rows": rows,
        "segments": len(segments),
        "seconds": show_number(sum((one.seconds for one in segments), Fraction(0))),
        "problems": [
            {
                "kind": one.kind,
                "count": one.count,
                "first_row": one.first_row,
                "column": one.column,
                "message": one.words,
            }
            for one in problems
        ],
    }


def _alert(one: AlertUp) -> dict[str, Any]:
    margin = one.margin
    return {
        "statement": one.statement,
        "element": one.element,
        "text": one.text,
        "level": one.level,
        **_span(one.segment, one.start, one.end, one.seconds),
        "acknowledged": _number(one.acknowledged),
        "worst": _worst(one.worst),
        "margin": None
        if margin is None
        else {"limit": margin.limit, "left": show_number(margin.left), "unit": margin.unit.name},
    }


def _left_out(one: LeftOut) -> dict[str, Any]:
    return {
        "statement": one.statement,
        "element": one.element,
        "kind": one.kind,
        "rows": one.rows,
        "first_row": one.first_row,
        "reading": one.reading,
        "value": _number(one.value),
        "unit": None if one.unit is None else one.unit.name,
        "past": _number(one.past),
    }


def _reading(one: Reading) -> dict[str, Any]:
    return {
        "name": one.name,
        "column": one.column,
        "read_in": None if one.read_in is None else one.read_in.name,
        "low": _number(one.low),
        "high": _number(one.high),
        "unit": one.unit.name,
        "rows": one.rows,
        "failed": one.failed,
    }


def _worst(one: Worst | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {
        "reading": one.reading,
        "value": show_number(one.value),
        "unit": one.unit.name,
        "time": show_number(one.time),
        "past": show_number(one.past),
    }


def _metric(one: Metric) -> Any:
    """Names as a list; what is counted as a number; what need not be whole as a string."""
    if one.names is not None:
        return list(one.names)
    if one.value is None:
        return None
    return int(one.value) if one.name in _COUNTS else show_number(one.value)


_COUNTS = frozenset({"alerts", "worst_10_min", "floods", "most_repeats"})


def _definition(one: Metric) -> dict[str, Any]:
    return {
        "definition": one.words,
        "source": one.source,
        "status": one.status,
        "held_against": [
            {"figure": held.words, "source": held.source, "status": held.status, "met": held.met}
            for held in one.held_against
        ],
    }


def _difference(one: ReplayDifference) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "quantity": one.quantity,
        "element": one.element,
        "text": one.text,
        "level": one.level,
        "statements": list(one.statements),
        **_span(one.segment, one.start, one.end, one.seconds),
        "rules": one.one,
        "against": one.other,
        "first": _read(one.first),
        "last": _read(one.last),
    }


def _read(one: Read | None) -> dict[str, Any] | None:
    return None if one is None else {"reading": one.reading, "value": _number(one.value), "unit": one.unit.name}


def _span(segment: int, start: Fraction, end: Fraction | None, seconds: Fraction) -> dict[str, Any]:
    return {
        "start": show_number(start),
        "end": _number(end),
        "seconds": show_number(seconds),
        "segment": segment,
    }


def _stretch(one: Stretch) -> dict[str, Any]:
    return {"samples": one.samples, "first": show_number(one.first), "last": show_number(one.last)}


def _number(value: Fraction | None) -> str | None:
    return None if value is None else show_number(value)


def _file(file: FileName) -> dict[str, Any]:
    return {"name": file.name, "version": file.version, "path": file.path}
