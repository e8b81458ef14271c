"""There are more lamps than the display can light.

## What it finds

More lamps than `allows N lamps` says.

## Why it matters

A lamp that nothing lights is worse than no lamp: it stands for "all is well".

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"
    lamp "MASTER WARN" shows warning, sequence A with lock-in, acknowledged by ack
    lamp "SPEED" shows warning, sequence A with lock-in, acknowledged by ack

on a display of which this is known:

    display "box" version 1
    allows 1 lamps

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"
    lamp "MASTER WARN" shows warning, sequence A with lock-in, acknowledged by ack

on a display of which this is known:

    display "box" version 1
    allows 1 lamps

## How it is decided

By counting; no solver.

## What it cannot see

What a lamp needs beside an output of the display.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.findings.finding import Finding
from alertlang.fit.fit import Fit, too_many

NAME = "too-many-lamps"


def check(fit: Fit) -> Iterator[Finding]:
    """All lamps of the rule set."""
    resource = fit.need.lamps
    yield from too_many(fit, NAME, resource, "the rules need", "lamps")
