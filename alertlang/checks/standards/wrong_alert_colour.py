"""An alert has a colour that a published rule keeps for another level.

## What it finds

An advisory on a green band. After `follow`, also what the followed rule says of the others:

- 14 CFR 25.1322(e), since Amdt 25-131, in force from 2011-01-03: red for warnings, amber or yellow for
  cautions, for advisories any colour but red and green. Nothing in it keeps yellow for cautions: an advisory
  on yellow is as it asks. Its text was read second hand.
- 27.1322 for small rotorcraft, since Amdt 27-11 (1976-12-20), and 23.1322 for small aeroplanes, from Amdt
  23-43 (1993-04-09) until 2017, both read in reprints. They are about lights, and hold unless something else
  was approved: red warning lights, amber caution lights, green for safe operation, and for all else a colour
  that differs enough from these. Bands are held against them as if they were lights: that is our reading.
- MIL-STD-411F (1997-03-10), 5.2.5.4, read on single pages: red for warnings, yellow for cautions, for
  advisories a third colour, best green; blue and white are allowed.

So an advisory on red is found under each of them, one on yellow under all but 25.1322(e), a warning on
another colour than red and a caution on a calm one under all.

Advice as a note, and none on green advisories where only MIL-STD-411F is followed; errors after `follow "14
CFR 25.1322"` (or 27.1322, 23.1322) or `follow "MIL-STD-411F"`. White and blue satisfy all of them. What this
tool asks for beside any rule is colour-level.

## Why it matters

Green says that nothing needs looking at. An advisory says that something does.

## Example

    rules "example" version 1
    quantity fuel_quantity "Fuel quantity" from 0 to 21 gal, step 0.1 gal
    fuel_quantity below 4 gal is yellow
    fuel_quantity from 4 to 8 gal is green with advisory "FUEL BELOW 8"
    fuel_quantity at least 8 gal is green

## Corrected

    rules "example" version 1
    quantity fuel_quantity "Fuel quantity" from 0 to 21 gal, step 0.1 gal
    fuel_quantity below 4 gal is yellow
    fuel_quantity from 4 to 8 gal is white with advisory "FUEL BELOW 8"
    fuel_quantity above 8 gal is green

## How it is decided

By looking; no solver.

## What it cannot see

The colour of an alert's own text: a band has a colour, an alert on its own has none. A caution on a red band
is therefore not reported, for red may be there as the mark of a limit. Lights that differ from these colours
on the panel. Displays of one colour. Without `follow` it keeps quiet where another finding says the same.
Nothing here says that a rule is complied with: it is help in reading, and the approved documents decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.standards.published import asked, clauses
from alertlang.checks.standards.say import standard
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m

NAME = "wrong-alert-colour"
SAID_BY = frozenset({"colour-level"})
ALERTS = clauses("14 CFR 25.1322(e)")
LIGHTS = clauses("14 CFR 27.1322", "14 CFR 23.1322")
CIVIL = (*LIGHTS, *ALERTS)
MILITARY = clauses("MIL-STD-411F 5.2.5.4")
RULE = (*CIVIL, *MILITARY)


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at under a rule that is followed."""
    if name is None or not asked(ruleset, RULE):
        return False
    return any(band.alert is not None for band in ruleset.bands_by_quantity[name])


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Bands of one quantity whose alert has a colour of another level."""
    ruleset = context.ruleset
    followed = asked(ruleset, RULE)
    only_military = bool(followed) and not asked(ruleset, CIVIL)
    for band in ruleset.bands_by_quantity[name]:
        if band.alert is None:
            continue
        level, colour = band.alert.level, band.colour
        rule = RULE
        if level is m.Level.ADVISORY and colour is m.Colour.GREEN and not only_military:
            rule, wants = CIVIL, "green is not for advisories"
        elif level is m.Level.ADVISORY and colour is m.Colour.RED:
            wants = "red is for warnings"
        elif level is m.Level.ADVISORY and colour is m.Colour.YELLOW:
            rule, wants = (*LIGHTS, *MILITARY), "yellow and amber are for cautions"
        elif level is m.Level.WARNING and colour is not m.Colour.RED:
            wants = "warnings are red"
        elif level is m.Level.CAUTION and colour.calm:
            wants = "cautions are amber or yellow"
        else:
            continue
        told = asked(ruleset, rule)
        if followed and not told:
            # The rule that is followed has nothing against it.
            continue
        if any(one in LIGHTS for one in told or rule):
            wants += "; 27.1322 and 23.1322 say so of lights, unless otherwise approved"
        clause = band.node.alert
        assert clause is not None
        yield standard(
            ruleset,
            NAME,
            rule,
            f'the {level.word} "{band.alert.text}" is on {colour.word}',
            wants,
            clause.span,
            quantity=name,
            statements=(band.label,),
            advice=("white and blue are for advisories under each of these rules",)
            if level is m.Level.ADVISORY
            else (),
        )
