"""What a derived quantity (`let`, `curve`) is computed from. Everything is linear, or linear piece by piece.

Every node has a value in the unit of the quantity that it belongs to, unless it says otherwise; it is failed where
anything it reads has failed. In a quantity that is an array each element has a value of its own, from the elements of
the same number.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class Number:
    value: Fraction


@dataclass(frozen=True, slots=True)
class ReadingOf:
    """A reading in its own unit. `index` none on an array: the element that is computed."""

    quantity: str
    index: int | None


@dataclass(frozen=True, slots=True)
class Scaled:
    """`part` times `factor`, plus `offset`."""

    part: Expression
    factor: Fraction
    offset: Fraction


@dataclass(frozen=True, slots=True)
class Sum:
    parts: tuple[Expression, ...]


@dataclass(frozen=True, slots=True)
class Statistic:
    """highest, lowest, spread (highest less lowest), average, or deviation (an element less the average) of an array
    of `size` elements, in the array's own unit."""

    kind: str
    quantity: str
    size: int


@dataclass(frozen=True, slots=True)
class Trend:
    """How much a reading rises (or falls) in `seconds`, in its own unit. At one instant a free value."""

    kind: str
    quantity: str
    index: int | None
    seconds: Fraction


@dataclass(frozen=True, slots=True)
class CurveOver:
    """Straight lines between points (reading, value) in rising order, the end values beyond. `otherwise`: the value
    while the reading has failed; none: failed too."""

    quantity: str
    index: int | None
    points: tuple[tuple[Fraction, Fraction], ...]
    otherwise: Fraction | None

    def at(self, x: Fraction) -> Fraction:
        """Its value over a reading."""
        if x <= self.points[0][0]:
            return self.points[0][1]
        for (x0, y0), (x1, y1) in pairwise(self.points):
            if x <= x1:
                return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
        return self.points[-1][1]


Expression = Number | ReadingOf | Scaled | Sum | Statistic | Trend | CurveOver


def nodes(expression: Expression) -> Iterator[Expression]:
    """An expression and all in it."""
    pending: list[Expression] = [expression]
    while pending:
        one = pending.pop()
        yield one
        if isinstance(one, Scaled):
            pending.append(one.part)
        elif isinstance(one, Sum):
            pending.extend(one.parts)


def inputs(expression: Expression) -> tuple[str, ...]:
    """The names of the quantities it reads, sorted."""
    return tuple(sorted({n.quantity for n in nodes(expression) if not isinstance(n, Number | Scaled | Sum)}))


def elements(expression: Expression, index: int | None) -> list[tuple[str, int | None]]:
    """The quantities with their elements that an element of a derived quantity is worked out from."""
    found: list[tuple[str, int | None]] = []
    for node in nodes(expression):
        if isinstance(node, Statistic):
            found += [(node.quantity, i) for i in range(1, node.size + 1)]
        elif isinstance(node, ReadingOf | Trend | CurveOver):
            found.append((node.quantity, index if node.index is None else node.index))
    return found
