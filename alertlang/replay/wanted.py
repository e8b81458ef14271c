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
        frozenset(name for statement in judged_statements(ruleset) for name in inputs_of(ruleset, statement)),
    )


def judged_statements(ruleset: m.RuleSet) -> tuple[m.Rule | m.Range, ...]:
    """Every statement that raises an alert, and every limit and range to avoid."""
    return (
        *[rule for rule in ruleset.rules if rule.alert is not None],
        *[declared for declared in ruleset.ranges if declared.forbids],
    )


def inputs_of(ruleset: m.RuleSet, statement: m.Rule | m.Range) -> tuple[str, ...]:
    """The readings and the switches that a statement goes by, in the order of declaration: those of its own quantity,
    of its case and of what its ends move with, of every element that it is about."""
    formulas = [statement.when] if isinstance(statement, m.Range) else [statement.when, statement.unless]
    asked: set[tuple[str, int | None]] = set()
    for part in ruleset.parts_read(*formulas):
        if isinstance(part, m.Compare):
            for name in (part.quantity, *(bound.quantity for bound in part.region.moving)):
                indexes = ruleset.quantities[name].indexes
                asked |= {(name, index) for index in (indexes if part.index is None else (part.index,))}
    if not isinstance(statement, m.Alert):
        for name in (statement.quantity, *(bound.quantity for bound in statement.region.moving)):
            indexes = ruleset.quantities[name].indexes
            asked |= {(name, index) for index in (indexes if statement.index is None else (statement.index,))}
    sensors = {sensor for name, index in asked for sensor in ruleset.sensors_read(name, index)}
    every = (m.variable(quantity.name, i) for quantity in ruleset.quantities.values() for i in quantity.indexes)
    readings = [reading for reading in every if reading in sensors]
    switches = ruleset.switches_read(*formulas)
    return (*readings, *(name for name in ruleset.switches if name in switches))


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
