"""Something that is so or not so at each row of a stretch of rows, and what the words of the clock make of it.

A truth is kept as one byte for each row or as the rows at which it changes, whichever it came as, and turned into the
other once when it is asked for. Comparisons come as bytes; the words of the clock look at runs only, and there are few
of these.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Rows = NDArray[np.int64]
Truths = NDArray[np.bool_]

_NONE: Rows = np.zeros(0, np.int64)
# Up to so many runs are filled in one by one, which is faster than adding up changes over all rows.
_FEW = 256


class RowTruth:
    """`size` rows; `first` is the truth at row 0 (false if there is no row)."""

    __slots__ = ("_array", "_changes", "first", "size")

    def __init__(self, size: int, first: bool, array: Truths | None, changes: Rows | None) -> None:
        self.size = size
        self.first = first
        self._array = array
        self._changes = changes

    @classmethod
    def of(cls, array: Truths) -> RowTruth:
        """Of one truth for each row."""
        size = len(array)
        first = bool(array[0]) if size else False
        if array.all() if first else not array.any():
            return cls(size, first, array, _NONE)
        return cls(size, first, array, None)

    @classmethod
    def constant(cls, size: int, truth: bool) -> RowTruth:
        return cls(size, truth and size > 0, None, _NONE)

    @classmethod
    def changing(cls, size: int, before: bool, rows: Rows) -> RowTruth:
        """True or false as `before` until the first of some rising rows, and the other way from each of them on."""
        if len(rows) and rows[0] == 0:
            return cls(size, not before, None, rows[1:])
        return cls(size, before, None, rows)

    @classmethod
    def of_runs(cls, size: int, starts: Rows, ends: Rows) -> RowTruth:
        """True from each start up to and without its end; runs in rising order that do not touch, none empty."""
        if not len(starts):
            return cls(size, False, None, _NONE)
        rows = np.empty(2 * len(starts), np.int64)
        rows[0::2], rows[1::2] = starts, ends
        return cls.changing(size, False, rows[:-1] if ends[-1] >= size else rows)

    @property
    def array(self) -> Truths:
        """One truth for each row. Not to be written to."""
        if self._array is None:
            self._array = self._filled()
        return self._array

    @property
    def changes(self) -> Rows:
        """The rows, from 1 on, at which it is not as at the row before, rising."""
        if self._changes is None:
            array = self.array
            self._changes = np.flatnonzero(array[1:] != array[:-1]) + 1
        return self._changes

    @property
    def is_constant(self) -> bool:
        # Bytes that are all the same are found out when they come.
        return self._changes is not None and not len(self._changes)

    @property
    def is_false(self) -> bool:
        """At every row."""
        return not self.first and self.is_constant

    @property
    def is_true(self) -> bool:
        """At every row."""
        return self.first and self.is_constant

    @property
    def last(self) -> bool:
        return self.first is not bool(len(self.changes) & 1)

    @property
    def runs(self) -> tuple[Rows, Rows]:
        """Where it is true: the first row of each run and the row after its last."""
        ends = [0] if self.first else []
        rows = self.changes
        if ends or self.last:
            rows = np.concatenate([np.array(ends, np.int64), rows, np.array([self.size] * self.last, np.int64)])
        return rows[0::2], rows[1::2]

    def at(self, rows: Rows) -> Truths:
        """The truth at some rows."""
        if self._array is not None:
            return self._array[rows]
        passed = np.searchsorted(self.changes, rows, "right")
        return (passed & 1).astype(np.bool_) ^ self.first

    def _filled(self) -> Truths:
        changes = self.changes
        if len(changes) <= 2 * _FEW:
            filled = np.zeros(self.size, np.bool_)
            starts, ends = self.runs
            for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
                filled[start:end] = True
            return filled
        turns = (np.arange(len(changes) + 1) & 1).astype(np.bool_) ^ self.first
        return np.repeat(turns, np.diff(changes, prepend=0, append=self.size))


def negated(truth: RowTruth) -> RowTruth:
    if truth.is_constant or truth._array is None:
        return RowTruth(truth.size, not truth.first and truth.size > 0, None, truth.changes)
    return RowTruth(truth.size, not truth.first, ~truth.array, truth._changes)


def all_of(parts: Sequence[RowTruth], size: int) -> RowTruth:
    return _joined(parts, size, True)


def any_of(parts: Sequence[RowTruth], size: int) -> RowTruth:
    return _joined(parts, size, False)


def _joined(parts: Sequence[RowTruth], size: int, neutral: bool) -> RowTruth:
    """And (neutral is true) or or: what is neutral throughout says nothing, its opposite throughout says it all."""
    saying: list[RowTruth] = []
    for part in parts:
        if not part.is_constant:
            saying.append(part)
        elif part.first is not neutral:
            return RowTruth.constant(size, not neutral)
    if not saying:
        return RowTruth.constant(size, neutral)
    if len(saying) == 1:
        return saying[0]
    join = np.logical_and if neutral else np.logical_or
    joined = join(saying[0].array, saying[1].array)
    for part in saying[2:]:
        join(joined, part.array, out=joined)
    return RowTruth.of(joined)


def kept(sets: RowTruth, clears: RowTruth, before: bool) -> RowTruth:
    """True where it is set, and from there up to where it is cleared and not set. `before`: at the row before row 0."""
    # On truths, greater is: the one and not the other.
    alone = clears.is_false or sets.is_false
    clearing = clears if alone else RowTruth.of(np.greater(clears.array, sets.array))
    on, off = sets.runs[0], clearing.runs[0]
    rows = np.concatenate([on, off])
    order = np.argsort(rows, kind="stable")
    turns = order < len(on)
    rows = rows[order]
    changed = np.empty(len(rows), np.bool_)
    if len(rows):
        changed[0] = turns[0] != before
        np.not_equal(turns[1:], turns[:-1], out=changed[1:])
    return RowTruth.changing(sets.size, before, rows[changed])


def worst_of(bands: Sequence[tuple[int, RowTruth]], size: int) -> Steps:
    """The highest number of those whose truth holds, -1 where none does."""
    saying = [(number, truth) for number, truth in bands if not truth.is_false]
    changes = [truth.changes for _, truth in saying if not truth.is_constant]
    rows = np.unique(np.concatenate([np.zeros(1, np.int64), *changes])) if size else _NONE
    values = np.full(len(rows), -1, np.int8)
    for number, truth in saying:
        np.maximum(values, np.where(truth.at(rows), np.int8(number), np.int8(-1)), out=values)
    differs = np.ones(len(rows), np.bool_)
    np.not_equal(values[1:], values[:-1], out=differs[1:])
    return Steps(size, rows[differs], values[differs])


class Steps:
    """A small number at each row: `values[k]` from `starts[k]` on; `starts[0]` is 0 and no two neighbours are equal."""

    __slots__ = ("size", "starts", "values")

    def __init__(self, size: int, starts: Rows, values: NDArray[np.int8]) -> None:
        self.size = size
        self.starts = starts
        self.values = values

    @property
    def array(self) -> NDArray[np.int8]:
        """One number for each row."""
        return np.repeat(self.values, np.diff(self.starts, append=self.size))
