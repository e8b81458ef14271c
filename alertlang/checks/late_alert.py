"""Red, or the alert that a limit needs, comes later than the limit allows.

## What it finds

A limit that is guarded in the end, but in some state only by statements whose delays add up to more than
the limit allows. It may be broken for as long as its `except for` says; after that, red and the alert it
needs must be up within its `within` (or the profile's `respond within`, or 2 s: common practice, no
source). The finding says the worst reaction time and which delays make it up.

## Why it matters

Every delay has a reason, and they are written in different places: a context that must settle, a `for more
than` against nuisance, an `after` on the alert. Nobody adds them up, and the sum is what the engine has to
stand.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    limit oil_pressure at least 25 psi, needs warning within 5 s, source NOTE
    oil_pressure at least 25 psi is green
    oil_pressure below 25 psi is red with warning "OIL PRESS" after 10 s

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    limit oil_pressure at least 25 psi, needs warning within 5 s, source NOTE
    oil_pressure at least 25 psi is green
    oil_pressure below 25 psi is red with warning "OIL PRESS" after 3 s

## How it is decided

A statement's delay is its `for more than`, for its alert also its `after`, and the longest delay among the
conditions its context reads: `set after` where one must become true, `cleared after` where it must become
false, added up along conditions built on conditions. The solver is asked for a state that breaks the limit
in which no statement applies that is fast enough, while a slower one does. The worst reaction time is the
smallest time for which there is no such state. It counts from the moment at which the state begins, and the
state is then held as it is.

## What it cannot see

A state that goes on changing. What the display and the sensor add: their own time is not in the rules. A
limit that nothing guards at all: see unguarded-limit and missing-alert.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from alertlang.checks.context import Case, Context
from alertlang.checks.limits import limits, named
from alertlang.checks.reaction import Delay, delay_of
from alertlang.checks.undecided import undecided
from alertlang.diagnostics.finding import Finding, Reaction, Reach, finding
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m

NAME = "late-alert"

Guard = tuple[m.Band | m.Alert, Delay]


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Red first, then the alert, of each limit and avoid range of one quantity."""
    bands = context.ruleset.bands_by_quantity[name]
    for one in limits(context, name):
        reds = [_guard(context, band, alert=False) for band in bands if band.colour is m.Colour.RED]
        yield from _late(context, one, reds, "red")
    for one in limits(context, name, lamp_only=True):
        if one.needs is not None:
            loud = [
                _guard(context, rule, alert=True)
                for rule in context.ruleset.rules_for(name)
                if rule.alert is not None and rule.alert.level >= one.needs
            ]
            yield from _late(context, one, loud, one.needs.word)


def allowed_time(one: m.Range) -> Fraction:
    """Seconds from the moment in which a limit's values are first reached until red and its alert must be up."""
    return (one.except_for or Fraction(0)) + one.allowed


def _guard(context: Context, rule: m.Band | m.Alert, *, alert: bool) -> Guard:
    return rule, delay_of(context.ruleset, rule, alert=alert)


def _late(context: Context, one: m.Range, guards: list[Guard], what: str) -> Iterator[Finding]:
    allowed = allowed_time(one)
    if all(delay.seconds <= allowed for _, delay in guards):
        return
    for index, reading in context.elements(one.quantity, one.index):
        worst = worst_reaction(context, one, guards, index, allowed)
        if worst is None:
            yield undecided(NAME, one.span, one.quantity, (), one.label)
            continue
        if worst <= allowed:
            continue
        # The state in which it takes longest is the one to show.
        before = max([d.seconds for _, d in guards if d.seconds < worst] + [allowed])
        goal = _only_slower(context, one, guards, max(before, allowed), index)

        def confirm(
            instant: Instant, one: m.Range = one, index: int | None = index, before: Fraction = max(before, allowed)
        ) -> bool:
            up = [delay for rule, delay in guards if _is_up(instant, rule, index)]
            return instant.violates(one, index) and bool(up) and min(d.seconds for d in up) > before

        formulas = (one.when, *(f for rule, _ in guards for f in (rule.when, rule.unless)))
        cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=1)
        for case in cases.found:
            instant = context.instant(case.model)
            slow = min(
                ((rule, delay) for rule, delay in guards if _is_up(instant, rule, index)),
                key=lambda guard: guard[1].seconds,
            )
            yield _finding(context, one, reading, case, slow, what, allowed)
        if cases.undecided:
            yield undecided(NAME, one.span, one.quantity, (), one.label)


def worst_reaction(
    context: Context, one: m.Range, guards: list[Guard], index: int | None, at_least: Fraction = Fraction(0)
) -> Fraction | None:
    """The longest time in seconds until some guard shows, over all states that break a limit and that some guard shows
    in the end; not less than `at_least`. None if the solver gave up."""
    worst = at_least
    for seconds in sorted({at_least} | {delay.seconds for _, delay in guards if delay.seconds > at_least}):
        answer = context.possible(_only_slower(context, one, guards, seconds, index))
        if answer is Answer.UNDECIDED:
            return None
        if answer is Answer.NO:
            break
        worst = min(delay.seconds for _, delay in guards if delay.seconds > seconds)
    return worst


def _only_slower(context: Context, one: m.Range, guards: list[Guard], seconds: Fraction, index: int | None) -> Term:
    """The limit is broken, and all that shows it comes later than some seconds."""
    encoder = context.encoder
    fast = disjunction(_up(encoder, rule, index) for rule, delay in guards if delay.seconds <= seconds)
    slow = disjunction(_up(encoder, rule, index) for rule, delay in guards if delay.seconds > seconds)
    return both(encoder.violated(one, index), negate(fast), slow)


def _up(encoder: Encoder, rule: m.Band | m.Alert, index: int | None) -> Term:
    if isinstance(rule, m.Alert):
        return encoder.alerts(rule, eventually=True)
    return encoder.applies(rule, index, eventually=True)


def _is_up(instant: Instant, rule: m.Band | m.Alert, index: int | None) -> bool:
    if isinstance(rule, m.Alert):
        return instant.alerts(rule, eventually=True)
    return instant.applies(rule, index, eventually=True)


def _finding(
    context: Context, one: m.Range, reading: str, case: Case, slow: Guard, what: str, allowed: Fraction
) -> Finding:
    rule, delay = slow
    part = case.region[reading]
    assert isinstance(part, Reach)
    where = context.words.stretch(reading, part.interval)
    rest = context.words.whenever(case.region, reading)
    grace = f" after the {m.in_seconds(one.except_for)} it allows" if one.except_for else ""
    return finding(
        NAME,
        f"{context.subject(reading)} {where} breaks {named(one)} and {what} comes only after "
        f"{m.in_seconds(delay.seconds)}{rest}: {delay.in_words}",
        rule.span,
        quantity=one.quantity,
        statements=(rule.label,),
        limit=one.label,
        witness=case.witness,
        region=case.region,
        reaction=Reaction(delay.seconds, allowed),
        advice=(
            f"it must be there within {m.in_seconds(allowed)}: {m.in_seconds(one.allowed)}{grace} ({one.allowed_by})",
            "shorten a delay, or add a faster statement for this limit",
        ),
    )
