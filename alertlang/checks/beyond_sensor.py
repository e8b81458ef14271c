"""A number that the sensor can never read.

## What it finds

A number in a band, a condition, an assumption, a precaution or normal range, or a claim that lies outside the
range declared for its quantity, where no other finding already says so of that statement. (A limit beyond the
sensor is short-sensor; a band wholly beyond it is unreachable-band.)

## Why it matters

A mistyped number often lands out here, and the rest of the statement still works well enough to hide it:
`from 2550 to 27500` looks fine on the gauge.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm below 2550 is green
    rpm from 2550 to 27500 is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm below 2550 is green
    rpm at least 2550 is red

## How it is decided

By comparing numbers; no solver.

## What it cannot see

A wrong number that the sensor can read.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.findings.finding import Finding, finding
from alertlang.model import ruleset as m
from alertlang.units.interval import IntervalSet
from alertlang.units.number import show_number, show_value

NAME = "beyond-sensor"
NEEDS_STATE = False
SAID_BY = frozenset({"unreachable-band", "short-sensor", "constant-condition", "stuck-condition"})


def is_same(found: Finding, other: Finding) -> bool:
    """Whether another finding says already of the statement that its numbers are out of reach."""
    return found.statements[:1] == other.statements[:1]


def check(context: Context) -> Iterator[Finding]:
    """Numbers out of reach, statement by statement."""
    ruleset = context.ruleset
    about: tuple[m.Band | m.Range | m.Claim, ...] = (*ruleset.bands, *ruleset.ranges, *ruleset.claims)
    for statement in about:
        is_limit = isinstance(statement, m.Range) and statement.kind is m.RangeKind.LIMIT
        if statement.region is not None and statement.quantity is not None and not is_limit:
            yield from _region(context, statement.quantity, statement.region, statement.label)
    for label, formula in ruleset.written:
        for part in m.parts_of(formula):
            if isinstance(part, m.Compare):
                yield from _region(context, part.quantity, part.region, label)


def _region(context: Context, name: str, region: m.Region, label: str) -> Iterator[Finding]:
    quantity = context.ruleset.quantities[name]
    beyond = [n for n in region.numbers if not quantity.low <= n <= quantity.high]
    if not beyond:
        return
    reach = f"{show_number(quantity.low)} to {show_value(quantity.high, quantity.unit)}"
    inside = region.values.intersect(IntervalSet.of(quantity.range))
    now = ""
    if inside.is_empty:
        now = "; as it stands no reading fits it"
    elif len(inside.parts) == 1:
        now = f"; as it stands it says: {context.words.region_text(name, inside.parts[0])}"
    yield finding(
        NAME,
        f"{name} is read from {reach}, and {show_value(beyond[0], quantity.unit)} lies outside",
        region.span,
        quantity=name,
        statements=(label,),
        advice=(f"check the number for a slip, or the unit{now}",),
    )
