"""Where the comments and line breaks of a statement stood, told by the gaps between its pieces."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from alertlang.format.pieces import CLAUSE, GLUED, ONE, OPENED, SPACE, TIGHT, Piece
from alertlang.syntax.tree import Comment
from alertlang.text.source import Span
from alertlang.units.number import parse_number

_WORD = re.compile(r'"[^"\n]*"|#[^\n]*|[A-Za-z_][A-Za-z0-9_]*|[0-9]+(?:\.[0-9]+)?|\S')

# Words that carry a line on: a break on their wrong side is kept on their right side.
_BEFORE_THE_BREAK = frozenset({"then", ","})
_AFTER_THE_BREAK = frozenset({"and", "or", "+", "-", "*", "/"})


@dataclass(frozen=True, slots=True)
class Note:
    """A comment; `beside` one that stands after something on its line."""

    text: str
    beside: bool


@dataclass(frozen=True, slots=True)
class Placed:
    """A statement ready to be laid out.

    `notes` and `breaks` have one entry a gap: the gap before each piece, and last the one after all of them. The first
    gap has neither. `breaks` are those of the author that stand where a line may be broken.
    """

    pieces: tuple[Piece, ...]
    notes: tuple[tuple[Note, ...], ...]
    breaks: tuple[bool, ...]


def unplaced(pieces: tuple[Piece, ...]) -> Placed:
    """A statement that stands in no text yet."""
    gaps = len(pieces) + 1
    return Placed(pieces, ((),) * gaps, (False,) * gaps)


def place(pieces: tuple[Piece, ...], span: Span, comments: Sequence[Comment]) -> Placed:
    """`span`: the statement as it was written. `comments`: those inside it, and the one after it on its last line.

    Numbers become what was written for them (`6.0`): how many digits a document gives is worth keeping.
    AssertionError if a piece was not written there.
    """
    words = _words(span)
    ends = [span.start]
    starts: list[int] = []
    placed: list[Piece] = []
    position = 0
    for piece in pieces:
        begins: int | None = None
        for wanted in _WORD.findall(piece.text):
            # What was written and is not put any more is without meaning: parentheses, a unit said twice, `then`.
            while position < len(words) and not _same(wanted, words[position][0]):
                position += 1
            assert position < len(words), f"{piece.text!r} is not in: {span.text}"
            written, start, end = words[position]
            begins = start if begins is None else begins
            position += 1
        assert begins is not None
        starts.append(begins)
        ends.append(end)
        placed.append(replace(piece, text=written) if piece.is_number else piece)
    starts.append(len(span.source.text) + 1)
    return _settled(placed, span, list(zip(ends, starts, strict=True)), comments)


def _words(span: Span) -> list[tuple[str, int, int]]:
    """The words of a statement with their places, no comments, `at or below` as `at most`."""
    found = [(m.group(), m.start(), m.end()) for m in _WORD.finditer(span.source.text, span.start, span.end)]
    words = [word for word in found if not word[0].startswith("#")]
    for i in range(len(words) - 2):
        if (words[i][0], words[i + 1][0]) == ("at", "or") and words[i + 2][0] in {"below", "above"}:
            _, start, end = words[i + 2]
            words[i + 1] = ("most" if words[i + 2][0] == "below" else "least", start, end)
            words[i + 2] = ("", end, end)
    return words


def _same(wanted: str, written: str) -> bool:
    if wanted == written or (wanted, written) == ("yellow", "amber"):
        return True
    if ONE.get(wanted) == written or ONE.get(written) == wanted:
        return True
    return wanted[0].isdigit() and written[:1].isdigit() and parse_number(wanted) == parse_number(written)


def _settled(pieces: list[Piece], span: Span, stretches: list[tuple[int, int]], comments: Sequence[Comment]) -> Placed:
    """Each comment and each break of the author to its gap, or to one where it can stand."""
    text = span.source.text
    notes: list[list[Note]] = [[] for _ in stretches]
    pending = list(reversed(comments))
    breaks = [False] * len(stretches)
    for i, (start, end) in enumerate(stretches):
        while pending and pending[-1].span.start < end:
            comment = pending.pop()
            before = text[text.rfind("\n", 0, comment.span.start) + 1 : comment.span.start]
            notes[i].append(Note(comment.text.rstrip(), bool(before.strip())))
        # A comment ends its line anyway, so a break beside it tells nothing.
        if not notes[i] and 0 < i < len(pieces) and "\n" in text[start:end]:
            breaks[_side(pieces, i)] = True
    _move(pieces, notes)
    kept = [broken and i < len(pieces) and pieces[i].gap >= CLAUSE for i, broken in enumerate(breaks)]
    return Placed(tuple(pieces), tuple(tuple(some) for some in notes), tuple(kept))


def _side(pieces: list[Piece], i: int) -> int:
    """The gap that a break in gap `i` is meant for."""
    if pieces[i].gap < CLAUSE:
        if pieces[i].text in _BEFORE_THE_BREAK and i + 1 < len(pieces):
            return i + 1
        if pieces[i - 1].text in _AFTER_THE_BREAK:
            return i - 1
    return i


def _move(pieces: list[Piece], notes: list[list[Note]]) -> None:
    """Comments out of gaps that hold a thing together, none past another."""
    for i in range(len(pieces) - 1, 0, -1):
        if pieces[i].gap == OPENED and notes[i]:
            notes[i - 1] += notes[i]
            notes[i] = []
    for i in range(1, len(pieces)):
        if SPACE > pieces[i].gap != OPENED and notes[i]:
            assert pieces[i].gap in {GLUED, TIGHT}
            notes[i + 1][:0] = notes[i]
            notes[i] = []
