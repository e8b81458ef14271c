"""The readings of a log as few points as a picture needs: for each stretch of time the lowest and the highest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from alertlang.logs.column_map import ColumnMap
from alertlang.logs.read import stream_log
from alertlang.model import ruleset as m
from alertlang.replay.run import traces
from alertlang.replay.wanted import wanted_of
from alertlang.results.replay import SegmentTimes

BINS = 3600


@dataclass(frozen=True, slots=True)
class Series:
    """One reading over one segment: for each bin that has a value its middle in seconds, the lowest and the highest.

    All rounded. `broken`: indexes of points before which nothing was read for more than the usual time.
    """

    reading: str
    times: tuple[float, ...]
    lows: tuple[float, ...]
    highs: tuple[float, ...]
    broken: tuple[int, ...]


def series(
    path: Path,
    ruleset: m.RuleSet,
    column_map: ColumnMap | None,
    readings: Sequence[str],
    segments: Sequence[SegmentTimes],
    *,
    bins: int = BINS,
) -> tuple[tuple[Series, ...], ...]:
    """For each segment the readings in the order given. `segments`: as replaying the same log has found them."""
    stream = stream_log(path, column_map, wanted_of(ruleset), shown=str(path))
    lows = [{name: np.full(bins, np.inf) for name in readings} for _ in segments]
    highs = [{name: np.full(bins, -np.inf) for name in readings} for _ in segments]
    number = -1
    for trace, continues in traces(stream, ruleset):
        number += not continues
        first, seconds = float(segments[number].first), float(segments[number].seconds)
        times = trace.chunk.ticks.astype(np.float64) * float(trace.chunk.tick)
        places = np.clip((times - first) / (seconds or 1) * bins, 0, bins - 1).astype(np.int64)
        for name in readings:
            numbers = trace.numbers(name)
            known = ~np.isnan(numbers)
            np.minimum.at(lows[number][name], places[known], numbers[known])
            np.maximum.at(highs[number][name], places[known], numbers[known])
    return tuple(
        tuple(_series(name, segment, lows[index][name], highs[index][name]) for name in readings)
        for index, segment in enumerate(segments)
    )


def _series(name: str, segment: SegmentTimes, low: NDArray[np.float64], high: NDArray[np.float64]) -> Series:
    bins = len(low)
    found = np.flatnonzero(low <= high)
    # A log with fewer rows than bins leaves some empty; only a gap wider than usual is one.
    usual = max(1, -(-bins // max(1, segment.samples - 1)))
    jumps = np.flatnonzero(np.diff(found) > 2 * usual) + 1
    width = float(segment.seconds) / bins
    times = float(segment.first) + (found + 0.5) * width
    return Series(
        name,
        tuple(times.tolist()),
        tuple(low[found].tolist()),
        tuple(high[found].tolist()),
        tuple(jumps.tolist()),
    )
