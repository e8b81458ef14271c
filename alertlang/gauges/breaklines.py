"""Where in a plane of two readings, everything else held still, anything that rules say can change: straight lines."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import pairwise

from alertlang.gauges.geometry import MapLine
from alertlang.meaning.instant import Instant
from alertlang.model import expression as e
from alertlang.model import ruleset as m

# a x + b y + c, as a line that need not be one.
_NO = Fraction(0)


class Plane:
    """`x` and `y` name the two readings (`rpm`, `cht[2]`); `still` holds everything else."""

    def __init__(self, ruleset: m.RuleSet, x: str, y: str, still: Instant) -> None:
        self.ruleset = ruleset
        self.still = still
        self._axes = {x: MapLine(Fraction(1), _NO, _NO), y: MapLine(_NO, Fraction(1), _NO)}
        self._forms: dict[str, tuple[MapLine, ...]] = {}
        self._found: dict[MapLine, None] = {}

    def lines(self, quantities: Iterable[str], formulas: Iterable[m.Formula | None]) -> list[MapLine]:
        """The lines at which the bands, limits and ranges of some quantities and some formulas may change."""
        self._found = {}
        for name in quantities:
            for index in self.ruleset.quantities[name].indexes:
                for band in self.ruleset.bands:
                    if band.quantity == name and band.index in (None, index):
                        self._region(name, index, band.region)
                for declared in self.ruleset.ranges:
                    if declared.quantity == name and declared.index in (None, index):
                        self._region(name, index, declared.region)
        pending = [f for f in formulas if f is not None]
        pending += [
            part
            for name in sorted(self.ruleset.conditions_read(*pending))
            for part in self.ruleset.conditions[name].parts
        ]
        for formula in pending:
            for part in m.parts_of(formula):
                if isinstance(part, m.Compare):
                    for index in part.indexes:
                        self._region(part.quantity, index, part.region)
        return sorted(self._found, key=lambda line: (line.a == 0, line.b == 0, line.a, line.b, line.c))

    def _add(self, line: MapLine) -> None:
        found = line.scaled()
        if found is not None:
            self._found[found] = None

    def _region(self, quantity: str, index: int | None, region: m.Region) -> None:
        for form in self._of(quantity, index):
            for bound in region.bounds:
                if isinstance(bound, m.Moving):
                    for end in self._of(bound.quantity, index):
                        self._add(_sum(form, _scaled(end, -bound.factor, -bound.offset)))
                else:
                    self._add(_sum(form, MapLine(_NO, _NO, -bound)))

    def _of(self, quantity: str, index: int | None) -> tuple[MapLine, ...]:
        """The straight forms of which a quantity's element is, at each point, one. Where it turns from one to another
        is among the lines found."""
        measured = self.ruleset.quantities[quantity]
        name = m.variable(quantity, None if measured.size is None else index)
        if name in self._axes:
            return (self._axes[name],)
        if name not in self._forms:
            if measured.derived is None or not measured.is_computed:
                self._forms[name] = (MapLine(_NO, _NO, self.still.reading(quantity, index)),)
            else:
                self._forms[name] = tuple(dict.fromkeys(self._expression(measured.derived, index)))
        return self._forms[name]

    def _expression(self, node: e.Expression, index: int | None) -> Sequence[MapLine]:
        match node:
            case e.Number():
                return (MapLine(_NO, _NO, node.value),)
            case e.ReadingOf():
                return self._of(node.quantity, node.index if node.index is not None else index)
            case e.Scaled():
                return [_scaled(form, node.factor, node.offset) for form in self._expression(node.part, index)]
            case e.Sum():
                sums: list[MapLine] = [MapLine(_NO, _NO, _NO)]
                for part in node.parts:
                    sums = [_sum(line, form) for line in sums for form in self._expression(part, index)]
                return sums
            case e.Statistic():
                return self._statistic(node, index)
            case e.CurveOver():
                return self._curve(node, index)
            case e.Trend():
                raise AssertionError("a rise or fall is held still")

    def _statistic(self, node: e.Statistic, index: int | None) -> Sequence[MapLine]:
        elements = [self._of(node.quantity, i) for i in range(1, node.size + 1)]
        if node.kind in {"average", "deviation"}:
            sums: list[MapLine] = [MapLine(_NO, _NO, _NO)]
            for forms in elements:
                sums = [_sum(line, form) for line in sums for form in forms]
            averages = [_scaled(line, Fraction(1, node.size), _NO) for line in sums]
            if node.kind == "average":
                return averages
            assert index is not None
            return [_sum(form, _scaled(line, Fraction(-1), _NO)) for form in elements[index - 1] for line in averages]
        every = list(dict.fromkeys(form for forms in elements for form in forms))
        differences = [
            _sum(first, _scaled(second, Fraction(-1), _NO)) for first in every for second in every if first != second
        ]
        for line in differences:
            self._add(line)
        return differences or [MapLine(_NO, _NO, _NO)] if node.kind == "spread" else every

    def _curve(self, node: e.CurveOver, index: int | None) -> Sequence[MapLine]:
        found = [MapLine(_NO, _NO, node.points[0][1]), MapLine(_NO, _NO, node.points[-1][1])]
        for form in self._of(node.quantity, node.index if node.index is not None else index):
            for at, _ in node.points:
                self._add(_sum(form, MapLine(_NO, _NO, -at)))
            for (x0, y0), (x1, y1) in pairwise(node.points):
                slope = (y1 - y0) / (x1 - x0)
                found.append(_scaled(form, slope, y0 - slope * x0))
        return found


def _sum(first: MapLine, second: MapLine) -> MapLine:
    return MapLine(first.a + second.a, first.b + second.b, first.c + second.c)


def _scaled(line: MapLine, factor: Fraction, offset: Fraction) -> MapLine:
    return MapLine(line.a * factor, line.b * factor, line.c * factor + offset)
