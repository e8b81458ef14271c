"""The text of an alert is longer than the display can show.

## What it finds

A text with more characters than `text up to N characters` says, {n} written out for the longest element.

## Why it matters

The end of a text is cut off, and it is the end that tells two alerts apart.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "ENGINE OVERSPEED"

on a display of which this is known:

    display "box" version 1
    text up to 12 characters

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"

on a display of which this is known:

    display "box" version 1
    text up to 12 characters

## How it is decided

By counting characters; no solver.

## What it cannot see

Wide and narrow letters, and letters that the display has not. The texts on lamps, which are not on the
screen.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.findings.finding import Finding, finding
from alertlang.fit.fit import Fit
from alertlang.fit.need import texts
from alertlang.model import ruleset as m

NAME = "long-text"


def check(fit: Fit) -> Iterator[Finding]:
    """Each text of an alert."""
    room = fit.display.text_length
    if room is None:
        return
    for rule in fit.ruleset.rules:
        longest = max(texts(fit.ruleset, rule), key=len, default="")
        if len(longest) <= room:
            continue
        clause = rule.node.alert
        assert clause is not None
        yield finding(
            NAME,
            f'the text "{longest}" has {len(longest)} characters, and {fit.named} shows {room}: '
            f"{len(longest) - room} too many",
            clause.text.span,
            quantity=rule.quantity if isinstance(rule, m.Band) else None,
            statements=(rule.label,),
            advice=(f'all that would be seen is "{longest[:room].rstrip()}": write a shorter text',),
        )
