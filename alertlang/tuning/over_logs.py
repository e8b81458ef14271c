"""What one statement does over recorded runs, and what becomes of what was marked and of the limits it guards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from alertlang.checks.news import alerts_for
from alertlang.logs.column_map import ColumnMap
from alertlang.logs.read import read_log
from alertlang.logs.table import Segment
from alertlang.model import ruleset as m
from alertlang.replay.engine import ReplayEngine
from alertlang.replay.intervals import IntervalRecording, TimeInterval, record
from alertlang.replay.metrics import Metrics, MetricsRun, Raised, measured
from alertlang.replay.wanted import wanted_of
from alertlang.results.replay import GRAVE, Problem

# One time that a limit was broken, or one mark: which log and segment, which limit and element, and when.
Name = tuple[int, str, int | None, Fraction]


@dataclass(frozen=True, slots=True)
class LogStretch:
    """A segment of a log, with the times of what was marked in it: rows marked one after the other count as one."""

    number: int
    segment: Segment
    marks: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class SeenOverLogs:
    """`unseen`: each time a limit was broken with nothing up that counts for it; `late`: each time it was broken for
    longer than allowed before something was; `near`: marks with the statement's alert near."""

    metrics: Metrics
    up: Fraction
    unseen: frozenset[Name]
    late: frozenset[Name]
    near: frozenset[Name]


def stretches(
    logs: Sequence[Path], ruleset: m.RuleSet, column_map: ColumnMap | None
) -> tuple[tuple[LogStretch, ...], tuple[tuple[str, Problem], ...]]:
    """All segments of all logs, read into memory, and what makes a log say less than it seems to. LogError or OSError
    if one cannot be used."""
    found: list[LogStretch] = []
    doubts: list[tuple[str, Problem]] = []
    for log in logs:
        whole = read_log(log, column_map, wanted_of(ruleset))
        for segment in whole.segments:
            found.append(LogStretch(len(found), segment, _marks(segment)))
        doubts += [
            (str(log), Problem(problem.kind, problem.count, problem.first_row, problem.column, problem.words))
            for problem in whole.problems
            if problem.kind in GRAVE or problem.kind == "repeated-time"
        ]
    return tuple(found), tuple(doubts)


def _marks(segment: Segment) -> tuple[Fraction, ...]:
    rows = segment.marks.nonzero()[0].tolist()
    return tuple(segment.seconds(row) for row, before in zip(rows, [-2, *rows], strict=False) if row != before + 1)


def seen(
    ruleset: m.RuleSet, label: str, guarded: Sequence[m.Range], logs: Sequence[LogStretch], near: Fraction
) -> SeenOverLogs:
    """A rule set over logs. `guarded`: limits to look at; `near`: seconds from a mark to an alert."""
    runs: list[MetricsRun] = []
    unseen: set[Name] = set()
    late: set[Name] = set()
    close: set[Name] = set()
    up = Fraction(0)
    rule = next(rule for rule in ruleset.rules if rule.label == label)
    assert rule.alert is not None, "only a statement with an alert is tuned"
    for stretch in logs:
        recording = record(ReplayEngine(ruleset).run(stretch.segment))
        assert recording is not None, "a segment has at least one sample"
        times = [
            (element, interval)
            for (name, element), track in recording.alerts.items()
            if name == label
            for interval in track.intervals()
        ]
        raised = tuple(Raised(label, element, rule.alert.level, i.start, i.end) for element, i in times)
        runs.append(MetricsRun(recording.first, recording.last, raised))
        up += sum((_end(i, recording) - i.start for _, i in times), Fraction(0))
        for mark in stretch.marks:
            if any(i.start <= mark + near and mark - near <= _end(i, recording) for _, i in times):
                close.add((stretch.number, "", None, mark))
        for limit in guarded:
            for broken, told in _told(ruleset, limit, recording):
                name = (stretch.number, limit.label, broken[0], broken[1].start)
                end = _end(broken[1], recording)
                if not any(i.start <= end and broken[1].start < _end(i, recording) for i in told):
                    unseen.add(name)
                latest = broken[1].start + limit.allowed
                in_time = any(i.start <= latest and broken[1].start < _end(i, recording) for i in told)
                if end > latest and not in_time:
                    late.add(name)
    return SeenOverLogs(measured(runs), up, frozenset(unseen), frozenset(late), frozenset(close))


def _end(interval: TimeInterval, recording: IntervalRecording) -> Fraction:
    return recording.last if interval.end is None else interval.end


def _told(
    ruleset: m.RuleSet, limit: m.Range, recording: IntervalRecording
) -> list[tuple[tuple[int | None, TimeInterval], list[TimeInterval]]]:
    """Each time a limit was broken, with all times that an alert was up that counts for it."""
    loud = {rule.label for rule in alerts_for(ruleset, limit)}
    found = []
    for (name, element), track in recording.violated.items():
        if name != limit.label:
            continue
        told = [
            interval
            for (label, other), alert in recording.alerts.items()
            if label in loud and other in (element, None)
            for interval in alert.intervals()
        ]
        found += [((element, interval), told) for interval in track.intervals()]
    return found
