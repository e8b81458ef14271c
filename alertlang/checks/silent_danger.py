"""A red band without an alert, on a quantity whose limit needs one.

## What it finds

A red band of a quantity of which some limit or avoid range has `needs`, and a state in which the band
applies, no such limit is broken, and no alert that counts for the quantity is up, of whatever level and
after whatever time.

## Why it matters

Somebody decided that this quantity is worth being told about. Elsewhere on the same gauge red comes without
a word, and who does not look does not know. Often the alert was left out when a second red band was written.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    limit oil_temp at most 240 F, needs warning, source NOTE
    limit oil_temp at least 20 F, source NOTE
    oil_temp below 20 F is red
    oil_temp from 20 to 240 F is green
    oil_temp above 240 F is red with warning "OIL HOT"

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    limit oil_temp at most 240 F, needs warning, source NOTE
    limit oil_temp at least 20 F, source NOTE
    oil_temp below 20 F is red with warning "OIL COLD"
    oil_temp from 20 to 240 F is green
    oil_temp above 240 F is red with warning "OIL HOT"

## How it is decided

The solver is asked for a state in which the red band applies, no limit of the quantity that needs an alert
is broken, and no alert of one of its bands is up and news, nor one on its own that reads the quantity: one
that is up already without the red tells of something else (see missing-alert, with the band for the limit).
What a deadband keeps up does not count as red here; a `for more than` counts as over.

## What it cannot see

Red where a limit is broken: see missing-alert, which comes first where a band is silent in both cases. A
quantity none of whose limits needs an alert.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.limits import limits, named, violation
from alertlang.checks.news import alerts_of, of_band
from alertlang.checks.suggest import is_high, spliced
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Suggestion, finding
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m
from alertlang.text.lists import listed
from alertlang.units.interval import Interval, IntervalSet

NAME = "silent-danger"
SEEN = Seen(lambda at: at.first_applies() and at.level is None, alerts=True)


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether a quantity has a red band and a limit that needs an alert."""
    if name is None or not any(b.colour is m.Colour.RED for b in ruleset.bands_by_quantity[name]):
        return False
    return any(declared.needs is not None for declared in ruleset.ranges_by_quantity[name])


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Red bands of one quantity that can show in silence, each once."""
    reds = [b for b in context.ruleset.bands_by_quantity[name] if b.colour is m.Colour.RED and b.alert is None]
    needing = [declared for declared in limits(context, name) if declared.needs is not None] if reds else []
    if needing:
        for band in reds:
            yield from _silent(context, band, needing)


def _silent(context: Context, band: m.Band, needing: list[m.Range]) -> Iterator[Finding]:
    name, encoder = band.quantity, context.encoder
    goals: list[tuple[int | None, str, tuple[m.Range, ...], Term]] = []
    for index, reading in context.elements(name, band.index):
        own = tuple(declared for declared in needing if declared.index in {None, index})
        news = of_band(context, band, index)
        silent = both(
            encoder.applies(band, index, eventually=True, linger=False),
            news.silent(alerts_of(context.ruleset, name, m.Level.ADVISORY)),
        )
        broken = disjunction(encoder.violated(declared, index) for declared in own)
        # Where it is as silent with a limit broken, missing-alert says so, and what mends that mends this.
        if context.is_satisfiable(both(silent, broken)) is Answer.YES:
            return
        if own:
            goals.append((index, reading, own, both(silent, negate(broken))))
    for index, reading, own, goal in goals:

        def confirm(instant: Instant, index: int | None = index, own: tuple[m.Range, ...] = own) -> bool:
            loud = alerts_of(context.ruleset, name, m.Level.ADVISORY)
            return (
                instant.applies(band, index, eventually=True, linger=False)
                and not any(instant.violates(declared, index) for declared in own)
                and of_band(context, band, index).is_silent(instant, loud)
            )

        formulas = (
            *(declared.when for declared in own),
            *(f for rule in context.ruleset.rules_for(name) for f in (rule.when, rule.unless)),
        )
        cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=1)
        if cases.undecided:
            yield undecided(NAME, band.span, name, (band.label,))
        for case in cases.found:
            old = of_band(context, band, index).old_ones(
                context.instant(case.model), alerts_of(context.ruleset, name, m.Level.ADVISORY)
            )
            yield _finding(context, band, own, reading, case, list(old.values()))
        if cases.found or cases.undecided:
            return


def _finding(
    context: Context, band: m.Band, needing: tuple[m.Range, ...], reading: str, case: FaultCase, old: list[str]
) -> Finding:
    part = case.reach(reading)
    where = context.words.stretch(reading, part)
    rest = context.words.whenever(case.region, reading)
    # One that these values could break, if there is one; then the one that asks for most; of equals the first.
    values = IntervalSet.of(part)
    near = [stated for stated in needing if not violation(context, stated).intersect(values).is_empty]
    needs, declared = max(((o.needs, o) for o in near or needing if o.needs is not None), key=lambda found: found[0])
    return finding(
        NAME,
        f"{context.subject(reading)} {where} is red and no alert {'comes' if old else 'is'} up{rest}, "
        f"although {named(declared)} needs a {needs.word} where it is broken{f': {listed(old)}' if old else ''}",
        band.span,
        quantity=band.quantity,
        statements=(band.label,),
        limit=declared.label,
        witness=case.witness,
        region=case.region,
        suggestion=_with_alert(context, band, declared, needs, part),
        advice=("give the band an alert, or accept its silence with the reason for it",),
    )


def _with_alert(context: Context, band: m.Band, declared: m.Range, needs: m.Level, part: Interval) -> Suggestion | None:
    """The band with an alert of the level that the limit needs, or of a caution: an advisory does not go with red."""
    level = max(needs, m.Level.CAUTION)
    each = context.ruleset.quantities[band.quantity].size is not None and band.index is None
    text = context.words.alert_text(band.quantity, _is_high(context, declared, part), level, each)
    colour = band.node.colour.span
    return spliced(band.span, colour, f'{colour.text} with {level.word} "{text}"')


def _is_high(context: Context, declared: m.Range, part: Interval) -> bool:
    """Whether a red stretch is the upper one: it ends where the sensor does, or lies beyond the limit."""
    sensor = context.ruleset.quantities[declared.quantity].range
    if part.high == sensor.high:
        return True
    if part.low == sensor.low:
        return False
    return bool(declared.region.numbers) and is_high(declared, part)
