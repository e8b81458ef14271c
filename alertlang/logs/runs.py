"""Another run in the same file: lines in the middle of a log that are a heading again.

A row that says what the heading says, or a line above or below it (units, types, what the recorder writes first), is no
sample, and after it a new segment begins. A row that is a heading with other names says that the columns are others
from there on: nothing after it is read, up to a heading like the first.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from alertlang.logs.bind import Bindings
from alertlang.logs.csv_rows import CsvRows
from alertlang.logs.dialect import Head, bare_cells
from alertlang.logs.heading import is_heading_row
from alertlang.logs.tally import Tally

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

BEGINS = "#begins"
"""Among the fields of rows: the first of another run."""


class OtherRuns:
    """Looks at the rows of a log that have no time, block by block, and tells them. `head` none: it is no CSV."""

    def __init__(self, head: Head | None, bindings: Bindings, tally: Tally) -> None:
        self._head, self._tally = head, tally
        self._names = () if head is None else bare_cells(head.names)
        self._time = bindings.time_name
        fed = [*[number.place for number in bindings.numbers], *[place for place, _ in bindings.switches.values()]]
        self._probe = bindings.time if bindings.time is not None else fed[0]
        self._every = bindings.time is None
        self._begins = False
        self._other = False

    def found(
        self, block: CsvRows, timed: NDArray[np.bool_] | None, keep: NDArray[np.bool_] | None
    ) -> tuple[NDArray[np.bool_] | None, NDArray[np.bool_]]:
        """Which rows are samples (none: all), and which of them is the first of another run. `timed`: those that have a
        time; `keep`: those that are rows at all."""
        import numpy as np

        count = block.table.height
        begins = np.zeros(count, np.bool_)
        is_sample = np.ones(count, np.bool_) if timed is None else timed.copy()
        lines = dict(self._lines(block, timed))
        other = np.full(count, self._other)
        odd = np.zeros(count, np.bool_)
        waits = [0] if self._begins else []
        for row in sorted(lines):
            cells = lines[row]
            if cells == self._names:
                self._tell_heading(block.first + row)
                self._other = False
                waits.append(row)
            elif self._head is not None and cells in self._head.above:
                pass
            elif 2 * len(cells) >= len(self._names) and is_heading_row(cells):
                self._other = True
            else:
                continue
            odd[row] = True
            other[row:] = self._other
        is_sample &= ~odd & ~other
        rows_at_all = np.ones(count, np.bool_) if keep is None else keep
        for wait in waits:
            after = np.flatnonzero(is_sample[wait:])
            self._begins = not len(after)
            if len(after):
                begins[wait + after[0]] = True
        self._tell(~is_sample & ~odd & ~other & rows_at_all, other & ~odd & rows_at_all, block.first)
        return (None if is_sample.all() else is_sample), begins

    def _lines(self, block: CsvRows, timed: NDArray[np.bool_] | None) -> list[tuple[int, tuple[str, ...]]]:
        """Rows that may be lines of a heading, by their place, with all their cells."""
        import numpy as np
        import polars as pl

        if self._head is None or block.source is None or (timed is None and not self._every):
            return []
        probe = block.texts([self._probe])[f"c{self._probe}"].str.strip_chars(' \t\r"')
        if self._every or timed is None:
            # Every row takes its time: then nothing but the heading itself is looked for.
            likely = probe == self._head.names[self._probe]
        else:
            likely = probe.str.contains(r"\p{L}") & pl.Series(~timed)
        rows = np.flatnonzero(likely.fill_null(False).to_numpy())
        if not len(rows):
            return []
        places = list(range(len(self._head.names)))
        table = block.source.read(dict.fromkeys(places, pl.String))[rows.tolist()]
        return [(int(row), bare_cells(cells)) for row, cells in zip(rows, table.iter_rows(), strict=True)]

    def _tell_heading(self, row: int) -> None:
        words = "rows are the heading again: another run, which begins with fresh state"
        self._tally.add("second-heading", 1, row, None, words)

    def _tell(self, lost: NDArray[np.bool_], other: NDArray[np.bool_], first: int) -> None:
        words = "rows have no time that can be read: they are no samples"
        self._tally.add("no-time", int(lost.sum()), first + int(lost.argmax()), self._time, words)
        words = (
            "rows stand under another heading in the middle of the file, with other columns: nothing of them is read"
        )
        self._tally.add("other-heading", int(other.sum()), first + int(other.argmax()), None, words)
