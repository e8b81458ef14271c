"""A limit or a claim about something that can never be.

## What it finds

A limit, avoid, precaution or normal range whose `when` no state satisfies, and a claim whose context and
region no state satisfies.

## Why it matters

A claim about nothing is always true and a limit on nothing is always kept. Both look like safety and are
none.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red
    prove when rpm below 1000 then rpm above 2750 is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red
    prove rpm above 2750 is red

## How it is decided

The solver is asked for a state in the context.

## What it cannot see

A limit that can be met but never broken: see short-sensor for the case where the sensor is why.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.limits import named
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, finding
from alertlang.logic.solver import Answer
from alertlang.logic.terms import TRUE, Term, both, disjunction
from alertlang.model import ruleset as m
from alertlang.text.source import Span

NAME = "vacuous"


def check(context: Context) -> Iterator[Finding]:
    """Ranges first, then claims."""
    for declared in context.ruleset.ranges:
        yield from _judge(
            context,
            context.encoder_for(declared.when).given(declared),
            named(declared),
            declared.label,
            declared.span,
            declared.quantity,
            declared.label,
            "context",
        )
    for claim in context.ruleset.claims:
        what = f"the claim {claim.label}"
        yield from _judge(
            context,
            claim_context(context, claim),
            what,
            claim.label,
            claim.span,
            claim.quantity,
            None,
            "case",
        )


def claim_context(context: Context, claim: m.Claim) -> Term:
    """When a claim says something: its `when` holds and, if it is about a region, the reading is in it."""
    encoder = context.encoder_for(claim.when)
    term = encoder.formula(claim.when)
    if claim.quantity is None or claim.region is None:
        return term
    # One element that can be there is enough.
    elements = context.elements(claim.quantity, claim.index)
    quantity, region = claim.quantity, claim.region
    return both(term, disjunction(encoder.in_region(quantity, index, region) for index, _ in elements))


def _judge(
    context: Context,
    term: Term,
    what: str,
    label: str,
    where: Span,
    quantity: str | None,
    limit: str | None,
    kind: str,
) -> Iterator[Finding]:
    if term is TRUE:
        return
    answer = context.is_satisfiable(term)
    if answer is Answer.YES:
        return
    if answer is Answer.UNDECIDED:
        yield undecided(NAME, where, quantity, (label,), limit)
        return
    causes, because = context.causes(term)
    yield finding(
        NAME,
        f"{what} says nothing: no state is in its {kind}{because}",
        where,
        quantity=quantity,
        statements=(label, *causes),
        limit=limit,
        advice=("check its numbers and its condition",),
    )
