"""The instruments pack against the lists of 14 CFR 91.205(b) and 27.1305.

Source, both read in online reprints, in own words:

91.205(b), day VFR: (1) airspeed, (2) altimeter, (3) magnetic direction; for each engine (4) a tachometer, (5) oil
pressure, (6) a temperature gauge if liquid-cooled, (7) oil temperature if air-cooled, (8) manifold pressure if an
altitude engine; (9) fuel quantity of each tank; (10) landing gear position if retractable.

The items (11) to (17) are no instruments: (11) to (14) read in reprints, (15) to (17) from memory.

27.1305 (small rotorcraft), read in reprints current in 2026, https://law.lawstack.com/cfr/14/27.1305/ and
https://aviation-regulations.com/27.1305, by letter: (b) cylinder heads of an air-cooled engine, (c) fuel pressure of a
pump-fed one, (d) fuel quantity, (e) manifold pressure of an altitude engine, (h) oil pressure, (i) oil quantity, (j)
oil temperature, (k) a tachometer, (l) a warning at about 10 minutes of usable fuel, independent of the normal fuel
quantity system, (n) gas temperature of a turbine, (o) torque of a turboshaft that has a torque limit. What a low-fuel
sensor is recognised by is our choice. The other letters are not looked at.
"""

from __future__ import annotations

import itertools

import pytest

from alertlang.api import loads, pages
from alertlang.checks.standards import instruments as i
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding

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
    "fuel": "quantity fuel_quantity[2] from 0 to 21 gal",
    "gear": "switch gear_position up, down",
    "fuel_pressure": "quantity fuel_pressure from 0 to 40 psi",
    "oil_quantity": "quantity oil_level from 0 to 8 L",
    "cht": "quantity cht[4] from 0 to 500 F",
    "gas": "quantity itt from 0 to 900 C",
    "torque": "quantity torque from 0 to 120 %",
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


ROTORCRAFT_ALWAYS = {"d": "fuel", "h": "oil_pressure", "i": "oil_quantity", "j": "oil_temp", "k": "tachometer"}
ROTORCRAFT_BY_FACT = {
    "air cooled": {"b": "cht"},
    "pump fed": {"c": "fuel_pressure"},
    "altitude": {"e": "manifold"},
    "turbine": {"n": "gas", "o": "torque"},
}
SENSOR = "switch fuel_low off, on"
LOW = f'{SENSOR}\nwhen fuel_low is on then warning "LOW FUEL"'


def letters(said: list[Finding]) -> list[str]:
    """The paragraphs of 27.1305 that are named, as often as they are."""
    return sorted(f.message.split("27.1305(")[1].split(")")[0] for f in said)


@pytest.mark.parametrize(
    "facts",
    [
        [kind, *more]
        for kind in ("piston", "turbine")
        for n in range(4)
        for more in itertools.combinations(("air cooled", "altitude", "pump fed"), n)
    ],
    ids=", ".join,
)
def test_rotorcraft(facts: list[str]) -> None:
    wanted = dict(ROTORCRAFT_ALWAYS)
    for fact in facts:
        wanted.update(ROTORCRAFT_BY_FACT.get(fact, {}))
    facts = facts if "air cooled" in facts else [*facts, "liquid cooled"]
    assert found(facts, set(wanted.values()), "14 CFR 27.1305", LOW) == []
    assert letters(found(facts, set(), "27.1305")) == sorted([*wanted, "l"])
    for letter, gauge in wanted.items():
        rest = set(wanted.values()) - {gauge}
        assert letters(found(facts, rest, "14 CFR 27.1305", LOW)) == [letter]
        # Under its own paragraph it is found, under every other one it is not asked.
        assert letters(found(facts, rest, f"27.1305({letter})")) == [letter]
        other = next(one for one in wanted if one != letter)
        assert found(facts, rest, f"27.1305({other})") == []


@pytest.mark.parametrize(
    ("extra", "said"),
    [
        (LOW, None),
        (f'{SENSOR}\nwhen fuel_low is on and rpm above 500 then warning "LOW FUEL"', None),
        (f'{SENSOR}\ncondition low means fuel_low is on, set after 5 s\nwhen low then warning "LOW FUEL"', None),
        ('switch s_4 "Low fuel, both tanks" off, on\nwhen s_4 is on then warning "LOW FUEL"', None),
        ('quantity fuel_low_level from 0 to 5 V\nfuel_low_level below 2 V is red with warning "LOW FUEL"', None),
        ('quantity s_4 "Fuel, low level" from 0 to 3 gal\nwhen s_4 below 1 then warning "LOW FUEL"', None),
        ('quantity s_4 "Fuel, low" from 0 to 5 V\nlet s_5 = s_4 * 2\nwhen s_5 below 1 then warning "LOW FUEL"', None),
        # Two alerts, one of which is as it should be.
        (f'{LOW}\nwhen any fuel_quantity below 4 gal then caution "LOW FUEL"', None),
        # Nothing at all, and a sensor that nothing reads.
        ("", ""),
        (SENSOR, ""),
        ('when rpm above 3000 then warning "RPM"', ""),
        ('switch fuel_pressure_low off, on\nwhen fuel_pressure_low is on then warning "FUEL P"', ""),
        ('when any fuel_quantity below 3 gal then advisory "LOW FUEL"', ""),
        # The gauge, in whichever way.
        ('when any fuel_quantity below 3 gal then warning "LOW FUEL"', "independent"),
        ('when any fuel_quantity below 3 gal then caution "LOW FUEL"', "independent is a caution"),
        ('fuel_quantity below 3 gal is red with warning "LOW FUEL"', "independent"),
        (
            'let fuel = fuel_quantity[1] + fuel_quantity[2]\nwhen fuel below 3 gal then warning "LOW FUEL"',
            "independent",
        ),
        (f'{SENSOR}\nwhen fuel_low is on and any fuel_quantity below 9 then warning "LOW FUEL"', "independent"),
        (
            f'{SENSOR}\nwhen fuel_low is on then warning "LOW FUEL" unless every fuel_quantity above 9',
            "independent",
        ),
        # The sensor, and no warning.
        (f'{SENSOR}\nwhen fuel_low is on then caution "LOW FUEL"', "is a caution"),
        (f'{SENSOR}\nwhen fuel_low is on then advisory "LOW FUEL"', "is an advisory"),
    ],
)
def test_the_low_fuel_warning_of_rotorcraft(extra: str, said: str | None) -> None:
    gauges = set(ROTORCRAFT_ALWAYS.values())
    for follow in ("27.1305", "27.1305(l)"):
        told = found(["piston", "liquid cooled"], gauges, follow, extra)
        assert letters(told) == ([] if said is None else ["l"])
        for one in told:
            assert one.message.startswith("no warning reads a low-fuel sensor of its own")
            assert "about 10 minutes" in one.message
            assert ("reads fuel_quantity, so it is not independent of the gauge" in one.message) is (
                "independent" in str(said)
            )
            assert ("is a caution" in one.message, "is an advisory" in one.message) == (
                "is a caution" in str(said),
                "is an advisory" in str(said),
            )
    # No other paragraph asks for one, and 91.205 does not.
    assert found(["piston", "liquid cooled"], gauges, "27.1305(d)", extra) == []
    assert found(["piston", "air cooled"], set(ALWAYS.values()) | {"oil_temp"}, "91.205", "") == []


@pytest.mark.parametrize("item", range(11, 18))
def test_what_is_no_instrument_of_the_panel_cannot_be_followed(item: int) -> None:
    text = f'rules "one" version 1\nquantity rpm from 0 to 3500 rpm\nfollow "91.205(b)({item})"\n'
    [one] = [f for f in loads(text).check().findings if f.code.code.startswith("AL6")]
    assert (one.code.name, one.severity) == ("unknown-standard", Severity.ERROR)
    assert f"({item})" in pages()[NAME].split("What it cannot see")[1]


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
        # That there is little left says a sensor of its own.
        (i.FUEL, 'quantity s_4 "Fuel, low level" from 0 to 3 gal', False),
        (i.LOW_FUEL, 'quantity s_4 "Fuel, low level" from 0 to 3 gal', True),
        (i.LOW_FUEL, "switch low_fuel_left off, on", True),
        (i.LOW_FUEL, 'switch s_4 "Low level of fuel" off, on', True),
        (i.LOW_FUEL, "switch low_fuel_pressure off, on", False),
        (i.LOW_FUEL, 'switch fuel_low "Fuel flow low" off, on', False),
        (i.LOW_FUEL, "quantity fuel_quantity from 0 to 24 gal", False),
        (i.GAS_TEMPERATURE, "quantity tgt from 0 to 900 C", True),
        (i.GAS_TEMPERATURE, 'quantity t_5 "Turbine gas temperature" from 0 to 900 C', True),
        (i.GAS_TEMPERATURE, "quantity itt from 0 to 100 %", False),
        (i.GAS_TEMPERATURE, "quantity oil_temp from 0 to 150 C", False),
        (i.TORQUE, "quantity torque from 0 to 2000 lbft", True),
        (i.TORQUE, 'quantity q_1 "Torque pressure" from 0 to 60 psi', True),
        (i.TORQUE, "quantity torque from 0 to 900 C", False),
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
