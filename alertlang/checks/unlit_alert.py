"""An alert that no lamp shows, though a lamp shows others no graver than it.

## What it finds

In a rule set with lamps: alerts that light none of them, although some lamp shows an alert of the same level
or of a milder one. A lamp shows the levels and the statements that it names.

One note on all alerts of a level. An alert may well do without a lamp: then accept the finding, with the
reason. Nothing is said of rules without any lamp, or of levels milder than all that the lamps show:
advisories beside lamps for warnings and cautions.

## Why it matters

Whoever has a lamp for a caution learns that dark lamps mean that all is well. An alert that was added
later, or whose level was changed, can fall between the lamps unnoticed.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    rpm at most 2750 is green
    overspeed: rpm above 2750 is red with warning "OVERSPEED"
    oil_temp at most 225 is green
    oil_temp above 225 is red with warning "OIL TEMP"
    lamp "OVERSPEED" shows overspeed, sequence A without lock-in, acknowledged by ack

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    rpm at most 2750 is green
    overspeed: rpm above 2750 is red with warning "OVERSPEED"
    oil_temp at most 225 is green
    oil_temp above 225 is red with warning "OIL TEMP"
    lamp "OVERSPEED" shows overspeed, sequence A without lock-in, acknowledged by ack
    lamp "MASTER WARNING" shows warning, sequence A without lock-in, acknowledged by ack

## How it is decided

By looking at which lamps show which statements; no solver.

## What it cannot see

Lamps that are on the panel and not in the rules. Whether a lamp that shows many alerts says enough about
each.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.findings.finding import Finding, finding
from alertlang.model import ruleset as m
from alertlang.text.lists import listed

NAME = "unlit-alert"
NEEDS_STATE = False


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there are lamps and alerts that could light them."""
    return bool(ruleset.lamps) and any(rule.alert is not None for rule in ruleset.rules)


def check(context: Context) -> Iterator[Finding]:
    """One note on all unlit alerts of a level; one that is accepted is told by itself."""
    ruleset = context.ruleset
    accepted = {acceptance.target for acceptance in ruleset.acceptances if acceptance.check == NAME}
    shown = _mildest_shown(ruleset)
    for level in sorted(m.Level, reverse=True):
        if shown is None or level < shown[0]:
            continue
        unlit = [rule for rule in ruleset.rules if _is(rule, level) and not _lamps(ruleset, rule)]
        together = [rule for rule in unlit if rule.label not in accepted]
        for rules in (*([rule] for rule in unlit if rule.label in accepted), together):
            if rules:
                yield _finding(rules, level, *shown)


def _is(rule: m.Rule, level: m.Level) -> bool:
    return rule.alert is not None and rule.alert.level is level


def _lamps(ruleset: m.RuleSet, rule: m.Rule) -> list[m.PanelLamp]:
    """The lamps that a statement's alert lights."""
    return [lamp for lamp in ruleset.lamps if rule.alert is not None and lamp.shows(rule.label, rule.alert.level)]


def _mildest_shown(ruleset: m.RuleSet) -> tuple[m.Level, m.PanelLamp] | None:
    """The mildest level of which a lamp shows something, and the first such lamp; also a level without alerts yet."""
    levels = {rule.label: rule.alert.level for rule in ruleset.rules if rule.alert is not None}
    shown = [(level, lamp) for lamp in ruleset.lamps for level in lamp.levels]
    shown += [(levels[label], lamp) for lamp in ruleset.lamps for label in lamp.labels]
    return min(shown, key=lambda pair: pair[0], default=None)


def _finding(rules: list[m.Rule], level: m.Level, mildest: m.Level, lamp: m.PanelLamp) -> Finding:
    first = rules[0]
    said = [f'"{rule.alert.text}" ({rule.label})' for rule in rules if rule.alert is not None]
    article = "an" if mildest is m.Level.ADVISORY else "a"
    return finding(
        NAME,
        f"no lamp shows the {level.word}{'s' if len(said) > 1 else ''} {listed(said)}, "
        f'though the lamp "{lamp.text}" shows {article} {mildest.word}',
        first.span,
        quantity=first.quantity if len(rules) == 1 and isinstance(first, m.Band) else None,
        statements=tuple(rule.label for rule in rules),
        advice=(
            f"let a lamp show it: shows {level.word}, or shows {first.label}"
            if len(rules) == 1
            else f"let a lamp show them: shows {level.word}, or name them by their labels",
        ),
    )
