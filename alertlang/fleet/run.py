"""A rule set over thousands of logs: each gone through once, whatever happens in between.

What a log came to is kept as soon as it is finished, under a digest of its bytes, the rules and the column map. Whoever
starts again after a stop, with more logs or with a log that was mended, goes through what is new alone; another rule
or map, and everything is new.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path, PurePosixPath

from alertlang.fleet.cluster import on_cluster
from alertlang.fleet.key import digest_of_all
from alertlang.fleet.log import Exceedance, LogResult, Up
from alertlang.fleet.store import FleetError as FleetError
from alertlang.fleet.store import Store
from alertlang.fleet.tables import alerts_table, columns_page, limits_table, results_table
from alertlang.fleet.work import Common, Job, LogOutcome, on_cores
from alertlang.logs.column_map import ColumnMap
from alertlang.logs.opened import COMPRESSED
from alertlang.model.ruleset import Level, RuleSet
from alertlang.replay.metrics import Metrics, measured
from alertlang.results.fleet import FleetLog, FleetResult, LogAlert, LogLimit, OftenBroken, OftenOdd, OftenUp
from alertlang.results.replay import Unexercised
from alertlang.results.report import FileName

ENDINGS = (".csv", ".tsv", ".parquet", ".pq")
"""What is taken for a log in a folder; a compressed one has an ending of `COMPRESSED` after it."""

# How many logs are finished, of how many, and how many of these failed.
Progress = Callable[[int, int, int], None]


def fleet(
    named: Iterable[Path],
    ruleset: RuleSet,
    column_map: ColumnMap | None,
    results: Path,
    *,
    tool: str,
    workers: int = 0,
    cluster: str | None = None,
    again: bool = False,
    aircraft: str | None = None,
    progress: Progress | None = None,
) -> FleetResult:
    """Logs, and all in folders, gone through in `workers` processes (0: in this one) or on the cluster at an address.

    `tool`: the version of alertlang. `again`: what is finished already counts for nothing. `aircraft`: a regular
    expression for the part of a log's path that says of which aircraft it is (its first group, if it has one); else
    the folder that the log lies in says so. FleetError if there is
    nothing to go through, or no result can be kept; what is finished stays so.
    """
    whose = _whose(aircraft)
    jobs = find_logs(named, results)
    store = Store(results)
    store.open()
    everything = digest_of_all(ruleset, column_map, tool)
    if cluster is not None:
        jobs = [Job(job.path.resolve(), job.shown) for job in jobs]
        common = Common(ruleset, column_map, everything, tool, None, again)
        outcomes = on_cluster(jobs, common, cluster, store)
    else:
        common = Common(ruleset, column_map, everything, tool, results, again)
        outcomes = on_cores(jobs, common, min(workers, len(jobs)))
    found: dict[str, LogOutcome] = {}
    failed = 0
    for outcome in outcomes:
        if outcome.stop is not None:
            raise outcome.stop
        found[outcome.shown] = outcome
        failed += outcome.failed is not None
        if progress is not None:
            progress(len(found), len(jobs), failed)
    store.tidy()
    # Of two logs with the same bytes one finds what this very start has kept of the other.
    new = {outcome.key for outcome in found.values() if not outcome.before}
    found = {
        name: replace(log_outcome, before=log_outcome.before and log_outcome.key not in new)
        for name, log_outcome in found.items()
    }
    return _gathered([found[job.shown] for job in jobs], ruleset, column_map, store, whose)


def _whose(pattern: str | None) -> Callable[[str], str]:
    """Says of which aircraft a log is, by its path with `/` between the parts."""
    if pattern is None:
        return lambda path: PurePosixPath(path).parent.name
    try:
        known = re.compile(pattern)
    except re.error as problem:
        raise FleetError(f"{pattern!r} is no regular expression: {problem}", "try a plain part of the name") from None

    def found(path: str) -> str:
        match = known.search(path)
        return "" if match is None else (match[1] or "") if known.groups else match[0]

    return found


def find_logs(named: Iterable[Path], results: Path) -> list[Job]:
    """The logs of names on the command line, by name, none twice. FleetError for a folder without any."""
    jobs: dict[Path, Job] = {}
    own = results.resolve()
    for one in named:
        if not one.is_dir():
            jobs.setdefault(one.resolve(), Job(one, str(one)))
            continue
        logs = [path for path in one.rglob("*") if _is_log(path) and path.is_file()]
        logs = [path for path in logs if own not in path.resolve().parents and not _hidden(path, one)]
        if not logs:
            raise FleetError(f"{one} has no log in it", f"a log is a file that ends in {', '.join(ENDINGS)}")
        for path in logs:
            jobs.setdefault(path.resolve(), Job(path, str(path)))
    if not jobs:
        raise FleetError("there is no log to go through", "name logs, or a folder of logs")
    return sorted(jobs.values(), key=lambda job: job.shown)


def _is_log(path: Path) -> bool:
    packed = path.suffix.casefold() in COMPRESSED
    return (Path(path.stem) if packed else path).suffix.casefold() in ENDINGS


def _hidden(path: Path, folder: Path) -> bool:
    return any(part.startswith(".") for part in path.relative_to(folder).parts)


# ---- all results in one


def _gathered(
    outcomes: Sequence[LogOutcome],
    ruleset: RuleSet,
    column_map: ColumnMap | None,
    store: Store,
    whose: Callable[[str], str],
) -> FleetResult:
    rows: list[tuple[FleetLog, Metrics | None]] = []
    whole: list[tuple[int, LogResult]] = []
    known: dict[str, str] = {}
    for outcome in outcomes:
        if outcome.key is not None and outcome.key in known:
            # A recording that is there twice was flown once.
            rows.append((FleetLog(outcome.shown, outcome.sha256, same_as=known[outcome.key]), None))
            continue
        result = None if outcome.key is None else store.get(outcome.key)
        if result is None:
            why = outcome.failed or "its result is gone from the folder: start again"
            rows.append((FleetLog(outcome.shown, outcome.sha256, why), None))
            continue
        if outcome.key is not None:
            known[outcome.key] = outcome.shown
        whole.append((len(rows), result))
        rows.append((_row(outcome, result, result.metrics), result.metrics))
    # A copy is of the aircraft whose folder it lies in, and a log that failed too.
    rows = [(replace(row, aircraft=whose(row.log.replace(os.sep, "/"))), metrics) for row, metrics in rows]
    tables = {
        "results": results_table(rows),
        "alerts": alerts_table([(rows[place][0], result) for place, result in whole]),
        "limits": limits_table([(rows[place][0], result) for place, result in whole]),
    }
    paths = [store.write(f"{name}.{form}", data) for name, both in tables.items() for form, data in both.items()]
    paths.append(store.write("README.md", columns_page().encode("utf-8")))
    logs = [one for _, one in whole]
    breaks = tuple(one for place, result in whole for one in _log_limits(place, result))
    together = measured(run for log in logs for run in log.runs)
    from alertlang.replay.run import told_metrics

    return FleetResult(
        FileName.of(ruleset.origin),
        None if column_map is None else column_map.path,
        tuple(str(path) for path in paths),
        tuple(row for row, _ in rows),
        told_metrics(together),
        tuple((level.word, count) for level, count in together.by_level),
        _alerts(logs, ruleset),
        _limits(logs, breaks),
        _problems(logs),
        _unexercised(logs),
        tuple(one for place, result in whole for one in _log_alerts(place, result)),
        breaks,
    )


def _row(outcome: LogOutcome, result: LogResult, metrics: Metrics) -> FleetLog:
    return FleetLog(
        outcome.shown,
        outcome.sha256,
        None,
        None,
        outcome.before,
        result.rows,
        result.samples,
        len(result.segments),
        result.seconds,
        len(result.problems),
        len(result.alerts),
        metrics.alerts_per_hour,
        len(result.broken),
        sum((broken.seconds for broken in result.broken), Fraction(0)),
        metrics.chattering,
        metrics.fleeting,
        began=result.began,
        warnings=sum(up.level == Level.WARNING.word for up in result.alerts),
        doubts=tuple(dict.fromkeys(problem.name for problem in result.problems if problem.grave)),
    )


def _log_alerts(log: int, result: LogResult) -> Iterable[LogAlert]:
    groups: dict[tuple[str, int | None], list[Up]] = {}
    for up in result.alerts:
        groups.setdefault((up.statement, up.element), []).append(up)
    for ups in groups.values():
        first = ups[0]
        # Which side is worse is not known here: what it was when the alert was up longest.
        longest = max(ups, key=lambda up: up.seconds)
        seconds = sum((up.seconds for up in ups), Fraction(0))
        yield LogAlert(
            log, first.statement, first.element, first.text, first.level, len(ups), seconds, first.start,
            longest.reading, longest.worst, longest.unit,
        )  # fmt: skip


def _log_limits(log: int, result: LogResult) -> Iterable[LogLimit]:
    groups: dict[tuple[str, int | None], list[Exceedance]] = {}
    for broken in result.broken:
        groups.setdefault((broken.limit, broken.element), []).append(broken)
    for those in groups.values():
        first = those[0]
        worst = max(those, key=lambda broken: Fraction(-1) if broken.past is None else broken.past)
        seconds = sum((broken.seconds for broken in those), Fraction(0))
        yield LogLimit(
            log, first.limit, first.element, len(those), seconds, first.start,
            worst.reading, worst.worst, worst.unit, worst.past,
        )  # fmt: skip


_Times = dict[str, tuple[int, int, Fraction]]


def _times(logs: Sequence[LogResult], of: Callable[[LogResult], Iterable[tuple[str, Fraction]]]) -> _Times:
    """By what it is of: how often, in how many logs, and for how many seconds in all; in the order it was met."""
    found: _Times = {}
    for log in logs:
        seen: set[str] = set()
        for label, seconds in of(log):
            times, in_logs, sum_ = found.get(label, (0, 0, Fraction(0)))
            found[label] = times + 1, in_logs + (label not in seen), sum_ + seconds
            seen.add(label)
    return found


def _alerts(logs: Sequence[LogResult], ruleset: RuleSet) -> tuple[OftenUp, ...]:
    times = _times(logs, lambda log: ((up.statement, up.seconds) for up in log.alerts))
    found = [
        OftenUp(rule.label, rule.alert.text, rule.alert.level.word, *times[rule.label])
        for rule in ruleset.rules
        if rule.alert is not None and rule.label in times
    ]
    return tuple(sorted(found, key=lambda up: -up.times))


def _limits(logs: Sequence[LogResult], breaks: Sequence[LogLimit]) -> tuple[OftenBroken, ...]:
    worst: dict[str, LogLimit] = {}
    for one in breaks:
        old = worst.get(one.limit)
        if one.past is not None and (old is None or old.past is None or one.past > old.past):
            worst[one.limit] = one
    times = _times(logs, lambda log: ((broken.limit, broken.seconds) for broken in log.broken))
    found = [OftenBroken(limit, *counts, worst.get(limit)) for limit, counts in times.items()]
    return tuple(sorted(found, key=lambda broken: (-broken.times, broken.limit)))


def _problems(logs: Sequence[LogResult]) -> tuple[OftenOdd, ...]:
    count: Counter[str] = Counter()
    in_logs: Counter[str] = Counter()
    words: dict[str, str] = {}
    for result in logs:
        in_logs.update({odd.kind for odd in result.problems})
        for odd in result.problems:
            count[odd.kind] += odd.count
            words.setdefault(odd.kind, odd.words)
    return tuple(OftenOdd(kind, count[kind], in_logs[kind], words[kind]) for kind in sorted(count))


def _unexercised(logs: Sequence[LogResult]) -> tuple[Unexercised, ...]:
    """What every log says nothing about. A condition that held all through one log and never in another is no more
    among them. Where logs give different reasons, the one that comes nearest to being exercised counts."""
    if not logs:
        return ()
    reasons: dict[str, list[Unexercised]] = {}
    for result in logs:
        for item in result.unexercised:
            reasons.setdefault(item.name, []).append(item)
    found = []
    for items in reasons.values():
        if len(items) < len(logs):
            continue
        differing = {item.why for item in items}
        if items[0].kind == "condition" and len(differing) > 1:
            continue
        found.append(min(items, key=lambda item: _farness(item.why)))
    return tuple(found)


def _farness(why: str) -> int:
    if why.startswith("applied"):
        return 0
    return 2 if "case never arose" in why else 1
