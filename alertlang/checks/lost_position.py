"""A switch on one wire, of whose other positions the rules read one.

## What it finds

A switch with three or more positions that is `wired to` ground or supply at one of them, while a condition,
context, alert, limit, assumption or claim reads another one by itself.

## Why it matters

One wire tells one position from all others together. The display cannot tell the others apart: what was
proved of `flaps is landing` is then true of no box that is wired so, and an alert or an inhibit that reads it
never comes, or always does.

## Example

    rules "example" version 1
    quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt
    switch flaps up, takeoff, landing
    airspeed at most 100 is green
    when not flaps is landing then airspeed above 100 is green
    when flaps is landing then airspeed above 100 is red with warning "FLAPS SPEED"
    input flaps labelled "FLAPS", wired to ground when up

## Corrected

    rules "example" version 1
    quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt
    switch flaps up, takeoff, landing
    airspeed at most 100 is green
    when not flaps is landing then airspeed above 100 is green
    when flaps is landing then airspeed above 100 is red with warning "FLAPS SPEED"
    input flaps labelled "FLAPS", wired to ground when landing

## How it is decided

By comparing the positions that are read with the one that is wired; no solver. Where all other positions are
asked for together (`flaps is takeoff or flaps is landing`), that is just what the wire tells.

## What it cannot see

Whether a display has further inputs for the same switch, or reads it by a voltage: then leave `wired to` out.
Other ways of asking for all other positions at once.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.findings.finding import Finding, finding
from alertlang.model import ruleset as m
from alertlang.text.lists import listed

NAME = "lost-position"
NEEDS_STATE = False


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is a switch of which one wire cannot tell all."""
    return bool(_single_wires(ruleset))


def check(context: Context) -> Iterator[Finding]:
    """One finding for each input, on the positions that are read and cannot be told."""
    ruleset = context.ruleset
    for button in _single_wires(ruleset):
        others = [p for p in ruleset.switches[button.switch].positions if p != button.position]
        read = {p for formula in ruleset.formulas for p in _alone(formula, button.switch, frozenset(others))}
        lost = [position for position in others if position in read]
        if lost:
            yield finding(
                NAME,
                f"one wire tells {button.switch} {button.position} from the rest, but does not tell {listed(others)} "
                "apart, "
                f"and the rules read {listed(lost)}",
                button.span,
                statements=(button.switch,),
                advice=(
                    f"wire it at {lost[0]}, if that is the only position that is read"
                    if button.position not in _read(ruleset, button.switch) and len(lost) == 1
                    else "give each position that is read a wire of its own: a switch of two positions with its input",
                    "if the display can tell all positions, leave `wired to` out",
                ),
            )


def _single_wires(ruleset: m.RuleSet) -> list[m.PanelInput]:
    return [
        button
        for button in ruleset.inputs
        if button.position is not None and len(ruleset.switches[button.switch].positions) > 2
    ]


def _read(ruleset: m.RuleSet, switch: str) -> set[str]:
    parts = (part for formula in ruleset.formulas for part in m.parts_of(formula))
    return {part.position for part in parts if isinstance(part, m.SwitchIs) and part.switch == switch}


def _alone(formula: m.Formula, switch: str, others: frozenset[str]) -> set[str]:
    """The positions among `others` for which a formula asks otherwise than for all of them together."""
    parts = m.parts_of(formula)
    together: set[int] = set()
    for one in parts:
        if isinstance(one, m.Or | m.And):
            asked = [
                part
                for part in one.parts
                # Any of them, or none of them.
                if isinstance(part, m.SwitchIs) and part.switch == switch and part.negated is isinstance(one, m.And)
            ]
            if others <= {part.position for part in asked}:
                together |= {id(part) for part in asked}
    return {
        part.position
        for part in parts
        if isinstance(part, m.SwitchIs)
        and part.switch == switch
        and part.position in others
        and id(part) not in together
    }
