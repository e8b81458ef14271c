"""An alert stays up after its condition has ended.

## What it finds

Statements with `latched`: the alert stays until it is acknowledged and its cause is gone, and with nothing to
acknowledge it, to the end. Lamps that stay lit after their last alert has gone: sequence A with lock-in
until it is acknowledged, M and R until they are reset.

The rule is 14 CFR 25.1322(a)(3) since Amdt 25-131, in force from 2011-01-03, read in a reprint: an alert is
removed when the condition for it no longer exists.

As advice it is one note on all of them; after `follow "14 CFR 25.1322"` (or its paragraph) each is an error.
A latched alert can be right: some causes pass too fast to be seen. Then accept the finding, with the reason.

Of the annunciator sequences of ANSI/ISA-18.1, A without lock-in (its option 4) is the one that agrees with
14 CFR 25.1322(a)(3): the light can be acknowledged, and it goes out with its alerts, acknowledged or not.
That is our reading of the two; neither text speaks of the other.

## Why it matters

A pilot who sees a warning of something that is over looks for it, or learns that warnings may be old.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED" latched
    lamp "MASTER WARNING" shows warning, sequence A with lock-in, acknowledged by ack
    follow "14 CFR 25.1322(a)(3)"

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"
    lamp "MASTER WARNING" shows warning, sequence A without lock-in, acknowledged by ack
    follow "14 CFR 25.1322(a)(3)"

## How it is decided

By looking; no solver.

## What it cannot see

Alerts that linger because a condition is cleared late (`until`, `cleared after`) or a reading has a deadband:
these end with their own condition, as it is stated. What the display itself keeps up. Nothing here says that
a rule is complied with: it is help in reading, and the approved documents decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.standards.published import asked, clauses
from alertlang.checks.standards.say import standard
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m
from alertlang.text.lists import listed

NAME = "lingering-alert"
RULE = clauses("14 CFR 25.1322(a)(3)")
_WANTS = "an alert goes when its condition has ended"


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at under a rule that is followed."""
    return bool(asked(ruleset, RULE)) and (any(r.alert is not None for r in ruleset.rules) or bool(ruleset.lamps))


def check(context: Context) -> Iterator[Finding]:
    """Each latched alert and each lamp under a rule that is followed; else one note on all of them."""
    ruleset = context.ruleset
    yield from _lamps(ruleset)
    accepted = {acceptance.target for acceptance in ruleset.acceptances if acceptance.check == NAME}
    latched = [rule for rule in ruleset.rules if rule.latched and rule.alert is not None]
    if asked(ruleset, RULE):
        for rule in latched:
            yield _finding(ruleset, [rule])
        return
    # One that is accepted is told by itself, so that the exception has something to accept.
    for rule in latched:
        if rule.label in accepted:
            yield _finding(ruleset, [rule])
    rest = [rule for rule in latched if rule.label not in accepted]
    if rest:
        yield _finding(ruleset, rest)


def _lamps(ruleset: m.RuleSet) -> Iterator[Finding]:
    lit = [lamp for lamp in ruleset.lamps if lamp.lock_in]
    for lamps in [[lamp] for lamp in lit] if asked(ruleset, RULE) else [lit] if lit else []:
        said = [f'"{lamp.text}" (sequence {lamp.sequence.value})' for lamp in lamps]
        yield standard(
            ruleset,
            NAME,
            RULE,
            f"{'the lamp' if len(lamps) == 1 else 'the lamps'} {listed(said)} "
            f"{'stays' if len(lamps) == 1 else 'stay'} lit after the last alert has gone",
            _WANTS,
            lamps[0].span,
            advice=("write `sequence A without lock-in`: the light goes out with its alerts",),
        )


def _finding(ruleset: m.RuleSet, rules: list[m.Rule]) -> Finding:
    first = rules[0]
    said = [f'"{rule.alert.text}" ({rule.label})' for rule in rules if rule.alert is not None]
    return standard(
        ruleset,
        NAME,
        RULE,
        f"{listed(said)} {'stays' if len(said) == 1 else 'stay'} up, latched, after the condition has ended",
        _WANTS,
        first.span,
        quantity=first.quantity if len(rules) == 1 and isinstance(first, m.Band) else None,
        statements=tuple(rule.label for rule in rules),
        advice=("take `latched` out, or accept the finding with the reason for it",),
    )
