"""Reading a log: a stream of chunks that need not fit into memory together, or all of it at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

from alertlang.logs.bind import Bindings, bind
from alertlang.logs.cells import NumericColumns, empty_cells, marked, positions, pressed
from alertlang.logs.clock import Calendar, Clock
from alertlang.logs.column_map import ColumnMap, LogOptions
from alertlang.logs.csv_rows import BLOCK, CsvRows, csv_blocks
from alertlang.logs.dialect import Head, read_head
from alertlang.logs.holds import HeldColumn
from alertlang.logs.log_error import LogError
from alertlang.logs.opened import HowFar
from alertlang.logs.parquet import is_parquet, parquet_blocks, parquet_cells, parquet_names
from alertlang.logs.readings import Readings
from alertlang.logs.repeats import REPEATED, spread
from alertlang.logs.runs import BEGINS, OtherRuns
from alertlang.logs.table import Column, Segment, TableProblem
from alertlang.logs.tally import Tally
from alertlang.logs.times import Times
from alertlang.logs.wanted import Wanted
from alertlang.results.log_clock import LogClock
from alertlang.results.replay import ReadingUse

if TYPE_CHECKING:
    import numpy as np
    import polars as pl
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class LogChunk:
    """Rows that follow each other. `continues`: they go on with the segment of the chunk before, with the same tick."""

    segment: Segment
    continues: bool


@dataclass(frozen=True, slots=True)
class LogRead:
    """A whole log. `rows`: all under the heading, those that are no samples too."""

    path: str
    segments: tuple[Segment, ...]
    problems: tuple[TableProblem, ...]
    rows: int
    bindings: Bindings


class LogStream:
    """Goes through a log. `rows` and `problems` are complete when the last chunk was taken, `far` is how far it is."""

    def __init__(
        self,
        path: Path,
        column_map: ColumnMap | None,
        wanted: Wanted,
        shown: str,
        block: int,
        repeats: str | None = None,
    ) -> None:
        self.path = shown
        self._file = path
        self._tally = Tally()
        self._block = block
        self._options = column_map.options if column_map else LogOptions()
        self._spreads = (repeats or self._options.repeats) == "spread"
        self.parquet = is_parquet(path)
        self._head: Head | None = None
        if self.parquet:
            names = parquet_names(path, shown)
            self.bindings = bind(
                names, {}, column_map, wanted, shown, self._tally, lambda place: parquet_cells(path, names[place])
            )
        else:
            head = self._head = read_head(path, shown, self._options, self._tally)
            self.bindings = bind(head.names, head.units, column_map, wanted, shown, self._tally, head.cells)
        map_path = column_map.path if column_map else shown
        found = self.bindings
        self._clock: Clock | Calendar | None = None
        if found.time is not None:
            if found.time_format is not None:
                self._clock = Calendar(found.time_format, map_path, found.time_line, self._tally, found.time_name)
            else:
                self._clock = Clock(found.time_unit.factor, found.time_name, self._tally, found.since, found.to)
        self.rows = 0
        self.far = HowFar()
        switches = {name: found.names[place] for name, (place, _) in found.switches.items()}
        self._readings = Readings(wanted, found.numbers, switches)
        self._held = {
            key: HeldColumn(found.holds[name], column, unknown, self._tally)
            for key, name, column, unknown in (
                *[("n" + number.name, number.name, number.column, float("nan")) for number in found.numbers],
                *[("s" + name, name, column, -1) for name, column in switches.items()],
            )
            if name in found.holds
        }
        self._other_runs = OtherRuns(self._head, found, self._tally)
        mark = None if found.mark is None else found.names[found.mark]
        self._times = Times(self._tally, found.time_name, mark, found.time_unit if self._is_numeric else None)

    @property
    def problems(self) -> tuple[TableProblem, ...]:
        return self._tally.problems()

    @property
    def readings(self) -> tuple[ReadingUse, ...]:
        return self._readings.used()

    @property
    def clock(self) -> LogClock | None:
        """What the log's own clock showed, where it has one; known with the first chunk."""
        return self._clock.shown if self._clock is not None else None

    @property
    def _is_numeric(self) -> bool:
        return isinstance(self._clock, Clock)

    def add_left_out(self, count: int, first_row: int) -> None:
        """Rows that do not count, and hold what nobody may miss: found by going through the log once more."""
        words = "rows that do not count, as a later one has their time, hold a limit broken, red or a warning"
        self._tally.add("left-out-limit", count, first_row, self.bindings.time_name, words)

    def chunks(self) -> Iterator[LogChunk]:
        """LogError if it has no rows, or none with a time."""
        import numpy as np

        carry: dict[str, Any] | None = None
        open_before = False
        pieces = self._pieces()
        if self._spreads:
            pieces = spread(pieces, self._tally, self.bindings.time_name)
        for fields in pieces:
            if not len(fields["#rows"]):
                continue
            if carry is not None:
                fields = {key: np.concatenate((carry[key], one)) for key, one in fields.items()}
            ticks = fields["#ticks"]
            self._times.look(ticks, fields)
            starts = np.flatnonzero((np.diff(ticks) < 0) | fields[BEGINS][1:]) + 1
            edges = [0, *starts.tolist(), len(ticks)]
            # The last row waits: the next block may begin with its time.
            carry = {key: one[-1:] for key, one in fields.items()}
            for number, (begin, end) in enumerate(pairwise(edges)):
                if number:
                    open_before = False
                final = number == len(edges) - 2
                segment = self._segment(fields, begin, end - 1 if final else end, ticks[begin:end])
                if len(segment):
                    yield LogChunk(segment, open_before)
                    open_before = True
        self._times.tell(self._tick, self.clock)
        if carry is not None:
            yield LogChunk(self._segment(carry, 0, 1, carry["#ticks"]), open_before)
            self._readings.tell(self._tally)
            return
        if not self.rows:
            raise LogError(self.path, "has a heading and no rows", "record it again, or name another file")
        name = self.bindings.time_name
        raise LogError(self.path, f"no row has a time in {name}", f"look at the column {name}, its unit or its format")

    def _pieces(self) -> Iterator[dict[str, Any]]:
        for block in self._blocks():
            self.rows += block.table.height
            fields = self._fields(block)
            self._readings.add(fields)
            yield fields

    def _blocks(self) -> Iterator[CsvRows]:
        import polars as pl

        found = self.bindings
        texts = {place for place, _ in found.switches.values()} | set(found.inputs.values())
        texts |= {found.mark} if found.mark is not None else set()
        numeric = {binding.place for binding in found.numbers}
        if found.time is not None:
            (texts if found.time_format is not None and not self.parquet else numeric).add(found.time)
            texts.update(found.time_beside)
        if self._head is None:
            rows = max(1, self._block // 128)
            return parquet_blocks(self._file, self.path, found.names, numeric, texts, rows, found.time, self.far)
        kinds: dict[int, Any] = dict.fromkeys(numeric, pl.Float64) | dict.fromkeys(texts, pl.String)
        return csv_blocks(self._file, self.path, self._head, kinds, self._tally, self._block, self.far)

    def _fields(self, block: CsvRows) -> dict[str, Any]:
        """All that is known of the rows that are samples, by what it is."""
        import numpy as np

        found, tally = self.bindings, self._tally
        height = block.table.height
        rows = np.arange(block.first, block.first + height, dtype=np.int64)
        keep = None if block.empty is None else ~block.empty
        cells = NumericColumns(self._head.decimal if self._head else ".", self._options.thousands, tally)
        ticks, timed = self._ticks(block, rows, keep, cells)
        timed, begins = self._other_runs.found(block, timed, keep)
        fields: dict[str, Any] = {"#ticks": ticks, "#rows": rows, BEGINS: begins}
        raw, empty, blank = {}, {}, {}
        for binding in found.numbers:
            key = "n" + binding.name
            raw[binding.name] = cells.read(block, binding.place, binding.column, keep, held=key in self._held)
            fields[key] = cells.in_range(raw[binding.name], binding, block)
            if key in self._held:
                empty[key] = empty_cells(block, binding.place)
            elif np.isnan(raw[binding.name]).any():
                blank[binding.name] = empty_cells(block, binding.place)
        self._readings.sample(rows, raw)
        for name, (place, table) in found.switches.items():
            key = "s" + name
            # Where nothing written is a position of its own nothing is held.
            held = key in self._held and "" not in table
            fields[key], none = positions(block, place, found.names[place], table, tally, held=held)
            (empty if held else blank)[key if held else name] = none
        for name, place in found.inputs.items():
            fields["i" + name] = pressed(block, place, found.names[place], tally)
        fields["#marks"] = np.zeros(height, dtype=bool) if found.mark is None else marked(block, found.mark)
        if timed is not None:
            fields = {key: array[timed] for key, array in fields.items()}
            empty = {key: array[timed] for key, array in empty.items()}
            blank = {key: array[timed] for key, array in blank.items()}
        self._readings.written(fields, blank, self._tick)
        for key, mask in empty.items():
            fields[key] = self._held[key].filled(
                fields[key], mask, fields["#ticks"], fields[BEGINS], fields["#rows"], self._tick
            )
        return fields

    def _ticks(
        self, block: CsvRows, rows: NDArray[np.int64], keep: NDArray[np.bool_] | None, cells: NumericColumns
    ) -> tuple[NDArray[np.int64], NDArray[np.bool_] | None]:
        """The ticks of all rows, and which of them have a time; none: all have."""
        import numpy as np

        found = self.bindings
        if found.time is None:
            return rows - 1, keep
        series = block.table[f"c{found.time}"]
        texts = None
        if series.dtype.is_temporal():
            self._clock, times = self._clock_of_dates(), _microseconds(series)
            self._clock.takes(series.dtype)
        elif isinstance(self._clock, Calendar):
            times = self._clock.times(self._joined_texts(block), block.first)
        else:
            assert isinstance(self._clock, Clock)
            numbers, texts = cells.time(block, found.time, found.time_name)
            known = np.isfinite(numbers)
            ticks = np.zeros(len(rows), np.int64)
            texts = None if texts is None else texts[known].tolist()
            ticks[known], fits = self._clock.ticks(numbers[known], rows[known], texts)
            if fits is not None:
                known[known] = fits
            return ticks, None if known.all() else known
        if times.null_count():
            known = ~times.is_null().to_numpy()
            ticks = np.zeros(len(rows), np.int64)
            ticks[known] = self._clock.ticks(times.drop_nulls().to_numpy(), rows[known])
            return ticks, known
        return self._clock.ticks(times.to_numpy(), rows), None

    def _joined_texts(self, block: CsvRows) -> pl.Series:
        """What is written of the time, in one column or in several."""
        import polars as pl

        found = self.bindings
        assert found.time is not None
        if not found.time_beside:
            return block.table[f"c{found.time}"]
        columns = [pl.col(f"c{place}").cast(pl.String).str.strip_chars() for place in (found.time, *found.time_beside)]
        return block.table.select(pl.concat_str(columns, separator=" ").alias("joined"))["joined"]

    def _clock_of_dates(self) -> Calendar:
        if isinstance(self._clock, Calendar):
            return self._clock
        return Calendar("%Y", self.path, None, self._tally, self.bindings.time_name)

    @property
    def _tick(self) -> Fraction:
        every = self.bindings.every
        return every if every is not None else self._clock.tick if self._clock else Fraction(1)

    def _segment(self, fields: dict[str, Any], begin: int, end: int, ticks: NDArray[np.int64]) -> Segment:
        """Rows from `begin` up to `end`. `ticks`: of these and, where there is one, of the row after them."""
        import numpy as np

        count = end - begin
        counts = np.ones(count, dtype=bool)
        following = min(count, len(ticks) - 1)
        counts[:following] = ticks[1 : following + 1] != ticks[:following]
        whole = bool(counts.all())

        if not whole:
            self._readings.leave_out({key: array[begin:end][~counts] for key, array in fields.items()})

        def part(key: str) -> Any:
            one = fields[key][begin:end]
            return one if whole else one[counts]

        found = self.bindings
        return Segment(
            part("#ticks"),
            self._tick,
            part("#rows"),
            {
                binding.name: Column(part("n" + binding.name), binding.scale, binding.offset)
                for binding in found.numbers
            },
            {name: part("s" + name) for name in found.switches},
            {name: part("i" + name) for name in found.inputs},
            part("#marks"),
            part(REPEATED) if REPEATED in fields else None,
        )


def _microseconds(series: pl.Series) -> pl.Series:
    """Dates and times that a Parquet file says to be such."""
    import polars as pl

    if series.dtype == pl.Date:
        return series.cast(pl.Datetime("us")).dt.timestamp("us")
    if series.dtype == pl.Time:
        return series.cast(pl.Int64) // 1000
    return series.dt.cast_time_unit("us").to_physical()


def stream_log(
    path: Path,
    column_map: ColumnMap | None,
    wanted: Wanted,
    *,
    shown: str | None = None,
    block: int = BLOCK,
    repeats: str | None = None,
) -> LogStream:
    """A log of any size. `block`: about so many bytes of it are in memory at once. `repeats`: what becomes of rows that
    share one time, in place of what the map says. LogError if it cannot be used."""
    return LogStream(path, column_map, wanted, shown or str(path), block, repeats)


def read_log(path: Path, column_map: ColumnMap | None, wanted: Wanted, *, shown: str | None = None) -> LogRead:
    """All of a log. Without a map the columns named like quantities are taken. LogError if it cannot be used."""
    stream = stream_log(path, column_map, wanted, shown=shown)
    pieces: list[list[Segment]] = []
    for chunk in stream.chunks():
        if chunk.continues:
            pieces[-1].append(chunk.segment)
        else:
            pieces.append([chunk.segment])
    segments = []
    pieces.reverse()
    while pieces:
        segments.append(_joined(pieces.pop()))
    return LogRead(stream.path, tuple(segments), stream.problems, stream.rows, stream.bindings)


def _joined(parts: list[Segment]) -> Segment:
    """One segment of several; a column's pieces are let go as soon as they are joined, to save room."""
    import numpy as np

    if len(parts) == 1:
        return parts[0]
    first = parts[0]
    columns = [dict(part.columns) for part in parts]
    plain = [(part.ticks, part.rows, part.marks, part.positions, part.inputs) for part in parts]
    repeated = None if first.repeated is None else np.concatenate([part.repeated for part in parts])
    parts.clear()
    joined = {}
    for name, column in first.columns.items():
        joined[name] = Column(np.concatenate([part.pop(name).numbers for part in columns]), column.scale, column.offset)
    return Segment(
        np.concatenate([pair[0] for pair in plain]),
        first.tick,
        np.concatenate([pair[1] for pair in plain]),
        joined,
        {name: np.concatenate([pair[3][name] for pair in plain]) for name in first.positions},
        {name: np.concatenate([pair[4][name] for pair in plain]) for name in first.inputs},
        np.concatenate([pair[2] for pair in plain]),
        repeated,
    )
