"""The head of a CSV log: how it is written, the names of its columns and their units."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from alertlang.logs.column_map import LogOptions
from alertlang.logs.heading import fields_of, find_heading, is_type_row, is_units_row, separator_of, unit_of_cell
from alertlang.logs.log_error import LogError
from alertlang.logs.opened import opened
from alertlang.logs.tally import Tally
from alertlang.logs.time_units import TIME_UNITS, time_unit
from alertlang.units.unit import UNITS, Unit, nearest_unit

_HEAD = 1 << 20
_BRACKETED = re.compile(r"^(.*?)\s*[(\[]\s*([^()\[\]]*?)\s*[)\]]$")
# So many rows are looked at for what their cells look like.
_ROWS = 200

_TABLE = "export it as CSV (or as Parquet)"
# How files of other kinds begin, as their specifications say; from memory.
_OTHERS = (
    (b"PK\x03\x04", "compressed twice"),
    (b"\x1f\x8b", "compressed twice"),
    (b"\xfd7zXZ\0", "compressed twice"),
    (b"\x28\xb5\x2f\xfd", "compressed twice"),
    (b"BZh", "compressed by bzip2"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"%PDF-", "a PDF document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"SQLite format 3\0", "an SQLite database"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet or document"),
    (b"\x89HDF", "an HDF5 file"),
)


@dataclass(frozen=True, slots=True)
class Head:
    """`start`: the byte at which the rows begin. `mended`: the bytes must be put into UTF-8 with line feeds first.
    `units`: by the place of the column, where the log names one; of times what it says in words. `above`: the lines up
    to the first row that say something, cell by cell, as a second run in the same file has them again. `first`: lines
    of the first rows."""

    names: tuple[str, ...]
    units: dict[int, Unit]
    start: int
    separator: str
    decimal: str
    encoding: str
    carriage_returns: bool
    above: frozenset[tuple[str, ...]] = frozenset()
    first: tuple[str, ...] = ()

    def cells(self, place: int) -> list[str]:
        """What stands in a column in the first rows."""
        rows = (fields_of(line, self.separator) for line in self.first)
        return [row[place].strip() for row in rows if place < len(row)]

    @property
    def mended(self) -> bool:
        return self.encoding not in ("utf-8", "utf-8-sig", "ascii") or self.carriage_returns


def read_head(path: Path, shown: str, options: LogOptions, tally: Tally) -> Head:
    """LogError if the file cannot be read or has no heading."""
    with opened(path, shown) as read:
        data = read(_HEAD)
        ended = not read(1)
    if not data.strip(b"\xef\xbb\xbf\xff\xfe\x00\r\n\t "):
        raise LogError(shown, "is empty: it has no heading and no rows", "record it again, or name another file")
    encoding, skip = _encoding(data, shown, options, tally)
    whole = data[skip:]
    if encoding.startswith(("utf-16", "utf16")):
        whole = whole[: len(whole) // 2 * 2]
    text = whole.decode(encoding, "replace")
    returns = "\n" not in text and "\r" in text
    if returns:
        text = text.replace("\r", "\n")
    lines = text.split("\n")
    if not ended and len(lines) > 1:
        lines.pop()
    at = _heading(lines, shown, options, tally)
    names_line = lines[at].rstrip("\r")
    separator = options.separator or separator_of(names_line)
    names = [field.strip() for field in fields_of(names_line, separator)]
    while names and names[-1] == "":
        names.pop()
    if not names:
        raise LogError(shown, "has no names in its heading", "say which line it is: [options] heading = 3", at + 1)
    units = {i: unit for i, name in enumerate(names) if (unit := bracketed(name)[1]) is not None}
    first = _first_row(lines, at + 1, separator, options, units, tally)
    start = skip + len(("\n".join(lines[:first]) + "\n").encode(encoding if encoding != "utf-16" else "utf-16-le"))
    below = tuple(line.rstrip("\r") for line in lines[first : first + _ROWS])
    decimal = options.decimal or _decimal(list(below), separator, tally)
    above = frozenset(cells for line in lines[:first] if (cells := bare_cells(fields_of(line.rstrip("\r"), separator))))
    return Head(tuple(names), units, start, separator, decimal, encoding, returns, above, below)


def bare_cells(cells: Iterable[str | None]) -> tuple[str, ...]:
    """Without blanks around them, nor empty ones at the end: as lines are held against each other."""
    found = [(cell or "").strip() for cell in cells]
    while found and not found[-1]:
        found.pop()
    return tuple(found)


def _first_row(
    lines: list[str], at: int, separator: str, options: LogOptions, units: dict[int, Unit], tally: Tally
) -> int:
    """The place of the first row from `at` on: after a row of units and one of types, in either order. The units that
    are named there are put in."""
    named = typed = False
    while at < len(lines):
        cells = fields_of(lines[at].rstrip("\r"), separator)
        if not typed and options.units_row is not False and is_type_row(cells):
            typed = True
            tally.add("type-row", 1, None, None, "the line under the heading names types and is no reading")
        elif not named and (is_units_row(cells) if options.units_row is None else options.units_row):
            named = True
            words = [unit_of_cell(cell) for cell in cells]
            units |= {i: TIME_UNITS.get(word) or UNITS[word] for i, word in enumerate(words) if word is not None}
            tally.add("units-row", 1, None, None, "the line under the heading names units and is no reading")
        else:
            break
        at += 1
    return at


def bracketed(name: str) -> tuple[str, Unit | None]:
    """A column's name without the unit in brackets, and that unit if it is one: `oil_temp (F)`."""
    match = _BRACKETED.match(name)
    if match is None or not match[1]:
        return name, None
    time = time_unit(match[2])
    if time is not None:
        return match[1], time
    close = nearest_unit(match[2]) if match[2] else None
    if close is None:
        return (match[1], None) if not match[2] else (name, None)
    return match[1], UNITS[close]


def _encoding(data: bytes, shown: str, options: LogOptions, tally: Tally) -> tuple[str, int]:
    marks = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
    for mark, name in marks:
        if data.startswith(mark):
            tally.add("byte-order-mark", 1, None, None, f"the file begins with the mark of {name}")
            return name, len(mark)
    for mark, name in _OTHERS:
        if data.startswith(mark):
            raise LogError(shown, f"is no table of text but {name}, whatever its name", _TABLE)
    if options.encoding:
        return codecs.lookup(options.encoding).name, 0
    head = data[:4096]
    if b"\0" in head.partition(b"\n")[0]:
        found = _wide(head)
        if found is not None:
            raise LogError(shown, "looks like UTF-16 without its mark", f'say so: [options] encoding = "{found}"')
        raise LogError(shown, "is no table of text: bytes of value 0 stand in its first line", _TABLE)
    if sum(number != 0 and _is_control(number) for number in head) * 20 > len(head):
        raise LogError(shown, "is no table of text: it is full of bytes that no text has", _TABLE)
    cut = data.rfind(b"\n") + 1 or len(data)
    try:
        data[:cut].decode("utf-8")
    except UnicodeDecodeError:
        tally.add("encoding", 1, None, None, "the file is not UTF-8 and was read as latin-1")
        return "latin-1", 0
    return "utf-8", 0


def _wide(head: bytes) -> str | None:
    """The encoding of text of two bytes a character, nearly all of them of the first 256: nearly every other byte is 0,
    hardly any between them, and what they say is text."""
    for start, name in ((1, "utf-16-le"), (0, "utf-16-be")):
        zeros, others = head[start::2].count(0), head[1 - start :: 2].count(0)
        text = head[: len(head) // 2 * 2].decode(name, "replace")
        odd = sum(_is_control(ord(word)) or word == "\ufffd" for word in text)
        if zeros * 6 > len(head) and others * 50 <= len(head) and odd * 50 <= len(text):
            return name
    return None


def _is_control(byte: int) -> bool:
    """A sign that no text has; tabs, line ends and form feeds are none."""
    return byte < 9 or 13 < byte < 32


def _heading(lines: list[str], shown: str, options: LogOptions, tally: Tally) -> int:
    if options.heading is not None:
        if options.heading > len(lines):
            raise LogError(shown, f"has no line {options.heading} for the heading", "count the lines from 1")
        return options.heading - 1
    at = find_heading(lines, options.comment, options.separator)
    if at is None:
        raise LogError(shown, "has no heading", "the first line that is no comment must name the columns")
    if at:
        tally.add("leading-lines", at, None, None, "lines before the heading are no readings")
    return at


def _decimal(lines: list[str], separator: str, tally: Tally) -> str:
    """A comma only where it can be nothing else: never where it might part thousands."""
    if separator == ",":
        return "."
    cells = [cell.strip() for line in lines for cell in fields_of(line.rstrip("\r").replace("\0", ""), separator)]
    comma = [text for text in cells if re.fullmatch(r"[-+]?\d+,\d+", text)]
    if any(re.fullmatch(r"[-+]?\d+\.\d+", text) for text in cells):
        return "."
    if any(len(text.partition(",")[2]) != 3 or text.lstrip("+-").startswith("0") for text in comma):
        tally.add("decimal-comma", 1, None, None, "numbers were read with a decimal comma")
        return ","
    return "."
