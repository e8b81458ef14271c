"""The worst that was read while something lasted: where a reading was farthest past the edges of a region.

The rows that can be the worst are found with doubles and a bound on their error; which of them is, with exact numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from alertlang.model import ruleset as m
from alertlang.replay.engine import RowTruth, Trace
from alertlang.replay.engine_compare import LinearTerm, same_readings
from alertlang.replay.engine_values import Numbers, Values
from alertlang.results.replay import Margin, Worst


@dataclass(frozen=True, slots=True)
class Watched:
    """What a statement looks at: readings of a quantity by their elements, and the region that is bad. `inside` false:
    out of the region is bad. The worst of several readings counts."""

    quantity: str
    indexes: tuple[int | None, ...]
    region: m.Region
    inside: bool = True


def subject_of(rule: m.Band | m.Alert, index: int | None, ruleset: m.RuleSet) -> Watched | None:
    """The subject of a statement, about one element of an array if it is about arrays. Of an alert on its own the only
    comparison with numbers among what its condition asks for; none if there is none, or more than one."""
    if isinstance(rule, m.Band):
        return None if rule.region.is_failed else Watched(rule.quantity, (index,), rule.region)
    parts = rule.when.parts if isinstance(rule.when, m.And) else (rule.when,)
    compared = [part for part in parts if isinstance(part, m.Compare) and not part.region.is_failed]
    if len(compared) != 1:
        return None
    [part] = compared
    return Watched(part.quantity, part.indexes, part.region)


def limit_subject(declared: m.Range, index: int | None) -> Watched:
    return Watched(declared.quantity, (index,), declared.region, declared.kind == "avoid")


class Depth:
    """How far one reading is past the edges of a region, the worse the greater."""

    def __init__(self, subject: Watched, index: int | None, quantities: Mapping[str, m.Quantity]) -> None:
        def variable(quantity: str) -> str:
            return m.variable(quantity, None if quantities[quantity].size is None else index)

        self.reading = variable(subject.quantity)
        self.unit = quantities[subject.quantity].unit
        self._value = LinearTerm.value(self.reading)
        self._ends = LinearTerm.ends(subject.region, variable)
        self._kind = subject.region.kind
        self._inside = subject.inside
        self.variables = [term.variable for term in (self._value, *self._ends) if term.variable is not None]

    def exact(self, values: Values, row: int) -> tuple[Fraction, Fraction] | None:
        """The reading and how far it is past the edge; none where anything has failed."""
        value = self._value.exact(values, row)
        ends = [term.exact(values, row) for term in self._ends]
        known = [end for end in ends if end is not None]
        if value is None or len(known) < len(ends):
            return None
        if self._kind.is_low:
            depth = known[0] - value
        elif self._kind.is_high:
            depth = value - known[0]
        elif self._kind.outside:
            depth = max(known[0] - value, value - known[1])
        else:
            depth = min(value - known[0], known[1] - value)
        return value, depth if self._inside else -depth

    def near(self, values: Values) -> tuple[Numbers, float]:
        """The same for all rows as doubles, lowest where anything has failed; and how far they may be off."""
        value, off = self._value.near(values)
        ends = [term.near(values) for term in self._ends]
        off += sum(error for _, error in ends)
        if self._kind.is_low:
            depth = ends[0][0] - value
        elif self._kind.is_high:
            depth = value - ends[0][0]
        elif self._kind.outside:
            depth = np.maximum(ends[0][0] - value, value - ends[1][0])
        else:
            depth = np.minimum(value - ends[0][0], ends[1][0] - value)
        numbers = np.array(depth if self._inside else -depth, np.float64)
        size = float(np.max(np.abs(numbers), initial=0.0, where=np.isfinite(numbers)))
        numbers[np.isnan(numbers)] = -np.inf
        return numbers, off + 2.0**-50 * size


@dataclass(frozen=True, slots=True)
class _Worst:
    depth: Fraction
    worst: Worst
    margin: Margin | None


class WorstOf:
    """The worst of every run of one truth, over the chunks of one segment as they come.

    The margin is that to the nearest limit on the same quantity that lies where the values get worse: above for a
    statement about high values, below for one about low values. There is none where some limit there holds only in a
    context: it may have been the nearer one, and a wide margin to another would calm where nothing is calm.
    """

    def __init__(self, subject: Watched | None, ruleset: m.RuleSet, *, with_margin: bool) -> None:
        self._depths = (
            [] if subject is None else [Depth(subject, index, ruleset.quantities) for index in subject.indexes]
        )
        self._limits: dict[str, list[tuple[str, Depth]]] = {}
        if subject is not None and with_margin:
            for depth, index in zip(self._depths, subject.indexes, strict=True):
                self._limits[depth.reading] = list(_limits_ahead(subject, index, ruleset))
        self.found: list[_Worst | None] = []
        self._open = False

    def feed(self, trace: Trace, truth: RowTruth) -> None:
        """The next chunk: adds to what is open, and one for each run that begins."""
        starts, ends = truth.runs
        if not len(starts):
            self._open = False
            return
        near = [(depth, *depth.near(trace.values)) for depth in self._depths]
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
            if not (self._open and start == 0):
                self.found.append(None)
            for depth, numbers, off in near:
                self._look(trace, depth, numbers[start:end], off, start)
        self._open = bool(ends[-1] == truth.size)

    def _look(self, trace: Trace, depth: Depth, numbers: Numbers, off: float, start: int) -> None:
        most = numbers.max()
        before = self.found[-1]
        if most == -np.inf or (before is not None and most < float(before.depth) - off - 1e-9 * abs(most)):
            return
        rows = np.flatnonzero(numbers >= most - 2 * off) + start
        if len(rows) > 1:
            rows = rows[same_readings(trace.values, depth.variables, rows)[0]]
        for row in sorted(rows.tolist()):
            known = depth.exact(trace.values, row)
            before = self.found[-1]
            if known is None or (before is not None and known[1] <= before.depth):
                continue
            worst = Worst(depth.reading, known[0], depth.unit, trace.chunk.seconds(row), known[1])
            self.found[-1] = _Worst(known[1], worst, self._margin(trace.values, depth, row))

    def _margin(self, values: Values, depth: Depth, row: int) -> Margin | None:
        nearest: Margin | None = None
        for label, limit in self._limits.get(depth.reading, ()):
            known = limit.exact(values, row)
            if known is not None and (nearest is None or -known[1] < nearest.left):
                nearest = Margin(label, -known[1], depth.unit)
        return nearest


def _limits_ahead(subject: Watched, index: int | None, ruleset: m.RuleSet) -> tuple[tuple[str, Depth], ...]:
    found = []
    for declared in ruleset.ranges_by_quantity[subject.quantity]:
        if not declared.forbids or declared.index not in (None, index):
            continue
        ahead = limit_subject(declared, index)
        if declared.kind == "limit":
            region = _towards(subject.region, declared.region)
            if region is None:
                continue
            ahead = replace(ahead, region=region)
        if declared.when is not None:
            return ()
        found.append((declared.label, Depth(ahead, index, ruleset.quantities)))
    return tuple(found)


def _towards(bad: m.Region, allowed: m.Region) -> m.Region | None:
    """The part of a limit that lies where the bad region goes; none if it has none."""
    if not (bad.kind.is_low or bad.kind.is_high) or allowed.kind.outside:
        return allowed
    # Of each end of what is allowed: the lower one lies where it is low.
    return next((side for side in allowed.sides() if side.kind.is_high is bad.kind.is_low), None)
