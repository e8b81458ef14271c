"""A limit lies at or past the end of its sensor.

## What it finds

A limit of which one side can never be read as broken, because everything beyond it is outside the sensor's
range; or a range to avoid that the sensor does not reach.

## Why it matters

A sensor that reads to 3500 cannot show that 3500 was exceeded. No rule can guard this limit: another sensor
is needed, or its range is declared wrong.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity oil_temp "Oil temperature" from -40 to 220 F, step 1 F
    limit oil_temp at most 225 F, source NOTE
    oil_temp at most 200 F is green
    oil_temp above 200 F is red

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    limit oil_temp at most 225 F, source NOTE
    oil_temp at most 225 F is green
    oil_temp above 225 F is red

## How it is decided

Exact arithmetic on the limit and the sensor's range; no solver.

## What it cannot see

A sensor that is declared to reach further than it does.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.limits import is_limited, named, unreadable
from alertlang.findings.finding import Finding, finding
from alertlang.model.ruleset import RangeKind, RuleSet
from alertlang.units.number import show_number, show_value

NAME = "short-sensor"
NEEDS_STATE = False


def applies(ruleset: RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at: a limit on the quantity."""
    return name is not None and is_limited(ruleset, name)


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Limits of one quantity that its sensor cannot show broken."""
    quantity = context.ruleset.quantities[name]
    for declared in context.ruleset.ranges_by_quantity[name]:
        if not declared.forbids:
            continue
        for part in unreadable(context, declared):
            if declared.kind is RangeKind.AVOID:
                side = "it lies outside"
            elif part.low is None:
                assert part.high is not None
                side = f"no reading lies below {show_value(part.high, quantity.unit)}"
            else:
                side = f"no reading lies above {show_value(part.low, quantity.unit)}"
            yield finding(
                NAME,
                f"{named(declared)} cannot be seen broken: {name} is read from {show_number(quantity.low)} to "
                f"{show_value(quantity.high, quantity.unit)}, so {side}",
                declared.span,
                quantity=name,
                statements=(declared.label,),
                limit=declared.label,
                advice=("a sensor that reads past its limit is needed, or its range is declared wrong",),
            )
