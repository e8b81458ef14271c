"""An instrument that a published rule asks for is not among the quantities.

## What it finds

Instruments that 14 CFR 91.205(b) (flight under day visual rules) or, for small rotorcraft, 27.1305 asks for,
and for which no quantity is recognisable. Both texts were read in reprints: 91.205 in the edition of 1
January 2014, as it is since Amdt 91-309 (2009-08-21), 27.1305 in one of June 2026; from which amendment on
its text holds is not known. What kind of engine it is says the profile: `engine piston, air cooled, pump
fed`; known are also `liquid cooled`, `altitude`, `turbine`, `retractable gear`. A fact that is not stated is
taken not to be so.

A quantity is recognised by what it measures and by words in its name or in its title:

- 91.205(b)(1) airspeed: airspeed, air speed, ias, kias, cas, kcas; (2) altimeter: altimeter, altitude, alt;
  (3) magnetic direction: compass, heading, magnetic
- (4) and 27.1305(k) tachometer: rpm, tachometer, engine speed, propeller speed, n1, n2, ng, np
- (5) and 27.1305(h) oil pressure: oil pressure, oil press; (7), where air cooled, and 27.1305(j), always, oil
  temperature: oil temp, oil temperature
- (6) coolant temperature (liquid cooled): coolant, water temp, water temperature
- (8) and 27.1305(e) manifold pressure (altitude): manifold pressure, manifold press, map, mp
- (9) and 27.1305(d) fuel quantity: fuel quantity, fuel qty, fuel level, fuel contents; also a volume or mass
  whose title begins with fuel: "Fuel, left tank"
- (10) landing gear position (retractable gear): a switch or quantity named gear, undercarriage
- 27.1305 also: (b) cylinder heads (air cooled): cht, cylinder head; (c) fuel pressure (pump fed): fuel
  pressure, fuel press; (i) oil quantity: oil quantity, oil qty, oil level; (n) gas temperature (turbine):
  itt, tgt, egt, tit, tot, gas temp, gas temperature, turbine temp, turbine temperature; (o) torque (turbine):
  torque, trq

27.1305(l) asks for a warning when fuel for about 10 minutes is left, independent of the normal fuel quantity
gauge. So there must be a warning that reads a low-fuel sensor and no fuel quantity gauge. Such a sensor is a
switch, or a quantity of any measure, with the words low fuel in its name or title, in whichever order:
`switch fuel_low off, on`, `quantity level_2 "Fuel, low level sensor"`; with pressure, flow, temperature or
filter beside them it is something else. A caution does not do, nor does an alert that reads the gauge, be it
in its `unless`.

A quantity that is a gauge of its own outside this panel counts as soon as it is declared; it needs no bands.

As advice it is one note, on 91.205(b)(4) to (10) and only where the engine is stated. After `follow "14 CFR
91.205"` or `follow "14 CFR 27.1305"` (or a paragraph: `"27.1305(l)"`) each missing instrument is an error.

## Why it matters

The easiest mistake to overlook is the gauge that nobody thought of. The rule ties oil temperature to
air-cooled and the other temperature gauge to liquid-cooled engines; carried over from the last aircraft, the
wrong one stays.

## Example

    rules "example" version 1
    engine piston, liquid cooled
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    quantity fuel_quantity "Fuel quantity" from 0 to 21 gal, step 0.1 gal
    rpm at most 2750 is green
    rpm above 2750 is red

## Corrected

    rules "example" version 1
    engine piston, liquid cooled
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    quantity coolant_temp "Coolant temperature" from -40 to 300 F, step 1 F
    quantity fuel_quantity "Fuel quantity" from 0 to 21 gal, step 0.1 gal
    rpm at most 2750 is green
    rpm above 2750 is red

## How it is decided

By comparing names and what they measure with the list; no solver.

## What it cannot see

How many engines and tanks there are, and whether each has its gauge and its low-fuel warning; whether that
comes with fuel for 10 minutes left. Whether a quantity of the right name is fitted. An oil system without
pressure. Cylinder heads that 27.1305(b) asks for because of cooling shutters or of how cooling was shown.
Whether a torque limit is established, without which 27.1305(o) asks for nothing.

The items (11) to (17) of 91.205(b), none of which is an instrument of this panel: (11) an anticollision light
system, (12) flotation gear and a signal, (13) safety belts, (14) shoulder harnesses of front seats (small
aeroplanes made after July 18, 1978), these four read in reprints; from memory (15) an emergency locator
transmitter, if 91.207 asks for it, (16) shoulder harnesses of all seats (normal, utility and acrobatic
category with nine passenger seats or fewer, made after December 12, 1986), (17) those of rotorcraft made
after September 16, 1992.

Of 27.1305: (a) carburettor air temperature, (f) and (g) gearbox warnings, (m) fuel pump failure, (p) to (v),
on ice protection, filters, heaters, the powers with one engine out and chips.

Whether the rule applies to the aircraft. Nothing here says that a rule is complied with: it is help in
reading, and the approved documents decide."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from alertlang.checks.context import Context
from alertlang.checks.standards import instruments as i
from alertlang.checks.standards.published import CLAUSES, Clause, asked, clauses, statement_for
from alertlang.checks.standards.say import standard
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m
from alertlang.text.lists import listed

NAME = "missing-instrument"


@dataclass(frozen=True, slots=True)
class _Item:
    """`fact`: the fact about the engine that it is asked for with; none: always."""

    clause: Clause
    instrument: i.Instrument
    fact: str | None = None


def _items(*items: tuple[str, i.Instrument, str | None]) -> tuple[_Item, ...]:
    return tuple(_Item(clauses(name)[0], instrument, fact) for name, instrument, fact in items)


_FLIGHT = _items(
    ("14 CFR 91.205(b)(1)", i.AIRSPEED, None),
    ("14 CFR 91.205(b)(2)", i.ALTIMETER, None),
    ("14 CFR 91.205(b)(3)", i.DIRECTION, None),
)
_ENGINE = _items(
    ("14 CFR 91.205(b)(4)", i.TACHOMETER, None),
    ("14 CFR 91.205(b)(5)", i.OIL_PRESSURE, None),
    ("14 CFR 91.205(b)(6)", i.COOLANT, "liquid cooled"),
    ("14 CFR 91.205(b)(7)", i.OIL_TEMPERATURE, "air cooled"),
    ("14 CFR 91.205(b)(8)", i.MANIFOLD, "altitude"),
    ("14 CFR 91.205(b)(9)", i.FUEL, None),
    ("14 CFR 91.205(b)(10)", i.GEAR, "retractable gear"),
)
_ROTORCRAFT = _items(
    ("14 CFR 27.1305(b)", i.CYLINDER_HEAD, "air cooled"),
    ("14 CFR 27.1305(c)", i.FUEL_PRESSURE, "pump fed"),
    ("14 CFR 27.1305(d)", i.FUEL, None),
    ("14 CFR 27.1305(e)", i.MANIFOLD, "altitude"),
    ("14 CFR 27.1305(h)", i.OIL_PRESSURE, None),
    ("14 CFR 27.1305(i)", i.OIL_QUANTITY, None),
    ("14 CFR 27.1305(j)", i.OIL_TEMPERATURE, None),
    ("14 CFR 27.1305(k)", i.TACHOMETER, None),
    ("14 CFR 27.1305(n)", i.GAS_TEMPERATURE, "turbine"),
    ("14 CFR 27.1305(o)", i.TORQUE, "turbine"),
)
_LOW_FUEL = clauses("14 CFR 27.1305(l)")
ITEMS = (*_FLIGHT, *_ENGINE, *_ROTORCRAFT)
RULE = tuple(clause for clause in CLAUSES if clause in {*(item.clause for item in ITEMS), *_LOW_FUEL})
_COOLING = ("air cooled", "liquid cooled")


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at under a rule that is followed."""
    return bool(asked(ruleset, RULE))


def check(context: Context) -> Iterator[Finding]:
    """Each instrument that is missing under a rule that is followed; else one note on all of the engine's."""
    ruleset = context.ruleset
    # A profile by itself is not a panel.
    if ruleset.origin.kind == "profile":
        return
    followed = [item for item in ITEMS if asked(ruleset, (item.clause,))]
    if asked(ruleset, RULE):
        yield from _unknown_engine(ruleset, followed)
        for item in followed:
            if _is_missing(ruleset, item):
                yield _missing(ruleset, item)
        yield from _low_fuel(ruleset)
    elif ruleset.engine:
        missing = [item for item in _ENGINE if _is_missing(ruleset, item)]
        if missing:
            yield _note(ruleset, missing)


def _is_missing(ruleset: m.RuleSet, item: _Item) -> bool:
    wanted = item.fact is None or item.fact in ruleset.engine
    return wanted and not i.recognised(ruleset, item.instrument)


def _unknown_engine(ruleset: m.RuleSet, items: list[_Item]) -> Iterator[Finding]:
    """What is not known of the engine is never taken for not asked."""
    facts = [item for item in items if item.fact is not None]
    if facts and not ruleset.engine:
        unknown, those = "nothing says what kind of engine it is", facts
        way_out = "say it in a profile or here, for example: engine piston, air cooled, pump fed"
    else:
        those = [item for item in facts if item.fact in _COOLING]
        if not those or "turbine" in ruleset.engine or set(_COOLING) & set(ruleset.engine):
            return
        unknown, way_out = "nothing says how the engine is cooled", "add `air cooled` or `liquid cooled` to `engine`"
    rule = tuple(dict.fromkeys(item.clause for item in those))
    follow = statement_for(ruleset, rule)
    yield standard(
        ruleset,
        NAME,
        rule,
        f"{unknown}, so it cannot be told whether these are asked for: {listed(_titles(those))}",
        "some instruments depend on the kind of engine",
        None if follow is None else follow.span,
        advice=(way_out,),
    )


def _titles(items: list[_Item]) -> list[str]:
    return list(dict.fromkeys(item.instrument.title for item in items))


def _missing(ruleset: m.RuleSet, item: _Item) -> Finding:
    follow = statement_for(ruleset, (item.clause,))
    because = f" where `engine` says {item.fact}" if item.fact else ""
    kind = "quantity" if item.instrument.dimensions else "switch"
    return standard(
        ruleset,
        NAME,
        (item.clause,),
        f"no {kind} is recognisable as {item.instrument.title}",
        f"one is asked for{because}",
        None if follow is None else follow.span,
        advice=(
            f"declare it, with one of these in its name or title: {', '.join(item.instrument.names)}",
            "a gauge of its own outside this panel is declared just so, without bands",
        ),
    )


def _note(ruleset: m.RuleSet, missing: list[_Item]) -> Finding:
    return standard(
        ruleset,
        NAME,
        tuple(item.clause for item in missing),
        f"no quantity is recognisable as {listed(_titles(missing))}",
        f"asked for with the engine as it is stated ({', '.join(ruleset.engine)})",
        None,
        advice=("declare them; a gauge of its own outside this panel is declared just so, without bands",),
    )


def _low_fuel(ruleset: m.RuleSet) -> Iterator[Finding]:
    """No warning of a low-fuel sensor of its own, and what the alerts there are lack."""
    follow = statement_for(ruleset, _LOW_FUEL)
    if follow is None:
        return
    gauges, sensors = (set(i.recognised(ruleset, instrument)) for instrument in (i.FUEL, i.LOW_FUEL))
    but: list[str] = []
    labels: list[str] = []
    for rule in ruleset.rules:
        if rule.alert is None:
            continue
        read = _read(ruleset, rule)
        gauge, is_warning = sorted(read & gauges), rule.alert.level is m.Level.WARNING
        if is_warning and read & sensors and not gauge:
            return
        if not read & sensors and (not gauge or rule.alert.level < m.Level.CAUTION):
            continue
        lacks = [f"reads {listed(gauge)}, so it is not independent of the gauge"] if gauge else []
        if not is_warning:
            lacks.append(f"is {'an' if rule.alert.level is m.Level.ADVISORY else 'a'} {rule.alert.level.word}")
        but.append(f'"{rule.alert.text}" ({rule.label}) {" and ".join(lacks)}')
        labels.append(rule.label)
    names = ", ".join(i.LOW_FUEL.names)
    advice = (
        f"write a warning that reads {sorted(sensors)[0]}"
        if sensors
        else f"declare the sensor, a switch or a quantity with these words in its name or title: {names}; "
        "and write a warning that reads it"
    )
    yield standard(
        ruleset,
        NAME,
        _LOW_FUEL,
        f"no warning reads a low-fuel sensor of its own{''.join(f'; {text}' for text in but)}",
        "a warning at about 10 minutes of usable fuel, independent of the fuel quantity gauge",
        follow.span,
        statements=tuple(labels),
        advice=(advice, "a lamp of its own outside this panel is written just so, for its switch"),
    )


def _read(ruleset: m.RuleSet, rule: m.Rule) -> set[str]:
    """The sensors and switches on which it depends whether a statement applies."""
    formulas = (rule.when, rule.unless)
    names = set(ruleset.quantities_read(*formulas))
    if isinstance(rule, m.Band):
        names |= {rule.quantity, *(bound.quantity for bound in rule.region.moving)}
    return set(ruleset.switches_read(*formulas)).union(*(ruleset.sensors_of(name) for name in names))
