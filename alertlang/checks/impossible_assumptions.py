"""No state satisfies the assumptions, so that every other verdict would be empty.

## What it finds

Assumptions that cannot hold together, within the ranges of the sensors. It names the smallest set of them
that cannot. Nothing else that needs a state is checked then.

## Why it matters

From the impossible everything follows: each limit would be "proved" guarded. This is the one mistake that
makes all others invisible.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    idle: assume rpm at least 500 rpm
    pumped: assume when rpm above 400 rpm then oil_pressure above 5 psi
    dry: assume oil_pressure below 5 psi
    rpm from 0 to 3500 is green

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    pumped: assume when rpm above 400 rpm then oil_pressure above 5 psi
    dry: assume when rpm at most 400 rpm then oil_pressure below 5 psi
    rpm from 0 to 3500 is green

## How it is decided

The solver is asked for any state at all. If there is none, the smallest set of assumptions without one is
searched for.

## What it cannot see

Assumptions that can hold but are not true of the aircraft. They are named in every proof that needs them.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, finding
from alertlang.logic.core import smallest_core
from alertlang.logic.solver import Answer
from alertlang.logic.terms import TRUE, conjunction
from alertlang.text.lists import listed

NAME = "impossible-assumptions"


def check(context: Context) -> Iterator[Finding]:
    """Assumptions that exclude every state."""
    ruleset = context.ruleset
    if not ruleset.assumptions:
        return
    answer = context.is_satisfiable(conjunction(term for _, term in context.encoder.assumptions))
    if answer is Answer.YES:
        return
    spans = {a.label: a.span for a in ruleset.assumptions}
    if answer is Answer.UNDECIDED:
        yield undecided(NAME, ruleset.assumptions[0].span, None)
        return
    causes = smallest_core(context.decider, TRUE, context.encoder.assumptions) or tuple(spans)
    said = f"{listed(causes)} cannot hold together" if len(causes) > 1 else f"{causes[0]} cannot hold"
    yield finding(
        NAME,
        f"no state is possible: {said}, so nothing else can be checked",
        spans[causes[0]],
        statements=causes,
        advice=("take one of them out, or say when it holds: assume when ... then ...",),
    )
