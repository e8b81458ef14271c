"""Units: found by name, suggested for other spellings, converted exactly."""

from __future__ import annotations

import dataclasses
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.units.unit import PLAIN, UNITS, Unit, convert, convert_difference, find_unit, nearest_unit

# As the language reference lists them, and the two weights.
WRITTEN = [
    "rpm", "F", "C", "K", "psi", "bar", "kPa", "hPa", "inHg", "kt", "mph", "km/h", "m/s", "ft", "m", "V", "A",
    "%", "deg", "gal", "L", "gal/h", "L/h", "lb/h", "kg/h", "Nm", "lbft", "s", "min", "h", "lb", "kg",
    "ft/min", "g", "mbar", "L/min", "kW", "kWh",
]  # fmt: skip
DIMENSIONS = {
    "rotational speed", "temperature", "pressure", "speed", "length", "voltage", "current", "ratio", "angle",
    "volume", "volume flow", "mass flow", "mass", "torque", "time", "acceleration", "power", "energy",
}  # fmt: skip
OTHER_SPELLINGS = {
    "F": ["degF", "°F", "º F", "fahrenheit", "Fahrenheit", "deg F", "f", "farenheit"],
    "C": ["degC", "°C", "Celsius", "centigrade", "celcius"],
    "K": ["kelvin"],
    "deg": ["°", "degrees"],
    "rpm": ["RPM", "rev/min", "r.p.m.", "revs per min"],
    "psi": ["PSI", "psig", "lbf/in^2", "pounds per square inch"],
    "kPa": ["kpa", "KPA", "kpaa"],
    "hPa": ["hectopascals"],
    "mbar": ["MBAR", "mb", "millibars"],
    "ft/min": ["fpm", "feet per minute", "FT/MIN"],
    "L/min": ["l/min", "litres per minute", "lpm"],
    "g": ["G", "Gs"],
    "kW": ["kw", "KW", "kilowatts"],
    "kWh": ["kwh", "kW h", "kilowatt hours"],
    "inHg": ["inhg", "in.Hg", "in Hg", "inches of mercury"],
    "kt": ["knots", "kts", "KIAS"],
    "km/h": ["kmh", "kph"],
    "mph": ["MPH", "miles per hour"],
    "m/s": ["m/sec", "metres per second"],
    "ft": ["feet", "foot"],
    "m": ["metres", "meters"],
    "V": ["volts", "v"],
    "A": ["amps", "Ampere"],
    "%": ["pct", "percent"],
    "gal/h": ["gph", "gal/hr", "GPH", "gallon/h", "gallons per hour", "galons/hour"],
    "L/h": ["lph", "l/h", "Liters/Hour"],
    "lb/h": ["pph", "lbs/hr", "pounds per hour"],
    "gal": ["gallons"],
    "L": ["litres", "liter"],
    "lbft": ["ft-lb", "ftlb", "ft·lbf", "lb-ft"],
    "Nm": ["N·m", "N m", "nm"],
    "s": ["sec", "seconds", "secnods"],
    "min": ["minutes", "mins"],
    "h": ["hours", "hr"],
    "lb": ["lbs", "pounds"],
    "kg": ["kilograms"],
    "kg/h": ["kg/hour"],
}  # fmt: skip
PAIRS = [(one, two) for one, two in product([*UNITS.values(), PLAIN], repeat=2) if one.dimension == two.dimension]
pairs = st.sampled_from(PAIRS)


def test_units_are_those_of_the_language() -> None:
    assert set(UNITS) == set(WRITTEN)
    assert all(unit.name == name for name, unit in UNITS.items())
    assert {unit.dimension for unit in UNITS.values()} == DIMENSIONS


def test_only_temperatures_have_an_offset() -> None:
    assert {name for name, unit in UNITS.items() if unit.offset} == {"F", "C"}
    assert all(unit.factor > 0 for unit in UNITS.values())


def test_table_and_units_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        UNITS["rpm"] = PLAIN  # type: ignore[index]
    with pytest.raises(dataclasses.FrozenInstanceError):
        UNITS["rpm"].factor = Fraction(2)  # type: ignore[misc]


def test_names_differ_in_more_than_case() -> None:
    # A suggestion ignores case, so it could not tell two such names apart.
    assert len({name.casefold() for name in UNITS}) == len(UNITS)


@pytest.mark.parametrize("name", WRITTEN)
def test_finds_exact_names_only(name: str) -> None:
    unit = find_unit(name)
    assert unit is not None
    assert unit.name == name
    assert find_unit(f"{name} ") is None


@pytest.mark.parametrize("name", ["", "RPM", "degF", "°F", "PSI", "knots"])
def test_does_not_find_other_spellings(name: str) -> None:
    assert find_unit(name) is None


@pytest.mark.parametrize(
    ("written", "meant"), [(each, unit) for unit, spellings in OTHER_SPELLINGS.items() for each in spellings]
)
def test_suggests_the_unit_that_was_meant(written: str, meant: str) -> None:
    assert nearest_unit(written) == meant


@pytest.mark.parametrize(
    "written",
    [
        "", " ", "°°", "x", "/", "/h", "in", "mi", "hp", "W", "ohm", "nmi", "lbf", "kgf", "furlong",
        "candela", "in/min", "m/min", "m/s/s", "rad/s", "z" * 10_000,
    ],
)  # fmt: skip
def test_suggests_nothing_for_units_of_other_things(written: str) -> None:
    assert nearest_unit(written) is None


@pytest.mark.parametrize("name", WRITTEN)
def test_suggestion_for_a_right_name_is_that_name_in_any_case(name: str) -> None:
    assert {nearest_unit(each) for each in (name, name.upper(), name.lower())} == {name}


@given(st.text(max_size=12))
def test_every_suggestion_is_a_unit(written: str) -> None:
    found = nearest_unit(written)
    assert found is None or found in UNITS


@pytest.mark.parametrize(
    ("value", "source", "target", "result"),
    [
        ("32", "F", "C", "0"),
        ("0", "K", "C", "-273.15"),
        ("0", "K", "F", "-459.67"),
        ("36", "km/h", "m/s", "10"),
        ("1", "mph", "km/h", "1.609344"),
        ("1", "bar", "hPa", "1000"),
        ("250", "kPa", "bar", "2.5"),
        ("90", "s", "min", "1.5"),
        ("2", "h", "s", "7200"),
        ("1", "lb/h", "kg/h", "0.45359237"),
        ("10", "gal/h", "L/h", "37.85411784"),
        ("1000", "ft", "m", "304.8"),
    ],
)
def test_converts_exactly(value: str, source: str, target: str, result: str) -> None:
    assert convert(Fraction(value), UNITS[source], UNITS[target]) == Fraction(result)
    assert convert(Fraction(result), UNITS[target], UNITS[source]) == Fraction(value)


def test_percent_is_a_hundredth_of_a_plain_number() -> None:
    assert convert(Fraction(88), UNITS["%"], PLAIN) == Fraction(22, 25)
    assert convert(Fraction(1), PLAIN, UNITS["%"]) == 100


def test_difference_of_temperatures_has_no_offset() -> None:
    assert convert_difference(Fraction(9), UNITS["F"], UNITS["C"]) == 5
    assert convert_difference(Fraction(0), UNITS["F"], UNITS["K"]) == 0
    assert convert(Fraction(0), UNITS["F"], UNITS["K"]) != 0


@pytest.mark.parametrize("change", [convert, convert_difference])
def test_other_dimension_is_an_error_in_plain_words(change: object) -> None:
    assert callable(change)
    with pytest.raises(ValueError, match=r"^pressure \(psi\) cannot be converted to temperature \(F\)$"):
        change(Fraction(1), UNITS["psi"], UNITS["F"])
    with pytest.raises(ValueError, match=r"^a plain number \(ratio\) cannot be converted to time \(s\)$"):
        change(Fraction(1), PLAIN, UNITS["s"])


@given(pairs, st.fractions())
def test_there_and_back_is_the_same_value(pair: tuple[Unit, Unit], value: Fraction) -> None:
    one, two = pair
    assert convert(convert(value, one, two), two, one) == value
    assert convert_difference(convert_difference(value, one, two), two, one) == value


@given(pairs, st.fractions(), st.fractions())
def test_differences_convert_as_their_ends_do(pair: tuple[Unit, Unit], high: Fraction, low: Fraction) -> None:
    one, two = pair
    assert convert(high, one, two) - convert(low, one, two) == convert_difference(high - low, one, two)


@given(pairs, st.fractions(), st.fractions())
def test_conversion_keeps_order(pair: tuple[Unit, Unit], low: Fraction, high: Fraction) -> None:
    one, two = pair
    assert (convert(low, one, two) < convert(high, one, two)) == (low < high)
