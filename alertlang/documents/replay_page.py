"""A replayed log as one page: what was read and shown over time, the alerts, the limits, what the rules cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from alertlang.documents.html import page
from alertlang.documents.timeline import Timeline, limit_words
from alertlang.gauges.course import timer
from alertlang.model import ruleset as m
from alertlang.model.grades import numbers_by_grade
from alertlang.model.snapshot import formula_words
from alertlang.output.basis import weak_numbers
from alertlang.output.judged import none_of, unjudged
from alertlang.output.metrics import metric_value, percent
from alertlang.output.text import CAUTION, counted, several
from alertlang.output.times import Times, length
from alertlang.replay.series import Series
from alertlang.results import replay as d
from alertlang.results.bursts import Burst, bursts
from alertlang.units.number import say_value

MANY, FEW = 5000, 20
"""With more alerts and broken limits than MANY no browser would open the page: then so FEW of each burst, and of each
limit, are listed and linked; all are drawn."""


def gauges_shown(ruleset: m.RuleSet) -> tuple[str, ...]:
    """The readings that stand in the timeline: those of every gauge that has a colour, of an array each element."""
    coloured = {band.quantity for band in ruleset.bands}
    return tuple(
        m.variable(q.name, index) for q in ruleset.quantities.values() if q.name in coloured for index in q.indexes
    )


def replay_page(
    ruleset: m.RuleSet,
    result: d.ReplayResult,
    readings: Sequence[Sequence[Series]],
    *,
    tool: str,
    digest: str,
    yardsticks: bool = False,
) -> str:
    """The page. `readings`: for each segment the series of `gauges_shown`. `yardsticks`: also what was published for
    plants."""
    times = Times(result.segments, result.clock)
    told = bursts(result.alerts)
    violations = sorted(result.violations, key=lambda violation: (violation.segment, violation.start))
    most = None if len(result.alerts) + len(violations) <= MANY else FEW
    # By this number `why` knows it, too.
    by_time = result.numbers
    numbers = {id(up): by_time[up] for burst in told for up in burst.ups[:most]}
    limits: dict[tuple[str, int | None], list[d.Violation]] = {}
    for violation in violations:
        limits.setdefault((violation.limit, violation.element), []).append(violation)
    broken = [violation for those in limits.values() for violation in those[:most]]
    numbers |= {id(violation): number for number, violation in enumerate(broken, 1)}
    numbers |= {id(mark): number for number, mark in enumerate(result.marks, 1)}
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
            "counts": ", ".join(counted(number, word, several(word)) for word, number in result.levels if number),
            "limits_broken": len(limits),
            "pictures": [
                Timeline(ruleset, result, number, series, times, numbers).html()
                for number, series in enumerate(readings, 1)
            ],
            "lit": bool(result.lamps),
            "timed": [_timed(ruleset, band) for band in ruleset.bands if band.held is not None],
            "marks": [_mark(mark, numbers, times) for mark in result.marks],
            "bursts": [_burst(burst, numbers, times) for burst in told],
            "several": times.several,
            "grave": _grave(result),
            "trusted": result.trusted,
            "began": "" if result.clock is None else result.clock.text(Fraction(0)),
            "zone": result.clock is not None and result.clock.zone is not None,
            "unjudged": unjudged(result),
            "none_up": none_of(result, "alert", "No alert came up"),
            "none_broken": none_of(result, "limit", "No limit was broken for longer than it allows"),
            "readings": [_reading(reading) for reading in result.readings],
            "switches": [_switch(switch) for switch in result.switches],
            "left_out": sum(problem.count for problem in result.problems if problem.kind == "repeated-time"),
            "left_out_past": sum(problem.count for problem in result.problems if problem.kind == "left-out-limit"),
            "left_out_held": [_left_out(left_out) for left_out in result.left_out],
            "samples": result.samples,
            "violations": _violations(limits, ruleset, numbers, times),
            "colours": [
                {
                    "gauge": m.variable(time.quantity, time.element),
                    "colour": time.colour or "no colour",
                    "seconds": length(time.seconds),
                    "share": percent(time.seconds / result.seconds) if result.seconds else "",
                    "times": time.times,
                }
                for time in result.colour_times
            ],
            "metrics": [_metric(metric) for metric in result.metrics if yardsticks or metric.fits_aircraft],
            "yardsticks": yardsticks,
            "unexercised": [_unexercised(ruleset, unexercised) for unexercised in result.unexercised],
            "problems": result.problems,
        },
    )


def _grave(result: d.ReplayResult) -> list[dict[str, object]]:
    """First that for which the run may not be trusted."""
    those = [problem for problem in result.problems if problem.grave]
    those.sort(key=lambda problem: (not problem.distrusts(result.accepted), d.GRAVE.index(problem.kind)))
    return [
        {
            "kind": problem.kind,
            "column": problem.column,
            "count": problem.count,
            "first_row": problem.first_row,
            "words": problem.words,
            "accepted": problem.kind in d.DISTRUST and not problem.distrusts(result.accepted),
        }
        for problem in those
    ]


def _burst(burst: Burst, numbers: Mapping[int, int], times: Times) -> dict[str, object]:
    first = burst.alert
    deepest = burst.deepest
    return {
        "number": numbers[id(first)],
        "level": first.level,
        "text": first.text,
        "statement": m.variable(first.statement, first.element),
        "segment": first.segment,
        "at": times.at(first.start),
        "count": len(burst.ups),
        "how": f"{len(burst.ups)} times within {length(burst.span)}"
        if len(burst.ups) > 1
        else f"for {length(first.seconds)}",
        "worst": "" if deepest is None else _worst(deepest.worst, times),
        "ups": [_up(up, numbers[id(up)], times) for up in burst.ups if id(up) in numbers],
        "more": sum(id(up) not in numbers for up in burst.ups),
    }


def _up(up: d.AlertUp, number: int, times: Times) -> dict[str, object]:
    acknowledged = "" if up.acknowledged is None else f"acknowledged at {times.at(up.acknowledged)}"
    return {
        "number": number,
        "start": times.at(up.start),
        "end": _end(up.end, times),
        "seconds": length(up.seconds),
        "worst": "; ".join(part for part in (_worst(up.worst, times), _margin(up), acknowledged) if part),
    }


def _violations(
    groups: Mapping[tuple[str, int | None], Sequence[d.Violation]],
    ruleset: m.RuleSet,
    numbers: Mapping[int, int],
    times: Times,
) -> list[dict[str, object]]:
    """Limit by limit, that which was broken first before the others."""
    found: list[dict[str, object]] = []
    for (label, element), those in groups.items():
        declared = next(one for one in ruleset.ranges if one.label == label)
        known = [one.worst for one in those if one.worst is not None]
        deepest = max(known, key=lambda worst: worst.past, default=None)
        seconds = length(sum((one.seconds for one in those), Fraction(0)))
        found.append(
            {
                "number": numbers[id(those[0])],
                "limit": m.variable(label, element),
                "asks": limit_words(ruleset, declared),
                "segment": those[0].segment,
                "at": times.at(those[0].start),
                "count": len(those),
                "how": f"{len(those)} times, {seconds} in all" if len(those) > 1 else f"for {seconds}",
                "worst": _past(deepest, times),
                "times": [
                    {
                        "number": numbers[id(one)],
                        "start": times.at(one.start),
                        "end": _end(one.end, times),
                        "seconds": length(one.seconds),
                        "worst": _past(one.worst, times),
                    }
                    for one in those
                    if id(one) in numbers
                ],
                "more": sum(id(one) not in numbers for one in those),
            }
        )
    return found


def _past(worst: d.Worst | None, times: Times) -> str:
    return "" if worst is None else f"by {say_value(worst.past, worst.unit)}: {_worst(worst, times)}"


def _timed(ruleset: m.RuleSet, band: m.Band) -> str:
    """What a band becomes that takes time: `rpm above 2600 rpm: red after 5 min`."""
    waits = timer(band)
    assert waits is not None
    return f"{_asks(ruleset, band)} {waits.words}"


def _asks(ruleset: m.RuleSet, band: m.Band) -> str:
    where = f"{m.variable(band.quantity, band.index)} {band.region.in_words(ruleset.quantities[band.quantity].unit)}"
    when = "" if band.when is None else f" when {formula_words(ruleset, band.when)}"
    unless = "" if band.unless is None else f" unless {formula_words(ruleset, band.unless)}"
    return f"{where}{when}{unless}: {band.colour.name.lower()}"


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


def _switch(switch: d.SwitchUse) -> dict[str, object]:
    return {
        "name": switch.name,
        "column": "no column" if switch.column is None else switch.column,
        "positions": ", ".join(f"{time.position or 'unknown'} {length(time.seconds)}" for time in switch.positions),
    }


def _unexercised(ruleset: m.RuleSet, unexercised: d.Unexercised) -> dict[str, object]:
    """A band with what it asks: the name of one that was given none says nothing."""
    band = next((band for band in ruleset.bands if band.label == m.ReadingId(unexercised.name).quantity), None)
    said = "" if unexercised.kind != "band" or band is None else _asks(ruleset, band)
    return {"kind": unexercised.kind, "name": unexercised.name, "why": unexercised.why, "is": said}


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


def _mark(mark: d.MarkedRows, numbers: Mapping[int, int], times: Times) -> dict[str, object]:
    return {
        "number": numbers[id(mark)],
        "at": times.at(mark.time),
        "row": mark.row,
        "alerts": ", ".join(text for _, _, text, _ in mark.alerts) or "none",
        "colours": ", ".join(f"{m.variable(name, index)} {colour}" for name, index, colour in mark.colours)
        or "nothing",
    }


def _margin(alert: d.AlertUp) -> str:
    if alert.margin is None:
        return ""
    left = say_value(abs(alert.margin.left), alert.margin.unit)
    return f"{left} {'left to' if alert.margin.left >= 0 else 'past'} {alert.margin.limit}"


def _end(end: Fraction | None, times: Times) -> str:
    return "the end" if end is None else times.at(end)


def _worst(worst: d.Worst | None, times: Times) -> str:
    return "" if worst is None else f"{worst.reading} {say_value(worst.value, worst.unit)} at {times.at(worst.time)}"


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
