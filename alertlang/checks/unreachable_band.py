"""A band whose colour can never show.

## What it finds

A band that lies outside the sensor's range, or whose context no state satisfies, or that is masked everywhere
by worse bands. It names the smallest set of statements that cause it.

## Why it matters

The rule was written for something. A mistyped number (27500 for 2750) ends here, and so does a caution range
that a red rule swallows whole.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is yellow
    rpm above 27500 is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2550 is green
    rpm from 2550 to 2750 is yellow
    rpm above 2750 is red

## How it is decided

Exact arithmetic for the sensor's range. Then the solver is asked for a state in which the band applies, and
for one in which it applies and no worse band does, be it only until delayed conditions have settled. Where
there is none, the smallest set of worse bands and assumptions that rules it out is searched for (no smaller
set does).

## What it cannot see

A band that shows in some state which never comes about in flight: assumptions can say so.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.undecided import undecided
from alertlang.checks.unsettled import at_some_time
from alertlang.findings.finding import Finding, finding
from alertlang.logic.core import smallest_common_core, smallest_core
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.text.lists import listed
from alertlang.units.interval import IntervalSet
from alertlang.units.number import show_number, show_value

NAME = "unreachable-band"


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Bands of one quantity whose colour can never show."""
    for band in context.ruleset.bands_by_quantity[name]:
        if band.region.is_failed:
            # It shows where no value is; every other question is about healthy sensors.
            continue
        yield from _band(context, band)


def _band(context: Context, band: m.Band) -> Iterator[Finding]:
    quantity = context.ruleset.quantities[band.quantity]
    if band.region.values.intersect(IntervalSet.of(quantity.range)).is_empty:
        yield finding(
            NAME,
            f"{band.colour.word} can never show: {band.quantity} is read from {show_number(quantity.low)} to "
            f"{show_value(quantity.high, quantity.unit)}, and this band lies outside",
            band.node.region.span,
            quantity=band.quantity,
            statements=(band.label,),
            advice=("check the number for a slip, or the unit",),
        )
        return
    # A context that asks for a failed sensor is about states in which it may have failed.
    encoder = context.encoder_for(band.when, band.unless)
    answer = _shows(context, band, encoder)
    if answer is Answer.YES:
        context.kept["shows", band.label] = True
        return
    meanwhile = None
    if answer is Answer.NO:
        beside = tuple(f for one in context.ruleset.bands_by_quantity[band.quantity] for f in (one.when, one.unless))
        meanwhile = at_some_time(context, band.when, band.unless, beside=beside)
    if meanwhile is not None:
        # It may show while its conditions settle; what it waits for may have been so before.
        encoder = meanwhile
        answer = _shows(context, band, encoder)
    if answer is Answer.UNDECIDED:
        yield undecided(NAME, band.span, band.quantity, (band.label,))
    elif answer is Answer.NO:
        each = [encoder.applies(band, index) for index, _ in context.elements(band.quantity, band.index)]
        never = context.is_satisfiable(disjunction(each)) is Answer.NO
        yield _impossible(context, band, encoder) if never else _masked(context, band, encoder)


def _shows(context: Context, band: m.Band, encoder: Encoder) -> Answer:
    """Whether the band's colour is the one that some element shows."""
    for index, _ in context.elements(band.quantity, band.index):
        applies = encoder.applies(band, index)
        worse = encoder.shows_at_least(band.quantity, index, band.colour.rank + 1)
        answer = context.is_satisfiable(applies if worse is FALSE else both(applies, negate(worse)))
        if answer is not Answer.NO:
            return answer
    return Answer.NO


def _impossible(context: Context, band: m.Band, encoder: Encoder) -> Finding:
    applies = disjunction(encoder.applies(band, index) for index, _ in context.elements(band.quantity, band.index))
    causes = smallest_core(context.decider, applies, context.encoder.assumptions) or ()
    conditions = sorted(context.ruleset.conditions_read(band.when, band.unless))
    if causes:
        message = f"{band.colour.word} can never show: with {listed(causes)} its context is impossible there"
    elif conditions:
        message = f"{band.colour.word} can never show: its context ({listed(conditions)}) never holds there"
    else:
        message = f"{band.colour.word} can never show: its context never holds there"
    return finding(
        NAME,
        message,
        band.span,
        quantity=band.quantity,
        statements=(band.label, *causes, *conditions),
        advice=("take the band out, or mend the condition that can never hold",),
    )


def _masked(context: Context, band: m.Band, encoder: Encoder) -> Finding:
    bands = {other.label: other for other in context.ruleset.bands_by_quantity[band.quantity]}
    worse = [other for other in bands.values() if other.colour.rank > band.colour.rank]
    # It may be masked by one band for one element and by another for the next: the set holds for all of them.
    elements = [
        (
            encoder.applies(band, index),
            [*((other.label, negate(encoder.applies(other, index))) for other in worse), *context.encoder.assumptions],
        )
        for index, _ in context.elements(band.quantity, band.index)
    ]
    causes = smallest_common_core(context.decider, elements) or ()
    said = [f"{label} ({bands[label].colour.word})" if label in bands else label for label in causes]
    return finding(
        NAME,
        f"{band.colour.word} can never show: wherever it applies, {listed(said)} "
        f"{'shows' if len(said) == 1 else 'show'} a worse colour",
        band.span,
        quantity=band.quantity,
        statements=(band.label, *causes),
        advice=("narrow the worse band, or take this one out",),
    )
