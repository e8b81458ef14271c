"""A speed range that is restricted is not red from the first moment.

## What it finds

A range to `avoid` on a rotational speed (a quantity in rpm) that may be passed through (`except for`) and is
not red while it is. After `follow`, also one without `except for` that is not red, which unguarded-limit
reports as well.

The rule is 14 CFR 25.1549(d) since Amdt 25-40 (1977-03-17): each speed range of engine or propeller that is
restricted because of vibration has red arcs or lines; for small rotorcraft 27.1549(d), engine or rotor, since
Amdt 27-29 (1994-09-16; since Amdt 27-51 in other words). Both texts were read in reprints. 23.1549(d), for
small aeroplanes until 2017, was not read and is taken to say the same, from memory; from which amendment on
is not known.

Advice as a note; an error after `follow "14 CFR 25.1549"` (or 27.1549, 23.1549, or only the paragraph).

## Why it matters

The mark is there so that the pilot sees the range before the needle is in it. A red that comes ten seconds
later only says that it was too long.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    vibration: avoid rpm from 2000 to 2150 rpm except for 10 s, source NOTE
    limit rpm at most 2750 rpm, source NOTE
    rpm at most 2000 is green
    rpm from 2000 to 2150 is yellow
    rpm from 2150 to 2750 is green
    rpm from 2000 to 2150 for more than 10 s is red
    rpm above 2750 is red

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    vibration: avoid rpm from 2000 to 2150 rpm except for 10 s, source NOTE
    limit rpm at most 2750 rpm, source NOTE
    rpm at most 2000 is green
    rpm from 2000 to 2150 is red
    rpm from 2150 to 2750 is green
    rpm above 2750 is red

## How it is decided

The solver is asked for a state in which the speed is in the range and no red band that shows at once covers
it.

## What it cannot see

Why the range is restricted. A restricted range of another quantity, or of a speed told in percent. Without
`follow` it keeps quiet where another finding says the same. Nothing here says that a rule is complied with:
it is help in reading, and the approved documents decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.limits import named
from alertlang.checks.seek import Goal, said_by, seek, stretch_words
from alertlang.checks.standards import marks
from alertlang.checks.standards.published import asked, clauses
from alertlang.checks.standards.say import marked_wrong
from alertlang.findings.finding import Finding
from alertlang.logic.terms import both, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m

NAME = "restricted-not-red"
SAID_BY = frozenset({"unguarded-limit"})
SEEN = Seen(lambda at: at.outside and at.is_not_red())
RULE = clauses("14 CFR 25.1549(d)", "14 CFR 27.1549(d)", "14 CFR 23.1549(d)")
_RED = marks.at_once(m.Colour.RED)


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at under a rule that is followed."""
    return name is not None and bool(asked(ruleset, RULE)) and bool(_restricted(ruleset, name))


def _restricted(ruleset: m.RuleSet, name: str) -> list[m.Range]:
    if ruleset.quantities[name].unit.dimension != "rotational speed" or not ruleset.bands_by_quantity[name]:
        return []
    return [declared for declared in ruleset.ranges_by_quantity[name] if declared.kind is m.RangeKind.AVOID]


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Restricted ranges of one speed that are not red."""
    followed = bool(asked(context.ruleset, RULE))
    for declared in _restricted(context.ruleset, name):
        if declared.except_for is not None or followed:
            yield from _not_red(context, declared)


def _not_red(context: Context, declared: m.Range) -> Iterator[Finding]:
    name = declared.quantity

    def goal(index: int | None) -> Goal:
        def confirm(instant: Instant) -> bool:
            return instant.is_in(declared, index) and not marks.any_marked(instant, name, index, _RED)

        return both(context.encoder.inside(declared, index), negate(marks.marks(context, name, index, _RED))), confirm

    def tell(case: FaultCase, index: int | None, reading: str) -> Finding:
        where, rest = stretch_words(context, case, reading)
        return marked_wrong(
            context,
            NAME,
            RULE,
            f"{context.subject(reading)} {where} lies in {named(declared)} and is not red from the first moment{rest}",
            "restricted speed ranges have red arcs",
            declared,
            case,
            index,
            "make this stretch red, and hold back the alert alone with `after`",
        )

    bands = context.ruleset.bands_by_quantity[name]
    return seek(context, NAME, declared, goal, said_by(bands, declared.when), tell, marks.widest)
