"""The level of an alert does not fit the colour of its band.

## What it finds

A band whose alert is a warning and whose colour is not red, a caution on another colour than red or yellow,
and red or yellow with an advisory.

It is a rule of this tool, and of no authority. What published rules ask for is wrong-alert-colour.

## Why it matters

Red and warning both say "act now", yellow and caution "act soon". A gauge that says one thing and an alert
that says another leave the pilot to choose.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is yellow with warning "OVERSPEED"

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"

## How it is decided

By looking; no solver.

## What it cannot see

Alerts on their own: they have no colour.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.suggest import spliced
from alertlang.findings.finding import Finding, finding
from alertlang.model import ruleset as m

NAME = "colour-level"
NEEDS_STATE = False


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Bands of one quantity whose alert and colour do not fit."""
    for band in context.ruleset.bands_by_quantity[name]:
        if band.alert is None:
            continue
        level, colour = band.alert.level, band.colour
        clause = band.node.alert
        assert clause is not None
        # The way out raises the calmer of the two: it fails towards the warning.
        if level is m.Level.WARNING and colour is not m.Colour.RED:
            message, way_out = "a warning stands on red", spliced(band.span, band.node.colour.span, "red")
        elif level is m.Level.CAUTION and colour.calm:
            message, way_out = (
                "a caution stands on yellow or red",
                spliced(band.span, band.node.colour.span, "yellow"),
            )
        elif level is m.Level.ADVISORY and not colour.calm:
            message = f"{colour.word} is for {'warnings and cautions' if colour is m.Colour.RED else 'cautions'}"
            # Which of the two is meant is not ours to say.
            way_out = None
        else:
            continue
        yield finding(
            NAME,
            f'the {level.word} "{band.alert.text}" is on {colour.word}: {message}',
            clause.span,
            quantity=name,
            statements=(band.label,),
            suggestion=way_out,
            advice=() if way_out else ("raise its level, or give the band a calm colour (green, white or blue)",),
        )
