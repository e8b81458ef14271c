"""Why something was shown, or was not, at one moment of a recorded run."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.logs.log_error import LogError
from alertlang.logs.read import stream_log
from alertlang.recorded.rows import At, LogSource, rows_at
from alertlang.recorded.run import KeptRun
from alertlang.recorded.when import alert_at, elapsed, full_clock, mark_at, row_at, times_of
from alertlang.replay.kept import KeptSegment, kept
from alertlang.replay.run import told_problems
from alertlang.replay.wanted import wanted_of
from alertlang.results.why import MomentOf, Why
from alertlang.units.number import show_number
from alertlang.why.answer import Asked, answer
from alertlang.why.subject import about


@dataclass(frozen=True, slots=True)
class When:
    """One moment of a log: `at` a time (see `times_of`; a number of seconds elapsed), an `alert` by its number or text
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
        self.time = None if at is None else _times(source, at, _day_start(source))[0]
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
        assert when.at is not None
        time = self.time_of(when.at, when.segment)
        rows = [segment.at for segment in self.segments] if time == self.time else rows_at(self.source, time)
        return row_at(self.segments, rows, time, when.segment, log)

    def time_of(self, at: str | Fraction, segment: int | None) -> Fraction:
        """As the log counts it; of what a text can mean that which the log, or one segment of it, has. LogError if it
        is no time, or both are there."""
        times = _times(self.source, at, None if self.clock is None else self.clock.of_day(Fraction(0)))
        spans = [one.recording for number, one in enumerate(self.segments, 1) if segment in {None, number}]
        there = [time for time in times if any(span.first <= time <= span.last for span in spans)]
        if len(set(there)) > 1:
            assert isinstance(at, str)
            day = full_clock(at)
            if at.strip() != day:
                advice = f"write {day} for the time of day, {show_number(there[1])}s for the other"
                message = f"{at} is there twice, as a time of day and as the time since it began"
                raise LogError(self.source.shown, message, advice)
        return there[0] if there else times[0]

    def run(self, segment: int) -> KeptRun:
        return KeptRun(self.source, segment, self.segments[segment - 1])

    def why(self, when: When, words: str | None) -> Why:
        """`words`: what alone is asked about (`why.subject.about`); an alert that is chosen is asked about alone."""
        number, row = self.moment(when)
        ruleset, shown = self.source.ruleset, self.source.shown
        if words is None and when.alert is not None:
            words = alert_at(self.segments, ruleset, when.alert, shown).text.text
        asked = Asked() if words is None else Asked(words, about(ruleset, words))
        run = self.run(number)
        run.fetch([row])
        before = run.row(row - 1).sample.time if row else None
        path = None if self.source.column_map is None else self.source.column_map.path
        of = MomentOf(shown, path, number, run.row(row).file_row, before, self.clock)
        return replace(answer(run, row, asked, of), problems=tuple(one for one in self.problems if one.grave))


def _times(source: LogSource, at: str | Fraction, day_start: Fraction | None) -> list[Fraction]:
    """What it can mean, as the log counts; `day_start`: the time of day at 0 of a log with a clock."""
    if isinstance(at, Fraction):
        return [at]
    try:
        times = times_of(at, has_clock=day_start is not None)
    except ValueError as problem:
        raise LogError(source.shown, str(problem)) from None
    return [
        elapsed(time.seconds, day_start) if time.of_day and day_start is not None else time.seconds for time in times
    ]


def _day_start(source: LogSource) -> Fraction | None:
    """The time of day at which a log with a clock begins; none of another."""
    stream = stream_log(
        source.path, source.column_map, wanted_of(source.ruleset), shown=source.shown, block=source.block
    )
    # The clock is known with the first chunk.
    next(iter(stream.chunks()))
    return None if stream.clock is None else stream.clock.of_day(Fraction(0))
