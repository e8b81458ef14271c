"""What a line is put together from: words with the kind of gap before each."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction

# Kinds of gap. From CLAUSE on a line may be broken there, at the smallest number of a long line first; a break that
# the author put there is kept. In the other gaps a line ends only where a comment makes it.
GLUED = -3
"""No blank; a comment that stands here moves on to the next gap that is not like this."""
OPENED = -2
"""No blank, after an opening parenthesis; a comment moves to before the parenthesis."""
TIGHT = -1
"""A blank, but a comment moves on: between a number and its unit."""
SPACE = 0
CLAUSE = 1
PART = 2
FORMULA = 3
"""And what is nested deeper counts up from here."""
LAST = 1_000_000
"""Only where nothing else in the line can be broken."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One or more words of a text that always stay together. `gap`: what is between the piece before and this one."""

    text: str
    gap: int
    is_number: bool = False


def joined(pieces: Iterable[Piece]) -> str:
    """The pieces on one line; the gap before the first does not count."""
    parts: list[str] = []
    for piece in pieces:
        if parts and piece.gap > OPENED:
            parts.append(" ")
        parts.append(piece.text)
    return "".join(parts)


# Words for several of a thing, and for one.
ONE = {
    "bands": "band",
    "contexts": "context",
    "timers": "timer",
    "alerts": "alert",
    "lamps": "lamp",
    "characters": "character",
    "channels": "channel",
}


def of_one_or_more(what: str, number: Fraction) -> str:
    """For example `8 bands per quantity`, `1 band per quantity`: the words after the number."""
    first, *rest = what.split()
    return " ".join([ONE[first], *rest]) if number == 1 else what


class LineInMaking:
    """Pieces in the making."""

    def __init__(self) -> None:
        self.pieces: list[Piece] = []
        self._gap: int | None = None

    def gap(self, kind: int) -> None:
        """What will be before the next piece, whatever that one asks for."""
        self._gap = kind

    def put(self, text: str, gap: int = SPACE, *, is_number: bool = False) -> None:
        self.pieces.append(Piece(text, gap if self._gap is None else self._gap, is_number))
        self._gap = None

    def listed(self, parts: Iterable[Callable[[], None]], first: int = SPACE) -> None:
        """Parts with commas between them, each part a clause of its own."""
        for i, part in enumerate(parts):
            if i > 0:
                self.put(",", GLUED)
            self.gap(first if i == 0 else CLAUSE)
            part()
