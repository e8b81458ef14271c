"""A replayed log as one page: what was read and shown over time, the alerts, the limits, what the rules cost."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from alertlang.documents.html import page, picture
from alertlang.documents.timeline import draw_timeline
from alertlang.gauges.course import timer
from alertlang.model import ruleset as m
from alertlang.model.grades import numbers_by_grade
from alertlang.model.snapshot import formula_words
from alertlang.output.basis import weak_numbers
from alertlang.output.metrics import metric_value, percent
from alertlang.output.text import CAUTION
from alertlang.output.times import clock, length
from alertlang.replay.series import Series
from alertlang.results import replay as d
from alertlang.units.number import say_value


def gauges_shown(ruleset: m.RuleSet) -> tuple[str, ...]:
    """The readings that stand in the timeline: those of every gauge that has a colour, of an array each element."""
    coloured = {band.quantity for band in ruleset.bands}
    return tuple(
        m.variable(q.name, index) for q in ruleset.quantities.values() if q.name in coloured for index in q.indexes
    )


def replay_page(
    ruleset: m.RuleSet, result: d.ReplayResult, readings: Sequence[Sequence[Series]], *, tool: str, digest: str
) -> str:
    """The page. `readings`: for each segment the series of `gauges_shown`."""
    return page(
        "replay.html.j2",
        {
            "title": f"Replay of {result.log}",
            "caution": CAUTION,
            "foot": "; ".join(
                part for part in (tool, f"rules {digest}", weak_numbers(numbers_by_grade(ruleset))) if part
            ),
            "log": result.log,
            "rules": f'{result.rules.kind} "{result.rules.name}" version {result.rules.version}',
            "map": result.map,
            "rows": result.rows,
            "segments": result.segments,
            "length": f"{length(result.seconds)} recorded",
            "counts": ", ".join(_count(number, word) for word, number in result.levels),
            "pictures": [
                picture(draw_timeline(ruleset, result, number, series)) for number, series in enumerate(readings, 1)
            ],
            "lit": bool(result.lamps),
            "timed": [_timed(ruleset, band) for band in ruleset.bands if band.held is not None],
            "marks": [_mark(mark) for mark in result.marks],
            "alerts": [_alert(alert) for alert in result.alerts],
            "grave": [problem for problem in result.problems if problem.grave],
            "readings": [_reading(reading) for reading in result.readings],
            "left_out": sum(problem.count for problem in result.problems if problem.kind == "repeated-time"),
            "left_out_past": sum(problem.count for problem in result.problems if problem.kind == "left-out-limit"),
            "left_out_held": [_left_out(left_out) for left_out in result.left_out],
            "samples": result.samples,
            "violations": [
                {
                    "limit": m.variable(violation.limit, violation.element),
                    "start": clock(violation.start),
                    "end": _end(violation.end),
                    "seconds": length(violation.seconds),
                    "worst": _worst(violation.worst)
                    + (f", {say_value(violation.worst.past, violation.worst.unit)} past it" if violation.worst else ""),
                }
                for violation in result.violations
            ],
            "colours": [
                {
                    "gauge": m.variable(time.quantity, time.element),
                    "colour": time.colour or "no colour",
                    "seconds": length(time.seconds),
                    "share": f"{float(100 * time.seconds / result.seconds):.1f} %" if result.seconds else "",
                    "times": time.times,
                }
                for time in result.colour_times
            ],
            "metrics": [_metric(metric) for metric in result.metrics],
            "unexercised": result.unexercised,
            "problems": result.problems,
        },
    )


def _timed(ruleset: m.RuleSet, band: m.Band) -> str:
    """What a band becomes that takes time: `rpm above 2600 rpm: red after 5 min`."""
    waits = timer(band)
    assert waits is not None
    where = f"{m.variable(band.quantity, band.index)} {band.region.in_words(ruleset.quantities[band.quantity].unit)}"
    when = "" if band.when is None else f" when {formula_words(ruleset, band.when)}"
    unless = "" if band.unless is None else f" unless {formula_words(ruleset, band.unless)}"
    return f"{where}{when}{unless}: {band.colour.name.lower()} {waits.words}"


def _count(number: int, word: str) -> str:
    several = f"{word[:-1]}ies" if word.endswith("y") else f"{word}s"
    return f"{number} {word if number == 1 else several}"


def _reading(reading: d.ReadingUse) -> dict[str, object]:
    known = reading.low is not None and reading.high is not None
    read_in = "" if reading.read_in is None or reading.read_in == reading.unit else f" in {reading.read_in.name}"
    return {
        "name": reading.name,
        "column": "no column" if reading.column is None else reading.column + read_in,
        "low": say_value(reading.low, reading.unit) if reading.low is not None else "",
        "high": say_value(reading.high, reading.unit) if reading.high is not None else "",
        "known": known,
        "failed": percent(Fraction(reading.failed, reading.rows)) if reading.rows else "",
        "grave": reading.failed * 2 > reading.rows,
    }


def _left_out(left_out: d.LeftOut) -> dict[str, object]:
    worst = ""
    if left_out.value is not None and left_out.unit is not None and left_out.past is not None:
        past = f", {say_value(left_out.past, left_out.unit)} past it" if left_out.past > 0 else ""
        worst = f"{left_out.reading} {say_value(left_out.value, left_out.unit)}{past}"
    return {
        "what": left_out.kind,
        "name": m.variable(left_out.statement, left_out.element),
        "rows": left_out.rows,
        "first": left_out.first_row,
        "worst": worst,
    }


def _mark(mark: d.MarkedRows) -> dict[str, object]:
    return {
        "at": clock(mark.time),
        "row": mark.row,
        "alerts": ", ".join(text for _, _, text, _ in mark.alerts) or "none",
        "colours": ", ".join(f"{m.variable(name, index)} {colour}" for name, index, colour in mark.colours)
        or "nothing",
    }


def _alert(alert: d.AlertUp) -> dict[str, object]:
    margin = ""
    if alert.margin is not None:
        left = say_value(abs(alert.margin.left), alert.margin.unit)
        margin = f"{left} {'left to' if alert.margin.left >= 0 else 'past'} {alert.margin.limit}"
    return {
        "text": alert.text,
        "level": alert.level,
        "start": clock(alert.start),
        "end": _end(alert.end),
        "seconds": length(alert.seconds),
        "worst": _worst(alert.worst),
        "margin": margin,
        "statement": m.variable(alert.statement, alert.element),
    }


def _end(end: Fraction | None) -> str:
    return "still up" if end is None else clock(end)


def _worst(worst: d.Worst | None) -> str:
    return "" if worst is None else f"{worst.reading} {say_value(worst.value, worst.unit)} at {clock(worst.time)}"


def _metric(metric: d.Metric) -> dict[str, object]:
    return {
        "name": metric.name.replace("_", " "),
        "value": metric_value(metric),
        "listed": metric.names is not None,
        "words": metric.words,
        "source": metric.source,
        "status": metric.status,
        "held": [f"{held.words}: {held.verdict} ({held.source}; {held.status})" for held in metric.held_against],
    }
