"""A limit has no red mark that begins at its value.

## What it finds

A limit for which, in some context in which it holds and is the tightest, no red band begins exactly at its
value: red begins earlier, or where another limit would have it.

The rule is 14 CFR 25.1549(a) since Amdt 25-40 (1977-03-17), for small rotorcraft 27.1549(a) since Amdt 27-29
(1994-09-16; since Amdt 27-51 in other words): each maximum, and where there is one each minimum, safe
operating limit has a red line. Both texts were read in reprints. 23.1549(a), for small aeroplanes until 2017,
was not read and is taken to say the same, from memory; from which amendment on is not known.

Advice as a note; an error after `follow "14 CFR 25.1549"` (or 27.1549, 23.1549, or only the paragraph).

## Why it matters

A red that begins early is on the safe side, and still wrong as a mark: the pilot who needs the last of the
power cannot see where the limit is, and learns that red is not meant seriously.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2750 rpm, source NOTE
    rpm at most 2700 is green
    rpm above 2700 is red

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2750 rpm, source NOTE
    rpm at most 2750 is green
    rpm above 2750 is red

## How it is decided

The ends of the red bands are compared with the limit's number. The solver is asked for a state in which the
reading is at the limit, the limit holds, no other limit is broken, and no band with that end has its context.
Whether red holds its own number (`above 2750`, `at least 2750`) makes no difference: the rule does not say
who owns the edge.

## What it cannot see

Limits with `except for`: what they allow for a time is a takeoff range, see takeoff-not-yellow. A limit whose
end is a `let` or a `curve`. A quantity without bands: see unwatched-quantity. How wide a line is. Without
`follow` it keeps quiet where another finding says the same. Nothing here says that a rule is complied with:
it is help in reading, and the approved documents decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.checks.limits import named, violation
from alertlang.checks.seek import said_by
from alertlang.checks.standards import marks
from alertlang.checks.standards.published import Clause, asked, clauses
from alertlang.checks.standards.say import standard
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding
from alertlang.logic.terms import both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.units.number import say_value

NAME = "unmarked-limit"
SAID_BY = frozenset({"unguarded-limit"})
RULE = clauses("14 CFR 25.1549(a)", "14 CFR 27.1549(a)", "14 CFR 23.1549(a)")


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at under a rule that is followed."""
    if name is None or not asked(ruleset, RULE) or not ruleset.bands_by_quantity[name]:
        return False
    return any(
        declared.kind is m.RangeKind.LIMIT and declared.except_for is None
        for declared in ruleset.ranges_by_quantity[name]
    )


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Limits of one quantity without a red mark at their value."""
    if not context.ruleset.bands_by_quantity[name]:
        return
    for declared in context.ruleset.ranges_by_quantity[name]:
        if declared.kind is m.RangeKind.LIMIT and declared.except_for is None:
            yield from without_mark(context, declared, NAME, RULE, "each safe operating limit has a red line")


def without_mark(
    context: Context, declared: m.Range, check: str, rule: tuple[Clause, ...], wants: str
) -> Iterator[Finding]:
    """A limit each end of which should have a red mark: what is said where it has none."""
    for value in declared.region.numbers:
        for upwards in (True, False):
            if any((p.low if upwards else p.high) == value for p in violation(context, declared)):
                yield from _at(context, declared, value, upwards, check, rule, wants)


def _at(
    context: Context,
    declared: m.Range,
    value: Fraction,
    upwards: bool,
    check: str,
    rule: tuple[Clause, ...],
    wants: str,
) -> Iterator[Finding]:
    name = declared.quantity
    encoder = context.encoder
    reds = [band for band in context.ruleset.bands_by_quantity[name] if band.colour is m.Colour.RED]
    at_value = m.Region(m.RegionKind.WITHIN, value, value, span=declared.region.span)
    for index, reading in context.elements(name, declared.index):
        there = [band for band in reds if band.index in {None, index} and _begins(band, value, upwards)]
        # Where a mark has the limit's own context there is nothing to ask.
        if any(band.unless is None and band.when in {None, declared.when} for band in there):
            continue
        # What a tighter limit allows for a time is no reason to leave this one unmarked.
        tighter = [
            other
            for other in marks.others(context, declared, index, *marks.FORBIDDING)
            if other.kind is m.RangeKind.AVOID or other.except_for is None
        ]
        goal = both(
            encoder.in_region(name, index, at_value),
            encoder.given(declared),
            negate(disjunction(context.encoder.violated(other, index) for other in tighter)),
            negate(disjunction(encoder.context(band) for band in there)),
        )

        def confirm(
            instant: Instant,
            index: int | None = index,
            there: list[m.Band] = there,
            tighter: list[m.Range] = tighter,
        ) -> bool:
            return (
                instant.is_in_region(name, index, at_value)
                and instant.holds(declared.when)
                and not any(instant.violates(other, index) for other in tighter)
                and not any(instant.in_context(band) for band in there)
            )

        formulas = said_by(tuple(there), declared.when)
        cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=4)
        for case in marks.widest(cases, reading):
            rest = context.words.whenever(case.region, reading)
            begins = "begins" if upwards else "ends"
            number = say_value(value, context.ruleset.quantities[name].unit)
            at_fault = _nearest(reds, index) or context.ruleset.bands_by_quantity[name][0]
            yield standard(
                context.ruleset,
                check,
                rule,
                f"no red on {context.subject(reading)} {begins} at {number}, the value of {named(declared)}{rest}",
                wants,
                at_fault.span,
                quantity=name,
                statements=(at_fault.label,),
                limit=declared.label,
                case=case,
                advice=(f"let a red band {begins.removesuffix('s')} at {number}",),
            )
        if cases.undecided:
            yield undecided(check, declared.span, name, (), declared.label)


def _begins(band: m.Band, value: Fraction, upwards: bool) -> bool:
    """Whether the values of a band begin (for a lower limit: end) at a number."""
    return any((part.low if upwards else part.high) == value for part in band.region.certain)


def _nearest(reds: list[m.Band], index: int | None) -> m.Band | None:
    return next((band for band in reds if band.index in {None, index}), None)
