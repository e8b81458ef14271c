"""What a fleet of logs comes to, as text and for JSON."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable
from fractions import Fraction

from alertlang.output.json import Json, told
from alertlang.output.library import columns
from alertlang.output.metrics import metric_lines
from alertlang.output.style import Line, wrapped
from alertlang.output.text import WIDTH, caution_lines, counted, several, tenths
from alertlang.output.times import length
from alertlang.results.fleet import FleetLog, FleetResult, OftenBroken
from alertlang.results.replay import GRAVE
from alertlang.units.number import show_number

_MOST = 10
"""So many of what there may be thousands of; the tables have them all."""


def fleet_lines(
    found: FleetResult, width: int = WIDTH, *, everything: bool = False, yardsticks: bool = False
) -> list[Line]:
    """What failed, what came up, what was broken and what is doubtful, on a screen. `everything`: all logs, alerts and
    limits; `yardsticks`: how much the rules nag."""
    most = sys.maxsize if everything else _MOST
    lines: list[Line] = []
    for log in found.failed[:most]:
        lines += [[("error", "failed"), ("strong", f"    {log.log}")]]
        lines += wrapped("", log.failed or "", width, "          ")
    if len(found.failed) > most:
        lines += wrapped("error", f"and {len(found.failed) - most} more: see {found.files[0]}", width, "          ")
    if found.failed:
        lines.append([])
    lines += wrapped("strong", _what(found), width, "", "  ")
    lines += _copies(found, width, most)
    if found.used:
        lines += [*_problems(found, width, grave=True), *_untrusted(found, width, most)]
        lines += [*_alerts(found, most), *_limits(found, most)]
        lines += _doubts(found, width)
    if found.used and everything:
        lines += [*_worst(found, most), *_problems(found, width, grave=False), *_unexercised(found, width)]
    if found.used and yardsticks:
        lines += [[], [("strong", "How much they nag, over all logs together")], *metric_lines(found.metrics, width)]
    return [*lines, [], *_files(found, width), *_further(everything, yardsticks, width), [], *caution_lines(width)]


def _further(everything: bool, yardsticks: bool, width: int) -> list[Line]:
    said = [] if everything else ["--all tells all logs, alerts and limits, and what was never exercised"]
    said += [] if yardsticks else ["--metrics how much the rules nag" if said else "--metrics tells how much they nag"]
    return wrapped("dim", "; ".join(said), width, rest="  ") if said else []


def _what(found: FleetResult) -> str:
    used = found.used
    before = sum(log.before for log in used)
    # A log is known by what is in it, whatever it is called.
    known = f" ({before} of them by an earlier start, as their bytes tell)" if before else ""
    said = f"{counted(len(used), 'log')} gone through{known}"
    failed = f", {len(found.failed)} failed" if found.failed else ""
    return (
        f'rules "{found.rules.name}" version {found.rules.version}: {said}{failed}; '
        f"{length(found.seconds)} recorded, {counted(sum(log.samples for log in used), 'sample')}"
    )


def _copies(found: FleetResult, width: int, most: int) -> list[Line]:
    """Logs that are one recording: each is counted once."""
    alike: dict[str, list[str]] = {}
    for log in found.copies:
        alike.setdefault(log.same_as or "", [log.same_as or ""]).append(log.log)
    of = len(found.used) + len(found.copies)
    said = [
        f"{len(names)} of {of} logs are the same recording, counted once: {', '.join(names)}"
        for names in list(alike.values())[:most]
    ]
    if len(alike) > most:
        said.append(f"and {len(alike) - most} more recordings that are there more than once")
    return [line for words in said for line in wrapped("warning", words, width, "  ")]


def _alerts(found: FleetResult, most: int) -> list[Line]:
    said = ", ".join(counted(number, word, several(word)) for word, number in found.levels if number)
    title: Line = [("strong", f"Came up: {said}" if said else "Came up")]
    if not found.alerts:
        return [[], title, [("", "  none")]]
    rows = [
        (
            str(up.times),
            "" if not found.seconds else tenths(up.times * 3600 / found.seconds),
            str(up.logs),
            length(up.seconds),
            up.level,
            up.statement,
            up.text,
        )
        for up in found.alerts[:most]
    ]
    table = _indented(columns(rows, ("times", "an hour", "logs", "in all", "level", "statement", "text")))
    return [[], title, *table, *_more(len(found.alerts) - most, "alert")]


def _worst(found: FleetResult, most: int) -> list[Line]:
    """By alerts an hour; of equal ones the first by name."""
    ranked = [log for log in found.used if log.alerts and log.alerts_per_hour is not None]
    ranked.sort(key=lambda log: (-(log.alerts_per_hour or 0), log.log))
    if not ranked:
        return []
    rows = [_worst_row(log) for log in ranked[:most]]
    table = _indented(columns(rows, ("an hour", "alerts", "recorded", "chattering", "log")))
    return [[], [("strong", "Logs, most alerts an hour first")], *table]


def _worst_row(log: FleetLog) -> tuple[str, ...]:
    rate = tenths(log.alerts_per_hour or Fraction(0))
    return rate, str(log.alerts), length(log.seconds), str(len(log.chattering)), log.log


def _limits(found: FleetResult, most: int) -> list[Line]:
    title: Line = [("strong", "Limits broken" + (f": {len(found.limits)}" if found.limits else ""))]
    if not found.limits:
        return [[], title, [("", "  none")]]
    rows = [(str(one.times), str(one.logs), length(one.seconds), _by(one), one.limit) for one in found.limits[:most]]
    table = _indented(columns(rows, ("times", "logs", "in all", "by at most", "limit")))
    return [[], title, *table, *_more(len(found.limits) - most, "limit")]


def _by(broken: OftenBroken) -> str:
    """To a hundredth: the tables have the number itself."""
    worst = broken.worst
    if worst is None or worst.past is None:
        return ""
    return f"{show_number(Fraction(round(worst.past * 100), 100))} {worst.unit or ''}".rstrip()


def _doubts(found: FleetResult, width: int) -> list[Line]:
    lines: list[Line] = []
    odd = [f"{odd.kind} {odd.count} in {counted(odd.logs, 'log')}" for odd in found.problems if odd.kind not in GRAVE]
    if odd:
        lines += wrapped("", f"found in the logs: {', '.join(odd)}", width, "  ", "    ")
    kinds = Counter(unexercised.kind for unexercised in found.unexercised)
    if kinds:
        said = ", ".join(counted(number, kind, several(kind)) for kind, number in kinds.items())
        lines += wrapped("", f"exercised by no log, so that nothing is known of them: {said}", width, "  ", "    ")
    return [[], [("strong", "In doubt")], *(lines or [[("", "  nothing")]])]


def _problems(found: FleetResult, width: int, *, grave: bool) -> list[Line]:
    lines: list[Line] = []
    for odd in found.problems:
        if (odd.kind in GRAVE) is grave:
            said = f"{odd.kind}: {odd.count} in {counted(odd.logs, 'log')}: {odd.words}"
            lines += wrapped("warning" if grave else "", said, width, "  ", "    ")
    title = "Look at this first" if grave else "Found in the logs"
    return [[], [("strong", title)], *lines] if lines else []


def _untrusted(found: FleetResult, width: int, most: int) -> list[Line]:
    """The logs whose numbers are in the sums and should not be relied on."""
    logs = found.untrusted
    if not logs:
        return []
    lines: list[Line] = []
    for log in logs[:most]:
        lines += wrapped("error", f"{log.log}: {', '.join(log.distrusted(found.accepted))}", width, "  ", "    ")
    lines += _more(len(logs) - most, "log")
    kinds = dict.fromkeys(name.partition(":")[0] for log in logs for name in log.distrusted(found.accepted))
    who = "this log says" if len(logs) == 1 else f"these {len(logs)} logs say"
    said = (
        f"What {who} is counted below and is not to be trusted before that is mended, in the column "
        "map or in the log. Accepting mends nothing: only where it was looked at and is well, say: "
        f"{' '.join(f'--accept-log {kind}' for kind in kinds)}"
    )
    return [*lines, *wrapped("error", said, width, "  ", "  ")]


def _unexercised(found: FleetResult, width: int) -> list[Line]:
    if not found.unexercised:
        return [[], [("good", "Every statement was exercised by some log.")]]
    lines: list[Line] = [[], [("strong", "Never exercised by any log, so that nothing is known of how they do")]]
    by_why: dict[str, list[str]] = {}
    for unexercised in found.unexercised:
        by_why.setdefault(f"{unexercised.kind}: {unexercised.why}", []).append(unexercised.name)
    for why, names in by_why.items():
        lines += wrapped("", f"{why}: {', '.join(names)}", width, "  ", "    ")
    return lines


def _files(found: FleetResult, width: int) -> list[Line]:
    """The tables, each named once for all its formats."""
    folder = found.files[0].replace("\\", "/").rpartition("/")[0]
    names: dict[str, list[str]] = {}
    for path in found.files:
        name, _, form = path.replace("\\", "/").rpartition("/")[2].rpartition(".")
        names.setdefault(name, []).append(form)
    said = ", ".join(f"{name}.{form}" for name, forms in names.items() for form in [" and .".join(forms)])
    return wrapped("", f"wrote to {folder}: {said}", width, "", "  ")


# ---- for programs


def fleet_data(found: FleetResult) -> Json:
    """Times in seconds."""
    return {
        **told(found, "rules map files seconds trusted logs"),
        "metrics": {
            metric.name: told(metric, "value names words source status held_against") for metric in found.metrics
        },
        "levels": dict(found.levels),
        **told(found, "alerts limits problems unexercised"),
    }


# ---- small parts


def _more(number: int, word: str) -> list[Line]:
    return [[("dim", f"  and {counted(number, f'more {word}')}: see --all")]] if number > 0 else []


def _indented(lines: Iterable[Line]) -> list[Line]:
    return [[("", "  "), *line] for line in lines]
