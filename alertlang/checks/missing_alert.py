"""A limit is broken and no alert of the level it needs comes up.

## What it finds

A state that violates a limit with a `needs` clause in which no alert of at least that level is up that
counts. What counts for a limit on a quantity: the alerts of that quantity's bands, and alerts on their own
whose condition reads the quantity, where they are news. An alert that is up already while nothing is wrong
with the quantity, all else being the same, tells of something else. It is named, with a value at which it
is up already. An alert that only comes early still counts: one that is down throughout the normal ranges
and, where one of them holds, up at every value that breaks the limit at that end; or one that is up wherever
the limit is broken at that end and down at some calm value (in a normal range, where one that holds there has
a calm value).

## Why it matters

A colour is seen only by somebody who looks. An inhibit (`unless`) that is true at the wrong moment silences
the one alert that mattered. And where "CANOPY OPEN" is the one warning with the canopy open and has been up
since 1500 rpm, nothing new comes up when the propeller overspeeds.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    condition running means rpm above 400 rpm or rpm failed
    when running limit oil_pressure at least 25 psi, needs warning, source NOTE
    oil_pressure below 25 is red with warning "OIL PRESS" unless rpm below 1000
    when running then oil_pressure below 25 is red
    when not running then oil_pressure below 25 is unmarked
    oil_pressure at least 25 is green

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    condition running means rpm above 400 rpm or rpm failed
    when running limit oil_pressure at least 25 psi, needs warning, source NOTE
    oil_pressure below 25 is red with warning "OIL PRESS" unless not running
    when not running then oil_pressure below 25 is unmarked
    oil_pressure at least 25 is green

## How it is decided

The solver is asked for a state that breaks the limit while each such alert is down, or up and old: it is up
as well with another value of the limited reading alone (of what a `let` is worked out from), where
assumptions are kept, no limit on these readings is broken and their gauges are neither red nor, where that
is possible, yellow. There all else is as in the state; a condition that is set by such a reading has no
memory, a `for more than` that depends on one has not run out, the time that another limit allows has just
begun, and deadbands are off. The other values are chosen, and added to until no further one makes a
difference; where that would take too many, the alert does not count.

## What it cannot see

How late the alert comes. Whether its text says the right thing. A limit that is broken because its context
changes and not its reading: an alert that was up before then counts, if the reading brings it up as well.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.limits import broken_words, culprits, limits, named
from alertlang.checks.news import alerts_for, is_silent, of_limit, silent
from alertlang.checks.seek import Goal, breaks_words, found_at, said_by, seek
from alertlang.checks.suggest import is_high, leaves_an_end_out, others, own_words, red_statement, suggested
from alertlang.findings.finding import Finding, Suggestion
from alertlang.logic.terms import both
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m
from alertlang.syntax import tree as t
from alertlang.text.lists import listed

NAME = "missing-alert"
SEEN = Seen(lambda at: at.broken and at.too_quiet, alerts=True)


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at: a limit on the quantity that needs an alert, and bands."""
    if name is None or not ruleset.bands_by_quantity[name]:
        return False
    return any(declared.needs is not None for declared in ruleset.ranges_by_quantity[name])


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Limits and avoid ranges of one quantity that can be broken without the alert they need."""
    for declared in limits(context, name, lamp_only=True):
        if declared.needs is not None:
            yield from _without_alert(context, declared, declared.needs)


def _without_alert(context: Context, declared: m.Range, needs: m.Level) -> Iterator[Finding]:
    name, ruleset = declared.quantity, context.ruleset
    loud = alerts_for(ruleset, declared)

    def goal(index: int | None) -> Goal:
        def confirm(instant: Instant) -> bool:
            return instant.violates(declared, index) and is_silent(context, instant, declared, index)

        return both(context.encoder.violated(declared, index), silent(context, declared, index)), confirm

    def tell(case: FaultCase, index: int | None, reading: str) -> Finding:
        where, rest = breaks_words(context, declared, case, reading)
        old = of_limit(context, declared, index).old_ones(context.instant(case.model), loud)
        level = f"{needs.word}{'' if needs is m.Level.WARNING else ' or worse'}"
        message = f"{where} breaks {named(declared)} and no {level} comes up{rest}"
        return found_at(
            NAME,
            message + (f": {listed(old.values())}" if old else ""),
            declared,
            case,
            culprits(context, case, loud, name, index, old),
            _way_out(context, declared, case, reading, needs, others(context, name, case.region)),
            ("or give the red band that applies there its alert",),
        )

    return seek(context, NAME, declared, goal, said_by(ruleset.rules_for(name), declared.when), tell)


def _way_out(
    context: Context, declared: m.Range, case: FaultCase, reading: str, needs: m.Level, failing: frozenset[str]
) -> Suggestion | None:
    subject, part = context.subject(reading), case.reach(reading)
    is_array = context.is_array(subject)
    if is_array and needs > m.Level.ADVISORY:
        # One alert for all is no news of the second element.
        return red_statement(context, declared, case, reading)
    text = context.words.alert_text(declared.quantity, is_high(declared, part), needs, False)
    reads = f"{'any ' if is_array else ''}{subject}"
    ending = f'then {needs.word} "{text}"'
    if declared.except_for:
        # By the limit's own clock: its context, all that breaks it, and its time.
        when, condition = own_words(context, declared), f"{reads} {broken_words(context, declared)}"
        if isinstance(declared.node.when, t.OrNode) and not when.startswith("("):
            when = f"({when})"
        ending = f"for more than {m.in_seconds(declared.except_for)} {ending}"
    else:
        when = context.words.condition_text(case.region, reading, failing)
        if leaves_an_end_out(context, reading, part):
            condition = f"{reads} {broken_words(context, declared)}"
            if not is_array:
                condition = context.words.condition_text({reading: case.region[reading]}, None)
        else:
            condition = f"{reads} {context.words.region_text(reading, part)}"
    # It must read the quantity at any of its values too, or it is no alert of the limit.
    return suggested(f"when {when} and {condition} {ending}" if when else f"when {condition} {ending}")
