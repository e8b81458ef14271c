"""Lines from pieces: short ones as they are, long ones broken between clauses."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from alertlang.format.pieces import CLAUSE, LAST, Piece, joined
from alertlang.format.place import Placed

WIDTH = 110
"""Columns of a line, where it can be broken at all; comments do not count."""

INDENT = "  "

_DEEPEST = 5
"""Indents at most, so that there is room left for words."""


def lines_of(placed: Placed) -> list[str]:
    """The lines of a statement. Every comment ends its line; every break of the author is kept."""
    pieces = placed.pieces
    indents = _indents(pieces)
    lines: list[str] = []
    start = 0
    for end in [*sorted(_ends(placed, indents)), len(pieces)]:
        lines.append(indents[start] + joined(pieces[start:end]))
        for i, note in enumerate(placed.notes[end]):
            if i == 0 and note.beside:
                lines[-1] += f"  {note.text}"
            else:
                lines.append(indents[end] + note.text)
        start = end
    return lines


def _indents(pieces: tuple[Piece, ...]) -> list[str]:
    """What a line begins with that begins with a piece: more inside parentheses. The last is for what comes after."""
    indents = [""]
    depth = 1
    for piece in pieces:
        depth += {"(": 1, ")": -1}.get(piece.text, 0)
        indents.append(INDENT * min(depth, _DEEPEST))
    return indents


def _ends(placed: Placed, indents: list[str]) -> set[int]:
    """The gaps at which a line ends.

    Written and read again, each of them is a comment's or the author's, and no other is found.
    """
    pieces = placed.pieces

    def is_too_long(start: int, end: int) -> bool:
        return len(indents[start]) + len(joined(pieces[start:end])) > WIDTH

    ends = {gap for gap in range(1, len(pieces)) if placed.breaks[gap] or placed.notes[gap]}
    start = 0
    for end in [*sorted(ends), len(pieces)]:
        _break(pieces, start, end, ends, is_too_long)
        start = end
    _even_out(pieces, ends)
    return ends


def _break(
    pieces: tuple[Piece, ...], start: int, end: int, ends: set[int], is_too_long: Callable[[int, int], bool]
) -> None:
    """Breaks what stands from `start` to before `end` where it is too long for a line: at its outermost clauses, as
    few times as will do, and inside of one only if that one is too long by itself."""
    gaps = [gap for gap in range(start + 1, end) if pieces[gap].gap >= CLAUSE]
    if not gaps or not is_too_long(start, end):
        return
    outermost = min(pieces[gap].gap for gap in gaps)
    line = start
    for clause, next_clause in pairwise([start, *(gap for gap in gaps if pieces[gap].gap == outermost), end]):
        if clause > start and is_too_long(line, next_clause):
            ends.add(clause)
            line = clause
        if line == clause:
            _break(pieces, clause, next_clause, ends, is_too_long)


def _even_out(pieces: tuple[Piece, ...], ends: set[int]) -> None:
    """What follows a clause with a break inside stands on a line of its own, or it would be taken for part of it."""
    for gap in range(2, len(pieces)):
        level = pieces[gap].gap
        if CLAUSE <= level < LAST and gap not in ends:
            inside = gap - 1
            while inside > 0 and not CLAUSE <= pieces[inside].gap <= level:
                if inside in ends and level < pieces[inside].gap < LAST:
                    ends.add(gap)
                    break
                inside -= 1
