"""Check values for conversions, computed from the published definitions and not from our table.

Source: the definitions lb = 0.45359237 kg, standard gravity 9.80665 m/s2, inch = 0.0254 m, nautical mile =
1852 m, US gallon = 231 cubic inches, as in NIST SP 811:2008 App. B. Status: definitions from memory, products
computed. Where a line below has another status, it says so.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from alertlang.units.unit import UNITS, convert, convert_difference

PASCAL = Fraction(1, 1000)  # kPa; the language has no pascal of its own


@pytest.mark.parametrize(
    ("name", "factor"),
    [
        ("psi", Fraction(8_896_443_230_521, 1_290_320_000)),
        ("inHg", Fraction(3_386_388_640_341, 1_000_000_000)),
        ("kt", Fraction(463, 900)),
        ("ft", Fraction(3048, 10_000)),
        ("gal", Fraction(473_176_473, 125_000_000_000)),
        ("lb", Fraction(45_359_237, 100_000_000)),
        # 550 ft lbf/s is one horsepower, 745.69987158227022 W exactly.
        ("lbft", Fraction("745.69987158227022") / 550),
        # 88 feet in a second are a mile in a minute; 1 ft/min is 0.00508 m/s.
        ("mph", 88 * Fraction("0.00508")),
    ],
)
def test_exact_factors(name: str, factor: Fraction) -> None:
    assert UNITS[name].factor == factor


@pytest.mark.parametrize(
    ("value", "source", "result", "target"),
    [
        ("120", "F", "440/9", "C"),
        ("140", "F", "60", "C"),
        ("212", "F", "100", "C"),
        ("245", "F", "355/3", "C"),
        ("500", "F", "260", "C"),
        ("-40", "F", "-40", "C"),
        ("1", "gal", "3.785411784", "L"),
        ("-459.67", "F", "0", "K"),
        ("32", "F", "273.15", "K"),
    ],
)
def test_exact_values(value: str, source: str, result: str, target: str) -> None:
    assert convert(Fraction(value), UNITS[source], UNITS[target]) == Fraction(result)
    assert convert(Fraction(result), UNITS[target], UNITS[source]) == Fraction(value)


@pytest.mark.parametrize(
    ("value", "source", "printed", "target"),
    [
        ("60", "psi", "413.68543759", "kPa"),
        ("100", "psi", "689.47572932", "kPa"),
        ("1", "psi", "6.894757293168", "kPa"),
        ("30", "inHg", "101.591659", "kPa"),
        ("1", "psi", "2.0360206773", "inHg"),
        ("1", "kt", "1.150779448", "mph"),
        # One standard atmosphere, 101325 Pa, and the usual altimeter setting.
        ("101.325", "kPa", "29.921256", "inHg"),
        ("29.92", "inHg", "101.320748", "kPa"),
    ],
)
def test_values_printed_to_so_many_places(value: str, source: str, printed: str, target: str) -> None:
    places = len(printed.partition(".")[2])
    found = convert(Fraction(value), UNITS[source], UNITS[target])
    assert round(found, places) == Fraction(printed)


def test_rates_of_temperature_convert_without_offset() -> None:
    # 50 F/min is 27.777... K/min.
    assert convert_difference(Fraction(50), UNITS["F"], UNITS["K"]) == Fraction(250, 9)
    assert convert_difference(Fraction(1), UNITS["F"], UNITS["C"]) == Fraction(5, 9)


def test_gallons_per_hour_in_cubic_metres_per_second() -> None:
    assert round(UNITS["gal/h"].factor * 10**6, 10) == Fraction("1.0515032733")


@pytest.mark.parametrize(
    ("pascals", "apart"),
    [
        # NIST, conventional, seven digits. Status: value seen in public code that names NIST.
        ("3386.389", "1.1e-7"),
        # SP 811 at 32 F. Status: from memory.
        ("3386.38", "-2.6e-6"),
        # SP 811 at 60 F. Status: from memory.
        ("3376.85", "-2.8e-3"),
        # UCUM, from a mercury metre of 133.322 kPa. Status: seen in public code.
        ("3386.3788", "-2.9e-6"),
    ],
)
def test_other_inches_of_mercury_are_this_far_from_ours(pascals: str, apart: str) -> None:
    ours = convert(Fraction(1), UNITS["inHg"], UNITS["kPa"]) / PASCAL
    relative = (Fraction(pascals) - ours) / ours
    digit = Fraction(f"0.1e{apart.partition('e')[2]}")
    assert abs(relative - Fraction(apart)) <= digit / 2
