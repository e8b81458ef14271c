"""A condition or a switch that nothing uses.

## What it finds

A condition that no statement reads, and a switch that no condition or statement reads.

## Why it matters

It may be left over, or a rule that was meant to read it is missing. A note, not a fault.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch canopy "Canopy" closed, open
    rpm at most 2750 is green
    rpm above 2750 is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch canopy "Canopy" closed, open
    rpm at most 2750 is green
    rpm above 2750 is red
    when canopy is open and rpm above 1500 then warning "CANOPY"

## How it is decided

By looking; no solver.

## What it cannot see

A quantity that nothing uses: profiles declare more than one aircraft has.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.findings.finding import Finding, finding
from alertlang.model import ruleset as m
from alertlang.model.expression import CurveOver, inputs

NAME = "unused"
NEEDS_STATE = False


def check(context: Context) -> Iterator[Finding]:
    """Conditions, lets, curves and switches without a reader."""
    ruleset = context.ruleset
    # A profile by itself declares for others to use.
    if ruleset.origin.kind == "profile":
        return
    read: set[str] = set(ruleset.quantities_read(*ruleset.formulas))
    about: tuple[m.Band | m.Range | m.Claim, ...] = (*ruleset.bands, *ruleset.ranges, *ruleset.claims)
    for statement in about:
        if statement.quantity is not None and statement.region is not None:
            read.update((statement.quantity, *(bound.quantity for bound in statement.region.moving)))
    for quantity in ruleset.quantities.values():
        if quantity.derived is not None:
            read |= set(inputs(quantity.derived))
    for formula in ruleset.formulas:
        for part in m.parts_of(formula):
            if isinstance(part, m.ConditionIs):
                read.add(part.name)
            elif isinstance(part, m.SwitchIs):
                read.add(part.switch)
    for condition in ruleset.conditions.values():
        if condition.name not in read:
            yield _finding(f"nothing uses the condition {condition.name}", condition.name, condition)
    for quantity in ruleset.quantities.values():
        if quantity.derived is not None and quantity.name not in read:
            kind = "curve" if isinstance(quantity.derived, CurveOver) else "let"
            yield _finding(f"nothing uses the {kind} {quantity.name}", quantity.name, quantity)
    for switch in ruleset.switches.values():
        if switch.name not in read:
            yield _finding(f"nothing uses the switch {switch.name}", switch.name, switch)


def _finding(message: str, name: str, node: m.Condition | m.Switch | m.Quantity) -> Finding:
    return finding(
        NAME,
        message,
        node.span,
        statements=(name,),
        advice=("use it, or take it out",),
    )
