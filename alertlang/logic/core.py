"""Which statements make something impossible: the smallest set of them that does."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from alertlang.logic.solver import Answer, Decider
from alertlang.logic.terms import Term, both, conjunction

Group = tuple[str, Term]


def smallest_core(decider: Decider, always: Term, groups: Sequence[Group]) -> tuple[str, ...] | None:
    """The fewest groups that cannot hold together with `always`; none if all of them can, or the solver gave up."""
    return smallest_common_core(decider, [(always, groups)])


def smallest_common_core(decider: Decider, cases: Sequence[tuple[Term, Sequence[Group]]]) -> tuple[str, ...] | None:
    """The same where groups of the same names mean something else in each of several cases (the elements of an array):
    the fewest that make every case impossible.

    No assumption of the rule set takes part unless it is among the groups. Of equally small sets the one that comes
    first in the order of the groups. The search goes by what must be hit: every set that turned out possible leaves out
    at least one member of each answer (a minimal hitting set of correction sets).
    """
    names = [name for name, _ in cases[0][1]]

    def impossible(chosen: frozenset[int]) -> bool | None:
        undecided = False
        for always, groups in cases:
            terms = [groups[i][1] for i in sorted(chosen)]
            answer = decider.possible_without(both(always, conjunction(terms)), ())
            if answer is Answer.YES:
                return False
            undecided = undecided or answer is Answer.UNDECIDED
        return None if undecided else True

    everything = frozenset(range(len(names)))
    if not impossible(everything):
        return None
    to_hit: list[frozenset[int]] = []
    while True:
        candidate = _smallest_hitting(to_hit, len(names))
        verdict = impossible(candidate)
        if verdict is None:
            return None
        if verdict:
            return tuple(names[i] for i in sorted(candidate))
        # Grow to a set that is just possible: what is left out of it must be hit.
        kept = candidate
        for i in range(len(names)):
            if i not in kept and impossible(kept | {i}) is False:
                kept = kept | {i}
        to_hit.append(everything - kept)


def _smallest_hitting(sets: Sequence[frozenset[int]], count: int) -> frozenset[int]:
    """The smallest set of indexes that meets every one of some sets, first in order among equals."""
    if not sets:
        return frozenset()
    members = sorted(frozenset().union(*sets))
    for size in range(1, count + 1):
        for combination in combinations(members, size):
            chosen = frozenset(combination)
            if all(chosen & one for one in sets):
                return chosen
    raise AssertionError("every set has a member")
