"""An alert that no state can raise.

## What it finds

An alert on its own whose condition can never hold (`unless` included), and a band with an alert that can
never apply.

## Why it matters

Whoever wrote it relies on being told.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch canopy "Canopy" closed, open
    rpm from 0 to 3500 is green
    when canopy is open and canopy is closed then warning "CANOPY"

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch canopy "Canopy" closed, open
    rpm from 0 to 3500 is green
    when canopy is open and rpm above 1500 then warning "CANOPY"

## How it is decided

The solver is asked for a state in which the alert is up, also one in which delayed conditions have not
settled (unless the alert waits longer than they take). If there is none, the smallest set of assumptions that
rules it out is named.

## What it cannot see

A band that applies but is masked by a worse colour: its alert is up all the same.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.undecided import undecided
from alertlang.checks.unsettled import at_some_time
from alertlang.findings.finding import Finding, finding
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, disjunction
from alertlang.model import ruleset as m

NAME = "dead-alert"


def check(context: Context) -> Iterator[Finding]:
    """Alerts of bands and alerts on their own."""
    for rule in context.ruleset.rules:
        if rule.alert is None:
            continue
        if context.kept.get(("shows", rule.label)):
            # Its band can show, so its alert can come up.
            continue
        up = _up(context, rule, None)
        answer = context.is_satisfiable(up)
        if answer is Answer.NO:
            # It may come up while its conditions settle, and however long it waits: they may go on changing in turn.
            meanwhile = at_some_time(context, rule.when, rule.unless)
            if meanwhile is not None:
                up = _up(context, rule, meanwhile)
                answer = context.is_satisfiable(up)
        if answer is Answer.YES:
            continue
        quantity = rule.quantity if isinstance(rule, m.Band) else None
        if answer is Answer.UNDECIDED:
            yield undecided(NAME, rule.span, quantity, (rule.label,))
            continue
        causes, because = context.causes(up)
        clause = rule.node.alert
        assert clause is not None
        yield finding(
            NAME,
            f'the {rule.alert.level.word} "{rule.alert.text}" can never come up{because}',
            clause.span,
            quantity=quantity,
            statements=(rule.label, *causes),
            advice=("take it out, or mend the condition that can never hold",),
        )


def _up(context: Context, rule: m.Rule, encoder: Encoder | None) -> Term:
    failing: frozenset[str] = frozenset()
    if isinstance(rule, m.Band) and rule.region.is_failed:
        quantities = context.ruleset.sensors_of(rule.quantity)
        failing = frozenset(m.variable(q, i) for q in quantities for i in context.ruleset.quantities[q].indexes)
    encoder = encoder or context.encoder_for(rule.when, rule.unless, failing=failing)
    if isinstance(rule, m.Alert):
        return encoder.context(rule)
    return disjunction(encoder.applies(rule, index) for index, _ in context.elements(rule.quantity, rule.index))
