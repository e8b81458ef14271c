"""There are more alerts than the display can hold.

## What it finds

More statements that raise an alert than `allows N alerts` says. A text with {n} is one alert for each
element.

## Why it matters

An alert that finds no place is silent, and nothing on the gauge says so.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2600 is green
    rpm from 2600 to 2750 is yellow with caution "HIGH SPEED"
    rpm above 2750 is red with warning "OVERSPEED"

on a display of which this is known:

    display "box" version 1
    allows 1 alerts

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2600 is green
    rpm from 2600 to 2750 is yellow
    rpm above 2750 is red with warning "OVERSPEED"

on a display of which this is known:

    display "box" version 1
    allows 1 alerts

## How it is decided

By counting; no solver.

## What it cannot see

How many alerts a display can show at the same time.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.findings.finding import Finding
from alertlang.fit.fit import Fit, too_many

NAME = "too-many-alerts"


def check(fit: Fit) -> Iterator[Finding]:
    """All alerts of the rule set."""
    resource = fit.need.alerts
    yield from too_many(fit, NAME, resource, "the rules need", "alerts")
