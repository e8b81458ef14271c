"""What stands in a line of the sheet: the same columns in the file, on paper and in the record that comes back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

SHEET = "sheet"
LINE = "line"
CONFIRMED = "confirmed"

VALUES = (
    "what",
    "gauge",
    "name",
    "where",
    "from",
    "from_included",
    "to",
    "to_included",
    "unit",
    "exact_from",
    "exact_to",
    "colour",
    "level",
    "text",
    "when",
    "unless",
    "for_more_than",
    "in_total",
    "after",
    "latched",
    "formula",
    "until",
    "set_after",
    "cleared_after",
    "elements",
    "deadband",
    "drawn",
    "resolution",
    "sensor",
    "channel",
    "positions",
    "wired",
    "shows",
    "sequence",
    "acknowledge",
    "reset",
)
"""What a line says. A cell is empty where the line has no use for the column."""

COLUMNS = (SHEET, LINE, *VALUES, "note", CONFIRMED)
"""All columns of the file, in order. `note` is for people and is never read back; `confirmed` is to be ticked."""

# The lines that say how the panel is built; the others say what it shows.
PANEL = frozenset({"gauge", "lamp", "switch"})


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line to be keyed in and ticked. `cells` holds the columns that are not empty, all of them VALUES.

    `unsettled`: sentences about numbers that the display cannot hold and nobody but the designer can round.
    """

    number: int
    cells: Mapping[str, str]
    note: str = ""
    unsettled: tuple[str, ...] = ()

    @property
    def what(self) -> str:
        return self.cells["what"]

    def get(self, column: str) -> str:
        return self.cells.get(column, "")

    @property
    def title(self) -> str:
        """What the line is about: `band rpm overspeed`."""
        return " ".join(part for part in (self.what, self.get("gauge"), self.get("name")) if part)


ROUNDED = "ROUNDED"
NOT_A_STEP = "NOT A STEP"
"""How a note begins where the display cannot hold a number: of a band, which is rounded; of a context."""


def is_off_step(line: SheetLine) -> bool:
    """Whether the display cannot hold some number of a line as it is in the rules."""
    return is_rounded(line) or bool(line.unsettled)


def is_rounded(line: SheetLine) -> bool:
    """Whether an edge of a line is keyed in rounded towards the warning."""
    return ROUNDED in line.note


@dataclass(frozen=True, slots=True)
class Sheet:
    """`mark` stands on every line of the file, so that lines of two sheets cannot be mixed up."""

    name: str
    version: int
    digest: str
    mark: str
    profiles: tuple[str, ...]
    lines: tuple[SheetLine, ...]


def mark_of(name: str, version: int, digest: str) -> str:
    return f"{name} version {version} rules {digest[:16]}"
