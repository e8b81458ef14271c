"""Rows of a log as samples of the stepper."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from alertlang.logs.column_map import ColumnMap
from alertlang.logs.csv_rows import BLOCK
from alertlang.logs.read import stream_log
from alertlang.logs.table import Segment
from alertlang.meaning.readings import Sample, SampleReadings
from alertlang.model import ruleset as m
from alertlang.replay.buttons import ACKNOWLEDGE, RESET
from alertlang.replay.engine_values import Before, Values
from alertlang.replay.wanted import wanted_of

# A segment, from 1, and a row of it, from 0.
At = tuple[int, int]


@dataclass(frozen=True, slots=True)
class LogSource:
    """A log that can be read more than once. `shown`: how it is called."""

    path: Path
    ruleset: m.RuleSet
    column_map: ColumnMap | None
    shown: str
    block: int = BLOCK


@dataclass(frozen=True, slots=True)
class RowRead:
    """One row: `file_row` from 1 after the heading; the `sample`; and, where they are asked for, all values there."""

    file_row: int
    sample: Sample
    readings: SampleReadings


def held_buttons(ruleset: m.RuleSet, sample: Sample) -> frozenset[str]:
    """The buttons that are down at a sample, as the stepper takes them; the empty one acknowledges all."""
    return sample.pressed | ({*ruleset.acknowledge_inputs, ""} if sample.acknowledge else frozenset())


def read_rows(source: LogSource, wanted: set[At]) -> dict[At, RowRead]:
    """Some rows, in one pass that ends with the last of them."""
    found: dict[At, RowRead] = {}
    rows = sorted(wanted)
    done = 0
    for number, start, segment, values in _chunks(source):
        while done < len(rows) and rows[done] < (number, start + len(segment)):
            at = rows[done]
            found[at] = _row(source.ruleset, segment, values, at[1] - start)
            done += 1
        if done == len(rows):
            break
    return found


def rows_at(source: LogSource, time: Fraction) -> list[int | None]:
    """Of each segment the last row no later than a time, none where it begins after it."""
    found: list[int | None] = []
    for number, start, segment, _ in _chunks(source):
        if number > len(found):
            found.append(None)
        before = bisect_right(segment.ticks.tolist(), time // segment.tick)
        if before:
            found[-1] = start + before - 1
    return found


def sample_range(source: LogSource, segment: int, first: int, last: int) -> list[Sample]:
    """The samples of some rows that follow each other, both ends among them."""
    found: list[Sample] = []
    for number, start, chunk, _ in _chunks(source):
        if number > segment or (number == segment and start > last):
            break
        if number == segment:
            rows = range(max(first - start, 0), min(last + 1 - start, len(chunk)))
            found += [_sample(source.ruleset, chunk, row) for row in rows]
    return found


def _chunks(source: LogSource) -> Iterator[tuple[int, int, Segment, Values]]:
    """The number of each segment, the row that a chunk of it begins at, the chunk, its values."""
    number, start = 0, 0
    before: Before | None = None
    stream = stream_log(
        source.path, source.column_map, wanted_of(source.ruleset), shown=source.shown, block=source.block
    )
    for chunk in stream.chunks():
        if not chunk.continues:
            number, start, before = number + 1, 0, None
        values = Values(source.ruleset.quantities, chunk.segment, before)
        yield number, start, chunk.segment, values
        before, start = values.after(), start + len(chunk.segment)


def _row(ruleset: m.RuleSet, segment: Segment, values: Values, row: int) -> RowRead:
    sample = _sample(ruleset, segment, row)
    found: Mapping[str, Fraction | None] = {
        m.variable(quantity.name, index): values.exact(m.variable(quantity.name, index), row)
        for quantity in ruleset.quantities.values()
        for index in quantity.indexes
    }
    readings = SampleReadings(ruleset, sample.time, found, sample.positions)
    return RowRead(int(segment.rows[row]), sample, readings)


def _sample(ruleset: m.RuleSet, segment: Segment, row: int) -> Sample:
    values = {name: column.value(row) for name, column in segment.columns.items()}
    positions = {
        name: ruleset.switches[name].positions[int(numbers[row])]
        for name, numbers in segment.positions.items()
        if int(numbers[row]) >= 0
    }

    def is_down(name: str) -> bool:
        held = segment.inputs.get(name)
        return held is not None and bool(held[row])

    pressed = {name for name in ruleset.buttons if is_down(name)}
    if is_down(RESET):
        pressed |= {*ruleset.reset_inputs} - {*ruleset.acknowledge_inputs}
    return Sample(
        segment.seconds(row),
        {name: value for name, value in values.items() if value is not None},
        {name: positions[name] for name in ruleset.switches if name in positions},
        is_down(ACKNOWLEDGE),
        frozenset(pressed),
    )


def samples_between(source: LogSource, segment: int, first: Fraction, last: Fraction) -> list[tuple[int, Sample]]:
    """The samples of a segment between two times, both taken in, each with its row; where none is, the last before."""
    found: list[tuple[int, Sample]] = []
    before: tuple[int, Sample] | None = None
    for number, start, chunk, _ in _chunks(source):
        if number > segment:
            break
        if number < segment:
            continue
        rows = [row for row in range(len(chunk)) if first <= chunk.seconds(row) <= last]
        found += [(start + row, _sample(source.ruleset, chunk, row)) for row in rows]
        earlier = next((row for row in reversed(range(len(chunk))) if chunk.seconds(row) < first), None)
        if earlier is not None and not found:
            before = start + earlier, _sample(source.ruleset, chunk, earlier)
        if chunk.seconds(len(chunk) - 1) > last:
            break
    return found or ([] if before is None else [before])
