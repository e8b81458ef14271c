"""What is kept of one log of a fleet: little enough to keep thousands, and all that the tables and the summary need."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from alertlang.model.ruleset import Level
from alertlang.replay.metrics import Metrics, MetricsRun, Raised, measured
from alertlang.results.replay import Problem, ReplayResult, SegmentTimes, Unexercised
from alertlang.units.number import show_number


@dataclass(frozen=True, slots=True)
class Up:
    """One time an alert was up. `worst`: what was read then, with `reading` and `unit`; all none where there is no
    single reading."""

    statement: str
    element: int | None
    text: str
    level: str
    segment: int
    start: Fraction
    end: Fraction | None
    seconds: Fraction
    acknowledged: Fraction | None
    reading: str | None
    worst: Fraction | None
    unit: str | None


@dataclass(frozen=True, slots=True)
class Exceedance:
    """One time a limit (or `avoid`) was broken for longer than it allows: `past` so much at the worst."""

    limit: str
    element: int | None
    segment: int
    start: Fraction
    end: Fraction | None
    seconds: Fraction
    reading: str | None
    worst: Fraction | None
    unit: str | None
    past: Fraction | None


@dataclass(frozen=True, slots=True)
class LogResult:
    """One log. `rows`: all under the heading. `began`: what its clock showed then, where that has dates. `metrics`: of
    this log alone, counted where many cores do it."""

    rows: int
    began: str | None
    metrics: Metrics
    segments: tuple[SegmentTimes, ...]
    alerts: tuple[Up, ...]
    broken: tuple[Exceedance, ...]
    problems: tuple[Problem, ...]
    unexercised: tuple[Unexercised, ...]

    @property
    def samples(self) -> int:
        return sum(segment.samples for segment in self.segments)

    @property
    def seconds(self) -> Fraction:
        return sum((segment.seconds for segment in self.segments), Fraction(0))

    @property
    def runs(self) -> tuple[MetricsRun, ...]:
        """What metrics are counted from: one for each segment."""
        return _runs(self.segments, self.alerts)


def _runs(segments: Sequence[SegmentTimes], alerts: Sequence[Up]) -> tuple[MetricsRun, ...]:
    raised: list[list[Raised]] = [[] for _ in segments]
    for up in alerts:
        level = Level[up.level.upper()]
        raised[up.segment - 1].append(Raised(up.statement, up.element, level, up.start, up.end, up.acknowledged))
    return tuple(MetricsRun(s.first, s.last, tuple(r)) for s, r in zip(segments, raised, strict=True))


def kept(result: ReplayResult) -> LogResult:
    """What is kept of the replay of a log."""
    alerts = []
    for alert in result.alerts:
        worst = alert.worst
        alerts.append(
            Up(
                alert.statement,
                alert.element,
                alert.text,
                alert.level,
                alert.segment,
                alert.start,
                alert.end,
                alert.seconds,
                alert.acknowledged,
                None if worst is None else worst.reading,
                None if worst is None else worst.value,
                None if worst is None else worst.unit.name,
            )
        )
    broken = []
    for one in result.violations:
        worst = one.worst
        read = (None, None, None, None) if worst is None else (worst.reading, worst.value, worst.unit.name, worst.past)
        broken.append(Exceedance(one.limit, one.element, one.segment, one.start, one.end, one.seconds, *read))
    metrics = measured(_runs(result.segments, alerts))
    clock = result.clock
    return LogResult(
        result.rows,
        clock.text(Fraction(0)) if clock is not None and clock.dated else None,
        metrics,
        result.segments,
        tuple(alerts),
        tuple(broken),
        result.problems,
        result.unexercised,
    )


# ---- as JSON, exactly

_LISTS = (
    ("segments", SegmentTimes, ("samples", "first", "last")),
    ("alerts", Up, tuple(Up.__slots__)),
    ("broken", Exceedance, tuple(Exceedance.__slots__)),
    ("problems", Problem, ("kind", "count", "first_row", "column", "words")),
    ("unexercised", Unexercised, ("kind", "name", "why")),
)
_NUMBERS = frozenset({"first", "last", "start", "end", "seconds", "acknowledged", "worst", "past"})


def as_data(result: LogResult) -> dict[str, Any]:
    """Numbers of the log are texts, exact: `12.5`, or `1/3` where no decimal is."""
    data: dict[str, Any] = {"rows": result.rows, "began": result.began, "metrics": _metrics_data(result.metrics)}
    for name, _, columns in _LISTS:
        data[name] = [[_plain(getattr(part, column)) for column in columns] for part in getattr(result, name)]
        data[f"{name}_columns"] = list(columns)
    return data


def from_data(data: Mapping[str, Any]) -> LogResult:
    """What `as_data` gave. KeyError, TypeError or ValueError for anything else."""
    parts: dict[str, Any] = {}
    kind: Any
    for name, kind, columns in _LISTS:
        if data[f"{name}_columns"] != list(columns):
            raise ValueError(f"other columns of {name}")
        listed = []
        for row in data[name]:
            cells = zip(columns, row, strict=True)
            values = {c: Fraction(v) if c in _NUMBERS and v is not None else v for c, v in cells}
            listed.append(kind(**values))
        parts[name] = tuple(listed)
    return LogResult(data["rows"], data["began"], _metrics(data["metrics"]), **parts)


def _metrics_data(metrics: Metrics) -> dict[str, Any]:
    found = {name: _plain(getattr(metrics, name)) for name in Metrics.__slots__ if name != "by_level"}
    return {**found, "by_level": [[level.word, count] for level, count in metrics.by_level]}


def _metrics(data: Mapping[str, Any]) -> Metrics:
    found: dict[str, Any] = {}
    for name in Metrics.__slots__:
        value = data[name]
        if name == "by_level":
            found[name] = tuple((Level[word.upper()], count) for word, count in value)
        elif isinstance(value, list):
            found[name] = tuple(value)
        else:
            found[name] = Fraction(value) if isinstance(value, str) else value
    return Metrics(**found)


def _plain(value: Any) -> Any:
    return show_number(value) if isinstance(value, Fraction) else value
