"""What a finding about a record says, and by which line of the sheet."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from alertlang.keying.columns import CONFIRMED, SheetLine
from alertlang.keying.csv_file import CONFIRMS, Row
from alertlang.model import ruleset as m
from alertlang.results.readback import CellDifference, Kind, LineFinding

# Words that stand in the cells of a sheet.
_VALUES = frozenset(word.word for kind in (m.Colour, m.Level) for word in kind) | {"inside", "outside", "latched"}


def unticked(line: SheetLine, row: Row) -> LineFinding:
    """What stands in the column may be what the box holds: that belongs into the cell which it is of."""
    said = row.confirmed
    signs = f"write x (or {', '.join(CONFIRMS[1:])})"
    if not said:
        message = f"nobody has confirmed it: {signs} into the column {CONFIRMED} once the box was looked at"
    elif any(sign.isdigit() for sign in said) or said.casefold() in _VALUES:
        message = (
            f"{CONFIRMED} says {said!r}, which confirms nothing: if that is what the box holds, correct the cell of the"
            f" line itself; then {signs}"
        )
    else:
        message = (
            f"{CONFIRMED} says {said!r}, which confirms nothing: {signs} if the box holds what the line"
            " says; if not, correct the cell of the line itself first"
        )
    return LineFinding(Kind.UNCONFIRMED, line.number, row.row, line.title, message)


def by_the_sheet(message: str, record: str, numbers: Sequence[int]) -> str:
    """A message about the text that was made of the lines, with the numbers of the sheet's lines instead of its own.

    `numbers`: for every line of that text the one of the sheet, 0 for those of none."""

    def line(found: re.Match[str]) -> str:
        at = int(found[1])
        return f"line {numbers[at - 1]} of the sheet" if at <= len(numbers) and numbers[at - 1] else "the record"

    return re.sub(rf"{re.escape(record)}(?: line |:)(\d+)(?::\d+)?", line, message)


def exchanged_channels(edits: Mapping[int, tuple[SheetLine, Row, tuple[CellDifference, ...]]]) -> dict[int, int]:
    """Lines that differ in nothing but that each has the channels of another one: that one's number."""
    found: dict[int, int] = {}
    alone = {
        number: (cells[0].sheet, cells[0].held)
        for number, (_, _, cells) in edits.items()
        if [one.column for one in cells] == ["channel"]
    }
    for number, (sheet, held) in alone.items():
        others = [other for other, said in alone.items() if said == (held, sheet)]
        if len(others) == 1:
            found[number] = others[0]
    return found
