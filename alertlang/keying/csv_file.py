"""The sheet as a file for a spreadsheet, and the record that comes back from one."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from alertlang.findings.errors import AlertlangError
from alertlang.keying.columns import COLUMNS, CONFIRMED, LINE, SHEET, VALUES, Sheet
from alertlang.text.cells import guarded, unguarded

# A spreadsheet takes a text that looks like it for a number, a date or a time, which it writes in its own way: such a
# text gets an apostrophe too, which is taken off again.
_AS_IT_IS = r"0|[1-9][0-9]{0,8}"
_SPOILT = re.compile(
    rf"(?!(?:{_AS_IT_IS})$)[-+0-9.,:/ ]*[0-9][-+0-9.,:/ ]*|[0-9.]+[eE]-?[0-9]+|true|false", re.IGNORECASE
)
_SAYS_SIGN = re.compile(r"sep=.?$")
# Cells that hold a number alone: a spreadsheet may write it in another way.
_NUMBERS = frozenset({"from", "to", "elements", "resolution"})
_COMMA = re.compile(r"-?[0-9]+,[0-9]+")
# Cells that hold a number and its unit.
_LENGTHS = frozenset({"for_more_than", "after", "set_after", "cleared_after", "deadband"})
_COMMA_AND_UNIT = re.compile(r"-?[0-9]+,[0-9]+ *[A-Za-z]+")
_LARGEST = 4 * 1024 * 1024


class RecordError(AlertlangError, ValueError):
    """The file is no record of a sheet at all. `way_out`: what to do about it."""

    def __init__(self, message: str, advice: str) -> None:
        super().__init__(message)
        self.way_out = advice


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the record. `row` is its line in the file, `line` the number on the sheet (none: it cannot be read).

    `problem`: why it cannot be used.
    """

    row: int
    line: int | None
    mark: str
    cells: Mapping[str, str]
    confirmed: str
    problem: str = ""


def sheet_csv(sheet: Sheet, *, blank: bool = False) -> bytes:
    """The file, with CRLF as RFC 4180 has it. `blank`: what is to be read off the box is left empty."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for line in sheet.lines:
        cells = {name: _guarded(text, name) for name, text in line.cells.items()}
        if blank:
            cells = {name: text for name, text in cells.items() if name in {"what", "gauge", "name"}}
        row = {
            SHEET: _guarded(sheet.mark),
            LINE: str(line.number),
            **cells,
            "note": "" if blank else _guarded(line.note),
        }
        writer.writerow([row.get(name, "") for name in COLUMNS])
    return out.getvalue().encode("utf-8")


def _guarded(text: str, column: str = "") -> str:
    """`column`: one in which numbers stand is left as it is."""
    spoilt = column not in _NUMBERS and _SPOILT.fullmatch(text) is not None
    return "'" + text if spoilt else guarded(text)


def read_record(data: bytes) -> tuple[Row, ...]:
    """The lines of a record, commas, semicolons or tabs between its cells. RecordError if it is none."""
    if len(data) > _LARGEST:
        raise RecordError("the file is larger than 4 MiB", "name the CSV file of the sheet as it was filled in")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = data[: problem.start].count(b"\n") + 1
        raise RecordError(f"line {line} is not UTF-8", "save it again as CSV with the encoding UTF-8") from None
    if "\0" in text:
        raise RecordError("the file is not plain text", "save the record as CSV, not as a workbook")
    delimiter = _delimiter(text)
    # `strict` reports a quote that is never closed instead of taking in the rest of the file.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        rows.extend((reader.line_num, [cell.strip() for cell in cells]) for cells in reader)
    except csv.Error as problem:
        raise RecordError(f"line {reader.line_num}: {problem}", "mend the quotes there, or save it again") from None
    # Some spreadsheets name the sign in a line of its own; blank lines say nothing.
    rows = [(number, cells) for number, cells in rows if any(cells)]
    if rows and _SAYS_SIGN.match("".join(rows[0][1])):
        rows = rows[1:]
    if not rows:
        raise RecordError("the file is empty", "name the CSV file of the sheet as it was filled in")
    columns = _columns(rows[0][1])
    found = [_row(number, cells, columns, decimal_comma=delimiter == ";") for number, cells in rows[1:]]
    if not found:
        raise RecordError("the record has no line but its heading", "name the CSV file as it was filled in")
    return tuple(found)


def _delimiter(text: str) -> str:
    """The sign that parts the cells of the heading."""
    first = next((line for line in text.splitlines() if SHEET in line.lower()), "")
    return next((sign for sign in ",;\t" if sign in first), ",")


def _columns(heading: list[str]) -> list[str]:
    names = [name.lower() for name in heading]
    missing = [name for name in COLUMNS if name not in names and name != "note"]
    if missing:
        said = ", ".join(missing[:6]) + (" ..." if len(missing) > 6 else "")
        way_out = "its first line must name the columns of the sheet: write a new one with alertlang sheet"
        raise RecordError(f"line 1: no column {said}", way_out)
    twice = [name for name in COLUMNS if names.count(name) > 1]
    if twice:
        raise RecordError(f"line 1: two columns {twice[0]}", "take one of the two out")
    return names


def _row(number: int, cells: list[str], columns: list[str], *, decimal_comma: bool) -> Row:
    """Empty cells at the end may be missing or too many: what would be lost with them is found to be empty."""
    problem = ""
    while len(cells) > len(columns) and not cells[-1]:
        cells = cells[:-1]
    if len(cells) > len(columns):
        problem = f"it has {len(cells)} cells, and the heading has {len(columns)}: a sign that parts cells is too many"
    named = dict(zip(columns, cells, strict=False))
    if decimal_comma:
        # Spreadsheets part cells by semicolons where a comma is the decimal point, and there they write numbers so. If
        # one was meant otherwise it is not what the sheet says, which is a difference.
        for columns_of, form in ((_NUMBERS, _COMMA), (_LENGTHS, _COMMA_AND_UNIT)):
            for name in columns_of & named.keys():
                if form.fullmatch(named[name]):
                    named[name] = named[name].replace(",", ".")
    line_text = named.get(LINE, "")
    line = int(line_text) if line_text.isascii() and line_text.isdecimal() and len(line_text) < 9 else None
    if line is None:
        problem = problem or f"{line_text!r} is not the number of a line"
    values = {name: unguarded(named[name]) for name in VALUES if named.get(name)}
    return Row(number, line, unguarded(named.get(SHEET, "")), values, named.get(CONFIRMED, ""), problem)


# Nothing else confirms a line: what was read off the box in this column must not pass for a tick.
CONFIRMS = ("x", "ok", "yes", "y", "done", "true", "✓", "✔", "☑")


def ticked(row: Row) -> bool:
    """Whether the line was confirmed: one of the few words and signs of CONFIRMS, small or capital, stands there."""
    # A spreadsheet may put behind a tick how it is to be drawn.
    return row.confirmed.strip("\ufe0e\ufe0f ").casefold() in CONFIRMS


def filled(sheet: Sheet, mark: str = "x") -> bytes:
    """The record of a box that holds exactly what is on the sheet."""
    rows = read_record(sheet_csv(sheet))
    return written(tuple(replace(row, confirmed=mark) for row in rows))


def written(rows: tuple[Row, ...]) -> bytes:
    """Rows as a file again."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in rows:
        named = {SHEET: row.mark, LINE: str(row.line or ""), CONFIRMED: row.confirmed, **row.cells}
        writer.writerow([_guarded(named.get(name, ""), name) for name in COLUMNS])
    return out.getvalue().encode("utf-8")
