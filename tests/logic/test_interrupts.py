"""A Ctrl-C while Z3 works."""

from __future__ import annotations

import os
import random
import signal
from threading import Timer

import pytest
import z3

from alertlang.logic.interrupts import Context, checked


def hard(solver: z3.Solver | z3.Optimize, context: z3.Context) -> None:
    """Sums of products of whole numbers, at which Z3 works longer than anybody waits."""
    drawn = random.Random(1)
    numbers = [z3.Int(f"x{i}", context) for i in range(40)]
    for first in range(60):
        others = [*numbers[first % 7 + 1 :], *numbers]
        products = [drawn.randint(-9, 9) * x * y for x, y in zip(numbers, others, strict=False)]
        solver.add(z3.Sum(products) == drawn.randint(1, 999))


@pytest.mark.parametrize("kind", [z3.SimpleSolver, z3.Solver, z3.Optimize])
def test_it_ends_what_is_asked(kind: type[z3.Solver]) -> None:
    context = Context()
    solver = kind(ctx=context)
    solver.set("rlimit", 50_000_000)
    hard(solver, context)
    Timer(0.3, lambda: os.kill(os.getpid(), signal.SIGINT)).start()
    with pytest.raises(KeyboardInterrupt):
        checked(solver, 50_000_000)


@pytest.mark.parametrize("kind", [z3.SimpleSolver, z3.Solver, z3.Optimize])
def test_work_that_is_done_is_no_ctrl_c(kind: type[z3.Solver]) -> None:
    context = Context()
    solver = kind(ctx=context)
    solver.set("rlimit", 2_000)
    hard(solver, context)
    for _ in range(3):
        assert checked(solver, 2_000) == z3.unknown


def test_a_context_that_is_gone_is_not_known_any_more(monkeypatch: pytest.MonkeyPatch) -> None:
    context = Context()
    solver = z3.SimpleSolver(ctx=context)
    really = z3.Z3_del_context

    def interrupted(gone: object) -> None:
        really(gone)
        raise KeyboardInterrupt

    monkeypatch.setattr(z3, "Z3_del_context", interrupted)
    with pytest.raises(KeyboardInterrupt):
        context.__del__()
    monkeypatch.undo()
    context.owner = False
    assert context.ref() is None
    # Without that the process would die here.
    del solver
