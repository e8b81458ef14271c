"""Which line of a CSV log names its columns: found by the shape of the lines, as what stands before it has no rule."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from functools import lru_cache

from alertlang.logs.looks import is_moment, is_number
from alertlang.logs.time_units import time_unit
from alertlang.units.unit import nearest_unit

# So many lines at the top are looked at, and so many below each of them. Common practice, no source.
_TOP, _BELOW = 100, 20
_TYPES = frozenset((
    "int", "integer", "int8", "int16", "int32", "int64", "uint", "uint8", "uint16", "uint32", "uint64", "long",
    "short", "byte", "float", "float32", "float64", "double", "real", "decimal", "number", "numeric", "bool",
    "boolean", "bit", "str", "string", "text", "char", "varchar", "enum", "date", "datetime", "timestamp",
))  # fmt: skip


def separator_of(line: str) -> str:
    bare = re.sub(r'"[^"]*"', "", line)
    return max((",", ";", "\t", "|"), key=lambda text: (bare.count(text), text == ","))


def fields_of(line: str, separator: str) -> list[str]:
    try:
        return next(iter(csv.reader([line], delimiter=separator)), [])
    except csv.Error:  # a carriage return in the middle of it, or a cell beyond any measure
        return line.split(separator)


def is_units_row(cells: Sequence[str]) -> bool:
    """A line under the heading that names units and is no reading."""
    return not _reads(cells) and any(unit_of_cell(cell) for cell in cells)


@lru_cache(maxsize=4096)
def unit_of_cell(cell: str) -> str | None:
    """The name of the unit that a cell of such a row says."""
    text = cell.strip(" ()[]")
    found = time_unit(text)
    return found.name if found is not None else nearest_unit(text)


def is_type_row(cells: Sequence[str]) -> bool:
    """A line under the heading that says of what type each column is."""
    said = [cell.strip(" ()[]").casefold() for cell in cells if cell.strip()]
    return bool(said) and sum(text in _TYPES for text in said) * 5 >= len(said) * 4


def is_heading_row(cells: Sequence[str]) -> bool:
    """Whether a line can name columns: nearly all of its cells hold words, and hardly any a reading."""
    said = [cell for cell in cells if cell.strip()]
    if len(said) < 2 or len(said) * 5 < len(cells) * 4 or is_type_row(said):
        return False
    if sum(any(letter.isalpha() for letter in cell) for cell in said) * 5 < len(said) * 4:
        return False
    return sum(is_number(cell) or is_moment(cell) for cell in said) * 10 <= len(said)


def find_heading(lines: Sequence[str], comment: str, separator: str | None) -> int | None:
    """The place of the line with the names; none if there is no line that could be it.

    It is the first that can name columns and has as many readings as names in half of the lines below at least, and
    some in the next that is no row of units or types. Where that is damaged it is the last such line above readings.
    Where no line is so, it is the first that is neither empty nor a comment.
    """
    listed = [
        (at, line.rstrip("\r"))
        for at, line in enumerate(lines[: _TOP + _BELOW])
        if line.strip() and not (comment and line.lstrip().startswith(comment))
    ]
    loose = None
    for number, (at, line) in enumerate(listed):
        if at >= _TOP:
            break
        sign = separator or separator_of(line)
        cells = _trimmed(fields_of(line, sign))
        if not is_heading_row(cells):
            continue
        below = [fields_of(other, sign) for _, other in listed[number + 1 : number + 1 + _BELOW]]
        rows = [row for row in below if not (_is_units(row) or is_type_row(row))]
        if sum(_fits(row, cells) and _reads(row) for row in rows) * 2 < max(1, len(rows)):
            continue
        if _reads(rows[0]):
            return at
        loose = at
    if loose is not None:
        return loose
    return listed[0][0] if listed else None


def _fits(row: Sequence[str], names: Sequence[str]) -> bool:
    return len(_trimmed(row)) <= len(names) <= len(row)


def _reads(row: Sequence[str]) -> bool:
    return any(is_number(cell) or is_moment(cell) for cell in row)


def _trimmed(cells: Sequence[str]) -> list[str]:
    """Without an empty last cell, which a separator at the end leaves."""
    return list(cells[:-1] if cells and not cells[-1].strip() else cells)


def _is_units(cells: Sequence[str]) -> bool:
    """Whether most cells say a unit: names of columns are like units too."""
    said = [cell for cell in cells if cell.strip()]
    return is_units_row(cells) and sum(unit_of_cell(cell) is not None for cell in said) * 2 > len(said)
