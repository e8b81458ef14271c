"""The arcs of the airspeed indicator are not at the maximum weight.

## What it finds

Arcs that the profile says are at another weight than the maximum (`maximum weight 1310 kg, arcs at 1200 kg`);
and, where a stall speed is told (VS1 or VS0, by their labels, see wrong-airspeed-arc), only one of the two
weights said. After `follow`, also a stall speed that is told and no weight said at all.

The rule is 14 CFR 23.1545(b)(3) and (4) for small aeroplanes, read in an edition of the 1960s; since 2017
Part 23 no longer has it, and from which amendment to which the text read held is not known: green begins at
VS1 and white at VS0, both at maximum weight. From memory: a later (d) left out aeroplanes with a VMO.

Advice as a note; an error after `follow "14 CFR 23.1545"` (or one of the two paragraphs).

## Why it matters

A stall speed goes with the root of the weight. Ends of arcs that were taken at a lighter weight, or from the
handbook of the model before the weight was raised, promise some knots that are not there.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt
    maximum weight 1310 kg, arcs at 1200 kg, source NOTE
    vs1: normal airspeed from 46 to 120 kt, source NOTE
    airspeed below 46 kt is unmarked
    airspeed from 46 to 120 kt is green
    airspeed above 120 kt is yellow

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt
    maximum weight 1310 kg, arcs at 1310 kg, source NOTE
    vs1: normal airspeed from 48 to 120 kt, source NOTE
    airspeed below 48 kt is unmarked
    airspeed from 48 to 120 kt is green
    airspeed above 120 kt is yellow

## How it is decided

The two weights are compared exactly, in kilograms; no solver.

## What it cannot see

Whether the speeds are those of the weight that is said. Several maximum weights (takeoff, landing,
categories): the rule has one. Which speeds of a twin go with the weight. Whether the aeroplane is one that a
later text left out. Nothing here says that a rule is complied with: it is help in reading, and the approved
documents decide."""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.standards import speeds
from alertlang.checks.standards.published import Clause, asked, statement_for
from alertlang.checks.standards.say import standard
from alertlang.checks.standards.speeds import CLEAN_STALL, LANDING_STALL, ToldSpeed
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m
from alertlang.text.lists import listed

NAME = "arc-weight"
RULE = (*speeds.rule_of(CLEAN_STALL), *speeds.rule_of(LANDING_STALL))


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at under a rule that is followed."""
    return bool(asked(ruleset, RULE)) and bool(ruleset.weights or _stall_speeds(ruleset))


def check(context: Context) -> Iterator[Finding]:
    """One finding at most: there is one aircraft."""
    ruleset = context.ruleset
    maximum, arcs = ruleset.maximum_weight, ruleset.arc_weight
    told = _stall_speeds(ruleset)
    rule = tuple(dict.fromkeys(clause for speed in told for clause in speeds.rule_of(speed.speed))) or RULE
    if maximum is not None and arcs is not None:
        if arcs.in_kilograms != maximum.in_kilograms:
            fact = f"the arcs are at {arcs.in_words}, and the maximum weight is {maximum.in_words}"
            yield _finding(ruleset, rule, told, fact, "take the stall speeds at the maximum weight")
    elif told and (ruleset.weights or asked(ruleset, rule)):
        speeds_told = listed(dict.fromkeys(speed.speed.name for speed in told))
        if arcs is not None:
            unknown = f"at {arcs.in_words}, and nothing says what the maximum weight is"
        elif maximum is not None:
            unknown = f"told, and nothing says at which weight; the maximum is {maximum.in_words}"
        else:
            unknown = "told, and nothing says at which weight"
        fact = f"{speeds_told} {'is' if speeds_told in {'VS1', 'VS0'} else 'are'} {unknown}"
        way_out = "say both in the profile or here, for example: maximum weight 1310 kg, arcs at 1310 kg, source NAME"
        yield _finding(ruleset, rule, told, fact, way_out)


def _stall_speeds(ruleset: m.RuleSet) -> list[ToldSpeed]:
    stall = (CLEAN_STALL, LANDING_STALL)
    return [speed for name in ruleset.quantities for speed in speeds.told(ruleset, name) if speed.speed in stall]


def _finding(ruleset: m.RuleSet, rule: tuple[Clause, ...], told: list[ToldSpeed], fact: str, way_out: str) -> Finding:
    follow = statement_for(ruleset, rule)
    where = ruleset.weights[-1] if ruleset.weights else follow
    assert where is not None
    return standard(
        ruleset,
        NAME,
        rule,
        fact,
        "the stall speeds at which green and white begin are those at maximum weight",
        where.span,
        quantity=told[0].one.quantity if told else None,
        statements=tuple(speed.one.label for speed in told),
        advice=(way_out,),
    )
