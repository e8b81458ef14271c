"""The display file does not say how much of something there is, so it was not checked.

## What it finds

Something that the rules need and of which the display says nothing. A display may leave anything out;
what it leaves out is not nothing, and not enough either.

## Why it matters

That a rule set fits is only as good as what is known of the box.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"

on a display of which this is known:

    display "box" version 1
    allows 6 bands per quantity, 4 contexts, 4 timers, 10 alerts
    colours red, yellow, green, white
    scan every 0.5 s

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"

on a display of which this is known:

    display "box" version 1
    allows 6 bands per quantity, 4 contexts, 4 timers, 10 alerts
    colours red, yellow, green, white
    scan every 0.5 s
    text up to 10 characters

## How it is decided

By looking at what the display file says; no solver.

## What it cannot see

Whether what it says is true.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.findings.finding import Finding, finding
from alertlang.fit.fit import Fit
from alertlang.model import ruleset as m
from alertlang.text.lists import listed

NAME = "unsaid-resource"


def check(fit: Fit) -> Iterator[Finding]:
    """One note for all that is not said."""
    found = unsaid(fit)
    if found:
        yield finding(
            NAME,
            f"{fit.named} does not say {listed(found)}: that was not checked",
            None,
            path=fit.display.origin.path,
            advice=("look it up in the handbook of the display and write it into its file",),
        )


def unsaid(fit: Fit) -> list[str]:
    """What the rules need and the display says nothing of."""
    display, rules, need = fit.display, fit.ruleset, fit.need
    labelled = any(gauge.label for gauge in rules.gauges) or any(button.label for button in rules.inputs)
    coloured = any(band.colour is not m.Colour.UNMARKED for band in rules.bands)
    return [
        words
        for words, said, needed in (
            ("how many bands a quantity can have", display.bands_per_quantity is not None, coloured),
            ("how many contexts it has", display.contexts is not None, bool(need.contexts.needed)),
            ("how many timers it has", display.timers is not None, bool(need.timers.needed)),
            ("how many alerts it can hold", display.alerts is not None, bool(need.alerts.needed)),
            ("how many lamps it can light", display.lamps is not None, bool(rules.lamps)),
            ("how long a text can be", display.text_length is not None, bool(need.alerts.needed)),
            ("how long a label can be", display.label_length is not None, labelled),
            ("how often it looks at the sensors", display.scan is not None, bool(rules.rules)),
            ("which colours it has", bool(display.colours), coloured),
        )
        if needed and not said
    ]
