"""The rules time more things than the display has timers for.

## What it finds

More delays than `allows N timers` says. `for more than`, `after`, `set after`, `cleared after`, `for at
least` and `for less than` take a timer each, and on an array each element does. Two share one only if
they time the same for the same time: what starts them must be proved to be the same. `latched` takes
none.

## Why it matters

A delay that finds no timer is left out: an alert comes at every short dip, or never.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2600 is green
    rpm from 2600 to 2750 is yellow
    rpm above 2600 for more than 5 min is red with caution "SPEED 5 MIN"
    rpm above 2750 is red with warning "OVERSPEED" after 1 s

on a display of which this is known:

    display "box" version 1
    allows 1 timers

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2600 is green
    rpm from 2600 to 2750 is yellow
    rpm above 2600 for more than 5 min is red with caution "SPEED 5 MIN"
    rpm above 2750 is red with warning "OVERSPEED"

on a display of which this is known:

    display "box" version 1
    allows 1 timers

## How it is decided

By counting. Of delays of one kind and one length the solver is asked for a state in which one runs and
the other does not.

## What it cannot see

A box in which one timer serves delays of two lengths, or whose own filters take timers too.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.findings.finding import Finding
from alertlang.fit.fit import Fit, too_many

NAME = "too-many-timers"


def check(fit: Fit) -> Iterator[Finding]:
    """All delays of the rule set."""
    resource = fit.need.timers
    yield from too_many(fit, NAME, resource, "the rules need", "timers")
