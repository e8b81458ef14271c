"""One text stands for two things.

## What it finds

Alerts with the same text that differ in level, or in what they are about: another quantity, the other end of
the same quantity, or other things read by the condition of an alert on its own.

## Why it matters

A pilot who reads the text cannot tell which of the two it is, and acts on the likelier one.

## Example

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    oil_temp at most 225 is green
    oil_temp above 225 is red with warning "OIL"
    oil_pressure at least 25 is green
    oil_pressure below 25 is red with warning "OIL"

## Corrected

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    oil_temp at most 225 is green
    oil_temp above 225 is red with warning "OIL TEMP"
    oil_pressure at least 25 is green
    oil_pressure below 25 is red with warning "OIL PRESS"

## How it is decided

By comparing texts, levels and subjects; no solver.

## What it cannot see

Two texts that differ and mean the same, or look the same on a small screen.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.findings.finding import Finding, finding
from alertlang.model import ruleset as m

NAME = "same-text"
OF_TWO = True
NEEDS_STATE = False


def check(context: Context) -> Iterator[Finding]:
    """Each text that is used again for something else, at its second use."""
    first: dict[str, m.Rule] = {}
    for rule in context.ruleset.rules:
        if rule.alert is None:
            continue
        text = rule.alert.text
        other = first.setdefault(text, rule)
        if other is rule:
            continue
        assert other.alert is not None
        if other.alert.level is not rule.alert.level:
            what = f"is a {other.alert.level.word} in {other.label} and a {rule.alert.level.word} here"
        elif _subject(context, other) != _subject(context, rule):
            what = f"is about something else in {other.label}"
        elif _opposite(other, rule):
            what = f"is about the other end of the same quantity in {other.label}"
        else:
            continue
        clause = rule.node.alert
        assert clause is not None
        yield finding(
            NAME,
            f'the text "{text}" {what} (line {other.span.line})',
            clause.text.span,
            quantity=rule.quantity if isinstance(rule, m.Band) else None,
            statements=(rule.label, other.label),
            advice=("give each its own words",),
        )


def _subject(context: Context, rule: m.Rule) -> frozenset[str]:
    if isinstance(rule, m.Band):
        return frozenset((rule.quantity,))
    ruleset = context.ruleset
    return ruleset.quantities_read(rule.when) | ruleset.switches_read(rule.when)


def _opposite(rule: m.Rule, other: m.Rule) -> bool:
    if not isinstance(rule, m.Band) or not isinstance(other, m.Band):
        return False
    kind, another = rule.region.kind, other.region.kind
    return (kind.is_low and another.is_high) or (kind.is_high and another.is_low)
