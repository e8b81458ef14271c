"""Values that are computed, such as the end of a band that moves along a curve: in words, with numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from alertlang.gauges.plain_words import per_words, range_words, title_of
from alertlang.keying.formulas import definition
from alertlang.model import ruleset as m
from alertlang.model.expression import CurveOver, Statistic, Trend, inputs
from alertlang.units.number import say_value

_STATISTICS = {
    "highest": "the highest {}",
    "lowest": "the lowest {}",
    "average": "the average {}",
    "spread": "the highest {} less the lowest",
    "deviation": "each {} less their average",
}


def computed_words(ruleset: m.RuleSet, names: Iterable[str]) -> Iterator[tuple[str, str]]:
    """What each computed value of `names` is, and each that it is computed from in its turn: its name, and the points
    of a curve or what it is made of, with the values it can have. Names of readings are passed over."""
    pending, found = list(names), set[str]()
    while pending:
        name = pending.pop(0)
        quantity = ruleset.quantities[name]
        if name in found or quantity.derived is None:
            continue
        found.add(name)
        pending += inputs(quantity.derived)
        yield title_of(ruleset, name), _words(ruleset, quantity)


def _words(ruleset: m.RuleSet, quantity: m.Quantity) -> str:
    match quantity.derived:
        case CurveOver() as curve:
            return _curve(ruleset, quantity, curve)
        case Statistic(kind, read, _):
            said = _STATISTICS[kind].format(title_of(ruleset, read))
        case Trend(kind, read, index, _):
            which = "" if index is None else f" {index}"
            said = f"{kind} of {title_of(ruleset, read)}{which}{per_words(quantity)}"
        case _:
            # As it is written, with the names as they are said; its numbers carry their units.
            said = definition(quantity).replace("_", " ")
    return f"{said}; from {range_words(quantity.low, quantity.high, quantity.unit, per_words(quantity))}"


def _curve(ruleset: m.RuleSet, quantity: m.Quantity, curve: CurveOver) -> str:
    """All points: with straight lines between and the end values beyond they are the whole curve."""
    read = ruleset.quantities[curve.quantity]
    which = "" if curve.index is None else f" {curve.index}"
    points = ", ".join(f"{say_value(y, quantity.unit)} at {say_value(x, read.unit)}" for x, y in curve.points)
    beyond = "straight lines between, the end values beyond" if len(curve.points) > 1 else "everywhere"
    failed = "; none" if curve.otherwise is None else f"; {say_value(curve.otherwise, quantity.unit)}"
    name = f"{title_of(ruleset, curve.quantity)}{which}"
    return f"by {name}: {points}; {beyond}{failed} while that sensor has failed"
