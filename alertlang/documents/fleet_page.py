"""A fleet of logs as one page: what comes up how often on which aircraft, which alerts nag, which limits were broken
and by how much, and which recordings were not understood. Every number leads to the runs behind it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from markupsafe import Markup, escape

from alertlang.documents.html import page
from alertlang.output.metrics import metric_value
from alertlang.output.text import CAUTION, counted, several, tenths
from alertlang.output.times import clock, length
from alertlang.results.fleet import FleetLog, FleetResult, LogAlert, LogLimit
from alertlang.units.number import show_number

MOST = 100
"""Runs that are listed below one alert or one limit; the tables have all."""

_BAR, _HIGH = 7, 30


@dataclass(frozen=True, slots=True)
class Aircraft:
    """One aircraft: the places of its logs, in order of time where all say when they began, else by name."""

    number: int
    name: str
    logs: tuple[int, ...]
    seconds: Fraction


def fleet_page(found: FleetResult, *, tool: str, digest: str) -> str:
    """The page."""
    fleet = _aircraft(found)
    of = {log: one for one in fleet for log in one.logs}
    most = max([*(log.alerts_per_hour or Fraction(0) for log in found.used), Fraction(1)])
    alerts = _alerts(found, fleet, of)
    limits = _limits(found, fleet, of)
    counts = ", ".join(counted(number, word, several(word)) for word, number in found.levels if number)
    return page(
        "fleet.html.j2",
        {
            "title": f"Fleet over {found.rules.name}",
            "caution": CAUTION,
            "foot": f"{tool}; rules {digest}",
            "rules": f'{found.rules.kind} "{found.rules.name}" version {found.rules.version}',
            "map": found.map,
            "recordings": counted(len(found.used), "recording"),
            "length": length(found.seconds),
            "counts": counts,
            "limits_broken": len(found.limits),
            "fleet": [_row(found, one, most) for one in fleet],
            "dated": all(log.began is not None for log in found.used),
            "alerts": alerts,
            "limits": limits,
            "failed": [{"log": log.log, "why": log.failed} for log in found.failed],
            "doubtful": [_doubtful(place, log) for place, log in _places(found) if log.doubts],
            "copies": [{"log": log.log, "of": log.same_as} for log in found.copies],
            "odd": found.problems,
            "metrics": [
                {"name": m.name.replace("_", " "), "value": metric_value(m), "words": m.words, "source": m.source,
                 "status": m.status}
                for m in found.metrics if m.fits_aircraft
            ],
            "unexercised": found.unexercised,
            "runs": [_run(log, place, of[place]) for place, log in _places(found)],
            "tables": [path.replace("\\", "/").rpartition("/")[2] for path in found.files],
            "most": MOST,
        },
    )  # fmt: skip


def _places(found: FleetResult) -> Iterable[tuple[int, FleetLog]]:
    return ((place, log) for place, log in enumerate(found.logs) if log.failed is None and log.same_as is None)


def _aircraft(found: FleetResult) -> tuple[Aircraft, ...]:
    groups: dict[str, list[int]] = {}
    for place, log in _places(found):
        groups.setdefault(log.aircraft, []).append(place)
    fleet = []
    for number, name in enumerate(sorted(groups), 1):
        logs = groups[name]
        if all(found.logs[place].began is not None for place in logs):
            logs.sort(key=lambda place: (found.logs[place].began or "", place))
        seconds = sum((found.logs[place].seconds for place in logs), Fraction(0))
        fleet.append(Aircraft(number, name or "not known", tuple(logs), seconds))
    return tuple(fleet)


def _per_hour(times: int, seconds: Fraction) -> str:
    return tenths(times * 3600 / seconds) if seconds else ""


def _row(found: FleetResult, one: Aircraft, most: Fraction) -> dict[str, object]:
    logs = [found.logs[place] for place in one.logs]
    alerts, warnings = sum(log.alerts for log in logs), sum(log.warnings for log in logs)
    chattering = sorted({name for log in logs for name in log.chattering})
    return {
        "number": one.number,
        "name": one.name,
        "runs": len(logs),
        "seconds": float(one.seconds),
        "length": length(one.seconds),
        "alerts": alerts,
        "per_hour": _per_hour(alerts, one.seconds),
        "warnings": warnings,
        "limits": sum(log.limits_broken for log in logs),
        "chattering": ", ".join(chattering),
        "over_time": _over_time(found, one, most),
    }


def _over_time(found: FleetResult, one: Aircraft, most: Fraction) -> Markup:
    """A bar for each run, one after the other: alerts an hour, up to the `most` of all aircraft; a sign above where
    there was a warning."""
    step = _BAR if len(one.logs) <= 40 else max(2, 280 / len(one.logs))
    parts = []
    for place, log in enumerate(one.logs):
        run = found.logs[log]
        rate = run.alerts_per_hour or Fraction(0)
        high = max(1.0, float(rate / most) * _HIGH)
        x, y = place * step, 8 + _HIGH - high
        title = f"{run.began or run.log}: {counted(run.alerts, 'alert')}, {tenths(rate)} an hour"
        mark = f'<path d="M{x + step / 2 - 0.5:.1f} {y - 7:.1f}l3 5.5h-6z"/>' if run.warnings else ""
        parts.append(
            f'<a href="#r{log}"><title>{escape(title)}</title><rect x="{x:.1f}" y="{y:.1f}" '
            f'width="{max(1.0, step - 1):.1f}" height="{high:.1f}"/>{mark}</a>'
        )
    wide = max(1, len(one.logs)) * step
    return Markup(
        f'<svg class="overtime" viewBox="0 0 {wide:.1f} {8 + _HIGH}" width="{wide:.1f}" height="{8 + _HIGH}" '
        f'role="img" aria-label="alerts an hour, run by run">{"".join(parts)}</svg>'
    )


def _alerts(found: FleetResult, fleet: Sequence[Aircraft], of: Mapping[int, Aircraft]) -> list[dict[str, object]]:
    groups: dict[str, list[LogAlert]] = {up.statement: [] for up in found.alerts}
    for up in found.ups:
        groups[up.statement].append(up)
    rows: list[dict[str, object]] = []
    for number, often in enumerate(found.alerts, 1):
        ups = groups[often.statement]
        rows.append(
            {
                "number": number,
                "statement": often.statement,
                "text": often.text,
                "level": often.level,
                "times": often.times,
                "per_hour": _per_hour(often.times, found.seconds),
                "runs": often.logs,
                "seconds": float(often.seconds),
                "length": length(often.seconds),
                "chatters": _nagging(found, often.statement, lambda log: log.chattering),
                "fleeting": _nagging(found, often.statement, lambda log: log.fleeting),
                "cells": _cells(ups, fleet, of),
                "behind": _behind(found, ups, of, _alert_words),
            }
        )
    return rows


def _nagging(found: FleetResult, statement: str, of: Callable[[FleetLog], Iterable[str]]) -> int:
    """In how many runs an alert of the statement is among the names."""
    return sum(any(name.partition("[")[0] == statement for name in of(log)) for log in found.used)


def _limits(found: FleetResult, fleet: Sequence[Aircraft], of: Mapping[int, Aircraft]) -> list[dict[str, object]]:
    groups: dict[str, list[LogLimit]] = {broken.limit: [] for broken in found.limits}
    for broken in found.breaks:
        groups[broken.limit].append(broken)
    rows: list[dict[str, object]] = []
    for number, often in enumerate(found.limits, 1):
        worst = often.worst
        rows.append(
            {
                "number": number,
                "limit": often.limit,
                "times": often.times,
                "runs": often.logs,
                "seconds": float(often.seconds),
                "length": length(often.seconds),
                "past": "" if worst is None else _amount(worst.past, worst.unit),
                "past_value": float(worst.past) if worst is not None and worst.past is not None else "",
                "worst": "" if worst is None else f"{worst.reading} {_amount(worst.worst, worst.unit)}",
                "worst_log": None if worst is None else worst.log,
                "cells": _cells(groups[often.limit], fleet, of),
                "behind": _behind(found, groups[often.limit], of, _limit_words),
            }
        )
    return rows


def _cells(
    those: Sequence[LogAlert] | Sequence[LogLimit], fleet: Sequence[Aircraft], of: Mapping[int, Aircraft]
) -> list[dict[str, object]]:
    """For each aircraft how often, and how often an hour."""
    times: dict[int, int] = {}
    for one in those:
        number = of[one.log].number
        times[number] = times.get(number, 0) + one.times
    return [
        {
            "number": one.number,
            "times": times.get(one.number, 0),
            "per_hour": _per_hour(times.get(one.number, 0), one.seconds),
        }
        for one in fleet
    ]


def _behind(
    found: FleetResult,
    those: Sequence[LogAlert] | Sequence[LogLimit],
    of: Mapping[int, Aircraft],
    words: Callable[[LogAlert | LogLimit], str],
) -> dict[str, object]:
    """The runs, aircraft by aircraft, each group with those first in which it was most often."""
    groups: dict[int, list[LogAlert | LogLimit]] = {}
    for one in those:
        groups.setdefault(of[one.log].number, []).append(one)
    listed = []
    for number in sorted(groups):
        group = sorted(groups[number], key=lambda one: (-one.times, one.log))
        listed.append(
            {
                "number": number,
                "name": of[group[0].log].name,
                "rows": [
                    {
                        "log": one.log,
                        "name": found.logs[one.log].log,
                        "began": found.logs[one.log].began or "",
                        "element": "" if one.element is None else str(one.element),
                        "times": one.times,
                        "length": length(one.seconds),
                        "seconds": float(one.seconds),
                        "first": clock(one.first),
                        "words": words(one),
                        "nags": _nags(found.logs[one.log], one),
                    }
                    for one in group[:MOST]
                ],
                "more": max(0, len(group) - MOST),
            }
        )
    return {"groups": listed}


def _nags(log: FleetLog, one: LogAlert | LogLimit) -> str:
    if isinstance(one, LogLimit):
        return ""
    name = one.statement if one.element is None else f"{one.statement}[{one.element}]"
    kinds = (("chatters", log.chattering), ("fleeting", log.fleeting))
    return ", ".join(word for word, names in kinds if name in names)


def _alert_words(one: LogAlert | LogLimit) -> str:
    return "" if one.worst is None else f"{one.reading} {_amount(one.worst, one.unit)}"


def _limit_words(one: LogAlert | LogLimit) -> str:
    assert isinstance(one, LogLimit)
    return "" if one.past is None else f"by {_amount(one.past, one.unit)}: {_alert_words(one)}"


def _amount(value: Fraction | None, unit: str | None) -> str:
    if value is None:
        return ""
    exact = (value * 1000).denominator == 1
    said = show_number(value) if exact else f"about {show_number(Fraction(round(value * 1000), 1000))}"
    return f"{said} {unit or ''}".rstrip()


def _doubtful(place: int, log: FleetLog) -> dict[str, object]:
    return {"place": place, "log": log.log, "doubts": ", ".join(log.doubts)}


def _run(log: FleetLog, place: int, aircraft: Aircraft) -> dict[str, object]:
    return {
        "place": place,
        "log": log.log,
        "aircraft": aircraft.name,
        "aircraft_number": aircraft.number,
        "began": log.began or "",
        "seconds": float(log.seconds),
        "length": length(log.seconds),
        "alerts": log.alerts,
        "per_hour": "" if log.alerts_per_hour is None else tenths(log.alerts_per_hour),
        "warnings": log.warnings,
        "limits": log.limits_broken,
        "chattering": ", ".join(log.chattering),
        "doubts": ", ".join(log.doubts),
    }
