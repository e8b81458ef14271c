"""A quantity that has bands shows no colour at some of its values.

## What it finds

A state in which none of the bands of a quantity applies, so that its gauge is blank although the rules colour
it elsewhere. A single point counts: between `below 100` and `above 100` the value 100 is left out. A band
that is `unmarked` on purpose counts as a colour.

## Why it matters

A pilot reads a blank stretch as "nothing to say here". Most gaps are a forgotten line, or two numbers that
were meant to be the same and are not.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm below 2500 is green
    rpm from 2550 to 2750 is yellow
    rpm above 2750 is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm below 2550 is green
    rpm from 2550 to 2750 is yellow
    rpm above 2750 is red

## How it is decided

The solver is asked for a state in which no band of the quantity applies. If there is none, that is a proof. A
state it finds is stretched to the largest box around it in which the same holds, then the search goes on
outside that box.

## What it cannot see

A quantity without any band at all (see unwatched-quantity if it has limits). Values beyond the sensor's
range.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context, FaultCase, width
from alertlang.checks.suggest import colour_for, reach_over, suggested
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Suggestion, finding
from alertlang.logic.explore import Cells
from alertlang.logic.terms import FALSE, Term, both, disjunction, in_interval, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen, Sight
from alertlang.model import ruleset as m
from alertlang.units.interval import Interval, multiple_inside

NAME = "gap"
SEEN = Seen(Sight.is_blank)


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Gaps that hold a multiple of the quantity's step, or any gap where it has no step."""
    yield from search(context, name, hairline=False)


def search(context: Context, name: str, *, hairline: bool) -> Iterator[Finding]:
    """The gaps of a quantity: with `hairline` those in which no multiple of its step falls, else the others."""
    quantity = context.ruleset.quantities[name]
    bands = context.ruleset.bands_by_quantity[name]
    if not bands or (hairline and quantity.step is None):
        return
    for index, reading in context.elements(name):
        blank = negate(context.encoder.shows_any(name, index))
        unreadable = _between_steps(context, reading, blank)

        def confirm(instant: Instant, index: int | None = index) -> bool:
            return not instant.colours(name, index, linger=False)

        formulas = tuple(f for band in bands for f in (band.when, band.unless))
        readable = context.cases(blank, confirm, primary=reading, formulas=formulas, start=negate(unreadable))
        cases = readable
        if hairline:
            if readable.undecided:
                return
            boxes = disjunction(context.explorer.term(case.box) for case in readable.found)
            cases = context.cases(both(blank, unreadable, negate(boxes)), confirm, primary=reading, formulas=formulas)
        for case in cases.found:
            yield _finding(context, quantity, reading, case, hairline)
        if cases.undecided:
            yield undecided("hairline-gap" if hairline else NAME, bands[0].span, name)
        elif not cases.complete and cases.found:
            yield _more("hairline-gap" if hairline else NAME, quantity, bands[0], len(cases.found))


def _between_steps(context: Context, reading: str, goal: Term) -> Term:
    """The reading lies in a cell that holds no multiple of its step, so that the gauge can never show it there."""
    step = context.quantity(reading).step
    if step is None:
        return FALSE
    sensor = context.encoder.range_of(reading)
    cells = Cells(sensor, context.explorer.numbers(goal, frozenset({reading})).get(reading, set()))
    spans = (cells.span(i, i) for i in range(len(cells)))
    return disjunction(in_interval(reading, span, sensor) for span in spans if multiple_inside(span, step) is None)


def _finding(context: Context, quantity: m.Quantity, reading: str, case: FaultCase, hairline: bool) -> Finding:
    part = case.reach(reading)
    where = context.words.stretch(reading, part).replace("at every value", "at any value")
    rest = context.words.whenever(case.region, reading)
    bands = context.ruleset.bands_by_quantity[quantity.name]
    labels = _neighbours(bands, part)
    span = next(band.span for band in bands if band.label == labels[0])
    subject = context.subject(reading)
    if hairline:
        message = (
            f"{subject} shows no colour {where}{rest}: no multiple of its step falls there, so the gauge cannot "
            "read it, but the value behind it can"
        )
    else:
        message = f"{subject} shows no colour {where}{rest}"
    suggestion, reason = _way_out(context, quantity, reading, case, part)
    return finding(
        "hairline-gap" if hairline else NAME,
        message,
        span,
        quantity=quantity.name,
        statements=labels,
        witness=case.witness,
        region=case.region,
        suggestion=suggestion,
        advice=(reason,),
    )


def _way_out(
    context: Context, quantity: m.Quantity, reading: str, case: FaultCase, part: Interval
) -> tuple[Suggestion | None, str]:
    """A band for the gap; where that would be too thin to read, a neighbour that reaches over it."""
    if part.is_point or width(part) < max(quantity.step or 0, quantity.accuracy or 0):
        stretched = reach_over(context, reading, case, part)
        if stretched is not None:
            return stretched, "the worse of the two neighbours takes the values in"
    colour, reason = colour_for(context, reading, case)
    when = context.words.condition_text(case.region, reading)
    text = f"{context.subject(reading)} {context.words.region_text(reading, part)} is {colour}"
    return suggested(f"when {when} then {text}" if when else text), reason


def _neighbours(bands: tuple[m.Band, ...], part: Interval) -> tuple[str, ...]:
    """The bands that end where the gap begins or begin where it ends; else the first band."""
    ends = {part.low, part.high}
    near = tuple(band.label for band in bands if ends & set(band.region.numbers))
    return near or (bands[0].label,)


def _more(name: str, quantity: m.Quantity, band: m.Band, shown: int) -> Finding:
    return finding(
        name,
        f"{quantity.name} has more gaps than the {shown} shown",
        band.span,
        quantity=quantity.name,
        statements=(band.label,),
        advice=("mend these first, then check again",),
    )
