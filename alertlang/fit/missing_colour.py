"""A band has a colour that the display cannot show.

## What it finds

A band whose colour is not among the `colours` of the display. `unmarked` is no colour: every display can
show nothing.

## Why it matters

Whoever keys the rules in takes another colour, and nobody has decided which. A calmer one hides a danger.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm below 700 is blue
    rpm from 700 to 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"

on a display of which this is known:

    display "box" version 1
    colours red, yellow, green, white

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm below 700 is white
    rpm from 700 to 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"

on a display of which this is known:

    display "box" version 1
    colours red, yellow, green, white

## How it is decided

By looking the colour up. The one that is proposed is the nearest of those that are not calmer: red is
worse than yellow, yellow worse than green, white and blue, which rank equal.

## What it cannot see

Whether two colours can be told apart on the screen.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.suggest import spliced
from alertlang.findings.finding import Finding, finding
from alertlang.fit.fit import Fit
from alertlang.model import ruleset as m

NAME = "missing-colour"


def check(fit: Fit) -> Iterator[Finding]:
    """Each band with a colour that is not there."""
    there = fit.display.colours
    if not there:
        return
    for band in fit.ruleset.bands:
        if band.colour is m.Colour.UNMARKED or band.colour in there:
            continue
        other = nearest(band.colour, there)
        words = band.node.colour.span
        yield finding(
            NAME,
            f"{fit.named} shows no {band.colour.word}",
            band.span,
            quantity=band.quantity,
            statements=(band.label,),
            suggestion=None if other is None else spliced(band.span, words, other.word),
            advice=(
                f"its colours are {', '.join(colour.word for colour in there)}"
                + (f"; none of them is as strong as {band.colour.word}" if other is None else ""),
            ),
        )


def nearest(colour: m.Colour, there: tuple[m.Colour, ...]) -> m.Colour | None:
    """The colour nearest to one that is not there, and never a calmer one; none if all are calmer."""
    strong = [one for one in there if one.rank >= colour.rank]
    return min(strong, key=lambda one: (one.rank, abs(one - colour), one), default=None)
