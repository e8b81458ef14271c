"""On the display, red or the alert that a limit needs comes later than the limit allows.

## What it finds

A limit that is guarded in time as the rules are written, and not any more once the display's own time is
added: one scan until the display sees that the limit is broken, and until the next scan wherever a delay
ends between two.

## Why it matters

A reaction time is allowed for the whole, from the engine to the eye. A delay of exactly the time that is
allowed leaves none for the display.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2750 rpm, needs warning within 2 s, source NOTE
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED" after 2 s

on a display of which this is known:

    display "box" version 1
    scan every 0.5 s

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2750 rpm, needs warning within 2 s, source NOTE
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED" after 1.5 s

on a display of which this is known:

    display "box" version 1
    scan every 0.5 s

## How it is decided

As late-alert decides it, with every delay made as long as it is on the display: `for more than` lasts
until the first scan after its time, every other delay until the first scan at or after it. One scan is
added to the worst reaction time for the start.

## What it cannot see

The time that the screen, the sensor and its filter take. A display that misses a scan. What late-alert
finds already is not said again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from math import ceil, floor

from alertlang.checks.context import Context
from alertlang.checks.late_alert import Guard, allowed_time, guard_of, worst_reaction
from alertlang.checks.limits import limits, named
from alertlang.checks.news import alerts_for
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Reaction, finding
from alertlang.fit.fit import Fit
from alertlang.model import ruleset as m

NAME = "late-on-display"


def check(fit: Fit) -> Iterator[Finding]:
    """Each limit and avoid range that late-alert has nothing to say of."""
    scan = fit.display.scan
    if scan is None:
        return
    slow = Context(on_scan(fit.ruleset, scan), fit.context.decider.work_limit)
    for name in fit.ruleset.quantities:
        for declared in limits(fit.context, name, lamp_only=True):
            yield from _of_limit(fit, slow, declared, scan)


def _of_limit(fit: Fit, slow: Context, declared: m.Range, scan: Fraction) -> Iterator[Finding]:
    found: list[tuple[Fraction, str]] = []
    allowed = allowed_time(declared)
    for what, rules, alert in _guards(fit.ruleset, declared):
        plain = [guard_of(fit.ruleset, rule, alert=alert) for rule in rules]
        worst = worst_on(slow, declared, rules, scan, alert=alert)
        if worst is None:
            yield undecided(NAME, declared.span, declared.quantity, (), declared.label)
        elif worst > allowed and not _late_anyway(fit.context, declared, plain, allowed):
            found.append((worst, what))
    if not found:
        return
    worst = max(seconds for seconds, _ in found)
    what = " and ".join(dict.fromkeys(what for _, what in found))
    yield finding(
        NAME,
        f"on {fit.named}, {what} can come {m.in_seconds(worst)} after {named(declared)} is broken",
        declared.span,
        quantity=declared.quantity,
        limit=declared.label,
        reaction=Reaction(worst, allowed),
        advice=(
            f"it must be there within {m.in_seconds(allowed)} ({declared.allowed_by}); one scan takes "
            f"{m.in_seconds(scan)}",
            "shorten a delay, or take a display that looks more often",
        ),
    )


def _guards(ruleset: m.RuleSet, declared: m.Range) -> Iterator[tuple[str, list[m.Band | m.Alert], bool]]:
    """What must be there, the statements that can bring it, and whether it is their alert that counts."""
    reds: list[m.Band | m.Alert] = [
        band for band in ruleset.bands_by_quantity[declared.quantity] if band.colour is m.Colour.RED
    ]
    if reds:
        yield "red", reds, False
    if declared.needs is not None:
        loud = list(alerts_for(ruleset, declared))
        if loud:
            yield f"its {declared.needs.word}", loud, True


def worst_on(
    slow: Context, declared: m.Range, rules: list[m.Band | m.Alert], scan: Fraction, *, alert: bool
) -> Fraction | None:
    """The worst reaction time on a display, the scan at its start included: at most what is allowed where that is met,
    else how long it can be. `slow`: the rules as they are on it. None if the solver gave up."""
    allowed = allowed_time(declared)
    own = {rule.label: rule for rule in slow.ruleset.rules}
    guards = [guard_of(slow.ruleset, own[rule.label], alert=alert) for rule in rules]
    start = max(Fraction(0), allowed - scan)
    if allowed >= scan and all(guard.delay.seconds <= start for guard in guards):
        return start + scan
    found: list[Fraction] = []
    for index, _ in slow.elements(declared.quantity, declared.index):
        worst = worst_reaction(slow, declared, guards, index, start)
        if worst is None:
            return None
        found.append(worst + scan)
    return max(found)


def _late_anyway(context: Context, declared: m.Range, guards: list[Guard], allowed: Fraction) -> bool:
    """Whether it is late by the rules alone."""
    if all(guard.delay.seconds <= allowed for guard in guards):
        return False
    worst = [
        worst_reaction(context, declared, guards, index, allowed)
        for index, _ in context.elements(declared.quantity, declared.index)
    ]
    return any(seconds is None or seconds > allowed for seconds in worst)


def on_scan(ruleset: m.RuleSet, scan: Fraction) -> m.RuleSet:
    """The rules with every delay as long as it is where time is told scan by scan."""

    def more_than(seconds: Fraction | None) -> Fraction | None:
        return (floor(seconds / scan) + 1) * scan if seconds else seconds

    def at_least(seconds: Fraction | None) -> Fraction | None:
        return ceil(seconds / scan) * scan if seconds else seconds

    return replace(
        ruleset,
        conditions={
            condition.name: replace(
                condition, set_after=at_least(condition.set_after), cleared_after=at_least(condition.cleared_after)
            )
            for condition in ruleset.conditions.values()
        },
        bands=tuple(replace(b, held=more_than(b.held), after=at_least(b.after)) for b in ruleset.bands),
        alerts=tuple(replace(a, held=more_than(a.held), after=at_least(a.after)) for a in ruleset.alerts),
    )
