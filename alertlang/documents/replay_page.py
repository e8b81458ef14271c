"""A replayed log as one page: what was read and shown over time, the alerts, the limits, what the rules cost."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from alertlang.documents.html import page, picture
from alertlang.documents.timeline import clock, draw_timeline
from alertlang.gauges.course import timer
from alertlang.model import ruleset as m
from alertlang.model.grades import numbers_by_grade
from alertlang.model.snapshot import formula_words
from alertlang.output.basis import weak_numbers
from alertlang.output.replay import percent
from alertlang.output.text import CAUTION
from alertlang.replay.series import Series
from alertlang.results import replay as d
from alertlang.units.number import say_value, show_number


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
            "length": f"{clock(result.seconds)} recorded",
            "counts": ", ".join(_count(number, word) for word, number in result.levels),
            "pictures": [
                picture(draw_timeline(ruleset, result, number, series)) for number, series in enumerate(readings, 1)
            ],
            "lit": bool(result.lamps),
            "timed": [_timed(ruleset, band) for band in ruleset.bands if band.held is not None],
            "marks": [_mark(one) for one in result.marks],
            "alerts": [_alert(one) for one in result.alerts],
            "grave": [one for one in result.problems if one.grave],
            "readings": [_reading(one) for one in result.readings],
            "left_out": sum(one.count for one in result.problems if one.kind == "repeated-time"),
            "left_out_past": sum(one.count for one in result.problems if one.kind == "left-out-limit"),
            "left_out_held": [_left_out(one) for one in result.left_out],
            "samples": result.samples,
            "violations": [
                {
                    "limit": m.variable(one.limit, one.element),
                    "start": clock(one.start),
                    "end": _end(one.end),
                    "seconds": _seconds(one.seconds),
                    "worst": _worst(one.worst)
                    + (f", {say_value(one.worst.past, one.worst.unit)} past it" if one.worst else ""),
                }
                for one in result.violations
            ],
            "colours": [
                {
                    "gauge": m.variable(one.quantity, one.element),
                    "colour": one.colour or "no colour",
                    "seconds": _seconds(one.seconds),
                    "share": f"{float(100 * one.seconds / result.seconds):.1f} %" if result.seconds else "",
                    "times": one.times,
                }
                for one in result.colour_times
            ],
            "metrics": [_metric(one) for one in result.metrics],
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


def _reading(one: d.ReadingUse) -> dict[str, object]:
    known = one.low is not None and one.high is not None
    read_in = "" if one.read_in is None or one.read_in == one.unit else f" in {one.read_in.name}"
    return {
        "name": one.name,
        "column": "no column" if one.column is None else one.column + read_in,
        "low": say_value(one.low, one.unit) if one.low is not None else "",
        "high": say_value(one.high, one.unit) if one.high is not None else "",
        "known": known,
        "failed": percent(Fraction(one.failed, one.rows)) if one.rows else "",
        "grave": one.failed * 2 > one.rows,
    }


def _left_out(one: d.LeftOut) -> dict[str, object]:
    worst = ""
    if one.value is not None and one.unit is not None and one.past is not None:
        past = f", {say_value(one.past, one.unit)} past it" if one.past > 0 else ""
        worst = f"{one.reading} {say_value(one.value, one.unit)}{past}"
    return {
        "what": one.kind,
        "name": m.variable(one.statement, one.element),
        "rows": one.rows,
        "first": one.first_row,
        "worst": worst,
    }


def _mark(one: d.MarkedRows) -> dict[str, object]:
    return {
        "at": clock(one.time),
        "row": one.row,
        "alerts": ", ".join(text for _, _, text, _ in one.alerts) or "none",
        "colours": ", ".join(f"{m.variable(name, index)} {colour}" for name, index, colour in one.colours) or "nothing",
    }


def _alert(one: d.AlertUp) -> dict[str, object]:
    margin = ""
    if one.margin is not None:
        left = say_value(abs(one.margin.left), one.margin.unit)
        margin = f"{left} {'left to' if one.margin.left >= 0 else 'past'} {one.margin.limit}"
    return {
        "text": one.text,
        "level": one.level,
        "start": clock(one.start),
        "end": _end(one.end),
        "seconds": _seconds(one.seconds),
        "worst": _worst(one.worst),
        "margin": margin,
        "statement": m.variable(one.statement, one.element),
    }


def _end(end: Fraction | None) -> str:
    return "still up" if end is None else clock(end)


def _seconds(seconds: Fraction) -> str:
    return show_number(seconds) if (seconds * 1000).denominator == 1 else f"{float(seconds):.3f}"


def _worst(one: d.Worst | None) -> str:
    return "" if one is None else f"{one.reading} {say_value(one.value, one.unit)} at {clock(one.time)}"


def _metric(one: d.Metric) -> dict[str, object]:
    if one.names is not None:
        value = ", ".join(one.names) or "none"
    elif one.value is None:
        value = "no time"
    elif one.name.endswith("_share"):
        value = f"{float(100 * one.value):.1f} %"
    else:
        value = show_number(one.value) if (one.value * 100).denominator == 1 else f"{float(one.value):.2f}"
    return {
        "name": one.name.replace("_", " "),
        "value": value,
        "listed": one.names is not None,
        "words": one.words,
        "source": one.source,
        "status": one.status,
        "held": [f"{held.words}: {held.verdict} ({held.source}; {held.status})" for held in one.held_against],
    }
