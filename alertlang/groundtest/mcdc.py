"""Modified condition/decision coverage of one decision, over rows of truth values.

A condition that appears twice counts as two. A row is a tuple of truth values, one for each condition in the order in
which they stand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import combinations, product

Row = tuple[bool, ...]
Decision = Callable[[Row], bool]

# Up to so many rows the smallest set is sought through all of them.
_MOST_ROWS = 16


def rows(count: int) -> tuple[Row, ...]:
    """All rows, from all true to all false."""
    return tuple(product((True, False), repeat=count))


def unique_cause(decision: Decision, possible: Sequence[Row], place: int) -> tuple[tuple[Row, Row], ...]:
    """The pairs of possible rows that differ in one condition alone and in the outcome: (it is true, it is false)."""
    there = frozenset(possible)
    found = []
    for row in possible:
        other = _flipped(row, place)
        if row[place] and other in there and decision(row) is not decision(other):
            found.append((row, other))
    return tuple(found)


def masking(decision: Decision, possible: Sequence[Row], place: int) -> tuple[tuple[Row, Row], ...]:
    """The same where other conditions may differ too, as long as in both rows this one decides the outcome."""
    decides = [row for row in possible if decision(row) is not decision(_flipped(row, place))]
    return tuple(
        (decide, other)
        for decide in decides
        if decide[place]
        for other in decides
        if not other[place] and decision(decide) is not decision(other)
    )


def minimum_sets(pairs: Sequence[Sequence[tuple[Row, Row]]], possible: Sequence[Row]) -> tuple[frozenset[Row], ...]:
    """All smallest sets of rows that hold a pair of each condition; one with no pair asks for nothing.

    ValueError where there are too many rows to look through.
    """
    if len(possible) > _MOST_ROWS:
        raise ValueError(f"more than {_MOST_ROWS} rows")
    asked = [choices for choices in pairs if choices]
    used = [row for row in possible if any(row in pair for choices in asked for pair in choices)]
    for size in range(len(used) + 1):
        found = [frozenset(some) for some in combinations(used, size) if _covers(frozenset(some), asked)]
        if found:
            return tuple(found)
    return (frozenset(),)


def small_set(pairs: Sequence[Sequence[tuple[Row, Row]]], possible: Sequence[Row]) -> tuple[tuple[Row, ...], bool]:
    """One set of rows that holds a pair of each condition, in the order of the rows, and whether it is a smallest."""
    if len(possible) <= _MOST_ROWS:
        chosen: Iterable[Row] = minimum_sets(pairs, possible)[0]
        return tuple(row for row in possible if row in chosen), True
    kept: set[Row] = set()
    # Where there is least choice first; then what adds the fewest rows.
    for choices in sorted((c for c in pairs if c), key=len):
        if not _covers(frozenset(kept), [choices]):
            kept.update(min(choices, key=lambda pair: sum(row not in kept for row in pair)))
    return tuple(row for row in possible if row in kept), False


def _flipped(row: Row, place: int) -> Row:
    return (*row[:place], not row[place], *row[place + 1 :])


def _covers(some: frozenset[Row], asked: Sequence[Sequence[tuple[Row, Row]]]) -> bool:
    return all(any(one in some and other in some for one, other in choices) for choices in asked)
