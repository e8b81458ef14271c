"""A CSV log block by block: the wanted columns of each as polars reads them, and every line that is not as the others.

A block ends at a line end outside quotes. Where all lines of a block have the same number of fields, which a count of
separators and line ends shows, polars' table is taken as it is; else the fields of every line are counted.
"""

from __future__ import annotations

import csv
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from alertlang.logs.dialect import Head
from alertlang.logs.log_error import LogError
from alertlang.logs.opened import LONGEST_LINE, HowFar, opened
from alertlang.logs.tally import Tally

if TYPE_CHECKING:
    import numpy as np
    import polars as pl
    from numpy.typing import NDArray

BLOCK = 1 << 23
"""Bytes read at once."""


@dataclass(frozen=True, slots=True)
class CsvRows:
    """Rows of a log. `first`: the number of the first, from 1. `empty`: rows with nothing in them; none: none is.
    `texts(column)`: what is written in the cells of a column, null where it is cut off."""

    table: pl.DataFrame
    first: int
    empty: NDArray[np.bool_] | None
    source: CsvBlock | None
    long_numbers: bool

    def texts(self, columns: list[int]) -> pl.DataFrame:
        import polars as pl

        if self.source is None:
            return self.table.select(pl.col(f"c{i}").cast(pl.String) for i in columns)
        return self.source.read(dict.fromkeys(columns, pl.String))


class CsvBlock:
    """The bytes of a block, and how to read columns of them."""

    def __init__(self, data: bytes, head: Head, width: int, tally: Tally, first: int) -> None:
        self.head, self.width, self.data, self.tally, self.first = head, width, data, tally, first
        self.lines = self._counted(10) + (not data.endswith(b"\n"))
        self.ragged = False
        self.by_hand = False
        self.empty: NDArray[np.bool_] | None = None

    def read(self, kinds: dict[int, Any]) -> pl.DataFrame:
        """The columns as polars types; what does not fit its type is null."""
        import polars as pl

        if not kinds:
            return pl.DataFrame({"c": pl.Series(values=[None] * self.lines, dtype=pl.Null)})
        wanted = dict(sorted(kinds.items()))
        if self.by_hand:
            return self._by_hand(wanted)
        with warnings.catch_warnings():
            # Of quotes that never end, which is found and told here.
            warnings.simplefilter("ignore", UserWarning)
            return self._with_polars(wanted)

    def _with_polars(self, wanted: dict[int, Any]) -> pl.DataFrame:
        import polars as pl

        separator = self.head.separator
        names = [f"c{i}" for i in range(self.width)]
        # A line of their own: else the first row would say how many columns there are.
        return pl.read_csv(
            b"".join((separator.join(names).encode(), b"\n", self.data)),
            separator=separator,
            schema={name: wanted.get(i, pl.String) for i, name in enumerate(names)},
            columns=[f"c{i}" for i in wanted],
            ignore_errors=True,
            encoding="utf8-lossy",
            decimal_comma=self.head.decimal == ",",
            truncate_ragged_lines=self.ragged,
        )

    def _by_hand(self, kinds: dict[int, Any]) -> pl.DataFrame:
        """For what polars takes for other rows than there are, or refuses: quotes that do not match."""
        import polars as pl

        rows, _ = self._rows()
        texts = {i: [row[i] if i < len(row) else None for row in rows] for i in kinds}
        table = pl.DataFrame({f"c{i}": pl.Series(values=one, dtype=pl.String) for i, one in texts.items()})
        if self.head.decimal == ",":
            numeric = [f"c{i}" for i, kind in kinds.items() if kind == pl.Float64]
            table = table.with_columns(pl.col(numeric).str.replace_all(",", ".", literal=True))
        return table.with_columns(pl.col(f"c{i}").cast(kind, strict=False) for i, kind in kinds.items())

    def _rows(self) -> tuple[list[list[str]], list[int]]:
        """Each line by itself, so that a quote that never ends takes no other line along; and the places of those whose
        quotes do not match, of which nothing is taken."""
        text = self.data.decode("utf-8", "replace").replace("\0", "\ufffd")
        csv.field_size_limit(1 << 30)
        rows: list[list[str]] = []
        broken = []
        for line in text.removesuffix("\n").split("\n"):
            try:
                rows.append(next(csv.reader([line.removesuffix("\r")], delimiter=self.head.separator, strict=True), []))
            except csv.Error:
                broken.append(len(rows))
                rows.append([])
        return rows, broken

    def _quotes_match(self) -> bool:
        """Whether every quotation mark opens a cell, closes one, or stands doubled inside (RFC 4180, 2.5 to 2.7)."""
        import numpy as np

        data = b"\n" + self.data + b"\n"
        buffer = np.frombuffer(data, np.uint8)
        quotes = np.flatnonzero(buffer == 34)
        if len(quotes) % 2:
            return False
        sides = [10, 34, ord(self.head.separator)]
        opens, closes = buffer[quotes[::2] - 1], buffer[quotes[1::2] + 1]
        return bool(np.isin(opens, sides).all() and np.isin(closes, [*sides, 13]).all())

    def table(self, kinds: dict[int, Any]) -> pl.DataFrame:
        """The wanted columns; counts what is wrong with the lines on the way."""
        import polars as pl

        quoted = b'"' in self.data
        # In a file of one column nothing but its emptiness tells an empty row.
        if not quoted and self.width > 1 and self._counted(ord(self.head.separator)) == self.lines * (self.width - 1):
            try:
                found = self.read(kinds)
            except pl.exceptions.PolarsError:
                pass
            else:
                # polars lets no line have more fields than there are columns, so none can have fewer.
                if found.height == self.lines and not _some_row_is_null(found):
                    if self.width > len(self.head.names):
                        self._trailing(self.lines, self.first)
                    return found
        self.ragged = True
        if not quoted or self._quotes_match():
            fields, surplus = self._count(quoted)
            try:
                found = self.read(kinds)
            except pl.exceptions.PolarsError:
                pass
            else:
                if found.height == self.lines:
                    self._report(fields, surplus)
                    return found
        return self._read_by_hand(kinds)

    def _read_by_hand(self, kinds: dict[int, Any]) -> pl.DataFrame:
        import numpy as np

        self.by_hand = True
        rows, broken = self._rows()
        self.lines = len(rows)
        fields = np.array([len(row) for row in rows], dtype=np.int64)
        surplus = np.array([bool(row) and row[-1].strip() == "" for row in rows])
        self.empty = np.array([not any(cell.strip() for cell in row) for row in rows])
        if broken:
            said = "the quotation marks of these rows do not match: nothing of them is read"
            self.tally.add("broken-quote", len(broken), self.first + broken[0], None, said)
            self.empty[broken] = False
            fields[broken] = len(self.head.names)
        self._report(fields, surplus)
        return self.read(kinds)

    def _counted(self, wanted: int) -> int:
        import numpy as np

        buffer = np.frombuffer(self.data, np.uint8)
        return sum(int(np.count_nonzero(buffer[i : i + 131072] == wanted)) for i in range(0, len(buffer), 131072))

    def _count(self, quoted: bool) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
        """Fields of each line, and whether it ends with a separator."""
        import numpy as np

        data = self.data if self.data.endswith(b"\n") else self.data + b"\n"
        buffer = np.frombuffer(data, np.uint8)
        ends = buffer == 10
        separators = buffer == ord(self.head.separator)
        if quoted:
            outside = (np.cumsum(buffer == 34) & 1) == 0
            ends &= outside
            separators &= outside
        stops = np.flatnonzero(ends)
        self.lines = len(stops)
        places = np.flatnonzero(separators)
        upto = np.searchsorted(places, stops)
        fields = np.diff(upto, prepend=0) + 1
        starts = np.concatenate(([0], stops[:-1] + 1)) if len(stops) else stops
        last = np.maximum(stops - 1, 0)
        last = np.where((buffer[last] == 13) & (last > starts), last - 1, last)
        lengths = stops - starts
        bare = (lengths == 0) | ((lengths == 1) & (buffer[starts] == 13))
        suspect = np.flatnonzero(~bare & (lengths < self.width + 16))
        for at in suspect.tolist():
            line = data[int(starts[at]) : int(stops[at])]
            if not line.translate(None, (self.head.separator + ' \t\r"').encode()):
                bare[at] = True
        self.empty = bare if bare.any() else None
        return fields, (buffer[last] == ord(self.head.separator)) & ~bare

    def _report(self, fields: NDArray[np.int64], surplus: NDArray[np.bool_]) -> None:
        import numpy as np

        names = len(self.head.names)
        empty = self.empty if self.empty is not None else np.zeros(len(fields), dtype=bool)
        trailing = (fields == names + 1) & surplus & ~empty
        for kind, mask, words in (
            ("empty-row", empty, "rows with nothing in them are no samples"),
            ("short-row", (fields < names) & ~empty, "rows were cut short: the cells they lack are empty"),
            ("long-row", (fields > names) & ~trailing & ~empty, "rows have cells past the heading: those are not read"),
        ):
            if mask.any():
                self.tally.add(kind, int(mask.sum()), self.first + int(mask.argmax()), None, words)
        if trailing.any():
            self._trailing(int(trailing.sum()), self.first + int(trailing.argmax()))

    def _trailing(self, count: int, first: int) -> None:
        self.tally.add("trailing-separator", count, first, None, "rows end with a separator: nothing comes after it")

    def long_numbers(self) -> bool:
        """Whether there may be a number of more than fifteen digits: twelve bytes of digits and points in a row, each
        four of them in a word of its own, is a sign of it that costs little to look for."""
        import numpy as np

        if self.head.decimal == ",":
            return True
        buffer = np.frombuffer(self.data, np.uint8)
        ones = np.uint32(0x01010101)
        for start in range(0, len(buffer), 131072 - 64):
            part = buffer[start : start + 131072]
            part = part[: len(part) // 4 * 4]
            words = ((part - np.uint8(0x2E)) <= 11).view(np.uint32) == ones
            if len(words) > 2 and (words[:-2] & words[1:-1] & words[2:]).any() and _digits(part):
                return True
        tail = bytes(buffer[-96:])
        return _digits(np.frombuffer(tail, np.uint8))


def _digits(part: NDArray[np.uint8]) -> bool:
    import re

    return re.search(rb"(?:\d\.?){16}", part.tobytes()) is not None


def _some_row_is_null(table: pl.DataFrame) -> bool:
    """Whether a row has none of the wanted cells: it may be an empty one."""
    import polars as pl

    if not all(series.null_count() for series in table):
        return False
    return bool(table.select(pl.all_horizontal(pl.all().is_null()).any()).item())


def csv_blocks(
    path: Path,
    shown: str,
    head: Head,
    kinds: dict[int, Any],
    tally: Tally,
    size: int = BLOCK,
    far: HowFar | None = None,
) -> Iterator[CsvRows]:
    """The rows under the heading. `far` is told how far it is."""
    import numpy as np

    first = 1
    width = 0
    for data in _pieces(path, shown, head, size, far):
        if not width:
            line = data.partition(b"\n")[0].rstrip(b"\r")
            separator = head.separator.encode()
            names = len(head.names)
            width = names + 1 if line.count(separator) == names and line.endswith(separator) else names
        # Looking for a least byte is many times faster than counting one.
        if not np.frombuffer(data, np.uint8).min():
            nul = data.count(b"\0")
            at = first + data[: data.find(b"\0")].count(b"\n")
            tally.add("nul-byte", nul, at, None, "bytes of value 0 stand in the file: what they stand in is no number")
        source = CsvBlock(data, head, width, tally, first)
        table = source.table(kinds)
        yield CsvRows(table, first, source.empty, source, source.long_numbers())
        first += source.lines


def _pieces(path: Path, shown: str, head: Head, size: int, far: HowFar | None) -> Iterator[bytes]:
    """The bytes after the heading as UTF-8, cut at line ends outside quotes."""
    import codecs

    decoder = codecs.getincrementaldecoder(head.encoding)("replace") if head.mended else None
    rest = b""
    with opened(path, shown, far) as read:
        skip = head.start
        while skip:
            skip -= len(read(min(skip, size))) or skip
        while True:
            data = read(size)
            ended = not data
            if decoder is not None:
                text = decoder.decode(data, final=ended)
                data = (text.replace("\r", "\n") if head.carriage_returns else text).encode()
            if ended:
                data = rest + data
                if data:
                    yield data
                return
            if b'"' in data or b'"' in rest:
                data, rest = rest + data, b""
            cut = data.rfind(b"\n") + 1
            if b'"' in data:
                while cut and data.count(b'"', 0, cut) % 2:
                    cut = data.rfind(b"\n", 0, cut - 1) + 1
            if not cut and len(data) > 8 * size:
                cut = data.rfind(b"\n") + 1
            if cut:
                # Copied once: blocks are large.
                yield b"".join((rest, memoryview(data)[:cut]))
                rest = data[cut:]
            else:
                rest += data
            if len(rest) > max(LONGEST_LINE, 16 * size):
                raise LogError(shown, f"has a line of more than {LONGEST_LINE >> 20} MiB", "it is no table of text")
