"""The instruments pack against the lists of 14 CFR 91.205(b) and 27.1305.

Source, both read in online reprints, in own words:

91.205(b), day VFR: (1) airspeed, (2) altimeter, (3) magnetic direction; for each engine (4) a tachometer, (5) oil
pressure, (6) a temperature gauge if liquid-cooled, (7) oil temperature if air-cooled, (8) manifold pressure if an
altitude engine; (9) fuel quantity of each tank; (10) landing gear position if retractable.

27.1305 (small rotorcraft), of which this is looked at: rpm, oil pressure, temperature and quantity, fuel quantity, fuel
pressure of a pump-fed engine, manifold pressure of an altitude engine, cylinder head temperature, low-fuel warning.
"""

from __future__ import annotations

import itertools

import pytest

from alertlang.api import loads
from alertlang.checks.standards import instruments as i
from alertlang.diagnostics.codes import Severity
from alertlang.diagnostics.finding import Finding

NAME = "missing-instrument"

# Each gauge as somebody would declare it, by a name of our own.
GAUGES = {
    "airspeed": "quantity airspeed from 0 to 200 kt",
    "altimeter": "quantity altitude from 0 to 20000 ft",
    "direction": 'quantity dial_1 "Compass" from 0 to 360 deg',
    "tachometer": "quantity rpm from 0 to 3500 rpm",
    "oil_pressure": "quantity oil_pressure from 0 to 100 psi",
    "coolant": "quantity coolant_temp from 0 to 150 C",
    "oil_temp": "quantity oil_temp from 0 to 300 F",
    "manifold": "quantity manifold_pressure from 0 to 40 inHg",
    "fuel": "quantity fuel_quantity[2] from 0 to 24 gal",
    "gear": "switch gear_position up, down",
    "fuel_pressure": "quantity fuel_pressure from 0 to 40 psi",
    "oil_quantity": "quantity oil_level from 0 to 8 L",
    "cht": "quantity cht[4] from 0 to 500 F",
}
ALWAYS = {"1": "airspeed", "2": "altimeter", "3": "direction", "4": "tachometer", "5": "oil_pressure", "9": "fuel"}
BY_FACT = {
    "liquid cooled": ("6", "coolant"),
    "air cooled": ("7", "oil_temp"),
    "altitude": ("8", "manifold"),
    "retractable gear": ("10", "gear"),
}


def found(facts: list[str], gauges: set[str], follow: str, extra: str = "") -> list[Finding]:
    lines = [
        'rules "panel" version 1',
        f"engine {', '.join(facts)}" if facts else "",
        *(GAUGES[name] for name in sorted(gauges)),
        extra,
        f'follow "{follow}"',
    ]
    said = [f for f in loads("\n".join(lines) + "\n").check().findings if f.code.name == NAME]
    assert {f.severity for f in said} <= {Severity.ERROR}
    return said


def items(said: list[Finding]) -> set[str]:
    """The paragraphs of 91.205(b) that are named."""
    return {f.message.split("91.205(b)(")[1].split(")")[0] for f in said}


def asked_for(facts: list[str]) -> dict[str, str]:
    """Item and gauge, straight from the list above."""
    return {**ALWAYS, **{item: gauge for fact, (item, gauge) in BY_FACT.items() if fact in facts}}


ENGINES = [
    ["piston", cooling, *more]
    for cooling in ("air cooled", "liquid cooled")
    for n in range(3)
    for more in itertools.combinations(("altitude", "retractable gear"), n)
]


@pytest.mark.parametrize("facts", ENGINES, ids=", ".join)
def test_each_gauge_taken_out_is_one_finding(facts: list[str]) -> None:
    wanted = asked_for(facts)
    assert found(facts, set(wanted.values()), "14 CFR 91.205") == []
    for item, gauge in wanted.items():
        said = found(facts, set(wanted.values()) - {gauge}, "14 CFR 91.205")
        assert len(said) == 1
        assert items(said) == {item}
        # Under its own paragraph it is found, under every other one it is not asked.
        assert items(found(facts, set(wanted.values()) - {gauge}, f"91.205(b)({item})")) == {item}
        other = next(one for one in wanted if one != item)
        assert found(facts, set(wanted.values()) - {gauge}, f"91.205(b)({other})") == []


@pytest.mark.parametrize("facts", ENGINES, ids=", ".join)
def test_with_no_gauge_at_all_each_is_found(facts: list[str]) -> None:
    assert items(found(facts, set(), "91.205")) == set(asked_for(facts))


def test_the_trap_in_the_wording() -> None:
    """(6) goes with liquid-cooled, (7) with air-cooled: each has one, and the other's does not do."""
    base = set(ALWAYS.values())
    assert items(found(["piston", "liquid cooled"], base | {"oil_temp"}, "91.205")) == {"6"}
    assert items(found(["piston", "air cooled"], base | {"coolant"}, "91.205")) == {"7"}


def test_a_turbine_needs_neither() -> None:
    assert found(["turbine"], set(ALWAYS.values()), "91.205") == []


def test_what_is_not_known_of_the_engine_is_said() -> None:
    [one] = found([], set(ALWAYS.values()), "91.205")
    assert one.message.startswith("nothing says what kind of engine it is")
    [one] = found(["piston"], set(ALWAYS.values()), "91.205")
    assert one.message.startswith("nothing says how the engine is cooled")
    assert found([], set(ALWAYS.values()), "91.205(b)(4)") == []


ROTORCRAFT_ALWAYS = {"tachometer", "oil_pressure", "oil_temp", "oil_quantity", "fuel"}
ROTORCRAFT_BY_FACT = {"pump fed": "fuel_pressure", "altitude": "manifold", "air cooled": "cht"}
LOW = 'when any fuel_quantity below 3 gal then caution "LOW FUEL"'


@pytest.mark.parametrize(
    "facts",
    [["piston", *more] for n in range(4) for more in itertools.combinations(sorted(ROTORCRAFT_BY_FACT), n)],
    ids=", ".join,
)
def test_rotorcraft(facts: list[str]) -> None:
    facts = facts if "air cooled" in facts else [*facts, "liquid cooled"]
    wanted = ROTORCRAFT_ALWAYS | {gauge for fact, gauge in ROTORCRAFT_BY_FACT.items() if fact in facts}
    assert found(facts, wanted, "14 CFR 27.1305", LOW) == []
    for gauge in wanted - {"fuel"}:
        assert len(found(facts, wanted - {gauge}, "14 CFR 27.1305", LOW)) == 1, gauge
    [one] = found(facts, wanted - {"fuel"}, "14 CFR 27.1305")
    assert "a fuel quantity gauge" in one.message


@pytest.mark.parametrize(
    ("extra", "count"),
    [
        (LOW, 0),
        ('when any fuel_quantity below 3 gal then warning "LOW FUEL"', 0),
        ('fuel_quantity below 3 gal is yellow with caution "LOW FUEL"', 0),
        ('when any fuel_quantity below 3 gal then advisory "LOW FUEL"', 1),
        ("fuel_quantity below 3 gal is yellow", 1),
        ('when rpm above 3000 then caution "RPM"', 1),
    ],
)
def test_the_low_fuel_warning_of_rotorcraft(extra: str, count: int) -> None:
    said = found(["piston", "liquid cooled"], ROTORCRAFT_ALWAYS, "27.1305", extra)
    assert [f.quantity for f in said] == ["fuel_quantity"] * count
    # 91.205 does not ask for one.
    assert found(["piston", "air cooled"], set(ALWAYS.values()) | {"oil_temp"}, "91.205", "") == []


# ---- how an instrument is recognised


@pytest.mark.parametrize(
    ("instrument", "declaration", "recognised"),
    [
        (i.OIL_PRESSURE, "quantity oil_pressure from 0 to 9 bar", True),
        (i.OIL_PRESSURE, "quantity engine_1_oil_press from 0 to 9 bar", True),
        (i.OIL_PRESSURE, 'quantity op "Oil pressure" from 0 to 9 bar', True),
        (i.OIL_PRESSURE, 'quantity op "Pressure of engine oil" from 0 to 9 bar', True),
        # Another measure, another oil, half a name.
        (i.OIL_PRESSURE, "quantity oil_pressure from 0 to 9 V", False),
        (i.OIL_PRESSURE, "quantity gearbox_oil_pressure from 0 to 9 bar", False),
        (i.OIL_PRESSURE, 'quantity oil_pressure "Gearbox oil pressure" from 0 to 9 bar', False),
        (i.OIL_PRESSURE, "quantity oilpressure from 0 to 9 bar", False),
        (i.OIL_PRESSURE, 'quantity oil "Pressure" from 0 to 9 bar', False),
        (i.OIL_PRESSURE, "quantity fuel_pressure from 0 to 9 bar", False),
        (i.TACHOMETER, "quantity n1 from 0 to 110 %", True),
        (i.TACHOMETER, "quantity rotor_rpm from 0 to 500 rpm", False),
        (i.TACHOMETER, 'quantity np "Propeller speed" from 0 to 3000 rpm', True),
        (i.FUEL, "quantity fuel_qty from 0 to 100 L", True),
        (i.FUEL, "quantity fuel_level from 0 to 100 %", True),
        (i.FUEL, "quantity fuel_quantity from 0 to 600 lb", True),
        (i.FUEL, 'quantity fuel_left "Fuel, left tank" from 0 to 30 gal', True),
        (i.FUEL, 'quantity fuel_right "Fuel, right tank" from 0 to 180 lb', True),
        (i.FUEL, 'quantity fuel_left "Fuel, left tank" from 0 to 100 %', False),
        (i.FUEL, 'quantity fuel_temp "Fuel temperature" from 0 to 100 C', False),
        (i.FUEL, 'quantity bus "Fuel used" from 0 to 30 gal', False),
        (i.FUEL, 'quantity left "Left tank fuel" from 0 to 30 gal', False),
        (i.FUEL, "quantity fuel_quantity_used from 0 to 100 L", False),
        (i.FUEL, "quantity fuel_flow from 0 to 20 gal/h", False),
        (i.ALTIMETER, "quantity pressure_altitude from 0 to 20000 ft", True),
        (i.ALTIMETER, "quantity radio_altitude from 0 to 2500 ft", False),
        (i.AIRSPEED, "quantity ias from 0 to 200 kt", True),
        (i.AIRSPEED, "quantity vertical_speed from 0 to 20 m/s", False),
        (i.GEAR, "switch gear up, down", True),
        (i.GEAR, 'switch wheels "Landing gear" up, down', True),
        (i.GEAR, "switch gearbox_chip off, on", False),
    ],
)
def test_recognised(instrument: i.Instrument, declaration: str, recognised: bool) -> None:
    model = loads(f'rules "one" version 1\n{declaration}\n').model
    assert bool(i.recognised(model, instrument)) is recognised


def test_what_is_computed_is_no_instrument() -> None:
    text = 'rules "one" version 1\nquantity p from 0 to 9 bar\nlet oil_pressure = p * 2\n'
    assert i.recognised(loads(text).model, i.OIL_PRESSURE) == ()
