"""The first rows of a log, to look at before anything is known of its columns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang.logs.cells import NumericColumns
from alertlang.logs.column_map import LogOptions
from alertlang.logs.csv_rows import csv_blocks
from alertlang.logs.dialect import bracketed, read_head
from alertlang.logs.parquet import is_parquet, parquet_blocks, parquet_names
from alertlang.logs.tally import Tally
from alertlang.units.unit import Unit

if TYPE_CHECKING:
    import numpy as np
    import polars as pl
    from numpy.typing import NDArray

_BLOCK, _ROWS = 1 << 23, 100_000


@dataclass(frozen=True, slots=True)
class LogSample:
    """Names of all columns, their units where the log says them, and the first rows by the place of a column: numbers
    (NaN where there is none; none where it is no column of numbers) and what is written. `moments`: columns that the
    file itself says are dates and times. `heading`: the line that it was told to take for the heading."""

    names: tuple[str, ...]
    units: Mapping[int, Unit]
    numbers: Mapping[int, NDArray[np.float64]]
    table: pl.DataFrame | None
    decimal: str
    moments: frozenset[int]
    heading: int | None

    @property
    def height(self) -> int:
        return 0 if self.table is None else self.table.height

    def texts(self, place: int, rows: int | None = None) -> list[str]:
        """What is written in the first rows, without blanks around it."""
        if self.table is None:
            return []
        column = self.table[f"c{place}"]
        stripped = (column if rows is None else column.head(rows)).str.strip_chars(' \t\r"').fill_null("")
        return [str(text) for text in stripped.to_list()]

    def different(self, place: int) -> list[str]:
        """The same, each once, in the order in which they come."""
        if self.table is None:
            return []
        stripped = self.table[f"c{place}"].str.strip_chars(' \t\r"').fill_null("")
        return [str(text) for text in stripped.unique(maintain_order=True).to_list()]

    def some(self, place: int, most: int = 1000) -> list[str]:
        """The same of so many rows at most, evenly over those that are here."""
        return self.texts(place)[:: -(-self.height // most) or 1]

    def values(self, place: int) -> NDArray[np.float64] | None:
        """The numbers of a column without what is none."""
        import numpy as np

        numbers = self.numbers.get(place)
        return None if numbers is None else numbers[np.isfinite(numbers)]


def look_at(path: Path, shown: str, heading: int | None = None) -> LogSample:
    """LogError if the log cannot be read."""
    import numpy as np
    import polars as pl

    tally = Tally()
    head = None
    if is_parquet(path):
        names = parquet_names(path, shown)
        blocks = parquet_blocks(path, shown, names, set(range(len(names))), set(), _ROWS)
        units = {i: unit for i, name in enumerate(names) if (unit := bracketed(name)[1]) is not None}
    else:
        head = read_head(path, shown, LogOptions(heading=heading), tally)
        names, units = head.names, head.units
        blocks = csv_blocks(path, shown, head, dict.fromkeys(range(len(names)), pl.Float64), tally, _BLOCK)
    block = next(iter(blocks), None)
    decimal = head.decimal if head else "."
    if block is None:
        return LogSample(names, units, {}, None, decimal, frozenset(), heading)
    cells = NumericColumns(decimal, None, tally)
    is_moment = {i for i in range(len(names)) if block.table[f"c{i}"].dtype.is_temporal()}
    numbers = {
        i: cells.read(block, i, names[i], None) for i in range(len(names)) if block.table[f"c{i}"].dtype == pl.Float64
    }
    texts = block.texts([i for i in range(len(names)) if i not in is_moment])
    # A moment of the file's own has no text that was written.
    texts = texts.with_columns(pl.lit("").alias(f"c{i}") for i in sorted(is_moment))
    keep = np.ones(block.table.height, np.bool_) if block.empty is None else ~block.empty
    if head is not None:
        # Lines of the heading of another run are no rows.
        firsts = [line[0] for line in head.above if line and line[0]]
        keep &= ~texts["c0"].str.strip_chars(' \t\r"').is_in(firsts).fill_null(False).to_numpy()
    if not keep.all():
        numbers = {i: array[keep] for i, array in numbers.items()}
        texts = texts.filter(pl.Series(keep))
    return LogSample(names, units, numbers, texts, decimal, frozenset(is_moment), heading)
