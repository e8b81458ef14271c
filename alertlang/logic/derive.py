"""What derived readings are, as linear relations: sums, statistics and curves piece by piece."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import pairwise

from alertlang.logic.terms import Less, Linear, Term, both, conjunction, disjunction, negate
from alertlang.model import expression as e
from alertlang.model import ruleset as m

# A sum of readings by name, and a number.
Weighted = tuple[dict[str, Fraction], Fraction]
# The name that stands for an element of a quantity, defined where it is a derived one.
NameOf = Callable[[str, int | None], str]
# Declares a helper reading: name, the array it is a statistic of, its definition.
Declare = Callable[[str, str, Term], None]

_ONE = Fraction(1)
_ZERO = Fraction(0)


def equals(name: str, value: Weighted) -> Term:
    """A reading is a weighted sum."""
    weights, constant = value
    return Linear(_plus(weights, {name: -_ONE}), constant, equal=True)


def weighted(node: e.Expression, index: int | None, name_of: NameOf, declare: Declare) -> Weighted:
    """An expression as a weighted sum. What is not linear (highest, lowest) becomes a reading of its own first."""
    match node:
        case e.Number():
            return {}, node.value
        case e.ReadingOf() | e.Trend() | e.CurveOver():
            return {name_of(node.quantity, node.index if node.index is not None else index): _ONE}, _ZERO
        case e.Scaled():
            weights, constant = weighted(node.part, index, name_of, declare)
            return {name: w * node.factor for name, w in weights.items()}, constant * node.factor + node.offset
        case e.Sum():
            total: dict[str, Fraction] = {}
            constant = _ZERO
            for part in node.parts:
                weights, number = weighted(part, index, name_of, declare)
                total = _plus(total, weights)
                constant += number
            return total, constant
        case e.Statistic():
            names = [name_of(node.quantity, i) for i in range(1, node.size + 1)]
            return _statistic(node, names, index, declare), _ZERO


def _statistic(node: e.Statistic, names: list[str], index: int | None, declare: Declare) -> dict[str, Fraction]:
    mean = dict.fromkeys(names, Fraction(1, node.size))
    match node.kind:
        case "average":
            return mean
        case "deviation":
            assert index is not None
            return _plus({names[index - 1]: _ONE}, {name: -weight for name, weight in mean.items()})
        case "highest" | "lowest":
            return {_extreme(node.kind, node.quantity, names, declare): _ONE}
    high = _extreme("highest", node.quantity, names, declare)
    low = _extreme("lowest", node.quantity, names, declare)
    return {high: _ONE, low: -_ONE}


def _extreme(kind: str, quantity: str, names: list[str], declare: Declare) -> str:
    """The highest or lowest of some readings: at or beyond every one, and equal to one of them."""
    sign = -_ONE if kind == "highest" else _ONE
    # Of elements some of which have a value beside the state, the longest name says which.
    place, longest = max(enumerate(names, start=1), key=lambda pair: len(pair[1]) - len(str(pair[0])))
    own = f"{kind} of {len(names)} {longest.replace(f'[{place}]', '', 1)}"
    beyond = [Linear({own: sign, name: -sign}, _ZERO, equal=False) for name in names]
    same = [Linear({own: _ONE, name: -_ONE}, _ZERO, equal=True) for name in names]
    declare(own, quantity, both(conjunction(beyond), disjunction(same)))
    return own


def on_curve(name: str, over: str, points: Sequence[tuple[Fraction, Fraction]]) -> Term:
    """A reading lies on a curve over another: straight lines between the points, the end values beyond."""
    (first_x, first_y), (last_x, last_y) = points[0], points[-1]
    pieces = [both(Less(over, first_x, True), _is(name, first_y))]
    for (x0, y0), (x1, y1) in pairwise(points):
        slope = (y1 - y0) / (x1 - x0)
        line = equals(name, ({over: slope}, y0 - slope * x0)) if slope else _is(name, y0)
        pieces.append(both(negate(Less(over, x0, False)), Less(over, x1, True), line))
    pieces.append(both(negate(Less(over, last_x, False)), _is(name, last_y)))
    return disjunction(pieces)


def _is(name: str, value: Fraction) -> Term:
    return Linear({name: _ONE}, -value, equal=True)


def _plus(one: dict[str, Fraction], other: dict[str, Fraction]) -> dict[str, Fraction]:
    total = dict(one)
    for name, weight in other.items():
        total[name] = total.get(name, _ZERO) + weight
    return {name: weight for name, weight in total.items() if weight}


def range_of_difference(quantity: m.Quantity, other: m.Quantity, end: m.Moving) -> tuple[Fraction, Fraction]:
    """Between what a reading less a moving end lies; `other` is what the end is read from, in its own unit."""
    ends = [value * end.factor + end.offset for value in (other.low, other.high)]
    return quantity.low - max(ends), quantity.high - min(ends)
