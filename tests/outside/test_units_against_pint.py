"""Every unit, both ways, against pint with exact fractions.

pint takes its definitions from NIST SP 811 and CODATA. Told to compute in fractions it is exact, save
for one thing: its radian needs a decimal for pi, so angles are compared only within degrees and turns.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.units.unit import PLAIN, UNITS, Unit, convert, convert_difference

REGISTRY: pint.UnitRegistry[Any] = pint.UnitRegistry(non_int_type=Fraction)

# Full names: some of our short ones mean something else there, or nothing (F is the farad, C the coulomb).
# `inch_Hg` is the conventional inch of mercury, as ours. pint gives inch_Hg_0C and inch_Hg_32F the same
# density, so the slightly different 3386.38 Pa in print for 32 F is not in it.
PINT = {
    "rpm": "revolutions_per_minute",
    "F": "degree_Fahrenheit",
    "C": "degree_Celsius",
    "K": "kelvin",
    "psi": "pound_force_per_square_inch",
    "bar": "bar",
    "kPa": "kilopascal",
    "hPa": "hectopascal",
    "mbar": "millibar",
    "inHg": "inch_Hg",
    "kt": "knot",
    "mph": "mile_per_hour",
    "km/h": "kilometer / hour",
    "m/s": "meter / second",
    "ft/min": "foot / minute",
    "g": "standard_gravity",
    "ft": "foot",
    "m": "meter",
    "V": "volt",
    "A": "ampere",
    "%": "percent",
    "deg": "degree",
    "gal": "gallon",
    "L": "liter",
    "gal/h": "gallon / hour",
    "L/h": "liter / hour",
    "L/min": "liter / minute",
    "lb": "pound",
    "kg": "kilogram",
    "lb/h": "pound / hour",
    "kg/h": "kilogram / hour",
    "Nm": "newton * meter",
    "lbft": "force_pound * foot",
    "kW": "kilowatt",
    "kWh": "kilowatt_hour",
    "s": "second",
    "min": "minute",
    "h": "hour",
    "": "dimensionless",
}
DELTA = {"F": "delta_degree_Fahrenheit", "C": "delta_degree_Celsius"}
BASE = {
    "temperature": "kelvin",
    "pressure": "pascal",
    "speed": "meter / second",
    "length": "meter",
    "voltage": "volt",
    "current": "ampere",
    "ratio": "dimensionless",
    "volume": "meter ** 3",
    "volume flow": "meter ** 3 / second",
    "mass": "kilogram",
    "mass flow": "kilogram / second",
    "torque": "newton * meter",
    "acceleration": "meter / second ** 2",
    "power": "watt",
    "energy": "joule",
    "time": "second",
    # Not the radian, see above.
    "angle": "degree",
    "rotational speed": "turn / minute",
}
EVERY = [*UNITS.values(), PLAIN]
PAIRS = [(one, two) for one, two in product(EVERY, repeat=2) if one.dimension == two.dimension]
VALUES = [Fraction(text) for text in ("0", "1", "-40", "120", "2550", "29.92", "1/3")]


def by_pint(value: Fraction, source: str, target: str) -> Fraction:
    found = REGISTRY.Quantity(value, source).to(target).magnitude
    # A float here would mean that this comparison is not exact.
    assert isinstance(found, Fraction)
    return found


def test_every_unit_is_compared() -> None:
    assert set(PINT) == {*UNITS, ""}


def test_dimensions_are_those_of_pint() -> None:
    for one, two in product(EVERY, repeat=2):
        theirs = [REGISTRY.parse_units(PINT[unit.name]).dimensionality for unit in (one, two)]
        # pint counts angles as plain numbers and a torque as energy; to us a ratio is no angle.
        alike = {one.dimension, two.dimension} in ({"ratio", "angle"}, {"torque", "energy"})
        assert (theirs[0] == theirs[1]) == (one.dimension == two.dimension or alike)


@pytest.mark.parametrize("unit", EVERY, ids=lambda unit: unit.name or "plain")
def test_value_in_the_base_unit(unit: Unit) -> None:
    base = BASE[unit.dimension]
    assert by_pint(Fraction(0), PINT[unit.name], base) == unit.offset
    assert by_pint(Fraction(1), PINT[unit.name], base) == unit.factor + unit.offset


@pytest.mark.parametrize(("one", "two"), PAIRS, ids=lambda unit: unit.name or "plain")
def test_every_pair_both_ways(one: Unit, two: Unit) -> None:
    for value in VALUES:
        assert convert(value, one, two) == by_pint(value, PINT[one.name], PINT[two.name])
        difference = convert_difference(value, one, two)
        assert difference == by_pint(value, DELTA.get(one.name, PINT[one.name]), DELTA.get(two.name, PINT[two.name]))


@given(st.sampled_from(PAIRS), st.fractions())
def test_any_value(pair: tuple[Unit, Unit], value: Fraction) -> None:
    one, two = pair
    assert convert(value, one, two) == by_pint(value, PINT[one.name], PINT[two.name])


@pytest.mark.parametrize("same", ["inch_Hg", "inch_Hg_0C", "inch_Hg_32F"])
def test_inch_of_mercury_is_the_one_at_the_ice_point(same: str) -> None:
    assert by_pint(Fraction(1), same, "pascal") == UNITS["inHg"].factor


def test_inch_of_mercury_at_60_fahrenheit_is_another_unit() -> None:
    smaller = 1 - by_pint(Fraction(1), "inch_Hg_60F", "pascal") / UNITS["inHg"].factor
    assert Fraction("0.0028") < smaller < Fraction("0.0029")


def test_a_turn_is_360_degrees() -> None:
    # The one exact statement that links the two angular units; ours never meet in one dimension.
    assert by_pint(Fraction(1), "turn / minute", PINT["rpm"]) == 1
    assert by_pint(Fraction(1), "turn", PINT["deg"]) == 360
