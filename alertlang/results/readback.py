"""What reading back a box, or a filled ground-test card, comes to: the hand-over to the output formats."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from alertlang.results.comparison import Comparison
from alertlang.results.report import FileName
from alertlang.results.result import Result


class LineFault(Enum):
    """What is wrong with a line."""

    DIFFERS = "differs"
    UNREADABLE = "unreadable"
    UNCONFIRMED = "not confirmed"
    UNSETTLED = "not to be held by the display"
    MISSING = "missing"
    TWICE = "twice"
    UNKNOWN = "not on the sheet"
    OTHER_SHEET = "of another sheet"
    WHOLE = "no line of its own"


@dataclass(frozen=True, slots=True)
class CellDifference:
    """`column` as on the sheet; `sheet` is what was to be keyed in, `held` what the record says; each may be empty."""

    column: str
    sheet: str
    held: str


@dataclass(frozen=True, slots=True)
class LineFinding:
    """Something about a line of the sheet that is not as it should be.

    `line`: its number (none: of no line). `row`: where it stands in the record, from 1. `about` is what the line keys
    in, `message` a sentence without a full stop. `effects`: what this line alone makes the box do otherwise; empty
    without `harmless` if nobody looked. `harmless`: proved to change nothing that is shown.
    """

    kind: LineFault
    line: int | None
    row: int | None
    about: str
    message: str
    cells: tuple[CellDifference, ...] = ()
    effects: tuple[str, ...] = ()
    harmless: bool = False


@dataclass(frozen=True, slots=True, repr=False)
class Readback(Result):
    """A record held against the rules.

    `comparison`: what the record as a whole means against the rules (none: it could not be made into rules; then some
    finding says why). `rounded`: lines with edges that the display cannot hold; the comparison takes the exact ones
    for them. `lines` of the sheet, of which `confirmed` were ticked and are as on the sheet, with no finding of their
    own. `other`: the sheet was of other rules, and only meaning was looked at.
    """

    rules: FileName
    record: str
    mark: str
    lines: int
    confirmed: int
    findings: tuple[LineFinding, ...]
    comparison: Comparison | None
    rounded: tuple[int, ...]
    other: bool = False

    @property
    def good(self) -> bool:
        """Every line is confirmed and holds what the sheet says, and the whole is proved to mean the same."""
        return not self.findings and self.comparison is not None and self.comparison.same


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
