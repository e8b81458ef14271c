"""A deadband as wide as a band, or so wide that a band never ends.

## What it finds

A band that is, in some stretch within the sensor's range, no wider than the `deadband` of its quantity. And
a band whose region, widened by the deadband, takes in the whole range of the sensor.

## Why it matters

A band that was entered goes on until the reading is out of it by the deadband. One that is no wider than
that goes on over as much of its neighbours as it has itself, so most of the time it shows where another
colour is meant. One that reaches from end to end of the sensor with its deadband never goes away again.

## Example

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, deadband 10 F
    oil_temp at most 220 F is green
    oil_temp from 220 to 228 F is yellow
    oil_temp above 228 F is red

## Corrected

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, deadband 2 F
    oil_temp at most 220 F is green
    oil_temp from 220 to 228 F is yellow
    oil_temp above 228 F is red

## How it is decided

Exact arithmetic on the region, the deadband and the sensor's range; no solver. Of a region with a moving end
the widest form counts.

## What it cannot see

A band that is narrow only because a worse one covers the rest. A stretch that a context leaves between two
bands.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from alertlang.checks.context import Context, width
from alertlang.findings.finding import Finding, finding
from alertlang.model import ruleset as m
from alertlang.units.interval import Interval, IntervalSet
from alertlang.units.number import show_value

NAME = "wide-deadband"
NEEDS_STATE = False


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether a quantity has a deadband and bands that it could be too wide for."""
    return name is not None and bool(ruleset.bands_by_quantity[name]) and ruleset.quantities[name].deadband is not None


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Bands of one quantity that its deadband is too wide for."""
    quantity = context.ruleset.quantities[name]
    deadband = quantity.deadband
    if deadband is None:
        return
    sensor = IntervalSet.of(quantity.range)
    size = show_value(deadband, quantity.unit)
    for band in context.ruleset.bands_by_quantity[name]:
        values = band.region.values.intersect(sensor)
        if values.is_empty or sensor.is_subset(values):
            continue
        reading = m.variable(name, band.index)
        narrow = next((part for part in values if width(part) <= deadband), None)
        if sensor.is_subset(_kept(band.region, deadband)):
            said = context.words.stretch(reading, (narrow or values.parts[0]))
            message = f"the band {said} never ends once it was entered: the deadband of {name}, {size}, reaches "
            message += "over everything beside it"
        elif narrow is not None:
            said = context.words.stretch(reading, narrow)
            message = f"the band {said} is {show_value(width(narrow), quantity.unit)} wide, no more than the deadband "
            message += f"of {name}, {size}: once entered it goes on as far over its neighbours"
        else:
            continue
        yield finding(
            NAME,
            message,
            band.node.region.span,
            quantity=name,
            statements=(band.label,),
            advice=("make the deadband smaller than every band, or widen the band",),
        )


def _kept(region: m.Region, deadband: Fraction) -> IntervalSet:
    """The values at which a band may go on: less than the deadband out of it. With a moving end: wherever that is."""
    found: list[Interval] = []
    for part in region.certain:
        low = None if part.low is None else part.low - deadband
        high = None if part.high is None else part.high + deadband
        found.append(Interval(low, False, high, False))
    return IntervalSet.of(*found)
