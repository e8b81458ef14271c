"""A calm arc reaches past a limit.

## What it finds

A green, white or blue band that covers values which break a limit, where that limit holds whenever the band
does. A worse band may hide it on the gauge; the arc is still drawn too far. After `follow`, also every value
that breaks a limit and shows a calm colour.

The rule is 14 CFR 25.1549(b), since Amdt 25-40 (1977-03-17): the green arc marks the normal range and ends at
the safe limits. 27.1549(b), for small rotorcraft, said the same from Amdt 27-29 (1994-09-16; what stood
before was not looked up) until Amdt 27-51 (2023-02-10), which asks for a green or an unmarked range and no
longer says where it ends (read second hand, in the edition of 1 January 2024). The other texts were read in
reprints. 23.1549(b), for small aeroplanes until 2017, was not read and is taken to say the same as
25.1549(b), from memory; from which amendment on is not known.

Advice as a note; an error after `follow "14 CFR 25.1549"` (or 23.1549, or only the paragraph). After `follow
"14 CFR 27.1549"` only with `as of` and a day before 2023-02-10: an aircraft keeps the rules that it was
approved under.

## Why it matters

A green that goes on past the red line says that both are true. When the red is changed or taken out one day,
the green is what remains.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch pump "Pump" off, on
    limit rpm at most 2750 rpm, source NOTE
    rpm at most 2800 is green
    when pump is on then rpm above 2750 is red
    when pump is off then rpm above 2750 is red

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch pump "Pump" off, on
    limit rpm at most 2750 rpm, source NOTE
    rpm at most 2750 is green
    when pump is on then rpm above 2750 is red
    when pump is off then rpm above 2750 is red

## How it is decided

For a band and a limit whose numbers overlap, the solver is asked whether the band's context is possible
without the limit's. If not, the arc goes past a limit that always holds with it. After `follow` it is also
asked for a state in which the value breaks the limit and no yellow or red covers it.

## What it cannot see

Limits with `except for`: see takeoff-not-yellow. Limits whose end is a `let` or a `curve`, unless the arc
goes past every value of it. Ranges to avoid, which may lie inside green. The width and place of marks.
Without `follow` it keeps quiet where another finding says the same. Nothing here says that a rule is complied
with: it is help in reading, and the approved documents decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.guards import comes, has_come
from alertlang.checks.limits import named, violation
from alertlang.checks.seek import stretch_words
from alertlang.checks.standards import marks
from alertlang.checks.standards.published import asked, clauses
from alertlang.checks.standards.say import standard
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m

NAME = "green-past-limit"
SAID_BY = frozenset({"conflict", "unguarded-limit"})
SEEN = Seen(lambda at: at.outside and at.first_applies())
RULE = clauses("14 CFR 25.1549(b)", "14 CFR 27.1549(b) until 2023-02-10", "14 CFR 23.1549(b)")


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at under a rule that is followed."""
    if name is None or not asked(ruleset, RULE) or not ruleset.bands_by_quantity[name]:
        return False
    return any(
        declared.kind is m.RangeKind.LIMIT and declared.except_for is None
        for declared in ruleset.ranges_by_quantity[name]
    )


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Calm bands of one quantity that reach past its limits."""
    followed = bool(asked(context.ruleset, RULE))
    for declared in context.ruleset.ranges_by_quantity[name]:
        if declared.kind is not m.RangeKind.LIMIT or declared.except_for is not None:
            continue
        past = violation(context, declared)
        for band in context.ruleset.bands_by_quantity[name]:
            if not _is_arc(band) or band.region.values.intersect(past).is_empty:
                continue
            if declared.index is not None and band.index not in {None, declared.index}:
                continue
            yield from _past(context, band, declared, followed)


def _is_arc(band: m.Band) -> bool:
    return band.colour.calm and band.colour is not m.Colour.UNMARKED


def _past(context: Context, band: m.Band, declared: m.Range, followed: bool) -> Iterator[Finding]:
    encoder = context.encoder
    name = band.quantity
    apart = context.is_satisfiable(both(encoder.context(band), negate(encoder.given(declared))))
    if apart is Answer.UNDECIDED:
        yield undecided(NAME, band.span, name, (band.label,), declared.label)
        return
    if apart is Answer.YES and not followed:
        return
    always = apart is Answer.NO
    worse = marks.at_once(m.Colour.YELLOW)
    index, reading = next(context.elements(name, declared.index if band.index is None else band.index))
    goal = both(comes(context.encoder, band, index), context.encoder.violated(declared, index))
    if not always:
        goal = both(goal, negate(marks.marks(context, name, index, worse)))

    def confirm(instant: Instant) -> bool:
        bad = has_come(instant, band, index) and instant.violates(declared, index)
        return bad and (always or not marks.any_marked(instant, name, index, worse))

    cases = context.cases(goal, confirm, primary=reading, formulas=(declared.when, band.when, band.unless), most=4)
    for case in marks.widest(cases, reading):
        where, rest = stretch_words(context, case, reading)
        yield standard(
            context.ruleset,
            NAME,
            RULE,
            f"the {band.colour.word} band {band.label} reaches past {named(declared)}: {where}{rest}",
            "the arc of the normal range ends at the limits",
            band.span,
            quantity=name,
            statements=(band.label,),
            limit=declared.label,
            case=case,
            advice=("let the band end where the limit is",),
        )
    if cases.undecided:
        yield undecided(NAME, band.span, name, (band.label,), declared.label)
