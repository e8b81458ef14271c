"""Rows that do not count because a later one has their time: held against every limit all the same.

What stands in such a row was recorded. Where it is past a limit and in no row that counts, the replay would show
nothing, and say so of a run that was not quiet. So the log is gone through once more with these rows spread over the
time up to the next, conditions and delays and all, and what holds at them is told.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from alertlang.logs.column_map import ColumnMap
from alertlang.logs.csv_rows import BLOCK
from alertlang.logs.read import stream_log
from alertlang.model import ruleset as m
from alertlang.replay.engine import Place, ReplayEngine, RowTruth, Trace, cut
from alertlang.replay.engine_compare import same_readings
from alertlang.replay.exceedance import Depth, Watched, limit_subject, subject_of
from alertlang.replay.wanted import wanted_of
from alertlang.results.replay import LeftOut

# Rows looked at together.
_ROWS = 32768


@dataclass(frozen=True, slots=True)
class LeftOutRows:
    """`count` rows, each counted once, and the `first` of them; and what holds at them."""

    count: int
    first: int
    held: tuple[LeftOut, ...]


def left_out(path: Path, ruleset: m.RuleSet, column_map: ColumnMap | None, *, block: int = BLOCK) -> LeftOutRows | None:
    """What limits, red bands and warnings hold at rows that do not count; none if nothing does."""
    stream = stream_log(path, column_map, wanted_of(ruleset), block=block, repeats="spread")
    engine = ReplayEngine(ruleset)
    kinds = dict(_kinds(ruleset))
    found: dict[Place, LeftOut] = {}
    count, first = 0, 0
    for chunk in stream.chunks():
        for start in range(0, len(chunk.segment), _ROWS):
            trace = engine.feed(cut(chunk.segment, start, start + _ROWS), continues=chunk.continues or start > 0)
            repeated = trace.chunk.repeated
            if repeated is None or not repeated.any():
                continue
            either = np.zeros(len(trace), np.bool_)
            for place, truth in _serious(trace, kinds):
                rows = np.flatnonzero(truth.array & repeated)
                if len(rows):
                    either[rows] = True
                    held = _held(place, kinds[place[0]], rows, trace, ruleset)
                    found[place] = held if place not in found else _joined(found[place], held)
            rows = np.flatnonzero(either)
            if len(rows):
                first = first or int(trace.chunk.rows[rows[0]])
                count += len(rows)
    if not count:
        return None
    order = {label: number for number, label in enumerate(kinds)}
    places = sorted(found, key=lambda place: (order[place[0]], place[1] or 0))
    return LeftOutRows(count, first, tuple(found[place] for place in places))


def _kinds(ruleset: m.RuleSet) -> Iterator[tuple[str, str]]:
    """Every statement that may not hold unseen, and what it is."""
    for declared in ruleset.ranges:
        if declared.forbids:
            yield declared.label, "limit" if declared.kind == "limit" else "avoid range"
    for rule in ruleset.rules:
        if isinstance(rule, m.Band) and rule.colour is m.Colour.RED:
            yield rule.label, "red band"
        elif rule.alert is not None and rule.alert.level is m.Level.WARNING:
            yield rule.label, "warning"


def _serious(trace: Trace, kinds: dict[str, str]) -> Iterator[tuple[Place, RowTruth]]:
    for shown in (trace.violated, trace.applies):
        for place, truth in shown.items():
            if place[0] in kinds and not truth.is_false:
                yield place, truth


def _held(place: Place, kind: str, rows: NDArray[np.int64], trace: Trace, ruleset: m.RuleSet) -> LeftOut:
    label, index = place
    first = int(trace.chunk.rows[rows[0]])
    found = LeftOut(label, index, kind, len(rows), first, None, None, None, None)
    subject = _subject(label, index, ruleset)
    if subject is None:
        return found
    for element in subject.indexes:
        depth = Depth(subject, element, ruleset.quantities)
        numbers, off = depth.near(trace.values)
        most = numbers[rows].max()
        if most == -np.inf:
            continue
        close = rows[numbers[rows] >= most - 2 * off]
        if len(close) > 1:
            close = close[same_readings(trace.values, depth.variables, close)[0]]
        for row in sorted(close.tolist()):
            known = depth.exact(trace.values, row)
            if known is not None and (found.past is None or known[1] > found.past):
                found = replace(found, reading=depth.reading, value=known[0], unit=depth.unit, past=known[1])
    return found


def _subject(label: str, index: int | None, ruleset: m.RuleSet) -> Watched | None:
    for declared in ruleset.ranges:
        if declared.label == label:
            return limit_subject(declared, index)
    rule = next(rule for rule in ruleset.rules if rule.label == label)
    return subject_of(rule, index, ruleset)


def _joined(one: LeftOut, other: LeftOut) -> LeftOut:
    """The rows of both; `one` came first."""
    deeper = one if other.past is None or (one.past is not None and one.past >= other.past) else other
    return replace(deeper, rows=one.rows + other.rows, first_row=one.first_row)
