"""Rows that share one time: spread over the time up to the next, where the column map asks for it.

A recorder that writes whole seconds and samples faster gives several rows one time. Their order is known and their
times are not; spread evenly they are as near as can be told.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from alertlang.logs.tally import Tally

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

REPEATED = "#repeated"
"""Among the fields of rows: those whose time, as written, is that of a later row."""


def spread(pieces: Iterator[dict[str, Any]], tally: Tally, column: str) -> Iterator[dict[str, Any]]:
    """The same rows, in the same order, with times of their own in `#ticks`.

    Of `n` rows with one time the one at place `i` from 0 comes `i/n` of a step later: of the step to the next time or
    of the one before, whichever is shorter, for what follows may be a gap. Where neither is known they are a tick
    apart; where a step has no room for so many the times stay equal. `pieces`: fields of rows in their order.
    """
    import numpy as np

    # The rows of the last time wait for the next block: there may be more of them in it.
    waiting: list[dict[str, Any]] = []
    before = 0
    for fields in pieces:
        ticks = fields["#ticks"]
        if not len(ticks):
            continue
        if waiting and (ticks == waiting[0]["#ticks"][0]).all():
            # A clock that stands still: joined once, when it goes on.
            waiting.append(fields)
            continue
        joined = _joined([*waiting, fields])
        starts = _starts(joined["#ticks"])
        cut = int(starts[-1])
        waiting = [{key: one[cut:] for key, one in joined.items()}]
        if cut:
            whole = {key: one[:cut] for key, one in joined.items()}
            before = _spread(whole, starts, int(joined["#ticks"][cut]), before, tally, column)
            yield whole
    if waiting:
        last = _joined(waiting)
        _spread(last, np.array([0, len(last["#rows"])]), None, before, tally, column)
        yield last


def _joined(parts: list[dict[str, Any]]) -> dict[str, Any]:
    import numpy as np

    if len(parts) == 1:
        return dict(parts[0])
    return {key: np.concatenate([part[key] for part in parts]) for key in parts[0]}


def _starts(ticks: NDArray[np.int64]) -> NDArray[np.int64]:
    """The first row of each time."""
    import numpy as np

    return np.concatenate((np.zeros(1, np.int64), np.flatnonzero(np.diff(ticks)) + 1))


def _spread(
    fields: dict[str, Any], edges: NDArray[np.int64], following: int | None, before: int, tally: Tally, column: str
) -> int:
    """Sets the times of whole groups of rows; gives the last step onward. `edges`: where groups begin, and the end."""
    import numpy as np

    ticks = fields["#ticks"]
    sizes = np.diff(edges)
    times = ticks[edges[:-1]]
    steps = np.diff(times, append=times[-1] if following is None else following)
    # The last step onward before each group: a place in `known`, the one before all groups first.
    known = np.concatenate((np.array([before], np.int64), steps))
    places = np.where(known > 0, np.arange(len(known)), 0)
    earlier = known[np.maximum.accumulate(places)]
    prior = earlier[:-1]
    room = np.where((steps > 0) & (prior > 0), np.minimum(steps, prior), np.maximum(np.maximum(steps, prior), 0))
    room = np.where(room > 0, room, sizes)
    group = np.repeat(np.arange(len(sizes)), sizes)
    place = np.arange(len(ticks)) - edges[:-1][group]
    moved = (room // sizes)[group] * place
    fields["#ticks"] = ticks + moved
    fields[REPEATED] = place < sizes[group] - 1
    changed = moved > 0
    if changed.any():
        words = "rows have the time of one before them: spread over the time up to the next, as the map asks"
        tally.add("spread-time", int(changed.sum()), int(fields["#rows"][changed.argmax()]), column, words)
    return int(earlier[-1])
