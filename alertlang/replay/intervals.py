"""From what is shown at each row to intervals: which state, from when, to when.

An interval begins at the first row at which the state is so and ends at the first row at which it no longer is; one
that holds at the last row of its segment has no end.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from alertlang.replay.engine import Place, RowTruth, Steps, Trace


@dataclass(frozen=True, slots=True)
class TimeInterval:
    """`start_row` and `end_row` count from 0 at the first row of the segment; `start` and `end` are seconds. No end:
    still so at the last row. `value`: 1 of what is so or not, the number of the Colour of a gauge, -1 for none."""

    start_row: int
    end_row: int | None
    start: Fraction
    end: Fraction | None
    value: int

    @property
    def seconds(self) -> Fraction | None:
        """How long it lasted; none if it has no end."""
        return None if self.end is None else self.end - self.start


@dataclass(frozen=True, slots=True)
class Track:
    """One thing over a whole segment: it is `values[k]` from row `rows[k]`, at `ticks[k]`, until the next or the end.

    `rows[0]` is 0, and no value equals the one before it. Values are 0 and 1 for what is so or not, else -1 or the
    number of a Colour, or of a position of a switch.
    """

    rows: NDArray[np.int64]
    ticks: NDArray[np.int64]
    values: NDArray[np.int8]
    tick: Fraction

    def at(self, row: int) -> int:
        """The value at one row of the segment."""
        return int(self.values[np.searchsorted(self.rows, row, "right") - 1])

    def intervals(self) -> Iterator[TimeInterval]:
        """Where it is anything but 0: all intervals of an alert, every colour of a gauge but unmarked."""
        yield from self._intervals(self.values != 0)

    def every(self) -> Iterator[TimeInterval]:
        """All, whatever the value; they follow each other without a gap."""
        yield from self._intervals(np.ones(len(self.values), np.bool_))

    def _intervals(self, wanted: NDArray[np.bool_]) -> Iterator[TimeInterval]:
        count = len(self.rows)
        for k in np.flatnonzero(wanted).tolist():
            is_last = k + 1 == count
            yield TimeInterval(
                int(self.rows[k]),
                None if is_last else int(self.rows[k + 1]),
                self._seconds(int(self.ticks[k])),
                None if is_last else self._seconds(int(self.ticks[k + 1])),
                int(self.values[k]),
            )

    def spans(self, last: Fraction) -> Iterator[tuple[int, Fraction, Fraction | None, Fraction]]:
        """The same as `every`, for what there are many of: the value, start, end and seconds up to the end or, without
        one, to `last`, the time of the last row."""
        ticks = self.ticks.tolist()
        times = [self._seconds(tick) for tick in ticks]
        lengths = [self._seconds(after - before) for before, after in pairwise(ticks)]
        ends: list[Fraction | None] = [*times[1:], None]
        lengths.append(last - times[-1])
        yield from zip(self.values.tolist(), times, ends, lengths, strict=True)

    def spent(self, last: Fraction) -> dict[int, tuple[Fraction, int]]:
        """For each value that there is, how long it was so in all up to `last`, the time of the last row, and how many
        times it became so."""
        lengths = np.diff(self.ticks, append=int(last / self.tick))
        found = {}
        for value in np.unique(self.values).tolist():
            those = self.values == value
            found[value] = self._seconds(int(lengths[those].sum())), int(those.sum())
        return found

    def _seconds(self, ticks: int) -> Fraction:
        # Many times faster than to multiply.
        return Fraction(ticks * self.tick.numerator, self.tick.denominator)


@dataclass(frozen=True, slots=True)
class IntervalRecording:
    """A segment in intervals, everything in the order of declaration, as in a Trace. `rows`: how many it has; `first`
    and `last`: the seconds of the first and of the last."""

    rows: int
    first: Fraction
    last: Fraction
    conditions: Mapping[str, Track]
    applies: Mapping[Place, Track]
    alerts: Mapping[Place, Track]
    colours: Mapping[Place, Track]
    violated: Mapping[Place, Track]
    positions: Mapping[str, Track]


def record(traces: Iterator[Trace]) -> IntervalRecording | None:
    """All traces of one segment in order, for example `engine.run(segment)`; none if there is none."""
    recorder = Recorder()
    for trace in traces:
        recorder.feed(trace)
    return recorder.recording()


class Recorder:
    """Takes the traces of one segment as they come and keeps the changes alone."""

    def __init__(self) -> None:
        self._kinds: dict[str, dict[object, _Growing]] = {}
        self._first: Fraction | None = None
        self._last = Fraction(0)
        self._tick = Fraction(1)
        self._rows = 0

    def feed(self, trace: Trace) -> None:
        chunk = trace.chunk
        if self._first is None:
            self._first, self._tick = chunk.seconds(0), chunk.tick
        self._last = chunk.seconds(len(chunk) - 1)
        self._rows = trace.start + len(chunk)
        kinds: dict[
            str, Mapping[str, RowTruth] | Mapping[Place, RowTruth] | Mapping[Place, Steps] | Mapping[str, Steps]
        ] = {
            "conditions": trace.conditions,
            "applies": trace.applies,
            "alerts": trace.alerts,
            "colours": trace.colours,
            "violated": trace.violated,
            "positions": {name: _steps(positions) for name, positions in chunk.positions.items()},
        }
        for kind, shown in kinds.items():
            growing = self._kinds.setdefault(kind, {})
            for key, one in shown.items():
                track = growing.get(key)
                if track is None:
                    track = growing[key] = _Growing()
                if isinstance(one, RowTruth):
                    track.feed(trace, int(one.first), one.changes, None)
                else:
                    track.feed(trace, int(one.values[0]), one.starts[1:], one.values[1:])

    def recording(self) -> IntervalRecording | None:
        """What there is so far; none if nothing was fed."""
        if self._first is None:
            return None
        done = {
            kind: {key: growing.track(self._tick) for key, growing in some.items()}
            for kind, some in self._kinds.items()
        }
        return IntervalRecording(self._rows, self._first, self._last, **done)  # type: ignore[arg-type]


def _steps(values: NDArray[np.int8]) -> Steps:
    starts = np.concatenate([np.zeros(1, np.int64), np.flatnonzero(np.diff(values)) + 1])
    return Steps(len(values), starts, values[starts])


class _Growing:
    """A track that is being made."""

    def __init__(self) -> None:
        self.last: int | None = None
        self.rows: list[NDArray[np.int64]] = []
        self.ticks: list[NDArray[np.int64]] = []
        self.values: list[NDArray[np.int8]] = []

    def feed(self, trace: Trace, first: int, changes: NDArray[np.int64], values: NDArray[np.int8] | None) -> None:
        """`values` at the changes; none: 0 and 1 by turns."""
        if first != self.last:
            self._add(trace, np.zeros(1, np.int64), np.array([first], np.int8))
        if len(changes):
            if values is None:
                values = ((np.arange(len(changes)) + first + 1) & 1).astype(np.int8)
            self._add(trace, changes, values)

    def _add(self, trace: Trace, rows: NDArray[np.int64], values: NDArray[np.int8]) -> None:
        self.rows.append(rows + trace.start)
        self.ticks.append(trace.chunk.ticks[rows])
        self.values.append(values)
        self.last = int(values[-1])

    def track(self, tick: Fraction) -> Track:
        return Track(np.concatenate(self.rows), np.concatenate(self.ticks), np.concatenate(self.values), tick)
