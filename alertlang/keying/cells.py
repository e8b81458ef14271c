"""Whether two cells say the same: `120` and `120.0`, `5 min` and `300 s` do."""

from __future__ import annotations

import re
from collections.abc import Mapping

from alertlang.keying.columns import VALUES
from alertlang.keying.edges import number_of, seconds_of
from alertlang.results.readback import CellDifference
from alertlang.units.number import parse_number, show_number

_NUMBERS = frozenset({"from", "to", "elements", "resolution"})
_TIMES = frozenset({"for_more_than", "after", "set_after", "cleared_after"})
# What is written in the language, or nearly so: blanks and the way a number is written do not count.
_FORMULAS = frozenset({"formula", "until", "deadband", "exact_from", "exact_to"})
_WORDS = frozenset(
    {"what", "colour", "level", "where", "drawn", "from_included", "to_included", "in_total", "latched", "wired"}
)
_NUMBER = re.compile(r"(?<![\w.])-?[0-9]+(?:\.[0-9]+)?(?![\w.])")


def differences(sheet: Mapping[str, str], held: Mapping[str, str]) -> tuple[CellDifference, ...]:
    """The cells in which a line of the record says something else than the sheet, in the order of the columns."""
    return tuple(
        CellDifference(column, sheet.get(column, ""), held.get(column, ""))
        for column in VALUES
        if _plain(column, sheet.get(column, "")) != _plain(column, held.get(column, ""))
    )


def _plain(column: str, cell: str) -> object:
    """A cell as what it says; as it is written if it cannot be read."""
    text = " ".join(cell.split())
    try:
        if column in _NUMBERS and text:
            return number_of(text)
        if column in _TIMES and text:
            return seconds_of(text)
    except ValueError:
        return text
    if column in _WORDS:
        return text.lower()
    if column in _FORMULAS:
        return _NUMBER.sub(lambda found: show_number(parse_number(found[0])), text)
    if column in {"channel", "positions"}:
        return tuple(part.strip() for part in re.split("[;,]", text))
    return text
