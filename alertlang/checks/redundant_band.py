"""A statement that changes nothing: without it, every gauge and every alert would be the same.

## What it finds

A band whose colour, wherever it shows, another band of the same colour shows as well, and whose alert (if
it has one) another statement raises with the same level and text, at least as early. Or an alert on its own
that another statement raises in the same way.

## Why it matters

Two statements that say the same are kept in step by hand. The day one of them is changed, the other still
does what it did before, and nobody sees why.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red
    rpm above 3000 is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red

## How it is decided

The solver is asked for a state in which the band applies, no worse band does and no other band of its
colour; then for one in which its alert is up and no statement raises the same. Where there is neither, it
is redundant. Of two that stand for each other the later one is named.

## What it cannot see

A band that never shows at all: see unreachable-band. Statements that differ only in what they are meant
for.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.reaction import delay_of
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, finding
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.text.lists import listed
from alertlang.units.interval import IntervalSet

NAME = "redundant-band"


def check(context: Context) -> Iterator[Finding]:
    """Bands and alerts, the later of two first."""
    gone: set[str] = set()
    found: list[Finding] = []
    by_alert: dict[m.AlertText, list[m.Rule]] = {}
    for rule in context.ruleset.rules:
        if rule.alert is not None:
            by_alert.setdefault(rule.alert, []).append(rule)
    for rule in reversed(context.ruleset.rules):
        if isinstance(rule, m.Band) and rule.region.is_failed:
            continue
        others = [r for r in _alike(context, rule, by_alert) if r.label != rule.label and r.label not in gone]
        changes = _changes(context, rule, others)
        if changes is Answer.UNDECIDED:
            found.append(undecided(NAME, rule.span, rule.quantity if isinstance(rule, m.Band) else None, (rule.label,)))
        elif changes is Answer.NO:
            gone.add(rule.label)
            found.append(_finding(context, rule, others))
    yield from reversed(found)


def _alike(context: Context, rule: m.Rule, by_alert: dict[m.AlertText, list[m.Rule]]) -> list[m.Rule]:
    """The statements that could do what a statement does, in order, itself among them."""
    alike: list[m.Rule] = list(context.ruleset.bands_by_quantity[rule.quantity]) if isinstance(rule, m.Band) else []
    if rule.alert is not None:
        alike += by_alert[rule.alert]
    return list({one.label: one for one in alike}.values())


def _changes(context: Context, rule: m.Rule, others: list[m.Rule]) -> Answer:
    """Whether some colour or alert would be another one without the statement."""
    same_colour = _same_colour(rule, others)
    same_alert = _same_alert(context, rule, others)
    # A statement that nothing resembles needs no solver.
    if (isinstance(rule, m.Band) and not same_colour) or (rule.alert is not None and not same_alert):
        return Answer.YES
    encoder = context.encoder
    answers: list[Answer] = []
    if isinstance(rule, m.Band):
        if not _could_cover(context, rule, same_colour):
            return Answer.YES
        shown = False
        for index, _ in context.elements(rule.quantity, rule.index):
            worse = encoder.shows_at_least(rule.quantity, index, rule.colour.rank + 1, linger=False)
            shows = both(encoder.applies(rule, index, linger=False), negate(worse))
            twins = disjunction(encoder.applies(other, index, linger=False) for other in same_colour)
            answers.append(context.is_satisfiable(both(shows, negate(twins))))
            if answers[-1] is Answer.YES:
                return Answer.YES
            shown = shown or context.is_satisfiable(shows) is not Answer.NO
        if not shown:
            # It can never show: that is said elsewhere.
            return Answer.YES
    if rule.alert is not None:
        indexes = (
            [index for index, _ in context.elements(rule.quantity, rule.index)] if isinstance(rule, m.Band) else [None]
        )
        for index in indexes:
            raised = encoder.applies(rule, index, linger=False)
            twins = disjunction(encoder.applies(other, index, linger=False) for other in same_alert)
            answers.append(context.is_satisfiable(both(raised, negate(twins))))
            if isinstance(rule, m.Alert) and context.is_satisfiable(raised) is Answer.NO:
                return Answer.YES
    if Answer.YES in answers:
        return Answer.YES
    return Answer.UNDECIDED if Answer.UNDECIDED in answers else Answer.NO


def _could_cover(context: Context, band: m.Band, others: list[m.Band]) -> bool:
    """Whether other bands reach over all values of a band, their contexts aside."""
    sensor = IntervalSet.of(context.ruleset.quantities[band.quantity].range)
    reached = IntervalSet.EMPTY
    for other in others:
        reached = reached.union(other.region.values)
    return band.region.values.intersect(sensor).is_subset(reached)


def _same_colour(rule: m.Rule, others: list[m.Rule]) -> list[m.Band]:
    if isinstance(rule, m.Alert):
        return []
    return [
        other
        for other in others
        if isinstance(other, m.Band) and other.quantity == rule.quantity and other.colour is rule.colour
    ]


def _same_alert(context: Context, rule: m.Rule, others: list[m.Rule]) -> list[m.Rule]:
    """Statements that raise the same alert on the same thing at least as early, and keep it as long."""
    if rule.alert is None:
        return []
    own = delay_of(context.ruleset, rule, alert=True).seconds
    return [
        other
        for other in others
        if other.alert == rule.alert
        and (other.latched or not rule.latched)
        and _about(other) == _about(rule)
        and delay_of(context.ruleset, other, alert=True).seconds <= own
    ]


def _about(rule: m.Rule) -> str | None:
    return rule.quantity if isinstance(rule, m.Band) else None


def _finding(context: Context, rule: m.Rule, others: list[m.Rule]) -> Finding:
    twins = {r.label for r in (*_same_colour(rule, others), *_same_alert(context, rule, others))}
    near = [r.label for r in others if r.label in twins]
    what = f"this {rule.colour.word}" if isinstance(rule, m.Band) else "this alert"
    also = f" with its {rule.alert.level.word}" if isinstance(rule, m.Band) and rule.alert is not None else ""
    return finding(
        NAME,
        f"{what}{also} is there without this statement too: {listed(near)} {'says' if len(near) == 1 else 'say'} it",
        rule.span,
        quantity=_about(rule),
        statements=(rule.label, *near),
        advice=("take it out, or mend what it was meant to add",),
    )
