"""The value of a `let` or `curve` at one instant, from what it reads."""

from __future__ import annotations

from fractions import Fraction

from alertlang.meaning.regions import Read
from alertlang.model import expression as e
from alertlang.model import ruleset as m


def computed(quantity: m.Quantity, index: int | None, read: Read) -> Fraction | None:
    """The value of a derived quantity's element in its own unit; none where something it reads has failed.

    Not for a rise or fall, which no single instant can tell.
    """
    assert quantity.derived is not None
    return _value(quantity.derived, index, read)


def _value(node: e.Expression, index: int | None, read: Read) -> Fraction | None:
    match node:
        case e.Number():
            return node.value
        case e.ReadingOf():
            return _element(node.quantity, node.index, index, read)
        case e.Scaled():
            part = _value(node.part, index, read)
            return None if part is None else part * node.factor + node.offset
        case e.Sum():
            parts = [_value(part, index, read) for part in node.parts]
            known = [part for part in parts if part is not None]
            return sum(known, Fraction(0)) if len(known) == len(parts) else None
        case e.Statistic():
            return _statistic(node, index, read)
        case e.CurveOver():
            at = read(node.quantity, node.index)
            return node.otherwise if at is None else node.at(at)
        case e.Trend():
            raise ValueError("a rise or fall is not a function of one instant")


def _element(quantity: str, written: int | None, wanted: int | None, read: Read) -> Fraction | None:
    """The element that is written, or else the one that is computed."""
    return read(quantity, written if written is not None else wanted)


def _statistic(node: e.Statistic, index: int | None, read: Read) -> Fraction | None:
    values: list[Fraction] = []
    for i in range(1, node.size + 1):
        value = read(node.quantity, i)
        if value is None:
            return None
        values.append(value)
    average = sum(values, Fraction(0)) / node.size
    match node.kind:
        case "highest":
            return max(values)
        case "lowest":
            return min(values)
        case "spread":
            return max(values) - min(values)
        case "average":
            return average
    assert index is not None
    return values[index - 1] - average
