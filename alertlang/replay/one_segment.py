"""One segment of a log over a rule set, chunk by chunk: nothing is kept but what changes."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from alertlang.lamps.machine import LampRun, LampState
from alertlang.model import ruleset as m
from alertlang.replay.engine import Place, Trace
from alertlang.replay.engine_plan import elements
from alertlang.replay.exceedance import WorstOf, limit_subject, subject_of
from alertlang.replay.intervals import IntervalRecording, Recorder, TimeInterval


@dataclass(frozen=True, slots=True)
class Press:
    """A button that was pressed, at a row of the segment counted from 0."""

    row: int
    time: Fraction
    button: str
    acknowledges: bool


@dataclass(frozen=True, slots=True)
class Marked:
    """Rows that were marked, one after the other. `row` of the segment, from 0; `file_row` from 1 after the heading."""

    row: int
    file_row: int
    time: Fraction


@dataclass(frozen=True, slots=True)
class LampInterval:
    state: LampState
    start_row: int
    end_row: int | None
    start: Fraction
    end: Fraction | None


@dataclass(frozen=True, slots=True)
class SegmentRun:
    """What one segment showed. `worst` of every interval of an alert and `worst_violated` of every one of a limit, in
    their order. `acknowledging`: presses of buttons that acknowledge, in the order of time."""

    recording: IntervalRecording
    worst: Mapping[Place, WorstOf]
    worst_violated: Mapping[Place, WorstOf]
    acknowledging: tuple[Press, ...]
    marks: tuple[Marked, ...]
    lamps: Mapping[str, tuple[LampInterval, ...]]

    def until(self, end: Fraction | None) -> Fraction:
        return self.recording.last if end is None else end

    def acknowledged(self, interval: TimeInterval) -> Fraction | None:
        """The first press of a button that acknowledges what was there at the row before it."""
        at = bisect_right(self.acknowledging, interval.start_row, key=lambda press: press.row)
        if at == len(self.acknowledging):
            return None
        press = self.acknowledging[at]
        return press.time if interval.end_row is None or press.row <= interval.end_row else None

    def lamps_at(self, row: int) -> dict[str, LampState]:
        """Every lamp at a row of the segment."""
        return {
            text: intervals[bisect_right(intervals, row, key=lambda interval: interval.start_row) - 1].state
            for text, intervals in self.lamps.items()
        }


class SegmentReplay:
    """Takes the traces of one segment as they come."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        self._recorder = Recorder()
        self._worst: dict[Place, WorstOf] = {}
        self._worst_violated: dict[Place, WorstOf] = {}
        self._presses: list[Press] = []
        self._marks: list[Marked] = []
        self._was_marked = False
        for rule in ruleset.rules:
            if rule.alert is not None:
                for index in elements(rule, ruleset):
                    subject = subject_of(rule, index, ruleset)
                    self._worst[rule.label, index] = WorstOf(subject, ruleset, with_margin=True)
        for declared in ruleset.ranges:
            if declared.forbids:
                for index in elements(declared, ruleset):
                    tracker = WorstOf(limit_subject(declared, index), ruleset, with_margin=False)
                    self._worst_violated[declared.label, index] = tracker

    def feed(self, trace: Trace) -> None:
        self._recorder.feed(trace)
        for place, truth in trace.alerts.items():
            self._worst[place].feed(trace, truth)
        for place, truth in trace.violated.items():
            self._worst_violated[place].feed(trace, truth)
        chunk = trace.chunk
        for button, rows in trace.pressed.items():
            acknowledges = button == "" or button in self.ruleset.acknowledge_inputs
            for row in rows.tolist():
                self._presses.append(Press(trace.start + row, chunk.seconds(row), button, acknowledges))
        marks = chunk.marks
        begins = marks & ~np.concatenate([np.array([self._was_marked]), marks[:-1]])
        for row in np.flatnonzero(begins).tolist():
            self._marks.append(Marked(trace.start + row, int(chunk.rows[row]), chunk.seconds(row)))
        self._was_marked = bool(marks[-1])

    def done(self) -> SegmentRun:
        recording = self._recorder.recording()
        assert recording is not None, "a segment has at least one row"
        presses = tuple(sorted(self._presses, key=lambda press: (press.row, press.button)))
        lamps = {lamp.text: tuple(_lit(lamp, self.ruleset, recording, presses)) for lamp in self.ruleset.lamps}
        acknowledging = tuple(press for press in presses if press.acknowledges)
        return SegmentRun(recording, self._worst, self._worst_violated, acknowledging, tuple(self._marks), lamps)


def _lit(
    lamp: m.PanelLamp, ruleset: m.RuleSet, recording: IntervalRecording, presses: tuple[Press, ...]
) -> list[LampInterval]:
    """A lamp stays as it is at every row at which no alert of its comes or goes and no button is pressed."""
    levels = {rule.label: rule.alert.level for rule in ruleset.rules if rule.alert is not None}
    tracks = {place: track for place, track in recording.alerts.items() if lamp.shows(place[0], levels[place[0]])}
    times: dict[int, Fraction] = {0: recording.first}
    changes: dict[int, list[tuple[Place, bool]]] = {}
    for place, track in tracks.items():
        for interval in track.every():
            times[interval.start_row] = interval.start
            changes.setdefault(interval.start_row, []).append((place, interval.value != 0))
    pressed: dict[int, set[str]] = {}
    for press in presses:
        times[press.row] = press.time
        pressed.setdefault(press.row, set()).add(press.button)
    run, up = LampRun(lamp), set[Place]()
    found: list[tuple[int, LampState]] = []
    for row in sorted(times):
        for place, is_up in changes.get(row, ()):
            (up.add if is_up else up.discard)(place)
        state = run.step(frozenset(up), frozenset(pressed.get(row, ())))
        if not found or found[-1][1] != state:
            found.append((row, state))
    ends: list[int | None] = [*[row for row, _ in found[1:]], None]
    return [
        LampInterval(state, row, end, times[row], None if end is None else times[end])
        for (row, state), end in zip(found, ends, strict=True)
    ]
