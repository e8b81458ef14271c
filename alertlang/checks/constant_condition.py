"""A condition that is always true, or never.

## What it finds

A named condition, or a `when` or `unless` written out in a statement, that no possible state makes true, or
none makes false.

## Why it matters

A condition that never changes decides nothing. Usually a number, a unit or an `and` for an `or` is wrong.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    condition running means rpm at least 0 rpm
    when running then rpm above 2750 is red
    rpm at most 2750 is green

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    condition running means rpm above 400 rpm
    when running then rpm above 2750 is red
    rpm at most 2750 is green

## How it is decided

Two questions to the solver: is there a state that makes it true, is there one that makes it false. A delayed
condition that is read may not have settled in it, unless it can never become true.

## What it cannot see

A part of a condition that decides nothing while the whole does. A `when` that can never hold on a band, an
alert, a limit or a claim has a finding of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.checks.undecided import undecided
from alertlang.checks.unsettled import at_some_time
from alertlang.findings.finding import Finding, finding
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import TRUE, Term, negate
from alertlang.model import ruleset as m
from alertlang.text.source import Span

NAME = "constant-condition"


def check(context: Context) -> Iterator[Finding]:
    """Named conditions first, then contexts as they are written in statements."""
    ruleset = context.ruleset
    for condition in ruleset.conditions.values():
        encoder = at_some_time(context, *condition.parts) or context.encoder_for(*condition.parts)
        term = encoder.undelayed(condition.name)
        what, since = f"the condition {condition.name}", condition.set_after
        yield from _judge(context, term, what, condition.name, condition.span, True, since)
    for rule in ruleset.rules:
        for formula, what, never in (
            (rule.when, "this context", False),
            (rule.unless, "this `unless`", True),
        ):
            yield from _written(context, formula, what, rule.label, never, at_some_time(context, formula))
    for limit in ruleset.ranges:
        yield from _written(context, limit.when, "this context", limit.label, False, at_some_time(context, limit.when))
    # Claims and assumptions are about settled states alone.
    others: tuple[m.Claim | m.Assumption, ...] = (*ruleset.claims, *ruleset.assumptions)
    for statement in others:
        yield from _written(context, statement.when, "this context", statement.label, False)


def _written(
    context: Context, formula: m.Formula | None, what: str, label: str, never: bool, encoder: Encoder | None = None
) -> Iterator[Finding]:
    # A context that is just a name is judged where the name is defined.
    if formula is None or isinstance(formula, m.ConditionIs):
        return
    if isinstance(formula, m.Not) and isinstance(formula.part, m.ConditionIs):
        return
    encoder = encoder or context.encoder_for(formula)
    yield from _judge(context, encoder.formula(formula), what, label, formula.span, never)


def _judge(
    context: Context, term: Term, what: str, label: str, where: Span, never: bool, since: Fraction | None = None
) -> Iterator[Finding]:
    """`since`: what is always true becomes so only when it has been for so many seconds."""
    can_hold = context.is_satisfiable(term)
    can_fail = Answer.NO if term is TRUE else context.is_satisfiable(negate(term))
    if Answer.UNDECIDED in (can_hold, can_fail):
        yield undecided(NAME, where, None, (label,))
        return
    if can_fail is Answer.NO:
        word, cause_of = "always", negate(term)
    elif can_hold is Answer.NO and never:
        word, cause_of = "never", term
    else:
        return
    causes, because = context.causes(cause_of)
    start = f" from {m.in_seconds(since)} after the start on" if since and word == "always" else ""
    yield finding(
        NAME,
        f"{what} is {word} true{start}{because}: it decides nothing{' else' if start else ''}",
        where,
        statements=(label, *causes),
        advice=("check its numbers, units and its `and` and `or`",),
    )
