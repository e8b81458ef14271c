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

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.limits import culprits, named
from alertlang.checks.seek import Goal, found_at, said_by, seek, stretch_words
from alertlang.checks.suggest import suggested
from alertlang.findings.finding import Finding
from alertlang.logic.terms import both, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m

NAME = "unmarked-precaution"
SEEN = Seen(lambda at: at.within and at.is_calm())
_YELLOW = m.Colour.YELLOW.rank


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at: a precaution range of the quantity, and bands."""
    if name is None or not ruleset.bands_by_quantity[name]:
        return False
    return any(declared.kind is m.RangeKind.PRECAUTION for declared in ruleset.ranges_by_quantity[name])


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Precaution ranges of one quantity that can show calmer than yellow."""
    ruleset = context.ruleset
    bands = ruleset.bands_by_quantity[name]
    ranges = ruleset.ranges_by_quantity[name]
    # A profile by itself has no bands; a limited quantity without any is reported once, by unwatched-quantity.
    if ruleset.origin.kind == "profile":
        return
    if not bands and any(declared.forbids for declared in ranges):
        return
    for declared in ranges:
        if declared.kind is m.RangeKind.PRECAUTION:
            yield from _calm(context, declared)


def _calm(context: Context, declared: m.Range) -> Iterator[Finding]:
    name, encoder = declared.quantity, context.encoder

    def goal(index: int | None) -> Goal:
        def confirm(instant: Instant) -> bool:
            colour = instant.colour(name, index)
            return instant.is_in(declared, index) and (colour is None or colour < m.Colour.YELLOW)

        return both(encoder.inside(declared, index), negate(encoder.shows_at_least(name, index, _YELLOW))), confirm

    def tell(case: FaultCase, index: int | None, reading: str) -> Finding:
        where, rest = stretch_words(context, case, reading)
        when = context.words.condition_text(case.region, reading)
        subject = context.subject(reading)
        text = f"{subject} {context.words.region_text(reading, case.reach(reading))} is yellow"
        message = f"{subject} {where} lies in {named(declared)} and is neither yellow nor red{rest}"
        proposal = suggested(f"when {when} then {text}" if when else text)
        return found_at(NAME, message, declared, case, culprits(context, case, (), name, index), proposal)

    bands = context.ruleset.bands_by_quantity[name]
    return seek(context, NAME, declared, goal, said_by(bands, declared.when), tell)
