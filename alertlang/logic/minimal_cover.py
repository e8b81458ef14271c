"""Choosing as little as possible: the cheapest set of options that frees what must be free."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import z3

from alertlang.logic.interrupts import Context, checked
from alertlang.logic.solver import WORK_LIMIT


@dataclass(frozen=True, slots=True)
class CoverDemand:
    """At least `amount` must come together. Each gain counts its weight once of each of its groups of options one is
    chosen."""

    amount: int
    gains: tuple[tuple[int, tuple[tuple[int, ...], ...]], ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """The options that were chosen, by number, in order. `proved`: that nothing cheaper does, by the measure given."""

    chosen: tuple[int, ...]
    proved: bool


def least(
    losses: Sequence[int],
    demands: Sequence[CoverDemand],
    apart: Sequence[tuple[int, int]],
    barred: Sequence[frozenset[int]] = (),
    work_limit: int = WORK_LIMIT,
) -> Choice | None:
    """The options to choose. `losses`: how bad each is; as few as possible of the worst are chosen, then as few as
    possible of the next, and so on; of sets alike the one whose options stand first. `apart`: options that exclude
    each other. `barred`: sets of which not every option may be chosen. None if nothing is found."""
    context = Context()
    solver = z3.Optimize(ctx=context)
    solver.set("rlimit", work_limit)
    options = [z3.Bool(f"option {i}", context) for i in range(len(losses))]
    one, none = z3.IntVal(1, context), z3.IntVal(0, context)

    def count(weighted: Sequence[tuple[int, z3.BoolRef]]) -> z3.ArithRef:
        return z3.Sum([none, *(z3.If(term, one * weight, none) for weight, term in weighted)])

    def together(numbers: Sequence[int]) -> z3.BoolRef:
        return z3.And([z3.BoolVal(True, context), *(options[i] for i in numbers)])

    def each(groups: Sequence[Sequence[int]]) -> z3.BoolRef:
        return z3.And([z3.BoolVal(True, context), *(z3.Or([options[i] for i in some]) for some in groups)])

    for demand in demands:
        solver.add(count([(weight, each(groups)) for weight, groups in demand.gains]) >= demand.amount)
    for first, second in apart:
        solver.add(z3.Not(together((first, second))))
    for some in barred:
        solver.add(z3.Not(together(sorted(some))))
    for loss in sorted(set(losses), reverse=True):
        solver.minimize(count([(1, options[i]) for i, own in enumerate(losses) if own == loss]))
    solver.minimize(count([(i, option) for i, option in enumerate(options)]))
    answer = checked(solver, work_limit)
    if answer == z3.unsat:
        return None
    try:
        model = solver.model()
    except z3.Z3Exception:
        return None
    chosen = tuple(i for i, option in enumerate(options) if z3.is_true(model.eval(option)))
    return Choice(chosen, answer == z3.sat)
