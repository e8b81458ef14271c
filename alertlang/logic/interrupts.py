"""Ctrl-C while Z3 works: it ends the run, and is neither lost nor taken for an answer.

While Z3 works a Ctrl-C is its own: it gives up and says no more than where it has done all the work that it was given.
So the work that it did is held against that.
"""

from __future__ import annotations

from typing import Any

import z3


class Context(z3.Context):  # type: ignore[misc]
    """One whose end may be interrupted. Otherwise it would still be known after it is gone, and what was made in it
    would be given back to it: the process dies of that."""

    ctx: Any

    def __del__(self) -> None:
        gone, self.ctx = self.ctx, None
        if z3.Z3_del_context is not None and self.owner:
            z3.Z3_del_context(gone)


def checked(solver: z3.Solver | z3.Optimize, work_limit: int) -> z3.CheckSatResult:
    """What the solver finds within a limit that it has been set. KeyboardInterrupt if it was interrupted."""
    before = solver.statistics()
    found = solver.check()
    gave_up = found == z3.unknown and solver.reason_unknown() in _GAVE_UP
    if gave_up and _work(solver.statistics()) - _work(before) < work_limit:
        raise KeyboardInterrupt
    return found


_GAVE_UP = {"canceled", "interrupted from keyboard"}


def _work(told: z3.Statistics) -> int:
    """All that was done so far in a context, in Z3's own measure, which is not told while it is nothing."""
    return int(dict(told[i] for i in range(len(told))).get("rlimit count", 0))
