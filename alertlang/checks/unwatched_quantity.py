"""A quantity has limits and not a single band.

## What it finds

A quantity with a `limit` or `avoid` statement for which the rules have no band. It is reported once, instead
of each of its limits as unguarded.

## Why it matters

Nothing on the panel shows the quantity in colour, so nobody will see the limit broken. If the aircraft has no
such gauge, accept the finding and say so.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    limit oil_temp at most 225 F, source NOTE
    rpm from 0 to 3500 is green

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    limit oil_temp at most 225 F, source NOTE
    rpm from 0 to 3500 is green
    oil_temp at most 225 F is green
    oil_temp above 225 F is red

## How it is decided

By looking; no solver.

## What it cannot see

A quantity without limits.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.limits import broken_words, is_limited, violation
from alertlang.checks.suggest import suggested
from alertlang.findings.finding import Finding, Suggestion, finding
from alertlang.model import ruleset as m

NAME = "unwatched-quantity"
NEEDS_STATE = False


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at: a limit on the quantity."""
    return name is not None and is_limited(ruleset, name)


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """A limited quantity without bands."""
    ruleset = context.ruleset
    found = [r for r in ruleset.ranges_by_quantity[name] if r.forbids]
    # A profile checked by itself has no bands at all: that is no mistake of its.
    if not found or ruleset.bands_by_quantity[name] or ruleset.origin.kind == "profile":
        return
    labels = ", ".join(declared.label for declared in found)
    yield finding(
        NAME,
        f"{name} has limits ({labels}) and no band: no gauge would show that they are broken",
        found[0].span,
        quantity=name,
        statements=tuple(declared.label for declared in found),
        limit=found[0].label,
        suggestion=_band(context, found[0]),
        advice=("colour the rest of its range too, or accept this with the reason why it has no gauge",),
    )


def _band(context: Context, declared: m.Range) -> Suggestion | None:
    parts = violation(context, declared).parts
    if not parts:
        return None
    reading = m.variable(declared.quantity, declared.index)
    broken = broken_words(context, declared) if declared.region.moves else context.words.region_text(reading, parts[0])
    allowed = f" for more than {m.in_seconds(declared.except_for)}" if declared.except_for else ""
    text = f"{reading} {broken}{allowed} is red"
    if declared.needs is not None:
        each = context.ruleset.quantities[declared.quantity].size is not None
        high = (
            declared.kind is m.RangeKind.AVOID or parts[0].low in declared.region.numbers or declared.region.kind.is_low
        )
        text += (
            f' with {declared.needs.word} "{context.words.alert_text(declared.quantity, high, declared.needs, each)}"'
        )
    when = declared.node.when
    return suggested(f"when {' '.join(when.span.text.split())} then {text}" if when is not None else text)
