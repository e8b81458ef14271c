"""A limit is broken and the gauge is not red.

## What it finds

A state that violates a limit, or lies in a range to avoid, in which no red band of the quantity applies.

## Why it matters

This is what the bands are for. The hole is often small: one context that nobody thought of, an end that
belongs to the wrong band, a rule that an `unless` takes away at the only moment it is needed.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2700 rpm, source NOTE
    rpm at most 2750 is green
    rpm above 2750 is red

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2700 rpm, source NOTE
    rpm at most 2700 is green
    rpm above 2700 is red

## How it is decided

The solver is asked for a state that breaks the limit while no red band applies. None is a proof that the
limit is guarded in every context.

## What it cannot see

How late the red comes. A limit that no profile states.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.limits import culprits, is_limited, limits, named
from alertlang.checks.seek import Goal, breaks_words, found_at, said_by, seek
from alertlang.checks.suggest import red_statement
from alertlang.findings.finding import Finding, WitnessTruth
from alertlang.logic.terms import both, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m

NAME = "unguarded-limit"
SEEN = Seen(lambda at: at.broken and at.is_not_red())
_RED = m.Colour.RED.rank


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at: a limit on the quantity, and bands."""
    return name is not None and bool(ruleset.bands_by_quantity[name]) and is_limited(ruleset, name)


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Limits and avoid ranges of one quantity that can be broken without red."""
    for declared in limits(context, name):
        yield from _without_red(context, declared)


def _without_red(context: Context, declared: m.Range) -> Iterator[Finding]:
    name, encoder = declared.quantity, context.encoder
    bands = context.ruleset.bands_by_quantity[name]

    def goal(index: int | None) -> Goal:
        def confirm(instant: Instant) -> bool:
            colour = instant.colour(name, index, eventually=True, linger=False)
            return instant.violates(declared, index) and colour is not m.Colour.RED

        red = encoder.shows_at_least(name, index, _RED, eventually=True, linger=False)
        return both(encoder.violated(declared, index), negate(red)), confirm

    def tell(case: FaultCase, index: int | None, reading: str) -> Finding:
        where, rest = breaks_words(context, declared, case, reading)
        at_fault = culprits(context, case, (band for band in bands if band.colour is m.Colour.RED), name, index)
        message = f"{where} breaks {named(declared)} and is not red{rest}"
        advice = (*_clocks(declared, case), f"the limit comes from: {_source(declared)}")
        return found_at(
            NAME, message, declared, case, at_fault, red_statement(context, declared, case, reading), advice
        )

    return seek(context, NAME, declared, goal, said_by(bands, declared.when), tell)


def _source(declared: m.Range) -> str:
    return "; ".join(source.in_words for source in declared.sources)


def _clocks(declared: m.Range, case: FaultCase) -> tuple[str, ...]:
    """What a red that counts its time in a condition needs, to be sure to come when the limit's time is over."""
    if not declared.except_for:
        return ()
    counted = [name for name, part in case.region.items() if part == WitnessTruth(False) and " for at least " in name]
    time = m.in_seconds(declared.except_for)
    return tuple(
        f"nothing says that `{name}` is true once {declared.label} has been broken for {time}: the two clocks agree "
        "only if "
        f"both count the same, so let the band itself count, `for more than {time}`"
        for name in counted
    )
