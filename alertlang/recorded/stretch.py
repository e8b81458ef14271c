"""A stretch of a recorded run as a scenario: so that what happened once stays tested."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

from alertlang.logs.log_error import LogError
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.recorded.rows import LogSource, samples_between
from alertlang.recorded.run import KeptRun
from alertlang.recorded.stretch_text import scenario_text
from alertlang.recorded.thin import About, Thinning, ThinRow, reads_trend
from alertlang.recorded.when import alert_at
from alertlang.recorded.why import KeptLog, When
from alertlang.results.scenario import RecordedScenario
from alertlang.scenarios.load import parse_scenario_text
from alertlang.scenarios.run import is_so
from alertlang.scenarios.run import samples as scenario_samples
from alertlang.scenarios.scenario import MOST_SAMPLES
from alertlang.text.lists import listed
from alertlang.units.number import show_number
from alertlang.why.subject import Subject, alert_places, gauges_of
from alertlang.why.words import how_long

# Samples that are stepped through to leave out what changes nothing.
_MOST_TRIED = 5_000

_STEPS = tuple(Fraction(n) for n in (0, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400))


def recorded_scenario(
    source: LogSource, when: When, around: Fraction, *, run_in: Fraction, name: str = "", named: bool = True
) -> RecordedScenario:
    """From `around` seconds before a moment to as many after it; of an alert from before it came up to after it was
    gone. `run_in`: at most so many seconds before that. `named`: it names the rules it uses.

    LogError, with what is missing, where the rules do not come to what was shown with so much before it.
    """
    if around < 0 or run_in < 0:
        raise ValueError("a time before or after a moment must not be below 0")
    log = KeptLog(source, when.at)
    number, row = log.moment(when)
    kept = log.segments[number - 1]
    begin, end = _span(log, when, kept.recording.first, kept.recording.last, around)
    run = KeptRun(source, number, kept)
    numbered = samples_between(source, number, begin - run_in, end)
    first = next(k for k, (_, sample) in enumerate(numbered) if sample.time >= begin or numbered[k][0] == row)
    samples = [sample for _, sample in numbered]
    if len(samples) - first > MOST_SAMPLES:
        raise LogError(source.shown, f"these are more than {MOST_SAMPLES} samples", "take a shorter stretch")
    truth = _shown(run, numbered[first][0], samples[first:])
    start = _start(source, samples, first, truth, run_in)
    kept_of = _without_rates(source.ruleset, truth)
    if not kept_of.expects(truth):
        kept_of = _about(source.ruleset, ())
    if not kept_of.expects(truth):
        raise LogError(source.shown, "nothing is shown in this stretch that could be expected", "take another stretch")
    thinning = Thinning(kept_of.ruleset)
    rows = thinning.rows(samples[start:], first - start)
    title = name or f"{Path(source.shown).name.split('.')[0]}-{show_number(samples[first].time)}s"
    failed = tuple(i for i in thinning.inputs if all(_is_unknown(i, sample) for sample in samples[start:]))
    about = [
        f"Saved from {source.shown}{f', segment {number}' if len(log.segments) > 1 else ''}: rows "
        f"{run_row(run, numbered[first][0])} to {run_row(run, numbered[-1][0])} after the heading. At 0 s here it was "
        f"{_at(log, samples[start].time)} there; what is expected begins at {_at(log, samples[first].time)}.",
    ]
    if failed:
        about.append(f"Never known in the recording, so they are failed: {', '.join(failed)}.")
    left_out = [alert for alert in source.ruleset.alerts if alert not in kept_of.ruleset.alerts]
    if left_out:
        texts = listed(f'{one.alert.level.word} "{one.alert.text}"' for one in left_out)
        about.append(f"How fast readings rise and fall is not kept, so nothing is expected of {texts}.")
    about.append(
        "Below stands what the rules showed. Between two lines readings stay as they were, for nothing that the rules "
        "ask changed: rules with other numbers may need other lines."
    )
    writer = _Writer(source.ruleset, kept_of, title, named, about, samples[start:], samples[first].time, truth)
    found = writer.written(rows)
    if found is None:
        found = writer.written(thinning.rows(samples[start:], first - start, whole=True))
    assert found is not None, f"{title} does not show what was recorded"
    text, lines = found
    return RecordedScenario(
        title,
        text,
        samples[start].time,
        samples[first].time,
        samples[-1].time,
        len(samples) - start,
        lines,
        failed,
        tuple(problem for problem in log.problems if problem.grave),
    )


def _without_rates(ruleset: m.RuleSet, truth: Sequence[Shown]) -> About:
    """Without the alerts on their own that read how fast something rises or falls, and are never up: for them every
    reading at every row would have to be kept. Lamps that they could light go with them."""
    up = {label for shown in truth for label, _ in shown.alerts}
    gone = [
        alert
        for alert in ruleset.alerts
        if alert.label not in up
        and any(reads_trend(ruleset, name) for name in ruleset.quantities_read(alert.when, alert.unless))
    ]
    return _about(ruleset, gone)


def _about(ruleset: m.RuleSet, gone: Collection[m.Alert]) -> About:
    """A rule set without some alerts."""
    lit = [lamp for lamp in ruleset.lamps if any(lamp.shows(alert.label, alert.alert.level) for alert in gone)]
    grave = [rule for rule in ruleset.rules if rule.alert is not None and rule.alert.level >= m.Level.CAUTION]
    return About(
        replace(ruleset, alerts=tuple(alert for alert in ruleset.alerts if alert not in gone)),
        tuple(lamp for lamp in ruleset.lamps if lamp not in lit),
        bool(grave) and not any(alert in grave for alert in gone),
    )


def _span(log: KeptLog, when: When, first: Fraction, last: Fraction, around: Fraction) -> tuple[Fraction, Fraction]:
    """The times of the stretch, within its segment."""
    number, row = log.moment(when)
    recording = log.segments[number - 1].recording
    if when.alert is not None:
        came_up = alert_at(log.segments, log.source.ruleset, when.alert, log.source.shown)
        intervals = recording.alerts[came_up.place].intervals()
        interval = next(one for one in intervals if one.start_row == row)
        begin, end = interval.start, last if interval.end is None else interval.end
    elif when.mark is not None:
        begin = end = next(mark.time for mark in log.segments[number - 1].marks if mark.row == row)
    else:
        assert when.at is not None
        begin = end = log.time_of(when.at, when.segment)
    return max(first, begin - around), min(last, end + around)


def _shown(run: KeptRun, row: int, samples: Sequence[Sample]) -> list[Shown]:
    """What was shown at samples that follow each other, the first of them at a row."""
    stepper = Stepper(run.rules)
    stepper.memory = run.at(row).before
    return [stepper.step(sample) for sample in samples]


def _start(source: LogSource, samples: Sequence[Sample], first: int, truth: Sequence[Shown], run_in: Fraction) -> int:
    """The latest of some samples from which a run that knows nothing comes to what was shown."""
    ruleset = source.ruleset
    tried = -1
    unlike: tuple[Shown, Shown] | None = None
    for start in _starts(samples, first, run_in):
        if start == tried:
            continue
        tried = start
        stepper = Stepper(ruleset)
        for sample in samples[start:first]:
            stepper.step(sample)
        unlike = _about(ruleset, ()).first_unlike((stepper.step(sample) for sample in samples[first:]), truth)
        if unlike is None:
            return start
    assert unlike is not None
    shown, wanted = unlike
    everything = Subject(tuple(gauges_of(ruleset)), tuple(text for _, _, text in alert_places(ruleset)), ())
    raise LogError(
        source.shown,
        f"with {how_long(samples[first].time - samples[tried].time)} before it the rules do not come to what was "
        f"shown: at {show_number(wanted.time)} s it was {everything.told(shown, wanted)}",
        "something of longer before is remembered: allow more with --run-in, or take another stretch",
    )


def _starts(samples: Sequence[Sample], first: int, run_in: Fraction) -> Iterator[int]:
    """From the stretch itself back to all that there is."""
    begins = samples[first].time
    for step in _STEPS:
        if step <= run_in:
            yield next(k for k, sample in enumerate(samples) if sample.time >= begins - step)
    yield 0


# ---- the text


@dataclass(frozen=True, slots=True)
class _Writer:
    """`kept` is what of the `ruleset` the scenario is about; `samples` from its beginning, `first` of what is expected,
    and the `truth` from there on."""

    ruleset: m.RuleSet
    kept: About
    name: str
    named: bool
    about: Sequence[str]
    samples: Sequence[Sample]
    first: Fraction
    truth: Sequence[Shown]

    def written(self, rows: Sequence[ThinRow]) -> tuple[str, int] | None:
        """The text, and its lines: sampled as the log is, if that comes to the same, else at the lines alone; none if
        neither does. What turns out to change nothing after all is left out."""
        whole = self.samples[-1].time - self.samples[0].time + 1
        for spacing in dict.fromkeys((_usual(self.samples), whole)):
            text = self._tried(rows, spacing)
            if text is not None:
                return self._shortened(rows, spacing, text)
        return None

    def _tried(self, rows: Sequence[ThinRow], spacing: Fraction) -> str | None:
        """The text, if running it shows what was recorded."""
        begins = self.samples[0].time
        text = scenario_text(self.kept, self.name, self.named, self.about, rows, self.first, spacing)
        scenario = parse_scenario_text(text.encode(), shown=self.name, folder=Path(), rules=self.ruleset).scenario
        if scenario is None:
            return None
        wanted = {one.time - begins: one for one in self.truth}
        stepper = Stepper(self.ruleset)
        for sample in scenario_samples(scenario):
            shown = stepper.step(sample)
            true = wanted.get(sample.time)
            if true is not None and self.kept.seen(shown) != self.kept.seen(true):
                return None
            if not all(is_so(one.what, shown) for one in scenario.expected if one.covers(sample.time)):
                return None
        return text

    def _shortened(self, rows: Sequence[ThinRow], spacing: Fraction, text: str) -> tuple[str, int]:
        """First without what is written again of one input, then without single lines, as long as that is quick."""
        left = _MOST_TRIED // len(self.samples)
        changing = dict.fromkeys(name for row in rows[1:] for name in row.write)

        def without(rows: Sequence[ThinRow], name: str) -> list[ThinRow]:
            later = [replace(row, write={k: v for k, v in row.write.items() if k != name}) for row in rows[1:]]
            return [rows[0], *later]

        for name in changing:
            if left > 0:
                left -= 1
                fewer = self._filled(without(rows, name))
                tried = self._tried(fewer, spacing)
                if tried is not None:
                    rows, text = fewer, tried
        number = len(rows) - 2
        while number > 0 and left > 0:
            left -= 1
            fewer = self._filled([*rows[:number], *rows[number + 1 :]])
            tried = None if rows[number].sample.time == self.first else self._tried(fewer, spacing)
            if tried is not None:
                rows, text = fewer, tried
            number = min(number, len(rows) - 1) - 1
        return text, len(rows)

    def _filled(self, rows: Sequence[ThinRow]) -> list[ThinRow]:
        """Without lines that say nothing: nothing is read in them, pressed, or shown otherwise than before."""
        found: list[ThinRow] = []
        for number, row in enumerate(rows):
            sample = row.sample
            is_end = number in {0, len(rows) - 1} or sample.time == self.first
            is_pressed = sample.acknowledge or bool(sample.pressed)
            changed = not found or self.kept.seen(found[-1].shown) != self.kept.seen(row.shown)
            if is_end or row.write or is_pressed or (changed and sample.time > self.first):
                found.append(row)
        return found


def _usual(samples: Sequence[Sample]) -> Fraction:
    """The time between two samples that is most frequent, the shorter of two."""
    steps = [later.time - sooner.time for sooner, later in pairwise(samples)]
    if not steps:
        return Fraction(1)
    return min(set(steps), key=lambda step: (-steps.count(step), step))


def _is_unknown(name: str, sample: Sample) -> bool:
    return name not in sample.readings and name not in sample.positions


def run_row(run: KeptRun, row: int) -> int:
    """The row of the file."""
    run.fetch([row])
    return run.row(row).file_row


def _at(log: KeptLog, time: Fraction) -> str:
    said = f"{show_number(time)} s"
    return said if log.clock is None else f"{log.clock.text(time)} ({said})"
