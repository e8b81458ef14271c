"""Why something was shown, or was not, at one moment of a recorded run."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.logs.log_error import LogError
from alertlang.logs.read import stream_log
from alertlang.recorded.rows import At, LogSource
from alertlang.recorded.run import KeptRun
from alertlang.recorded.when import alert_at, elapsed, mark_at, row_at, time_of
from alertlang.replay.kept import KeptSegment, kept
from alertlang.replay.run import told_problems
from alertlang.replay.wanted import wanted_of
from alertlang.results.why import MomentOf, Why
from alertlang.why.answer import Asked, answer
from alertlang.why.subject import about


@dataclass(frozen=True, slots=True)
class When:
    """One moment of a log: `at` a time (see `time_of`; a number of seconds elapsed), an `alert` by its number or text
    where it comes up, or a `mark` by its number. Of a log in several segments the first that has the time, or
    `segment`."""

    at: str | Fraction | None = None
    alert: int | str | None = None
    mark: int | None = None
    segment: int | None = None


class KeptLog:
    """A log gone through once, and what was kept of it: to be asked about any of its moments. `problems`: what was
    found in it; `clock`: its own, none where it has none."""

    def __init__(self, source: LogSource, at: str | Fraction | None = None) -> None:
        """`at`: a time that will be asked for. LogError if the log cannot be used, or the time is none."""
        self.source = source
        self.time = None if at is None else _time(source, at)
        stream = stream_log(
            source.path, source.column_map, wanted_of(source.ruleset), shown=source.shown, block=source.block
        )
        self.segments: tuple[KeptSegment, ...] = tuple(kept(stream, source.ruleset, self.time))
        self.clock = stream.clock
        self.problems = told_problems(stream)

    def moment(self, when: When) -> At:
        """Its segment and row. LogError if it has none such."""
        log = self.source.shown
        if when.alert is not None:
            return alert_at(self.segments, self.source.ruleset, when.alert, log).at
        if when.mark is not None:
            return mark_at(self.segments, when.mark, log)
        assert self.time is not None
        return row_at(self.segments, self.time, when.segment, log)

    def run(self, segment: int) -> KeptRun:
        return KeptRun(self.source, segment, self.segments[segment - 1])


def why_recorded(source: LogSource, when: When, words: str | None) -> Why:
    """`words`: what alone is asked about (`why.subject.about`); an alert that is chosen is asked about alone."""
    log = KeptLog(source, when.at)
    number, row = log.moment(when)
    ruleset = source.ruleset
    if words is None and when.alert is not None:
        words = alert_at(log.segments, ruleset, when.alert, source.shown).text.text
    asked = Asked() if words is None else Asked(words, about(ruleset, words))
    run = log.run(number)
    run.fetch([row])
    before = run.row(row - 1).sample.time if row else None
    path = None if source.column_map is None else source.column_map.path
    of = MomentOf(source.shown, path, number, run.row(row).file_row, before, log.clock)
    return replace(answer(run, row, asked, of), problems=tuple(one for one in log.problems if one.grave))


def _time(source: LogSource, at: str | Fraction) -> Fraction:
    """As the log counts it."""
    if isinstance(at, Fraction):
        return at
    day_start = _day_start(source)
    try:
        time = time_of(at, has_clock=day_start is not None)
    except ValueError as problem:
        raise LogError(source.shown, str(problem)) from None
    if not time.of_day:
        return time.seconds
    assert day_start is not None
    return elapsed(time.seconds, day_start)


def _day_start(source: LogSource) -> Fraction | None:
    """The time of day at which a log with a clock begins; none of another."""
    stream = stream_log(
        source.path, source.column_map, wanted_of(source.ruleset), shown=source.shown, block=source.block
    )
    # The clock is known with the first chunk.
    next(iter(stream.chunks()))
    return None if stream.clock is None else stream.clock.of_day(Fraction(0))
