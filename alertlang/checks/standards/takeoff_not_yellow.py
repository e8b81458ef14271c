"""A takeoff or precautionary range is not yellow.

## What it finds

Values that a limit allows only for a time (`except for`) and that show calmer than yellow while that time
runs. After `follow`, also precaution ranges that can show calmer than yellow, which unmarked-precaution
reports as well.

The rule is 14 CFR 25.1549(c) since Amdt 25-40 (1977-03-17), for small rotorcraft 27.1549(c) since Amdt 27-29
(1994-09-16; since Amdt 27-51 in other words): each takeoff and each precautionary range has a yellow arc or
line. Both texts were read in reprints. 23.1549(c), for small aeroplanes until 2017, was not read and is taken
to say the same, from memory; from which amendment on is not known. That a limit with `except for` is such a
range is our reading: a textbook gloss on yellow is "limited in time or by a condition".

Advice as a note; an error after `follow "14 CFR 25.1549"` (or 27.1549, 23.1549, or only the paragraph).

## Why it matters

Takeoff power for five minutes is green for five minutes and then red. Nothing tells the pilot that a clock is
running until it has run out.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2550 rpm except for 5 min, source NOTE
    limit rpm at most 2750 rpm, source NOTE
    rpm at most 2750 is green
    rpm above 2750 is red
    when rpm above 2550 rpm then rpm above 2550 rpm for more than 5 min is red

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2550 rpm except for 5 min, source NOTE
    limit rpm at most 2750 rpm, source NOTE
    rpm at most 2550 is green
    rpm from 2550 to 2750 is yellow
    rpm above 2550 for more than 5 min is red
    rpm above 2750 is red

## How it is decided

The solver is asked for a state in which the value breaks the limit with `except for`, keeps all limits
without, and is covered by no yellow or red band that shows at once.

## What it cannot see

A takeoff range that the profile states in no way. Ranges to avoid: see restricted-not-red. Without `follow`
it keeps quiet where another finding says the same. Nothing here says that a rule is complied with: it is help
in reading, and the approved documents decide.
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
from alertlang.logic.terms import both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen, Sight
from alertlang.model import ruleset as m

NAME = "takeoff-not-yellow"
SAID_BY = frozenset({"unguarded-limit", "unmarked-precaution"})
SEEN = Seen(Sight.is_calm)
RULE = clauses("14 CFR 25.1549(c)", "14 CFR 27.1549(c)", "14 CFR 23.1549(c)")


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at under a rule that is followed."""
    if name is None or not asked(ruleset, RULE) or not ruleset.bands_by_quantity[name]:
        return False
    return any(
        _timed(declared) or declared.kind is m.RangeKind.PRECAUTION for declared in ruleset.ranges_by_quantity[name]
    )


def _timed(declared: m.Range) -> bool:
    return declared.kind is m.RangeKind.LIMIT and declared.except_for is not None


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Ranges of one quantity that should be yellow at least."""
    if not context.ruleset.bands_by_quantity[name]:
        return
    followed = bool(asked(context.ruleset, RULE))
    for declared in context.ruleset.ranges_by_quantity[name]:
        if _timed(declared) or (declared.kind is m.RangeKind.PRECAUTION and followed):
            yield from _calm(context, declared)


def _calm(context: Context, declared: m.Range) -> Iterator[Finding]:
    name, encoder = declared.quantity, context.encoder
    yellow = marks.at_once(m.Colour.YELLOW)

    def goal(index: int | None) -> Goal:
        harder = [o for o in marks.others(context, declared, index, *marks.FORBIDDING) if o.except_for is None]

        def confirm(instant: Instant) -> bool:
            return (
                instant.matters(declared, index)
                and not any(instant.violates(other, index) for other in harder)
                and not marks.any_marked(instant, name, index, yellow)
            )

        asked = both(
            encoder.matters(declared, index),
            negate(disjunction(encoder.violated(other, index) for other in harder)),
            negate(marks.marks(context, name, index, yellow)),
        )
        return asked, confirm

    def tell(case: FaultCase, index: int | None, reading: str) -> Finding:
        stretch, rest = stretch_words(context, case, reading)
        where = f"{context.subject(reading)} {stretch}"
        if declared.except_for is None:
            fact = f"{where} lies in {named(declared)} and is neither yellow nor red{rest}"
        else:
            time = m.in_seconds(declared.except_for)
            fact = f"{where} is allowed by {named(declared)} for {time} only, and is not yellow meanwhile{rest}"
        wants = "takeoff and precautionary ranges are yellow"
        return marked_wrong(context, NAME, RULE, fact, wants, declared, case, index, "make this stretch yellow")

    bands = context.ruleset.bands_by_quantity[name]
    return seek(context, NAME, declared, goal, said_by(bands, declared.when), tell, marks.widest)
