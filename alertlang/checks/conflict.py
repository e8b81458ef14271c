"""Two bands of one quantity give the same values different colours, and nothing says which is meant.

## What it finds

Two bands of one quantity with different colours that both apply on more than a shared end point, where one of
these is so:

- their contexts (`when`, and not `unless`) are the same, so the calmer one can never show there;
- the calmer one has the narrower context: it looks like an exception to the other, but the worse colour
  always wins;
- the colours rank equal (green, white, blue), so neither wins.

Bands may share an end: `from 2000 to 2550` and `from 2550 to 2750` meet in 2550, where the worse of the two
shows.

A red arc inside a green one is no conflict where an `avoid` range asks for it (14 CFR 25.1549(d)): the red
band and its context lie within declared avoid ranges, and the calmer band reaches over all of the red one.

## Why it matters

The gauge shows the worst colour that applies. A rule that is overruled without saying so was probably meant
to do something: most often a number is wrong, or `unless` is missing on the rule that should give way.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm below 2750 is green
    rpm above 2550 is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2550 is green
    rpm above 2550 is red

## How it is decided

Whether the regions overlap is exact arithmetic. Where they do, the solver is asked for a state in which both
bands apply, and for states in which only one of the contexts holds.

## What it cannot see

Contexts that cross without one containing the other: see disagreement. Two bands of the same colour.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.pairs import Pair, PairFault, pairs
from alertlang.checks.suggest import moved_apart
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, finding
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen, Sight
from alertlang.model import ruleset as m

NAME = "conflict"
OF_TWO = True
SEEN = Seen(Sight.both_apply)


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Conflicts between bands of one quantity."""
    for pair in pairs(context, name):
        if pair.kind is PairFault.UNDECIDED:
            yield undecided(NAME, pair.worse.span, name, (pair.calmer.label, pair.worse.label))
        elif pair.kind is PairFault.CONFLICT:
            yield from _finding(context, pair)


def _finding(context: Context, pair: Pair) -> Iterator[Finding]:
    calmer, worse = pair.calmer, pair.worse
    reading = m.variable(calmer.quantity, pair.index)

    def confirm(instant: Instant) -> bool:
        value = instant.reading(calmer.quantity, pair.index)
        return pair.overlap.contains(value) and all(instant.applies(band, pair.index) for band in (calmer, worse))

    formulas = (calmer.when, calmer.unless, worse.when, worse.unless)
    cases = context.cases(pair.goal, confirm, primary=reading, formulas=formulas, most=1)
    if not cases.found:
        yield undecided(NAME, worse.span, calmer.quantity, (calmer.label, worse.label))
        return
    case = cases.found[0]
    where = ", ".join(context.words.stretch(reading, part) for part in pair.overlap)
    line = f"line {worse.span.line}" + (
        "" if worse.span.source is calmer.span.source else f" of {worse.span.source.path}"
    )
    said = (
        f"{calmer.quantity} {where} is both {calmer.colour.word} here and {worse.colour.word} in {worse.label} ({line})"
    )
    if pair.reason == "same-rank":
        message = f"{said}, and these colours rank equal: neither wins"
        advice = "let the two regions meet in one number, or let their contexts exclude each other"
    elif pair.reason == "same-context":
        message = f"{said}, in the same context"
        advice = f"{worse.colour.word} always wins; end {calmer.label} where {worse.label} begins"
    else:
        message = f"{said}, which applies more widely: {calmer.colour.word} can never win"
        advice = (
            f"if {calmer.label} is meant as an exception, say so on {worse.label} with `unless`; else end it before"
        )
    yield finding(
        NAME,
        message,
        calmer.span,
        quantity=calmer.quantity,
        statements=(calmer.label, worse.label),
        witness=case.witness,
        region=case.region,
        suggestion=moved_apart(context, calmer, pair.overlap),
        advice=(advice,),
    )
