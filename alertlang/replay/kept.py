"""What a replay keeps so that any of its moments can be asked about without going through the log from its start.

Beside what is shown: every truth that a word of the clock counts from, each as the rows at which it changes. So what is
kept grows with what happens and not with the log.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np

from alertlang.logs.read import LogStream
from alertlang.model import ruleset as m
from alertlang.replay.engine import ROWS, ReplayEngine, Trace, cut
from alertlang.replay.engine_nodes import RowChunk, TruthNode
from alertlang.replay.engine_plan import _Planner, elements
from alertlang.replay.engine_truth import Rows, RowTruth
from alertlang.replay.intervals import IntervalRecording, Recorder, Track, _Growing

# What a truth is of: `wanted` (a condition before its delays), `held` (a part of `for at least` or `for less than`),
# `rest` (a statement but for its time), `inside` (a band's region with its deadband), `past` (a limit, however short).
Key = tuple[str, Hashable]

# Ticks that no log lasts.
_FOREVER = 2**62


@dataclass(frozen=True, slots=True)
class Mark:
    """The first of rows that were marked. `row` of the segment, from 0; `file_row` from 1 after the heading."""

    row: int
    file_row: int
    time: Fraction


@dataclass(frozen=True, slots=True)
class KeptSegment:
    """One segment. `truths` by what they are of; `presses`: by button (the empty one acknowledges all) the rows at
    which it was pressed, rising; `times`: the time of each of them; `at`: the last row no later than what was asked
    for, none before the first."""

    recording: IntervalRecording
    truths: Mapping[Key, Track]
    presses: Mapping[str, tuple[int, ...]]
    times: Mapping[int, Fraction]
    marks: tuple[Mark, ...]
    at: int | None


def kept(stream: LogStream, ruleset: m.RuleSet, at: Fraction | None = None) -> Iterator[KeptSegment]:
    """The segments of a log, gone through once. `at`: a time in seconds of which the row is looked for in each."""
    engine = _Engine(ruleset)
    going: _GrowingSegment | None = None
    for chunk in stream.chunks():
        for start in range(0, len(chunk.segment), ROWS):
            continues = chunk.continues or start > 0
            trace = engine.feed(cut(chunk.segment, start, start + ROWS), continues=continues)
            if not continues:
                if going is not None:
                    yield going.done()
                going = _GrowingSegment(at)
            assert going is not None
            going.feed(trace, engine.truths)
    if going is not None:
        yield going.done()


class _KeepingPlanner(_Planner):
    def truths(self) -> dict[Key, TruthNode]:
        """To be asked for before the plan, which needs to know of every comparison."""
        ruleset = self.ruleset
        found: dict[Key, TruthNode] = {
            ("wanted", name): self._wanted(condition) for name, condition in ruleset.conditions.items()
        }
        for held in ruleset.held:
            found["held", held.part] = self._formula(held.part)
        for rule in ruleset.rules:
            for index in elements(rule, ruleset):
                if rule.held is not None:
                    found["rest", (rule.label, index)] = self._rest(rule, index)
                if isinstance(rule, m.Band):
                    found["inside", (rule.label, index)] = self._in_band(rule, index)
        for declared in ruleset.ranges:
            if declared.forbids and declared.except_for is not None:
                for index in elements(declared, ruleset):
                    found["past", (declared.label, index)] = self._past(declared, index)
        return found


class _Engine(ReplayEngine):
    """`truths`: those of the chunk that was fed last."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        super().__init__(ruleset)
        planner = _KeepingPlanner(ruleset)
        self._kept = planner.truths()
        self._plan = planner.plan()
        self.truths: dict[Key, RowTruth] = {}

    def _trace(self, chunk: RowChunk, pressed: Mapping[str, Rows]) -> Trace:
        self.truths = {key: chunk.of(node) for key, node in self._kept.items()}
        return super()._trace(chunk, pressed)


@dataclass(slots=True)
class _GrowingSegment:
    """A segment that is being gone through."""

    wanted: Fraction | None
    recorder: Recorder = field(default_factory=Recorder)
    truths: dict[Key, _Growing] = field(default_factory=dict)
    presses: dict[str, list[int]] = field(default_factory=dict)
    times: dict[int, Fraction] = field(default_factory=dict)
    marks: list[Mark] = field(default_factory=list)
    was_marked: bool = False
    at: int | None = None
    tick: Fraction = Fraction(1)

    def feed(self, trace: Trace, truths: Mapping[Key, RowTruth]) -> None:
        self.recorder.feed(trace)
        chunk = trace.chunk
        self.tick = chunk.tick
        for key, truth in truths.items():
            self.truths.setdefault(key, _Growing()).feed(trace, int(truth.first), truth.changes, None)
        for button, rows in trace.pressed.items():
            for row in rows.tolist():
                self.presses.setdefault(button, []).append(trace.start + row)
                self.times[trace.start + row] = chunk.seconds(row)
        begins = chunk.marks & ~np.concatenate([np.array([self.was_marked]), chunk.marks[:-1]])
        for row in np.flatnonzero(begins).tolist():
            self.marks.append(Mark(trace.start + row, int(chunk.rows[row]), chunk.seconds(row)))
        self.was_marked = bool(chunk.marks[-1])
        if self.wanted is not None:
            wanted = max(-_FOREVER, min(_FOREVER, int(self.wanted // chunk.tick)))
            before = int(np.searchsorted(chunk.ticks, wanted, "right"))
            if before:
                self.at = trace.start + before - 1

    def done(self) -> KeptSegment:
        recording = self.recorder.recording()
        assert recording is not None, "a segment has at least one row"
        truths = {key: growing.track(self.tick) for key, growing in self.truths.items()}
        presses = {button: tuple(rows) for button, rows in self.presses.items()}
        return KeptSegment(recording, truths, presses, self.times, tuple(self.marks), self.at)


def is_so(track: Track, row: int) -> bool:
    """Whether a truth holds at a row of the segment."""
    return track.at(row) != 0


def begun(track: Track, row: int) -> tuple[int, Fraction]:
    """The first row, and its time, from which it has been as it is at a row."""
    k = int(np.searchsorted(track.rows, row, "right")) - 1
    return int(track.rows[k]), int(track.ticks[k]) * track.tick


def pressed_between(rows: tuple[int, ...], after: int, last: int) -> bool:
    """Whether any of some rows, rising, lies after one and not after another."""
    return bisect_right(rows, after) < bisect_right(rows, last)


def spent(track: Track, row: int, time: Fraction) -> Fraction:
    """For how long a truth held up to a row, at `time`: from each row at which it did to the next."""
    total = Fraction(0)
    for interval in track.intervals():
        if interval.start_row >= row:
            break
        end = time if interval.end is None or interval.end > time else interval.end
        total += end - interval.start
    return total
