"""What the rules want of a recording."""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.logs.wanted import Wanted, WantedReading, WantedSwitch
from alertlang.model import ruleset as m


def wanted_of(ruleset: m.RuleSet) -> Wanted:
    """Every reading that a column can feed, in the order of declaration, and every switch."""
    quantities = ruleset.quantities.values()
    return Wanted(
        tuple(
            reading for quantity in quantities if quantity.derived is None for reading in _readings(quantity, ruleset)
        ),
        tuple(WantedSwitch(switch.name, switch.title, switch.positions) for switch in ruleset.switches.values()),
        frozenset(quantity.name for quantity in quantities if quantity.derived is not None),
        frozenset(quantity.name for quantity in quantities if quantity.size is not None),
    )


def _readings(quantity: m.Quantity, ruleset: m.RuleSet) -> Iterator[WantedReading]:
    for index in quantity.indexes:
        yield WantedReading(
            m.variable(quantity.name, index),
            quantity.name,
            quantity.title,
            quantity.unit,
            quantity.low,
            quantity.high,
            quantity.difference,
            _sensible(quantity, index, ruleset),
        )


def _sensible(quantity: m.Quantity, index: int | None, ruleset: m.RuleSet) -> tuple[tuple[float, float], ...]:
    """Where the quantity is when all is well: what is green or normal in some case, else the sensor's range."""
    low, high = float(quantity.low), float(quantity.high)
    regions = [
        band.region
        for band in ruleset.bands_by_quantity[quantity.name]
        if band.colour is m.Colour.GREEN and band.index in (None, index)
    ]
    regions += [
        declared.region
        for declared in ruleset.ranges_by_quantity[quantity.name]
        if declared.kind == "normal" and declared.index in (None, index)
    ]
    found = []
    for region in regions:
        for part in region.values.parts:
            begin = low if part.low is None else max(low, float(part.low))
            end = high if part.high is None else min(high, float(part.high))
            if begin <= end:
                found.append((begin, end))
    return tuple(found) or ((low, high),)
