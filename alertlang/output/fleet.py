"""What a fleet of logs comes to, as text and for JSON."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from alertlang.output.json import Json, told
from alertlang.output.library import columns
from alertlang.output.style import Line, wrapped
from alertlang.output.text import WIDTH, caution_lines, counted, tenths
from alertlang.results.fleet import FleetLog, FleetResult
from alertlang.results.replay import GRAVE, Metric

_MOST = 10
"""So many of what there may be thousands of; the tables have them all."""


def fleet_lines(found: FleetResult, width: int = WIDTH) -> list[Line]:
    """The logs that failed, then how much there was, the alerts, the worst logs, and what was never exercised."""
    lines: list[Line] = []
    for log in found.failed[:_MOST]:
        lines += [[("error", "failed"), ("strong", f"    {log.log}")]]
        lines += wrapped("", log.failed or "", width, "          ")
    if len(found.failed) > _MOST:
        lines += wrapped("error", f"and {len(found.failed) - _MOST} more: see {found.files[0]}", width, "          ")
    if found.failed:
        lines.append([])
    lines += wrapped("strong", _what(found), width, "", "  ")
    lines += _copies(found, width)
    if not found.used:
        return [*lines, *_files(found, width), *caution_lines(width)]
    lines += [*_problems(found, width, grave=True), *_metrics(found, width), *_alerts(found), *_worst(found)]
    lines += [*_limits(found), *_problems(found, width, grave=False)]
    lines += _unexercised(found, width)
    return [*lines, *_files(found, width), *caution_lines(width)]


def _what(found: FleetResult) -> str:
    used = found.used
    before = sum(log.before for log in used)
    # A log is known by what is in it, whatever it is called.
    known = f" ({before} of them by an earlier start, as their bytes tell)" if before else ""
    said = f"{counted(len(used), 'log')} gone through{known}"
    failed = f", {len(found.failed)} failed" if found.failed else ""
    alerts = sum(log.alerts for log in used)
    levels = ", ".join(f"{count} {word}" for word, count in found.levels)
    return (
        f'rules "{found.rules.name}" version {found.rules.version}: {said}{failed}; '
        f"{_hours(found.seconds)}, {counted(sum(log.samples for log in used), 'sample')}; "
        f"{counted(alerts, 'alert')}" + (f" ({levels})" if alerts else "")
    )


def _copies(found: FleetResult, width: int) -> list[Line]:
    """Logs that are one recording, which the numbers count more than once."""
    alike: dict[str, list[str]] = {}
    for log in found.used:
        alike.setdefault(log.sha256 or log.log, []).append(log.log)
    copies = [names for names in alike.values() if len(names) > 1]
    said = [f"the same bytes, each counted: {', '.join(names)}" for names in copies[:_MOST]]
    if len(copies) > _MOST:
        said.append(f"and {len(copies) - _MOST} more recordings that are there more than once")
    return [line for words in said for line in wrapped("warning", words, width, "  ")]


def _metrics(found: FleetResult, width: int) -> list[Line]:
    lines: list[Line] = [[], [("dim", "How much they nag, over all logs together")]]
    for metric in found.metrics:
        lines += wrapped("", f"{metric.name:<24}{_value(metric)}", width, "  ", " " * 28)
        lines += wrapped("dim", f"{metric.words}; {metric.source} ({metric.status})", width, "    ", "    ")
        for held in metric.held_against:
            style = {True: "good", False: "warning", None: "dim"}[held.met]
            said = f"{held.verdict}: {held.words}; {held.source} ({held.status})"
            lines += wrapped(style, said, width, "    ", "      ")
    return lines


def _value(metric: Metric) -> str:
    if metric.value is None:
        return "none: no time was recorded"
    if metric.names is not None:
        return f"{len(metric.names)}" + (f": {', '.join(metric.names)}" if metric.names else "")
    if metric.name.endswith("_share"):
        return f"{tenths(metric.value * 100)} %"
    return tenths(metric.value)


def _alerts(found: FleetResult) -> list[Line]:
    if not found.alerts:
        return []
    rows = [
        (str(up.times), str(up.logs), tenths(up.seconds), up.level, up.statement, f'"{up.text}"')
        for up in found.alerts[:_MOST]
    ]
    table = _indented(columns(rows, ("times", "logs", "s up", "level", "statement", "text")))
    more = len(found.alerts) - _MOST
    return [[], [("dim", "Most frequent alerts")], *table, *_more(more, "alert")]


def _worst(found: FleetResult) -> list[Line]:
    """By alerts an hour; of equal ones the first by name."""
    ranked = [log for log in found.used if log.alerts and log.alerts_per_hour is not None]
    ranked.sort(key=lambda log: (-(log.alerts_per_hour or 0), log.log))
    if not ranked:
        return []
    rows = [_worst_row(log) for log in ranked[:5]]
    return [[], [("dim", "Worst logs")], *_indented(columns(rows, ("an hour", "alerts", "hours", "chattering", "log")))]


def _worst_row(log: FleetLog) -> tuple[str, ...]:
    rate = tenths(log.alerts_per_hour or Fraction(0))
    return rate, str(log.alerts), tenths(log.seconds / 3600), str(len(log.chattering)), log.log


def _limits(found: FleetResult) -> list[Line]:
    if not found.limits:
        return []
    rows = [
        (str(broken.times), str(broken.logs), tenths(broken.seconds), broken.limit) for broken in found.limits[:_MOST]
    ]
    table = _indented(columns(rows, ("times", "logs", "s in all", "limit")))
    return [[], [("dim", "Limits that were broken")], *table, *_more(len(found.limits) - _MOST, "limit")]


def _problems(found: FleetResult, width: int, *, grave: bool) -> list[Line]:
    lines: list[Line] = []
    for odd in found.problems:
        if (odd.kind in GRAVE) is grave:
            said = f"{odd.kind}: {odd.count} in {counted(odd.logs, 'log')}: {odd.words}"
            lines += wrapped("warning" if grave else "", said, width, "  ", "    ")
    title = "Look at this first" if grave else "Found in the logs"
    return [[], [("dim", title)], *lines] if lines else []


def _unexercised(found: FleetResult, width: int) -> list[Line]:
    if not found.unexercised:
        return [[], [("good", "Every statement was exercised by some log.")], []]
    lines: list[Line] = [[], [("dim", "Never exercised by any log, so that nothing is known of how they do")]]
    by_why: dict[str, list[str]] = {}
    for unexercised in found.unexercised:
        by_why.setdefault(f"{unexercised.kind}: {unexercised.why}", []).append(unexercised.name)
    for why, names in by_why.items():
        lines += wrapped("", f"{why}: {', '.join(names)}", width, "  ", "    ")
    return [*lines, []]


def _files(found: FleetResult, width: int) -> list[Line]:
    return wrapped("", f"wrote {' and '.join(found.files)}", width, "", "  ")


# ---- for programs


def fleet_data(found: FleetResult) -> Json:
    """Times in seconds."""
    return {
        **told(found, "rules map files seconds logs"),
        "metrics": {
            metric.name: told(metric, "value names words source status held_against") for metric in found.metrics
        },
        "levels": dict(found.levels),
        **told(found, "alerts limits problems unexercised"),
    }


# ---- small parts


def _hours(seconds: Fraction) -> str:
    return f"{tenths(seconds / 3600)} h recorded"


def _more(number: int, word: str) -> list[Line]:
    return [[("dim", f"  and {counted(number, f'more {word}')}")]] if number > 0 else []


def _indented(lines: Iterable[Line]) -> list[Line]:
    return [[("", "  "), *line] for line in lines]
