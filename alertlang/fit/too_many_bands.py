"""A gauge needs more bands than the display has for one.

## What it finds

A quantity with more bands to store than `allows N bands per quantity` says. Of an array whose elements
have bands of their own each element is counted by itself. What lies outside two numbers is two bands; a
stretch that is `unmarked` is none, and two bands with the same values, colour and times are one if their
contexts are proved to be the same.

## Why it matters

Whoever keys the rules in finds out at the last gauge, and leaves out what does not look important.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm below 700 is white
    rpm from 700 to 2550 is green
    rpm from 2550 to 2750 is yellow
    rpm above 2750 is red with warning "OVERSPEED"

on a display of which this is known:

    display "box" version 1
    allows 3 bands per quantity

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm below 700 is unmarked
    rpm from 700 to 2550 is green
    rpm from 2550 to 2750 is yellow
    rpm above 2750 is red with warning "OVERSPEED"

on a display of which this is known:

    display "box" version 1
    allows 3 bands per quantity

## How it is decided

By counting. Where two bands differ in nothing but their contexts, the solver is asked for a state that
tells these apart.

## What it cannot see

A box that cannot hold a band whose end moves, or that wants the bands of a gauge to follow each other
without a break: a display file does not say it.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.findings.finding import Finding
from alertlang.fit.fit import Fit, too_many

NAME = "too-many-bands"


def check(fit: Fit) -> Iterator[Finding]:
    """Each gauge by itself."""
    for resource in fit.need.bands:
        yield from too_many(fit, NAME, resource, f"{resource.subject} needs", "bands")
