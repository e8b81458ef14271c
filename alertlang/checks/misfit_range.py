"""The ranges and limits of one file do not fit together.

## What it finds

Statements of one quantity in one file that contradict each other, where the one holds whenever the
other does:

- a normal range that reaches past a limit, into a precaution by more than its edge, or across the end of
  a range to avoid;
- a precaution of which every value breaks a limit, so that its yellow never counts;
- two limits that leave no value allowed;
- a limit or a range to avoid that holds only where its own quantity has values that do not break it.

## Why it matters

A limits page has no such contradictions: one of the numbers was copied wrong, or one of the contexts.
Rules that are made from such a profile are wrong from the start, and no band of theirs can put it right.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    limit oil_temp at most 240 F, source NOTE
    normal oil_temp from 100 to 245 F, source NOTE
    oil_temp at most 240 F is green
    oil_temp above 240 F is red

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    limit oil_temp at most 240 F, source NOTE
    normal oil_temp from 100 to 240 F, source NOTE
    oil_temp at most 240 F is green
    oil_temp above 240 F is red

## How it is decided

Exact arithmetic on the numbers. Where they do not fit, the solver is asked whether the one statement can
hold without the other, and for the last kind whether the limit can be broken at all.

## What it cannot see

Statements of different files: an aircraft may be held tighter than its engine. Limits with `except for`,
whose values are allowed for a while. Contexts that only partly overlap. A range to avoid that lies inside
a normal one is taken as meant. Where an end moves, only what is so wherever it is.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.limits import named, violation
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, finding
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.units.interval import IntervalSet

NAME = "misfit-range"


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether a quantity has limits or ranges."""
    return name is not None and bool(ruleset.ranges_by_quantity[name])


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Pairs of statements of one quantity that do not fit, then limits that nothing can break."""
    ranges = context.ruleset.ranges_by_quantity[name]
    for declared in ranges:
        for other in ranges:
            if declared is other or declared.origin != other.origin:
                continue
            if declared.index is not None and other.index is not None and declared.index != other.index:
                continue
            said = _misfit(context, declared, other)
            if said is not None:
                yield from _judged(context, declared, other, said)
    for declared in ranges:
        yield from _never_broken(context, declared)


def _misfit(context: Context, declared: m.Range, other: m.Range) -> tuple[str, IntervalSet] | None:
    """What is wrong with `one` beside `other` if `other` holds too, and for which values."""
    if other.except_for is not None:
        return None
    values = IntervalSet.of(context.ruleset.quantities[declared.quantity].range).intersect(declared.region.certain)
    if declared.kind is m.RangeKind.NORMAL:
        if other.kind is m.RangeKind.LIMIT:
            past = values.subtract(other.region.values)
            return None if past.is_empty else (f"reaches past {named(other)}", past)
        if other.kind is m.RangeKind.PRECAUTION:
            past = values.intersect(other.region.certain)
            return None if past.interior().is_empty else (f"overlaps {named(other)}", past)
        if other.kind is m.RangeKind.AVOID:
            past = values.intersect(other.region.certain)
            inside = other.region.certain.is_subset(values.interior())
            return None if past.interior().is_empty or inside else (f"runs into {named(other)}", past)
    if declared.kind is m.RangeKind.PRECAUTION and other.forbids and not values.is_empty:
        broken = other.region.certain if other.kind is m.RangeKind.AVOID else other.region.values.complement()
        if values.is_subset(broken):
            return f"never counts beside {named(other)}", values
    if declared.kind == other.kind is m.RangeKind.LIMIT and declared.except_for is None:
        if declared.when == other.when and declared.span.line > other.span.line:
            return None  # said of the first of the two
        if declared.region.values.intersect(other.region.values).is_empty:
            sensor = IntervalSet.of(context.ruleset.quantities[declared.quantity].range)
            return f"leaves no value allowed beside {named(other)}", sensor
    return None


def _judged(context: Context, declared: m.Range, other: m.Range, said: tuple[str, IntervalSet]) -> Iterator[Finding]:
    encoder = context.encoder
    if context.in_context(declared) is Answer.NO:
        return  # vacuous says so
    apart = context.is_satisfiable(both(encoder.given(declared), negate(encoder.given(other))))
    if apart is Answer.UNDECIDED:
        yield undecided(NAME, declared.span, declared.quantity, (other.label,), declared.label)
        return
    if apart is Answer.YES:
        return
    what, values = said
    where = ", ".join(context.words.stretch(declared.quantity, part) for part in values)
    yield finding(
        NAME,
        f"{named(declared)} {what}: {declared.quantity} {where}",
        declared.span,
        quantity=declared.quantity,
        statements=(declared.label, other.label),
        limit=declared.label,
        advice=("one of the two has a wrong number or a wrong context: look both up in their sources",),
    )


def _never_broken(context: Context, declared: m.Range) -> Iterator[Finding]:
    """A limit whose context looks at its own quantity and leaves nothing that breaks it."""
    if not declared.forbids or declared.quantity not in context.ruleset.quantities_read(declared.when):
        return
    if violation(context, declared).is_empty or context.in_context(declared) is not Answer.YES:
        return  # short-sensor and vacuous say so
    elements = context.elements(declared.quantity, declared.index)
    answer = context.is_satisfiable(disjunction(context.encoder.violated(declared, index) for index, _ in elements))
    if answer is Answer.YES:
        return
    if answer is Answer.UNDECIDED:
        yield undecided(NAME, declared.span, declared.quantity, (declared.label,), declared.label)
        return
    yield finding(
        NAME,
        f"{named(declared)} can never be broken: where it holds, {declared.quantity} has no value that breaks it",
        declared.span,
        quantity=declared.quantity,
        statements=(declared.label,),
        limit=declared.label,
        advice=("check its numbers and its `when`",),
    )
