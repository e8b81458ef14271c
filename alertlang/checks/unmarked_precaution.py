"""A precaution range shows a colour calmer than yellow.

## What it finds

A state inside a `precaution` range in which no yellow or red band of the quantity applies.

## Why it matters

The profile says that these values call for care. Green there tells the pilot the opposite.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    precaution oil_temp from 200 to 225 F, source NOTE
    oil_temp at most 210 is green
    oil_temp from 210 to 225 is yellow
    oil_temp above 225 is red

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    precaution oil_temp from 200 to 225 F, source NOTE
    oil_temp at most 200 is green
    oil_temp from 200 to 225 is yellow
    oil_temp above 225 is red

## How it is decided

The solver is asked for a state in the range in which neither yellow nor red applies.

## What it cannot see

A quantity that has limits and no band at all: see unwatched-quantity.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.limits import culprits, named
from alertlang.checks.suggest import suggested
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Reach, finding
from alertlang.logic.terms import both, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m

NAME = "unmarked-precaution"
_YELLOW = m.Colour.YELLOW.rank


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Precaution ranges of one quantity that can show calmer than yellow."""
    ruleset = context.ruleset
    bands = ruleset.bands_by_quantity[name]
    ranges = ruleset.ranges_by_quantity[name]
    # A profile by itself has no bands; a limited quantity without any is reported once, by unwatched-quantity.
    if ruleset.origin.kind == "profile":
        return
    if not bands and any(one.kind in {"limit", "avoid"} for one in ranges):
        return
    for one in ranges:
        if one.kind != "precaution":
            continue
        for index, reading in context.elements(name, one.index):
            encoder = context.encoder
            goal = both(encoder.inside(one, index), negate(encoder.shows_at_least(name, index, _YELLOW)))

            def confirm(instant: Instant, one: m.Range = one, index: int | None = index) -> bool:
                colour = instant.colour(name, index)
                return instant.is_in(one, index) and (colour is None or colour < m.Colour.YELLOW)

            formulas = (one.when, *(f for band in bands for f in (band.when, band.unless)))
            cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=4)
            for case in cases.found:
                part = case.region[reading]
                assert isinstance(part, Reach)
                where = context.words.stretch(reading, part.interval)
                rest = context.words.whenever(case.region, reading)
                when = context.words.condition_text(case.region, reading)
                subject = context.subject(reading)
                at_fault = culprits(context, case, (), name, index)
                text = f"{subject} {context.words.region_text(reading, part.interval)} is yellow"
                yield finding(
                    NAME,
                    f"{subject} {where} lies in {named(one)} and is neither yellow nor red{rest}",
                    at_fault[0].span if at_fault else one.span,
                    quantity=name,
                    statements=tuple(rule.label for rule in at_fault),
                    limit=one.label,
                    witness=case.witness,
                    region=case.region,
                    suggestion=suggested(f"when {when} then {text}" if when else text),
                )
            if cases.undecided:
                yield undecided(NAME, one.span, name, (), one.label)
