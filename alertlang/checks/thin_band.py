"""A band narrower than the gauge's step or the sensor's accuracy.

## What it finds

A band of which some stretch, within the sensor's range, is narrower than the `step` of its quantity or than
its `accuracy`.

## Why it matters

The colour may never be seen, or come and go with the noise of the sensor. Often a digit is missing.

## Example

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, accuracy 4 F
    oil_temp at most 222 F is green
    oil_temp from 222 to 225 F is yellow
    oil_temp above 225 F is red

## Corrected

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, accuracy 4 F
    oil_temp at most 200 F is green
    oil_temp from 200 to 225 F is yellow
    oil_temp above 225 F is red

## How it is decided

Exact arithmetic on the region and the sensor's range; no solver.

## What it cannot see

A quantity that states neither step nor accuracy. A band that is narrow only because a worse one covers the
rest.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context, width
from alertlang.findings.finding import Finding, finding
from alertlang.model import ruleset as m
from alertlang.units.interval import IntervalSet
from alertlang.units.number import show_value

NAME = "thin-band"
NEEDS_STATE = False


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Bands of one quantity that are too narrow to be read."""
    quantity = context.ruleset.quantities[name]
    for band in context.ruleset.bands_by_quantity[name]:
        parts = band.region.values.intersect(IntervalSet.of(quantity.range)).parts
        for part in parts:
            limits = [
                (word, size)
                for word, size in (("step", quantity.step), ("accuracy", quantity.accuracy))
                if size is not None and width(part) < size
            ]
            if limits:
                word, size = max(limits, key=lambda limit: limit[1])
                yield finding(
                    NAME,
                    f"the band {context.words.stretch(m.variable(name, band.index), part)} is "
                    f"{show_value(width(part), quantity.unit)} wide, less than the {word} of {name}, "
                    f"{show_value(size, quantity.unit)}",
                    band.node.region.span,
                    quantity=name,
                    statements=(band.label,),
                    advice=("check the numbers for a slip, or widen the band",),
                )
                break
