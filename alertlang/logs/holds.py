"""Empty cells of a column that is written now and then: what it held last stands for them, as long as the map allows.

Only an empty cell is held over. One that holds something which is no value is failed, and so is what comes after it
until the column is written again. A new segment begins with nothing known.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from alertlang.logs.column_map import Hold
from alertlang.logs.tally import Tally

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def steady_hold(seconds: NDArray[np.float64], written: NDArray[np.bool_]) -> tuple[Fraction, Fraction] | None:
    """How long a value should stand for the empty cells after it and how far apart values usually are, in seconds,
    where these come as regularly as rows do. None where hardly a cell is empty, or they are without a pattern."""
    import numpy as np

    at = np.flatnonzero(written & np.isfinite(seconds))
    if len(at) < 3 or len(at) > 0.95 * len(seconds) or float((np.diff(at) >= 2).mean()) < 0.5:
        return None
    apart = np.sort(np.diff(seconds[at]))
    usual, most = float(apart[(len(apart) - 1) // 2]), float(apart[(len(apart) - 1) * 19 // 20])
    if usual <= 0 or most > 1.5 * usual:
        return None
    tenths = -(-Fraction(round(most * 1000), 1000) * 10 // 1)
    return Fraction(max(tenths, 1), 10), Fraction(round(usual * 1000), 1000)


def is_on_change(values: Sequence[object], written: Sequence[bool]) -> bool:
    """Whether something is written only where it becomes another: seldom, the first row among them, and hardly ever
    the same twice one after the other."""
    places = [place for place, there in enumerate(written) if there]
    if not places or places[0] != 0 or len(places) * 4 > len(values):
        return False
    pairs = list(pairwise(places))
    changed = sum(values[before] != values[after] for before, after in pairs)
    return changed * 10 >= len(pairs) * 9


class HeldColumn:
    """One column of a log, block by block. `unknown`: what stands for nothing known."""

    def __init__(self, hold: Hold, column: str, unknown: float, tally: Tally) -> None:
        self._hold, self._column, self._unknown, self._tally = hold, column, unknown, tally
        self._value: Any = unknown
        self._at: int | None = None
        self._last: int | None = None

    def filled(
        self,
        values: NDArray[Any],
        empty: NDArray[np.bool_],
        ticks: NDArray[np.int64],
        begins: NDArray[np.bool_],
        rows: NDArray[np.int64],
        tick: Fraction,
    ) -> NDArray[Any]:
        """The values, with what they were last where a cell is empty. `begins`: the first row of another run."""
        import numpy as np

        if not len(values):
            return values
        fresh = begins.copy()
        fresh[1:] |= np.diff(ticks) < 0
        fresh[0] |= self._last is not None and ticks[0] < self._last
        places = np.arange(len(values))
        source = np.maximum.accumulate(np.where(empty, -1, places))
        start = np.maximum.accumulate(np.where(fresh, places, -1))
        source = np.where(source < start, -2, source)
        # Those at -1 go on from the block before.
        if self._at is None or fresh[0]:
            source = np.where(source == -1, -2, source)
        since = np.where(source >= 0, ticks[np.maximum(source, 0)], 0 if self._at is None else self._at)
        known = source > -2
        if self._hold.seconds is not None:
            known &= ticks - since <= self._hold.seconds // tick
        kept = np.where(source >= 0, values[np.maximum(source, 0)], self._value)
        found: NDArray[Any] = np.where(known, kept, self._unknown).astype(values.dtype)
        self._tell(empty & known, empty & ~known, rows)
        if source[-1] == -2:
            self._at, self._value = None, self._unknown
        elif source[-1] >= 0:
            self._at, self._value = int(ticks[source[-1]]), values[source[-1]]
        self._last = int(ticks[-1])
        return found

    def _tell(self, held: NDArray[np.bool_], lost: NDArray[np.bool_], rows: NDArray[np.int64]) -> None:
        words = "cells are empty and stand for what the column held last, as the map asks"
        self._tally.add("held-cell", int(held.sum()), int(rows[held.argmax()]), self._column, words)
        words = "cells are empty, and what the column held last is too old or not there: failed"
        self._tally.add("empty-cell", int(lost.sum()), int(rows[lost.argmax()]), self._column, words)
