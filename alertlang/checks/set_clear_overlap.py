"""The set part and the clear part of a condition can hold together.

## What it finds

A condition with `until` and a state in which the part that sets it and the part that clears it both hold. A
single point counts: between `at most 120` and `until ... at least 120` the value 120 does both.

## Why it matters

The two parts are there so that the condition has a memory between them. Where both hold there is nothing to
remember: setting wins, so what is written after `until` is not what ends it. Mostly the two numbers were
exchanged, or one of them belongs to another aircraft.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    condition cold means oil_temp below 125 F until oil_temp above 120 F
    rpm at most 2750 is green
    rpm above 2750 is red
    when cold then rpm above 2000 is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    condition cold means oil_temp below 120 F until oil_temp above 125 F
    rpm at most 2750 is green
    rpm above 2750 is red
    when cold then rpm above 2000 is red

## How it is decided

The solver is asked for a state in which both parts hold. None is a proof that they never do.

## What it cannot see

Parts that follow each other so closely that the condition comes and goes with the noise of the sensor.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.suggest import spliced
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Suggestion, finding
from alertlang.logic.encode import Encoder
from alertlang.logic.terms import both
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen, Sight
from alertlang.model import ruleset as m
from alertlang.units.interval import IntervalSet

NAME = "set-clear-overlap"


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether some condition has two parts."""
    return any(condition.until is not None for condition in ruleset.conditions.values())


def check(context: Context) -> Iterator[Finding]:
    """Conditions with `until`, in the order of declaration."""
    for condition in context.ruleset.conditions.values():
        if condition.until is not None:
            yield from _judge(context, condition, condition.until)


def _judge(context: Context, condition: m.Condition, clear: m.Formula) -> Iterator[Finding]:
    encoder = context.encoder_for(*condition.parts)
    goal = both(encoder.formula(condition.formula), encoder.formula(clear))

    def confirm(instant: Instant) -> bool:
        told = instant.in_mode(encoder.mode)
        return told.is_possible() and told.holds(condition.formula) and told.holds(clear)

    primary = _spoken_of(context, encoder, condition.formula, clear)
    cases = context.cases(goal, confirm, primary=primary, formulas=condition.parts, most=1)
    for case in cases.found:
        yield _finding(context, condition, clear, primary, case)
    if cases.undecided:
        yield undecided(NAME, clear.span, None, (condition.name,))


def _spoken_of(context: Context, encoder: Encoder, formula: m.Formula, other: m.Formula) -> str | None:
    """The first reading that both parts speak of; where there is none, that either does."""
    names = encoder.names
    reads = (encoder.formula(formula).reads, encoder.formula(other).reads)
    for some in (reads[0] & reads[1], reads[0] | reads[1]):
        readings = [n for n in some if n not in names.flags and not encoder.is_switch(n) and names.is_written(n)]
        if readings:
            return context.in_order(readings, None)[0]
    return None


def _finding(
    context: Context, condition: m.Condition, clear: m.Formula, primary: str | None, case: FaultCase
) -> Finding:
    where = ""
    if primary is not None:
        where = f", {primary} {context.words.stretch(primary, case.reach(primary))}"
    rest = context.words.whenever(case.region, primary)
    return finding(
        NAME,
        f"the set part and the clear part of {condition.name} can hold together{where}{rest}",
        clear.span,
        statements=(condition.name,),
        witness=case.witness,
        region=case.region,
        suggestion=_narrowed(context, condition, clear),
        advice=(
            f"setting wins there, so {condition.name} stays true",
            "leave a stretch between the two parts, or none at all: where neither holds, it stays as it was",
        ),
    )


def _narrowed(context: Context, condition: m.Condition, clear: m.Formula) -> Suggestion | None:
    """The condition with a clear part that leaves out what sets it, where both are plain regions of the same reading or
    array and what is left can be written exactly."""
    sets = condition.formula
    if (
        not isinstance(sets, m.Compare)
        or not isinstance(clear, m.Compare)
        or sets.region.is_failed
        or clear.region.is_failed
    ):
        return None
    # With `any` twice one element may set and another one clear, whatever the regions.
    same = (sets.quantity, sets.index, sets.size) == (clear.quantity, clear.index, clear.size)
    same = same and (clear.size is None or "every" in {sets.quantifier, clear.quantifier})
    subject = f"{clear.quantifier} {clear.quantity}" if clear.size else m.variable(clear.quantity, clear.index)
    if not same or sets.region.moves or clear.region.moves:
        return None
    sensor = context.ruleset.quantities[sets.quantity].range
    left = clear.region.values.intersect(IntervalSet.of(sensor)).subtract(sets.region.values)
    if len(left.parts) != 1:
        return None
    part = left.parts[0]
    starts = part.low == sensor.low and part.low_included
    stops = part.high == sensor.high and part.high_included
    if starts == stops and not (part.low_included and part.high_included):
        # `from ... to` takes its ends in.
        return None
    return spliced(condition.span, clear.span, f"{subject} {context.words.region_text(clear.quantity, part)}")


def _is_seen(at: Sight) -> bool:
    condition = at.rules.conditions[at.finding.statements[0]]
    return condition.until is not None and at.look.holds(condition.formula) and at.look.holds(condition.until)


SEEN = Seen(_is_seen)
