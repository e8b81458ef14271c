"""A log over a rule set: what would have been seen, from when to when, and what it counts for.

A log is gone through once, in chunks, and may be larger than memory; what is kept is what changes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from pathlib import Path

from alertlang.logs.column_map import ColumnMap
from alertlang.logs.csv_rows import BLOCK
from alertlang.logs.read import LogStream, stream_log
from alertlang.model import ruleset as m
from alertlang.replay.engine import ROWS, ReplayEngine, Trace, cut
from alertlang.replay.engine_plan import elements
from alertlang.replay.exercise import Exercise, with_cases
from alertlang.replay.intervals import IntervalRecording
from alertlang.replay.judged import Judging
from alertlang.replay.left_out import left_out
from alertlang.replay.metrics import DEFINITIONS, FLIGHT, Metrics, MetricsRun, Raised, measured
from alertlang.replay.one_segment import SegmentReplay, SegmentRun
from alertlang.replay.wanted import wanted_of
from alertlang.results import replay as d
from alertlang.results.report import FileName

# Told now and then how many rows have been looked at, and what share of the file, from 0 to 1.
Progress = Callable[[int, float], None]


def replay(
    path: Path,
    ruleset: m.RuleSet,
    column_map: ColumnMap | None = None,
    *,
    shown: str | None = None,
    block: int = BLOCK,
    progress: Progress | None = None,
) -> d.ReplayResult:
    """One log over one rule set. `shown`: how the result calls it. LogError if the log or the map cannot be used."""
    stream = stream_log(path, column_map, wanted_of(ruleset), shown=shown, block=block)
    exercise, judging = Exercise(ruleset), Judging(ruleset)
    asked = judging.asked(with_cases(ruleset))
    runs: list[SegmentRun] = []
    for segment in _segments(stream, ruleset, asked, progress):
        runs.append(segment)
        exercise.add(segment.recording)
        judging.add(segment.recording)
    held: tuple[d.LeftOut, ...] = ()
    if any(problem.kind == "repeated-time" for problem in stream.problems):
        found = left_out(path, ruleset, column_map, block=block)
        if found is not None:
            stream.add_left_out(found.count, found.first)
            held = found.held
    return _Result(ruleset, stream, column_map, tuple(runs)).result(exercise, judging, held)


def _segments(
    stream: LogStream, ruleset: m.RuleSet, asked: m.RuleSet, progress: Progress | None
) -> Iterator[SegmentRun]:
    """`asked`: the rule set with conditions that are counted beside its own."""
    going: SegmentReplay | None = None
    for trace, continues in traces(stream, asked, progress):
        if not continues:
            if going is not None:
                yield going.done()
            going = SegmentReplay(ruleset)
        assert going is not None
        going.feed(trace)
    if going is not None:
        yield going.done()


def traces(stream: LogStream, ruleset: m.RuleSet, progress: Progress | None = None) -> Iterator[tuple[Trace, bool]]:
    """What is shown over a whole log, chunk by chunk, and whether each goes on with the segment before."""
    engine = ReplayEngine(ruleset)
    for chunk in stream.chunks():
        for start in range(0, len(chunk.segment), ROWS):
            continues = chunk.continues or start > 0
            yield engine.feed(cut(chunk.segment, start, start + ROWS), continues=continues), continues
        if progress is not None:
            progress(stream.rows, stream.far.share)


def told_problems(stream: LogStream) -> tuple[d.Problem, ...]:
    return tuple(
        d.Problem(problem.kind, problem.count, problem.first_row, problem.column, problem.words)
        for problem in stream.problems
    )


def stretches(recordings: Iterable[IntervalRecording]) -> tuple[d.SegmentTimes, ...]:
    return tuple(d.SegmentTimes(recording.rows, recording.first, recording.last) for recording in recordings)


def colour_word(number: int) -> str | None:
    """-1 is no band."""
    return None if number < 0 else m.Colour(number).name.lower()


def alert_text(alert: m.AlertText, index: int | None) -> str:
    return alert.text if index is None else alert.text.replace("{n}", str(index))


class _Result:
    def __init__(
        self, ruleset: m.RuleSet, stream: LogStream, column_map: ColumnMap | None, runs: tuple[SegmentRun, ...]
    ) -> None:
        self.ruleset = ruleset
        self.stream = stream
        self.map = column_map
        self.runs = runs
        self.rules = {rule.label: rule for rule in ruleset.rules}
        # Gauges are quantities that some band colours.
        coloured = {band.quantity for band in ruleset.bands}
        self.gauges = [
            (quantity.name, index)
            for quantity in ruleset.quantities.values()
            if quantity.name in coloured
            for index in quantity.indexes
        ]

    def result(self, exercise: Exercise, judging: Judging, held: tuple[d.LeftOut, ...]) -> d.ReplayResult:
        alerts = tuple(self._alerts())
        colours = tuple(self._colours())
        metrics = measured(self._metric_runs(alerts))
        return d.ReplayResult(
            self.stream.path,
            FileName.of(self.ruleset.origin),
            None if self.map is None else self.map.path,
            self.stream.rows,
            stretches(run.recording for run in self.runs),
            told_problems(self.stream),
            alerts,
            colours,
            tuple(self._colour_times()),
            tuple(self._band_times()),
            tuple(self._marks()),
            tuple(self._lamps()),
            tuple(self._violations()),
            told_metrics(metrics),
            tuple((level.word, count) for level, count in metrics.by_level),
            exercise.unexercised(),
            held,
            self.stream.readings,
            judging.judged(self.stream),
            tuple(self._switches()),
            clock=self.stream.clock,
            unused=self.stream.bindings.unused,
            marks_read=self.stream.bindings.mark is not None,
        )

    def _alerts(self) -> Iterator[d.AlertUp]:
        for number, run in enumerate(self.runs, 1):
            for (label, index), track in run.recording.alerts.items():
                alert = self.rules[label].alert
                assert alert is not None
                worst = run.worst[label, index].found
                for interval, found in zip(track.intervals(), worst, strict=True):
                    yield d.AlertUp(
                        label,
                        index,
                        alert_text(alert, index),
                        alert.level.word,
                        number,
                        interval.start,
                        interval.end,
                        run.until(interval.end) - interval.start,
                        run.acknowledged(interval),
                        None if found is None else found.worst,
                        None if found is None else found.margin,
                    )

    def _switches(self) -> Iterator[d.SwitchUse]:
        found = self.stream.bindings
        for name, switch in self.ruleset.switches.items():
            if name not in found.switches:
                yield d.SwitchUse(name, None, (), ())
                continue
            tracks = [(number, run.recording, run.recording.positions[name]) for number, run in enumerate(self.runs, 1)]
            words: dict[int, str | None] = {**dict(enumerate(switch.positions)), -1: None}
            spent = self._spent(track.spent(recording.last) for _, recording, track in tracks)
            yield d.SwitchUse(
                name,
                found.names[found.switches[name][0]],
                tuple(d.PositionTime(word, *spent[value]) for value, word in words.items() if value in spent),
                tuple(
                    d.AtPosition(words[value], number, start, end, seconds)
                    for number, recording, track in tracks
                    for value, start, end, seconds in track.spans(recording.last)
                ),
            )

    def _colours(self) -> Iterator[d.Coloured]:
        words = {int(colour): colour_word(int(colour)) for colour in m.Colour} | {-1: None}
        for number, run in enumerate(self.runs, 1):
            for quantity, index in self.gauges:
                track = run.recording.colours[quantity, index]
                for value, start, end, seconds in track.spans(run.recording.last):
                    yield d.Coloured(quantity, index, words[value], number, start, end, seconds)

    def _colour_times(self) -> Iterator[d.ColourTime]:
        for gauge in self.gauges:
            spent = self._spent(run.recording.colours[gauge].spent(run.recording.last) for run in self.runs)
            for value in (*sorted(m.Colour, reverse=True), -1):
                if value in spent:
                    yield d.ColourTime(*gauge, colour_word(int(value)), *spent[value])

    def _band_times(self) -> Iterator[d.BandTime]:
        for band in self.ruleset.bands:
            for index in elements(band, self.ruleset):
                place = band.label, index
                spent = self._spent(run.recording.applies[place].spent(run.recording.last) for run in self.runs)
                seconds, times = spent.get(1, (Fraction(0), 0))
                yield d.BandTime(band.label, band.quantity, index, band.colour.name.lower(), seconds, times)

    def _spent(self, segments: Iterable[dict[int, tuple[Fraction, int]]]) -> dict[int, tuple[Fraction, int]]:
        """Over all segments, by value: seconds, and how many times."""
        found: dict[int, tuple[Fraction, int]] = {}
        for segment in segments:
            for value, (seconds, times) in segment.items():
                before = found.get(value, (Fraction(0), 0))
                found[value] = before[0] + seconds, before[1] + times
        return found

    def _marks(self) -> Iterator[d.MarkedRows]:
        for number, run in enumerate(self.runs, 1):
            for mark in run.marks:
                up = []
                for (label, index), track in run.recording.alerts.items():
                    alert = self.rules[label].alert
                    if alert is not None and track.at(mark.row):
                        up.append((label, index, alert_text(alert, index), alert.level.word))
                coloured = []
                for quantity, index in self.gauges:
                    value = run.recording.colours[quantity, index].at(mark.row)
                    if value >= m.Colour.YELLOW:
                        coloured.append((quantity, index, m.Colour(value).name.lower()))
                states = {text: lamp_state.state.value for text, lamp_state in run.lamps_at(mark.row).items()}
                lamps = [(text, state) for text, state in states.items() if state != "normal"]
                yield d.MarkedRows(number, mark.time, mark.file_row, tuple(up), tuple(coloured), tuple(lamps))

    def _lamps(self) -> Iterator[d.Lit]:
        for number, run in enumerate(self.runs, 1):
            for text, intervals in run.lamps.items():
                for interval in intervals:
                    look = interval.state
                    seconds = run.until(interval.end) - interval.start
                    yield d.Lit(
                        text, look.state.value, look.light, look.sound, number, interval.start, interval.end, seconds
                    )

    def _violations(self) -> Iterator[d.Violation]:
        for number, run in enumerate(self.runs, 1):
            for (label, index), track in run.recording.violated.items():
                worst = run.worst_violated[label, index].found
                for interval, found in zip(track.intervals(), worst, strict=True):
                    yield d.Violation(
                        label,
                        index,
                        number,
                        interval.start,
                        interval.end,
                        run.until(interval.end) - interval.start,
                        None if found is None else found.worst,
                    )

    def _metric_runs(self, alerts: tuple[d.AlertUp, ...]) -> Iterator[MetricsRun]:
        for number, run in enumerate(self.runs, 1):
            raised = tuple(
                Raised(
                    alert.statement,
                    alert.element,
                    m.Level[alert.level.upper()],
                    alert.start,
                    alert.end,
                    alert.acknowledged,
                )
                for alert in alerts
                if alert.segment == number
            )
            yield MetricsRun(run.recording.first, run.recording.last, raised)


def told_metrics(metrics: Metrics) -> tuple[d.Metric, ...]:
    """Each number with its definition and what it is held against."""
    found = []
    for name, definition in DEFINITIONS.items():
        value = getattr(metrics, name)
        number = metrics.number(name)
        held = tuple(
            d.HeldAgainst(
                benchmark.words, benchmark.source, benchmark.status, None if number is None else benchmark.met(number)
            )
            for benchmark in definition.benchmarks
        )
        names = value if isinstance(value, tuple) else None
        found.append(
            d.Metric(name, number, names, definition.words, definition.source, definition.status, held, name in FLIGHT)
        )
    return tuple(found)
