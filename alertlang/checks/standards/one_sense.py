"""A red that no alert goes with.

## What it finds

Only after `follow "14 CFR 25.1322"` (or its paragraph): a state in which a red band shows and neither a
caution nor a warning on that quantity is up, so that a colour is all there is.

The rule is 14 CFR 25.1322(c)(2) since Amdt 25-131, in force from 2011-01-03, read in a reprint: warnings and
cautions come with cues for at least two different senses. Rules here state colours and texts, which are both
for the eye; whether a sound or a shaker goes with an alert is set on the display. So this is all that rules
can tell: where there is no alert at all, nothing can go with it.

An error, as every finding after `follow`; nothing without.

## Why it matters

A gauge is seen when it is looked at. The cue for a second sense is what makes somebody look.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red
    follow "14 CFR 25.1322(c)(2)"

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED"
    follow "14 CFR 25.1322(c)(2)"

## How it is decided

For each red band without an alert of its own the solver is asked for a state in which it shows and no alert
that counts for the quantity is up, delays left aside.

## What it cannot see

Whether any alert has a sound, which is most of what the rule asks for. Yellow, which often marks a range and
no caution. Whether a red that is only a mark needs an alert: if not, accept the finding with the reason.
Nothing here says that a rule is complied with: it is help in reading, and the approved documents decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.guards import comes, has_come
from alertlang.checks.seek import said_by
from alertlang.checks.standards import marks
from alertlang.checks.standards.published import asked, clauses
from alertlang.checks.standards.say import standard
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding
from alertlang.logic.terms import both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m

NAME = "one-sense"
SEEN = Seen(lambda at: at.colour is m.Colour.RED and (at.level is None or at.level < m.Level.CAUTION), alerts=True)
RULE = clauses("14 CFR 25.1322(c)(2)")


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at under a rule that is followed."""
    if name is None or not asked(ruleset, RULE):
        return False
    return any(band.colour is m.Colour.RED for band in ruleset.bands_by_quantity[name])


def _calls(rule: m.Rule) -> bool:
    """Whether a statement raises a caution or a warning."""
    return rule.alert is not None and rule.alert.level >= m.Level.CAUTION


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Red bands of one quantity that can show with no alert."""
    ruleset = context.ruleset
    if not asked(ruleset, RULE):
        return
    calling = [band for band in ruleset.bands_by_quantity[name] if _calls(band)]
    alone = [alert for alert in ruleset.alerts_by_quantity[name] if _calls(alert)]
    for band in ruleset.bands_by_quantity[name]:
        if band.colour is not m.Colour.RED or _calls(band) or band.region.is_failed:
            continue
        for index, reading in context.elements(name, band.index):
            up = disjunction(
                (
                    *(comes(context.encoder, other, index) for other in calling),
                    *(context.encoder.context(alert) for alert in alone),
                )
            )
            goal = both(comes(context.encoder, band, index), negate(up))

            def confirm(instant: Instant, band: m.Band = band, index: int | None = index) -> bool:
                return (
                    has_come(instant, band, index)
                    and not any(has_come(instant, other, index) for other in calling)
                    and not any(instant.in_context(alert) for alert in alone)
                )

            formulas = said_by((band, *calling, *alone))
            cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=4)
            for case in marks.widest(cases, reading):
                where = f"{context.subject(reading)} {context.words.stretch(reading, case.reach(reading))}"
                yield standard(
                    ruleset,
                    NAME,
                    RULE,
                    f"{where} is red and no caution or warning is up{context.words.whenever(case.region, reading)}",
                    "warnings and cautions are for two senses, and a colour is for one",
                    band.span,
                    quantity=name,
                    statements=(band.label,),
                    case=case,
                    advice=("give it an alert; that the alert has a sound is to be seen to on the display",),
                )
            if cases.undecided:
                yield undecided(NAME, band.span, name, (band.label,))
