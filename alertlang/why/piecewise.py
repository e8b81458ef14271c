"""What follows from one reading, as a function of it: straight lines between points, exactly.

A function is its points (x, y), x rising, over one stretch from its first x to its last; every function of a reading in
the language is of that kind, without jumps.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from itertools import combinations, pairwise

from alertlang.model import expression as e

Line = tuple[tuple[Fraction, Fraction], ...]
Read = Callable[[str, int | None], Line | None]

_ZERO = Fraction(0)


def constant(value: Fraction, low: Fraction, high: Fraction) -> Line:
    return ((low, value), (high, value))


def at(line: Line, x: Fraction) -> Fraction:
    """Its value; `x` lies within its stretch."""
    for (x0, y0), (x1, y1) in pairwise(line):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    raise ValueError(f"{x} is beyond the stretch")


def scaled(line: Line, factor: Fraction, offset: Fraction) -> Line:
    return tuple((x, y * factor + offset) for x, y in line)


def added(lines: Sequence[Line]) -> Line:
    return tuple((x, sum((at(line, x) for line in lines), _ZERO)) for x in _points(lines))


def less(one: Line, other: Line) -> Line:
    return added((one, scaled(other, Fraction(-1), _ZERO)))


def extreme(lines: Sequence[Line], pick: Callable[[Iterable[Fraction]], Fraction]) -> Line:
    """The highest of several (`pick` is max), or the lowest (min)."""
    points = set(_points(lines))
    for one, other in combinations(lines, 2):
        points.update(zeros(less(one, other)))
    return tuple((x, pick(at(line, x) for line in lines)) for x in sorted(points))


def zeros(line: Line) -> list[Fraction]:
    """Where it is 0: of a stretch over which it is, the ends."""
    found: set[Fraction] = set()
    for (x0, y0), (x1, y1) in pairwise(line):
        found.update(x for x, y in ((x0, y0), (x1, y1)) if y == 0)
        if y0 * y1 < 0:
            found.add(x0 + (x1 - x0) * y0 / (y0 - y1))
    return sorted(found)


def through(curve: e.CurveOver, line: Line) -> Line:
    """The curve over what the function comes to."""
    points = {x for x, _ in line}
    for bend, _ in curve.points:
        points.update(zeros(scaled(line, Fraction(1), -bend)))
    return tuple((x, curve.at(at(line, x))) for x in sorted(points))


def expression(node: e.Expression, index: int | None, read: Read, low: Fraction, high: Fraction) -> Line | None:
    """What an expression comes to; `read` gives what its readings come to, none where one has failed."""

    def element(quantity: str, written: int | None) -> Line | None:
        return read(quantity, index if written is None else written)

    match node:
        case e.Number():
            return constant(node.value, low, high)
        case e.ReadingOf():
            return element(node.quantity, node.index)
        case e.Scaled():
            part = expression(node.part, index, read, low, high)
            return None if part is None else scaled(part, node.factor, node.offset)
        case e.Sum():
            parts = [expression(part, index, read, low, high) for part in node.parts]
            known = [part for part in parts if part is not None]
            return added(known) if len(known) == len(parts) else None
        case e.Statistic():
            lines = [read(node.quantity, i) for i in range(1, node.size + 1)]
            there = [line for line in lines if line is not None]
            return _statistic(node, index, there) if len(there) == node.size else None
        case e.CurveOver():
            line = element(node.quantity, node.index)
            if line is None:
                return None if node.otherwise is None else constant(node.otherwise, low, high)
            return through(node, line)
        case e.Trend():
            raise ValueError("a rise or fall is not a function of one instant")


def _statistic(node: e.Statistic, index: int | None, lines: Sequence[Line]) -> Line:
    match node.kind:
        case "highest":
            return extreme(lines, max)
        case "lowest":
            return extreme(lines, min)
        case "spread":
            return less(extreme(lines, max), extreme(lines, min))
    average = scaled(added(lines), Fraction(1, node.size), _ZERO)
    if node.kind == "average":
        return average
    assert index is not None
    return less(lines[index - 1], average)


def _points(lines: Iterable[Line]) -> list[Fraction]:
    return sorted({x for line in lines for x, _ in line})
