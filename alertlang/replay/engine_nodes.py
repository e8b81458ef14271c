"""What a rule set is made into before any log is looked at: nodes, each a truth that is found once in every chunk.

A node that counts time keeps what it has to know of earlier chunks in `chunk.state`, by itself. All nodes are looked at
in every chunk, for that reason: none is left out because another has already decided.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil, floor
from typing import Protocol

from alertlang.replay import engine_compare as compare
from alertlang.replay.engine_timed import Counted, Latched, acknowledged, held_in_total, lasted
from alertlang.replay.engine_truth import Rows, RowTruth, all_of, any_of, kept, negated
from alertlang.replay.engine_values import Values

# Ticks that no log lasts.
_FOREVER = 2**61


class TruthNode(Protocol):
    def truth(self, chunk: RowChunk) -> RowTruth: ...


State = dict[TruthNode, object]


@dataclass(slots=True)
class RowChunk:
    """The rows that are looked at. `presses`: the rows at which the button that acknowledges has been pressed since the
    row before. `state`: what was known after the chunk before, and is changed to what is known after this one."""

    values: Values
    state: State
    presses: Rows
    found: dict[TruthNode, RowTruth] = field(default_factory=dict)

    @property
    def size(self) -> int:
        return len(self.values.chunk)

    def of(self, node: TruthNode) -> RowTruth:
        found = self.found.get(node)
        if found is None:
            found = self.found[node] = node.truth(self)
        return found


class Always:
    def __init__(self, truth: bool) -> None:
        self.known = truth

    def truth(self, chunk: RowChunk) -> RowTruth:
        return RowTruth.constant(chunk.size, self.known)


class ComparisonNode:
    def __init__(self, less: compare.LessThan) -> None:
        self.less = less

    def truth(self, chunk: RowChunk) -> RowTruth:
        return self.less.truth(chunk.values)


class WorkingNode:
    """The variable has not failed."""

    def __init__(self, variable: str) -> None:
        self.variable = variable

    def truth(self, chunk: RowChunk) -> RowTruth:
        return compare.knows(chunk.values, self.variable)


class Switched:
    """The switch is in a position, by its number; or, negated, in another. False where that is unknown."""

    def __init__(self, switch: str, position: int, is_negated: bool) -> None:
        self.switch = switch
        self.position = position
        self.is_negated = is_negated

    def truth(self, chunk: RowChunk) -> RowTruth:
        positions = chunk.values.chunk.positions.get(self.switch)
        if positions is None:
            return RowTruth.constant(chunk.size, False)
        if self.is_negated:
            return RowTruth.of((positions != self.position) & (positions >= 0))
        return RowTruth.of(positions == self.position)


class Opposite:
    def __init__(self, part: TruthNode) -> None:
        self.part = part

    def truth(self, chunk: RowChunk) -> RowTruth:
        return negated(chunk.of(self.part))


class Joined:
    """All of some parts, or any of them."""

    def __init__(self, parts: Sequence[TruthNode], every: bool) -> None:
        self.parts = tuple(parts)
        self.every = every

    def truth(self, chunk: RowChunk) -> RowTruth:
        truths = [chunk.of(part) for part in self.parts]
        return all_of(truths, chunk.size) if self.every else any_of(truths, chunk.size)


class MemoryNode:
    """True from where it is set up to where it is cleared and not set; false before the first row."""

    def __init__(self, sets: TruthNode, clears: TruthNode) -> None:
        self.sets = sets
        self.clears = clears

    def truth(self, chunk: RowChunk) -> RowTruth:
        before = bool(chunk.state.get(self, False))
        found = kept(chunk.of(self.sets), chunk.of(self.clears), before)
        chunk.state[self] = found.last
        return found


def _needed(duration: Fraction, more: bool, tick: Fraction) -> int:
    """How many ticks are at least, or more than, so many seconds."""
    ticks = duration / tick
    return min(floor(ticks) + 1 if more else ceil(ticks), _FOREVER)


class Lasted:
    """The part has held at every row since one at least (or `more` than) so many seconds ago."""

    def __init__(self, part: TruthNode, duration: Fraction, more: bool) -> None:
        self.part = part
        self.duration = duration
        self.more = more

    def truth(self, chunk: RowChunk) -> RowTruth:
        segment = chunk.values.chunk
        since = chunk.state.get(self)
        assert since is None or isinstance(since, int)
        needed = _needed(self.duration, self.more, segment.tick)
        found, chunk.state[self] = lasted(chunk.of(self.part), segment.ticks, needed, since)
        return found


class InTotal:
    """The part holds, and has held for more than so many seconds in all."""

    def __init__(self, part: TruthNode, duration: Fraction) -> None:
        self.part = part
        self.duration = duration

    def truth(self, chunk: RowChunk) -> RowTruth:
        segment = chunk.values.chunk
        counted = chunk.state.get(self, Counted(0, None))
        assert isinstance(counted, Counted)
        needed = _needed(self.duration, True, segment.tick)
        found, chunk.state[self] = held_in_total(chunk.of(self.part), segment.ticks, needed, counted)
        return found


class Latch:
    """An alert that is due and then stays until it has been acknowledged and its cause is gone."""

    def __init__(self, due: TruthNode, cause: TruthNode) -> None:
        self.due = due
        self.cause = cause

    def truth(self, chunk: RowChunk) -> RowTruth:
        latched = chunk.state.get(self, Latched.DOWN)
        assert isinstance(latched, Latched)
        found, chunk.state[self] = acknowledged(chunk.of(self.due), chunk.of(self.cause), chunk.presses, latched)
        return found
