"""Fuel that cannot be used is not marked red.

## What it finds

A fuel quantity of which so much is unusable that the published rule asks for a red arc, and that is not red
at some reading between zero and that amount, whatever the context. The amount is told by a limit whose label
has the word `unusable`:

    unusable_fuel: limit fuel_quantity at least 1.5 gal, source HANDBOOK

The upper end of the quantity's range is taken as the capacity of the tank.

The rule is 14 CFR 25.1553, for rotorcraft 29.1553 (both read in reprints) and 27.1553 (read second hand, in
the edition of 1 January 2024); from which amendments on they read so is not known. 23.1553, for small
aeroplanes until 2017, was not read and cannot be followed here; from memory, it asks for the same. If the
unusable fuel is more than the greater of 1 US gallon and 5 % of the tank, a red arc goes from calibrated zero
up to the lowest reading that level flight gives. Exactly as much as that needs none. Where fuel is measured
by weight or in percent, a gallon cannot be compared and the 5 % alone decide, which asks for the arc too
often rather than too seldom.

Advice as a note where the amount is told; an error after `follow "14 CFR 25.1553"` (or 27.1553, 29.1553).
Then it is also an error if no limit of a fuel quantity is labelled so, or if the range of one does not begin
at zero or below.

## Why it matters

The last gallon that the gauge shows and the engine does not get is the one that people count on.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity fuel_quantity "Fuel quantity" from 0 to 21 gal, step 0.1 gal
    switch pump "Pump" off, on
    unusable_fuel: when pump is on limit fuel_quantity at least 1.5 gal, source NOTE
    when pump is on then fuel_quantity below 1.5 gal is red
    when pump is off then fuel_quantity below 1.5 gal is yellow
    fuel_quantity at least 1.5 gal is green

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity fuel_quantity "Fuel quantity" from 0 to 21 gal, step 0.1 gal
    unusable_fuel: limit fuel_quantity at least 1.5 gal, source NOTE
    fuel_quantity below 1.5 gal is red
    fuel_quantity at least 1.5 gal is green

## How it is decided

The amount is compared exactly. The solver is asked for a state in which the reading is below it and no red
band that shows at once covers it.

## What it cannot see

Whether the gauge was calibrated to read zero when only unusable fuel is left, which 25.1337(b)(1) and
23.1337(b)(1) (until 2017) ask for. The true capacity. Which reading level flight gives. Tanks that share a
gauge. Without `follow` it keeps quiet where another finding says the same. Nothing here says that a rule is
complied with: it is help in reading, and the approved documents decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.limits import named
from alertlang.checks.seek import Goal, said_by, seek, stretch_words
from alertlang.checks.standards import instruments, marks
from alertlang.checks.standards.published import asked, clauses, statement_for
from alertlang.checks.standards.say import marked_wrong, standard
from alertlang.findings.finding import Finding
from alertlang.logic.terms import both, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen, Sight
from alertlang.model import ruleset as m
from alertlang.units.number import say_value
from alertlang.units.unit import UNITS, convert

NAME = "missing-fuel-arc"
SAID_BY = frozenset({"unguarded-limit"})
SEEN = Seen(Sight.is_not_red)
RULE = clauses("14 CFR 25.1553", "14 CFR 29.1553", "14 CFR 27.1553")
# 25.1553: the greater of one gallon and 5 percent of the capacity, in own words.
_GALLONS = Fraction(1)
_SHARE = Fraction(5, 100)
_RED = marks.at_once(m.Colour.RED)


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at under a rule that is followed."""
    return name is not None and bool(asked(ruleset, RULE)) and bool(told(ruleset, name))


def told(ruleset: m.RuleSet, name: str) -> list[m.Range]:
    """The limits that tell how much of a quantity is unusable."""
    return [
        declared
        for declared in ruleset.ranges_by_quantity[name]
        if declared.kind is m.RangeKind.LIMIT
        and declared.region.kind.is_high
        and "unusable" in declared.label.split("_")
    ]


def threshold(quantity: m.Quantity) -> Fraction:
    """The unusable amount, in the unit of the quantity, above which the arc is asked for."""
    share = _SHARE * quantity.high
    if quantity.unit.dimension != "volume":
        return share
    return max(convert(_GALLONS, UNITS["gal"], quantity.unit), share)


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Unusable fuel of one quantity that can be anything but red."""
    ruleset = context.ruleset
    if ruleset.origin.kind == "profile":
        return
    quantity = ruleset.quantities[name]
    for declared in told(ruleset, name):
        # With an end that moves no amount is told.
        for amount in declared.region.numbers:
            if amount > threshold(quantity) and ruleset.bands_by_quantity[name]:
                yield from _not_red(context, declared, amount)


def _not_red(context: Context, declared: m.Range, amount: Fraction) -> Iterator[Finding]:
    name = declared.quantity
    quantity = context.ruleset.quantities[name]
    below = m.Region(m.RegionKind.BELOW, amount, span=declared.region.span)
    from_zero = m.Region(m.RegionKind.AT_LEAST, max(Fraction(0), quantity.low), span=declared.region.span)

    def goal(index: int | None) -> Goal:
        def confirm(instant: Instant) -> bool:
            inside = all(instant.is_in_region(name, index, region) for region in (below, from_zero))
            return inside and not marks.any_marked(instant, name, index, _RED)

        asked = both(
            context.encoder.in_region(name, index, below),
            context.encoder.in_region(name, index, from_zero),
            negate(marks.marks(context, name, index, _RED)),
        )
        return asked, confirm

    def tell(case: FaultCase, index: int | None, reading: str) -> Finding:
        where, rest = stretch_words(context, case, reading)
        number = say_value(amount, quantity.unit)
        return marked_wrong(
            context,
            NAME,
            RULE,
            f"{context.subject(reading)} {where} is not red, though {number} cannot be used by {named(declared)}{rest}",
            "with more unusable fuel than the greater of 1 gal and 5 % of the tank, a red arc from zero",
            declared,
            case,
            index,
            f"make {context.subject(reading)} below {number} red in every context",
        )

    bands = context.ruleset.bands_by_quantity[name]
    return seek(context, NAME, declared, goal, said_by(bands), tell, marks.widest)


def check(context: Context) -> Iterator[Finding]:
    """Under a rule that is followed: what it takes to look at it."""
    ruleset = context.ruleset
    follow = statement_for(ruleset, RULE)
    if follow is None or ruleset.origin.kind == "profile":
        return
    fuel = instruments.recognised(ruleset, instruments.FUEL)
    labelled = [name for name in ruleset.quantities if told(ruleset, name)]
    wants = "unusable fuel is marked red from zero where there is more of it than the rule allows"
    if not fuel and not labelled:
        names = ", ".join(instruments.FUEL.names)
        yield standard(
            ruleset,
            NAME,
            RULE,
            "no quantity is recognisable as a fuel quantity gauge",
            wants,
            follow.span,
            advice=(f"declare it, with one of these in its name or title: {names}",),
        )
    for name in dict.fromkeys((*fuel, *labelled)):
        quantity = ruleset.quantities[name]
        if name not in labelled:
            yield standard(
                ruleset,
                NAME,
                RULE,
                f"nothing says how much of {name} is unusable",
                wants,
                follow.span,
                quantity=name,
                advice=(f"write: unusable_fuel: limit {name} at least AMOUNT, source NAME",),
            )
        elif not ruleset.bands_by_quantity[name]:
            yield standard(ruleset, NAME, RULE, f"{name} has no band at all", wants, follow.span, quantity=name)
        if quantity.low > 0:
            low = say_value(quantity.low, quantity.unit)
            yield standard(
                ruleset,
                NAME,
                RULE,
                f"the range of {name} begins at {low}, so that it has no zero to mark from",
                wants,
                quantity.span,
                quantity=name,
                advice=("let the range begin at 0",),
            )
