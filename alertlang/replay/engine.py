"""A rule set over a log in columns, many rows at a time: what is shown at each, equal to going through it row by row.

    engine = Engine(ruleset)
    for trace in engine.run(segment):       # or feed(chunk, continues=...) for chunks that come from elsewhere
        ...

A log is looked at in chunks, so that a log larger than memory can be. How long the chunks are changes no result.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from alertlang.logs.table import Column, Segment
from alertlang.model import ruleset as m
from alertlang.replay.buttons import ACKNOWLEDGE, Buttons
from alertlang.replay.engine_nodes import RowChunk, State
from alertlang.replay.engine_plan import Place as Place
from alertlang.replay.engine_plan import plan
from alertlang.replay.engine_truth import Rows, worst_of
from alertlang.replay.engine_truth import RowTruth as RowTruth
from alertlang.replay.engine_truth import Steps as Steps
from alertlang.replay.engine_values import Before, Values

# Few enough that what is looked at stays in a processor's cache, many enough that a call for each costs little.
ROWS = 32768


@dataclass(frozen=True, slots=True)
class Trace:
    """What there is to see over the rows of one chunk, everything in the order of declaration.

    `start`: how many rows of the segment come before this chunk. `conditions` by name; `applies` for every band and
    every alert on its own, `alerts` (where the statement's alert is up) and `violated` (limits and avoid ranges, after
    their `except for`) by label and element. Each is a Truth: `.array` has one bool for each row, `.first`, `.changes`
    and `.runs` say the same in few numbers. `colours` for every gauge, by quantity and element, as Steps: `.array` has
    one int8 for each row, `.starts` and `.values` say the same; -1 where no band applies, else a Colour's number.
    `pressed`: by button the rows at which it was pressed.
    """

    chunk: Segment
    start: int
    conditions: Mapping[str, RowTruth]
    applies: Mapping[Place, RowTruth]
    alerts: Mapping[Place, RowTruth]
    colours: Mapping[Place, Steps]
    violated: Mapping[Place, RowTruth]
    values: Values
    pressed: Mapping[str, Rows]

    def __len__(self) -> int:
        return len(self.chunk)

    def exact(self, variable: str, row: int) -> Fraction | None:
        """The value of `rpm` or `cht[2]`, derived ones too, at a row of this chunk, in the quantity's own unit; none
        where it has failed."""
        return self.values.exact(variable, row)

    def numbers(self, variable: str) -> NDArray[np.float64]:
        """The same for all rows, rounded to doubles, NaN where failed: for pictures and for finding the row to ask
        `exact` about, never to decide anything. Not to be written to."""
        return self.values.near(variable).numbers


class ReplayEngine:
    """Goes through one log. `acknowledge`: which of a segment's inputs acknowledges latched alerts, beside the buttons
    of the rule set's lamps; where a segment has no such input nothing is ever acknowledged."""

    def __init__(self, ruleset: m.RuleSet, acknowledge: str = ACKNOWLEDGE) -> None:
        self.ruleset = ruleset
        self._buttons = Buttons(ruleset, acknowledge)
        self._plan = plan(ruleset)
        self._state: State = {}
        self._before: Before | None = None
        self._tick = Fraction(1)
        self._rows = 0

    def feed(self, chunk: Segment, *, continues: bool = False) -> Trace:
        """What is shown over the next rows. `continues`: they follow the rows fed before in the same segment, and
        whatever was timed then goes on; else everything begins anew.

        ValueError for a chunk without rows, or one that cannot follow the one before.
        """
        if not len(chunk):
            raise ValueError("a chunk has at least one row")
        if not continues:
            self._state, self._before, self._rows = {}, None, 0
            self._buttons.begin()
        elif self._before is not None:
            if chunk.tick != self._tick:
                raise ValueError("chunks of one segment count time in the same ticks")
            if int(chunk.ticks[0]) <= self._before.ticks:
                raise ValueError("a chunk cannot begin before the one before it has ended")
        pressed = self._buttons.pressed(chunk)
        values = Values(self.ruleset.quantities, chunk, self._before)
        trace = self._trace(RowChunk(values, self._state, self._buttons.acknowledging(pressed)), pressed)
        self._before, self._tick = values.after(), chunk.tick
        self._rows += len(chunk)
        return trace

    def run(self, segment: Segment, rows: int = ROWS) -> Iterator[Trace]:
        """A whole segment from its beginning, so many rows at a time."""
        for start in range(0, len(segment), rows):
            yield self.feed(cut(segment, start, start + rows), continues=start > 0)

    def _trace(self, chunk: RowChunk, pressed: Mapping[str, Rows]) -> Trace:
        nodes = self._plan
        conditions = {name: chunk.of(node) for name, node in nodes.conditions.items()}
        applies = {place: chunk.of(node) for place, node in nodes.applies.items()}
        alerts = {place: chunk.of(node) for place, node in nodes.alerts.items()}
        violated = {place: chunk.of(node) for place, node in nodes.violated.items()}
        colours = {
            gauge: worst_of([(colour, chunk.of(node)) for colour, node in bands], chunk.size)
            for gauge, bands in nodes.gauges.items()
        }
        return Trace(
            chunk.values.chunk, self._rows, conditions, applies, alerts, colours, violated, chunk.values, pressed
        )


def cut(segment: Segment, start: int, stop: int) -> Segment:
    """Some rows of a segment, nothing copied."""
    rows = slice(start, stop)
    return replace(
        segment,
        ticks=segment.ticks[rows],
        rows=segment.rows[rows],
        columns={
            name: Column(column.numbers[rows], column.scale, column.offset) for name, column in segment.columns.items()
        },
        positions={name: array[rows] for name, array in segment.positions.items()},
        inputs={name: array[rows] for name, array in segment.inputs.items()},
        marks=segment.marks[rows],
        repeated=None if segment.repeated is None else segment.repeated[rows],
    )
