"""The words of the clock over the runs of a truth. Times are ticks, so every sum and comparison is exact.

Each takes what is known from the rows before and gives what the rows after have to know.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from alertlang.replay.engine_truth import Rows, RowTruth

Ticks = NDArray[np.int64]


def lasted(truth: RowTruth, ticks: Ticks, needed: int, since: int | None) -> tuple[RowTruth, int | None]:
    """Where something has held at every row since one at least `needed` ticks ago.

    `since`: the time of the first row of the run that the row before row 0 was in, none if it was in none; given back
    for the last row.
    """
    if truth.is_false:
        return truth, None
    starts, ends = truth.runs
    begun = ticks[starts]
    if since is not None and truth.first:
        begun[0] = since
    after = int(begun[-1]) if truth.last else None
    if needed <= 0:
        return truth, after
    long = ticks[ends - 1] - begun >= needed
    if not long.any():
        return RowTruth.constant(truth.size, False), after
    starts, ends, begun = starts[long], ends[long], begun[long]
    rows = np.maximum(np.searchsorted(ticks, begun + needed, "left"), starts)
    return RowTruth.of_runs(truth.size, rows, ends), after


@dataclass(frozen=True, slots=True)
class Counted:
    """For how many ticks something had held in all, up to the run that the last row is in, and when that run began
    (none: the last row is in none)."""

    ticks: int
    since: int | None


def held_in_total(truth: RowTruth, ticks: Ticks, needed: int, counted: Counted) -> tuple[RowTruth, Counted]:
    """Where something holds and has held for at least `needed` ticks in all: a run lasts up to the first row at which
    it no longer holds."""
    total, since = counted.ticks, counted.since
    if since is not None and not truth.first:
        total, since = total + int(ticks[0]) - since, None
    if truth.is_false:
        return truth, Counted(total, None)
    starts, ends = truth.runs
    begun = ticks[starts]
    if since is not None:
        begun[0] = since
    closed = len(ends) - truth.last
    sums = np.cumsum(ticks[ends[:closed]] - begun[:closed])
    before = np.full(len(starts), total, np.int64)
    before[1:] += sums[: len(starts) - 1]
    rows = np.maximum(np.searchsorted(ticks, begun + (needed - before), "left"), starts)
    reached = rows < ends
    found = RowTruth.of_runs(truth.size, rows[reached], ends[reached])
    whole = total + (int(sums[-1]) if closed else 0)
    return found, Counted(whole, int(begun[-1]) if truth.last else None)


class Latched(Enum):
    """An alert that stays: it is down, up, or up and acknowledged."""

    DOWN = 0
    UP = 1
    ACKNOWLEDGED = 2


def acknowledged(due: RowTruth, cause: RowTruth, presses: Rows, latched: Latched) -> tuple[RowTruth, Latched]:
    """Where an alert is up that stays until it has been acknowledged and its cause is gone, whichever comes last.

    It is due only while its cause is there. A press at the very row at which it comes up is not for it.
    """
    size = due.size
    if latched is Latched.DOWN and due.is_false:
        return due, latched
    due_starts, due_ends = (rows.tolist() for rows in due.runs)
    cause_starts, cause_ends = (rows.tolist() for rows in cause.runs)
    pressed = presses.tolist()
    starts: list[int] = []
    ends: list[int] = []

    def cause_gone(row: int) -> int:
        """The first row from this one on without the cause."""
        run = bisect_right(cause_ends, row)
        there = run < len(cause_starts) and cause_starts[run] <= row
        return cause_ends[run] if there else row

    row = 0
    while row < size:
        up_from = row
        if latched is Latched.DOWN:
            run = bisect_right(due_ends, row)
            if run == len(due_starts):
                break
            up_from = max(row, due_starts[run])
            latched, row = Latched.UP, up_from + 1
        if latched is Latched.UP:
            press = bisect_left(pressed, row)
            row = pressed[press] if press < len(pressed) else size
            if row < size:
                latched = Latched.ACKNOWLEDGED
        if latched is Latched.ACKNOWLEDGED:
            row = cause_gone(row)
            if row < size:
                latched = Latched.DOWN
        if row > up_from:
            starts.append(up_from)
            ends.append(row)
    return RowTruth.of_runs(size, np.array(starts, np.int64), np.array(ends, np.int64)), latched
