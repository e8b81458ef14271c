"""One line of a filled-in ground-test card that is not as it must be, as data."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CardResult:
    """`kind` is missed, failed or unreadable; `row` is the line of the file (0: it is not there), `line` and `step`
    those of the card. `blank`: nothing at all was written down."""

    kind: str
    row: int
    line: str
    step: str
    said: str
    blank: bool = False
