"""An instrument that a published rule asks for is not among the quantities.

## What it finds

Instruments that 14 CFR 91.205(b) (flight under day visual rules) or, for small rotorcraft, 27.1305 asks for,
and for which no quantity is recognisable. Both texts were read in reprints; of 27.1305 the items in the list
below are looked at, that of the cylinder heads for air-cooled engines only. What kind of engine it is says
the profile: `engine piston, air cooled, pump fed`; known are also `liquid cooled`, `altitude`, `turbine`,
`retractable gear`. A fact that is not stated is taken not to be so.

A quantity is recognised by what it measures and by words in its name or in its title:

- airspeed: airspeed, air speed, ias, kias, cas, kcas; altimeter: altimeter, altitude, alt; magnetic
  direction: compass, heading, magnetic
- tachometer: rpm, tachometer, engine speed, propeller speed, n1, n2, ng, np
- oil pressure: oil pressure, oil press; oil temperature (air cooled): oil temp, oil temperature
- coolant temperature (liquid cooled): coolant, water temp, water temperature
- manifold pressure (altitude): manifold pressure, manifold press, map, mp
- fuel quantity: fuel quantity, fuel qty, fuel level, fuel contents; also a volume or mass whose title begins
  with fuel: "Fuel, left tank"
- landing gear position (retractable gear): a switch or quantity named gear, undercarriage
- 27.1305: also fuel pressure (pump fed): fuel pressure, fuel press; oil quantity: oil quantity, oil qty, oil
  level; cylinder heads (air cooled): cht, cylinder head; and a caution or warning that reads the fuel
  quantity

A quantity that is a gauge of its own outside this panel counts as soon as it is declared; it needs no bands.

As advice it is one note, on 91.205(b)(4) to (10) and only where the engine is stated. After `follow "14 CFR
91.205"` (or a paragraph of it) or `follow "14 CFR 27.1305"` each missing instrument is an error.

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
    quantity fuel_quantity "Fuel quantity" from 0 to 24 gal, step 0.1 gal
    rpm at most 2750 is green
    rpm above 2750 is red

## Corrected

    rules "example" version 1
    engine piston, liquid cooled
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    quantity coolant_temp "Coolant temperature" from -40 to 300 F, step 1 F
    quantity fuel_quantity "Fuel quantity" from 0 to 24 gal, step 0.1 gal
    rpm at most 2750 is green
    rpm above 2750 is red

## How it is decided

By comparing names and what they measure with the list; no solver.

## What it cannot see

How many engines and tanks there are, and whether each has its gauge. Whether a quantity of the right name is
fitted. An oil system without pressure. The items (11) and (12) of 91.205(b). Of 27.1305: carburettor air
temperature, gearbox warnings, fuel pump failure, filter contamination. Whether the rule applies to the
aircraft. Nothing here says that a rule is complied with: it is help in reading, and the approved documents
decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from alertlang.checks.context import Context
from alertlang.checks.standards import instruments as i
from alertlang.checks.standards.published import CLAUSES, Clause, asked, clauses, statement_for
from alertlang.checks.standards.say import standard
from alertlang.checks.words import listed
from alertlang.diagnostics.finding import Finding
from alertlang.model import ruleset as m

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
    ("14 CFR 27.1305", i.TACHOMETER, None),
    ("14 CFR 27.1305", i.OIL_PRESSURE, None),
    ("14 CFR 27.1305", i.OIL_TEMPERATURE, None),
    ("14 CFR 27.1305", i.OIL_QUANTITY, None),
    ("14 CFR 27.1305", i.FUEL, None),
    ("14 CFR 27.1305", i.FUEL_PRESSURE, "pump fed"),
    ("14 CFR 27.1305", i.MANIFOLD, "altitude"),
    ("14 CFR 27.1305", i.CYLINDER_HEAD, "air cooled"),
)
ITEMS = (*_FLIGHT, *_ENGINE, *_ROTORCRAFT)
RULE = tuple(clause for clause in CLAUSES if clause in {item.clause for item in ITEMS})
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
    if followed:
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
    rule = clauses("14 CFR 27.1305")
    if not asked(ruleset, rule):
        return
    for name in i.recognised(ruleset, i.FUEL):
        told = (rule.alert for rule in ruleset.rules_for(name))
        if any(alert is not None and alert.level >= m.Level.CAUTION for alert in told):
            continue
        follow = statement_for(ruleset, rule)
        yield standard(
            ruleset,
            NAME,
            rule,
            f"no caution or warning reads {name}",
            "a low-fuel warning is asked for",
            None if follow is None else follow.span,
            quantity=name,
            advice=(f"give the low band of {name} a caution or a warning",),
        )
