"""One failed sensor makes the gauge of another reading blank.

## What it finds

A state in which a gauge shows a colour as long as every sensor works and, with the sensor of another reading
failed, shows none or is `unmarked`. While a sensor has failed every comparison with it is false, `failed` is
true, and whatever is built on them follows. Each element of an array is a reading of its own.

## Why it matters

The probe that died belongs to another gauge. The reading that goes blank is still good, and it goes blank
when the pilot has one instrument less to look at.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity ng "Gas generator" from 0 to 110 %, step 1 %
    quantity oil_pressure "Oil pressure" from 0 to 200 psi, step 1 psi
    condition running means ng at least 55 % or ng failed
    when running limit oil_pressure at least 40 psi, needs warning, source NOTE
    ng at least 0 % is green
    when ng below 55 % then oil_pressure at most 200 psi is unmarked
    when ng at least 55 % then oil_pressure at least 40 psi is green
    when running then oil_pressure below 40 psi is red with warning "OIL PRESS"

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity ng "Gas generator" from 0 to 110 %, step 1 %
    quantity oil_pressure "Oil pressure" from 0 to 200 psi, step 1 psi
    condition running means ng at least 55 % or ng failed
    when running limit oil_pressure at least 40 psi, needs warning, source NOTE
    ng at least 0 % is green
    when ng below 55 % then oil_pressure at most 200 psi is unmarked
    when ng at least 55 % or ng failed then oil_pressure at least 40 psi is green
    when running then oil_pressure below 40 psi is red with warning "OIL PRESS"

## How it is decided

For each sensor that the bands of a quantity ask for, one at a time, and that the quantity is not worked out
from, the solver is asked for a state in which some band with a colour applies while all sensors work, and
none does with that sensor failed. A band that waits for its `for more than` does not count before; what a
deadband may keep is not counted on.

## What it cannot see

Two sensors that fail together. A sensor that tells a wrong value. The gauge of the failed sensor itself: it
has nothing to show. A colour that is calmer than it was: see lost-guard where a limit is broken.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.one_sensor import held_without, loses_an_end, sensors_beside, told_name
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, WitnessTruth, finding
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, Flag, Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m
from alertlang.model.snapshot import FAILED, failed_flag, told_without

NAME = "blank-on-failure"
SEEN = Seen(lambda at: at.colour in {None, m.Colour.UNMARKED})
_COLOUR = m.Colour.GREEN.rank


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether some band of a quantity asks for another sensor."""
    assert name is not None
    bands = ruleset.bands_by_quantity[name]
    return any(
        ruleset.sensors_told_by(band, index) - ruleset.sensors_read(name, index)
        for band in bands
        for index in ruleset.quantities[name].indexes
    )


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Gauges of one quantity that go blank with another one's sensor."""
    bands = context.ruleset.bands_by_quantity[name]
    asked = [
        (index, reading, sensor, goal)
        for index, reading in context.elements(name)
        for sensor in sensors_beside(context, name, index, bands)
        if (goal := _blank(context, name, index, sensor)) is not FALSE
    ]
    if not asked or context.is_satisfiable(disjunction(goal for *_, goal in asked)) is Answer.NO:
        return
    for index, reading, sensor, goal in asked:
        mode = told_without(frozenset((sensor,)))

        def confirm(instant: Instant, index: int | None = index, sensor: str = sensor) -> bool:
            blind = instant.in_mode(told_without(frozenset((sensor,))))
            return (
                instant.state.flags.get(failed_flag(sensor), False)
                and blind.is_possible()
                and _shows(instant, name, index)
                and not _shows(blind, name, index)
            )

        formulas = tuple(f for band in bands for f in (band.when, band.unless))
        cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=1, told=mode)
        for case in cases.found:
            yield _finding(context, name, index, reading, sensor, case)
        if cases.undecided:
            yield undecided(NAME, bands[0].span, name)


def _blank(context: Context, name: str, index: int | None, sensor: str) -> Term:
    """One sensor has failed, and a gauge that shows a colour with it shows none."""

    def shown(encoder: Encoder) -> Term:
        return encoder.shows_at_least(name, index, _COLOUR, linger=False)

    flag = failed_flag(sensor)
    told = context.encoder_for(failing=frozenset((sensor,)))
    gone = both(shown(context.encoder), negate(shown(told)))
    # Bands that do not read it cannot be lost with it.
    return both(Flag(flag), gone) if flag in context.encoder.definitions_for(gone.reads)[0] else FALSE


def _shows(instant: Instant, name: str, index: int | None) -> bool:
    colour = instant.colour(name, index, linger=False)
    return colour is not None and colour is not m.Colour.UNMARKED


def _finding(context: Context, name: str, index: int | None, reading: str, sensor: str, case: FaultCase) -> Finding:
    instant = context.instant(case.model)
    blind = instant.in_mode(told_without(frozenset((sensor,))))
    what = "shows no colour" if blind.colour(name, index, linger=False) is None else "is unmarked"
    failed = told_name(context, sensor, index)
    subject = context.subject(reading) if failed == context.subject(sensor) else reading
    where = context.words.stretch(reading, case.reach(reading)).replace("at every value", "at any value")
    rest = {fact: said for fact, said in case.region.items() if not fact.endswith(FAILED)}
    bands = _at_fault(context, blind, name, index, sensor)
    # A curve may say otherwise, so that no band could show there: then those that do with the sensor.
    moved = [] if bands else [b for b in context.ruleset.bands_by_quantity[name] if instant.applies(b, index)]
    suggestion = None if moved else held_without(context, bands[0], sensor, index)
    bands = bands or moved
    ends = bool(moved) or loses_an_end(context, bands[0], sensor)
    return finding(
        NAME,
        f"with {failed} failed, {subject} {where} {what}{context.words.whenever(rest, reading)}",
        bands[0].span,
        quantity=name,
        statements=tuple(band.label for band in bands),
        witness=case.witness,
        region={**case.region, failed_flag(sensor): WitnessTruth(True)},
        suggestion=suggestion,
        advice=(
            "its range ends at what is computed from that sensor: give the curve an `otherwise` that will do, or add a "
            f"band for when {sensor} has failed"
            if ends
            else "let the band, or the condition it asks for, hold while the probe is missing",
        ),
    )


def _at_fault(context: Context, blind: Instant, name: str, index: int | None, sensor: str) -> list[m.Band]:
    """The bands with a colour that could show there and are not told to, the worst first: in doubt the warning."""
    ruleset = context.ruleset
    there = [
        band
        for band in ruleset.bands_by_quantity[name]
        if band.colour is not m.Colour.UNMARKED
        and band.index in {None, index}
        and sensor in ruleset.sensors_told_by(band, index)
        and (blind.is_in_region(name, index, band.region) or loses_an_end(context, band, sensor))
    ]
    return sorted(there, key=lambda band: -band.colour)
