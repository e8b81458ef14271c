"""Lines from pieces: short ones as they are, long ones broken between clauses."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from alertlang.format.pieces import CLAUSE, Piece, joined
from alertlang.format.place import Placed

WIDTH = 110
"""Columns of a line, where it can be broken at all; comments do not count."""

INDENT = "  "


def lines_of(placed: Placed) -> list[str]:
    """The lines of a statement. Every comment ends its line; every break of the author is kept."""
    lines: list[str] = []
    pieces = placed.pieces
    start = 0
    for gap in range(1, len(pieces) + 1):
        notes = placed.notes[gap]
        if not notes and not placed.breaks[gap] and gap < len(pieces):
            continue
        lines += _fitted(pieces[start:gap], indented=bool(lines))
        start = gap
        for i, note in enumerate(notes):
            if i == 0 and note.beside:
                lines[-1] += f"  {note.text}"
            else:
                lines.append(INDENT + note.text)
    return lines


def _fitted(pieces: Sequence[Piece], *, indented: bool) -> list[str]:
    """One line, or several where one would be too long; each with its indent."""
    line = (INDENT if indented else "") + joined(pieces)
    gaps = [piece.gap for piece in pieces[1:] if piece.gap >= CLAUSE]
    if len(line) <= WIDTH or not gaps:
        return [line]
    lines: list[str] = []
    is_open = False
    for clause in _clauses(pieces, min(gaps)):
        more = f" {joined(clause)}"
        if is_open and len(lines[-1]) + len(more) <= WIDTH:
            lines[-1] += more
            continue
        several = _fitted(clause, indented=indented or bool(lines))
        # What follows a clause of several lines would be overlooked at the end of its last one.
        is_open = len(several) == 1
        lines += several
    return lines


def _clauses(pieces: Sequence[Piece], level: int) -> Iterable[Sequence[Piece]]:
    start = 0
    for i in range(1, len(pieces)):
        if pieces[i].gap == level:
            yield pieces[start:i]
            start = i
    yield pieces[start:]
