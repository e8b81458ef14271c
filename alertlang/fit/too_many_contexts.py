"""The rules depend on more contexts than the display has room for.

## What it finds

More different contexts than `allows N contexts` says. A context is what a band or an alert depends on:
its `when` and not its `unless`. A condition with a memory or delays takes a place of its own, as what it
remembers must be kept. Contexts that are proved to be the same share a place.

## Why it matters

A context that finds no place is left out, and then its band applies always or never.

## Example

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch flaps up, down
    switch pump on, off
    rpm at most 2750 is green
    rpm above 2750 is red
    oil_temp at most 225 F is green
    oil_temp above 225 F is red
    when oil_temp below 120 F then rpm from 2000 to 2750 is yellow
    when flaps is down and pump is off then rpm from 2300 to 2750 is yellow

on a display of which this is known:

    display "box" version 1
    allows 1 contexts

## Corrected

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch flaps up, down
    switch pump on, off
    rpm at most 2750 is green
    rpm above 2750 is red
    oil_temp at most 225 F is green
    oil_temp above 225 F is red
    when flaps is not up and pump is off then rpm from 2000 to 2750 is yellow
    when flaps is down and pump is off then oil_temp from 200 to 225 F is yellow

on a display of which this is known:

    display "box" version 1
    allows 1 contexts

## How it is decided

For each two contexts the solver is asked for a state that tells them apart, whichever sensors have failed
and whatever has not settled. Where there is none they share a place. All others are proved to differ in
pairs, so that there can be no fewer places; where the solver gives up, two stay apart and the finding
says so.

## What it cannot see

A switch whose position is not known. A box that can build one context from others, or has contexts of its
own.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.findings.finding import Finding
from alertlang.fit.fit import Fit, too_many

NAME = "too-many-contexts"


def check(fit: Fit) -> Iterator[Finding]:
    """All contexts of the rule set."""
    resource = fit.need.contexts
    yield from too_many(fit, NAME, resource, "the rules need", "contexts")
