"""A rule set over thousands of logs: each gone through once, whatever happens in between.

What a log came to is kept as soon as it is finished, under a digest of its bytes, the rules and the column map. Whoever
starts again after a stop, with more logs or with a log that was mended, goes through what is new alone; another rule
or map, and everything is new.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from alertlang.fleet.cluster import on_cluster
from alertlang.fleet.key import digest_of_all
from alertlang.fleet.log import LogResult
from alertlang.fleet.store import FleetError as FleetError
from alertlang.fleet.store import Store
from alertlang.fleet.tables import alerts_table, results_table
from alertlang.fleet.work import Common, Job, LogOutcome, on_cores
from alertlang.logs.column_map import ColumnMap
from alertlang.logs.opened import COMPRESSED
from alertlang.model.ruleset import RuleSet
from alertlang.replay.metrics import Metrics, measured
from alertlang.results.fleet import FleetLog, FleetResult, OftenBroken, OftenOdd, OftenUp
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
    progress: Progress | None = None,
) -> FleetResult:
    """Logs, and all in folders, gone through in `workers` processes (0: in this one) or on the cluster at an address.

    `tool`: the version of alertlang. `again`: what is finished already counts for nothing. FleetError if there is
    nothing to go through, or no result can be kept; what is finished stays so.
    """
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
    return _gathered([found[job.shown] for job in jobs], ruleset, column_map, store)


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
    outcomes: Sequence[LogOutcome], ruleset: RuleSet, column_map: ColumnMap | None, store: Store
) -> FleetResult:
    rows: list[tuple[FleetLog, Metrics | None]] = []
    whole: list[tuple[str, LogResult]] = []
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
        whole.append((outcome.shown, result))
        rows.append((_row(outcome, result, result.metrics), result.metrics))
    paths = [
        store.write("results.parquet", results_table(rows)),
        store.write("alerts.parquet", alerts_table(whole)),
    ]
    logs = [one for _, one in whole]
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
        _limits(logs),
        _problems(logs),
        _unexercised(logs),
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
    )


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


def _limits(logs: Sequence[LogResult]) -> tuple[OftenBroken, ...]:
    times = _times(logs, lambda log: ((broken.limit, broken.seconds) for broken in log.broken))
    found = [OftenBroken(limit, *counts) for limit, counts in times.items()]
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
