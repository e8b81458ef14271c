"""The label of a gauge is longer than the display can show.

## What it finds

A label of a gauge or of an input with more characters than `labels up to N characters` says.

## Why it matters

Labels of one kind begin alike: with the end cut off, two gauges carry the same name.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"
    gauge rpm labelled "ENGINE RPM"

on a display of which this is known:

    display "box" version 1
    labels up to 4 characters

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"
    gauge rpm labelled "RPM"

on a display of which this is known:

    display "box" version 1
    labels up to 4 characters

## How it is decided

By counting characters; no solver.

## What it cannot see

Wide and narrow letters. A gauge for which the rules give no label.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.findings.finding import Finding, finding
from alertlang.fit.fit import Fit
from alertlang.model import ruleset as m

NAME = "long-label"


def check(fit: Fit) -> Iterator[Finding]:
    """Each label of a gauge, then of an input."""
    room = fit.display.label_length
    if room is None:
        return
    marked: tuple[m.PanelGauge | m.PanelInput, ...] = (*fit.ruleset.gauges, *fit.ruleset.inputs)
    for one in marked:
        longest = _written_out(fit, one)
        if len(longest) <= room:
            continue
        yield finding(
            NAME,
            f'the label "{longest}" has {len(longest)} characters, and {fit.named} shows {room}: '
            f"{len(longest) - room} too many",
            one.span,
            quantity=one.quantity if isinstance(one, m.PanelGauge) else None,
            advice=(f'all that would be seen is "{longest[:room].rstrip()}": write a shorter label',),
        )


def _written_out(fit: Fit, one: m.PanelGauge | m.PanelInput) -> str:
    """A label with the number of the last element for {n}."""
    label = one.label or ""
    size = fit.ruleset.quantities[one.quantity].size if isinstance(one, m.PanelGauge) else None
    return label.replace("{n}", str(size)) if size is not None else label
