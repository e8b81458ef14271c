"""The fuel marking against 14 CFR 25.1553.

Source: 14 CFR 25.1553 and 29.1553, read in online reprints, in own words: if the unusable fuel of a tank is more than
the greater of 1 US gallon and 5 percent of the tank's capacity, a red arc is marked from calibrated zero to the lowest
reading that can be had in level flight. 27.1553, read second hand in the edition of 1 January 2024, says the same.
23.1553 was not read. A gallon is 3.785411784 L.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.checks.standards.missing_fuel_arc import threshold
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.units.number import show_number

NAME = "missing-fuel-arc"
GALLON = Fraction(3_785_411_784, 1_000_000_000)


def found(capacity: str, unit: str, amount: str, marks: list[str], *more: str) -> list[Finding]:
    lines = [
        'rules "fuel" version 1',
        'source POH "a handbook"',
        f"quantity fuel_quantity from 0 to {capacity} {unit}",
        "switch pump off, on",
        f"unusable_fuel: limit fuel_quantity at least {amount} {unit}, source POH",
        *marks,
        *more,
    ]
    return [f for f in loads("\n".join(lines) + "\n").check().findings if f.code.name == NAME]


def yellow(amount: str) -> list[str]:
    return [f"fuel_quantity below {amount} is yellow", f"fuel_quantity at least {amount} is green"]


def red(amount: str) -> list[str]:
    return [f"fuel_quantity below {amount} is red", f"fuel_quantity at least {amount} is green"]


FOLLOW = 'follow "14 CFR 25.1553"'


@pytest.mark.parametrize(
    ("capacity", "unit", "amount", "arc"),
    [
        # The greater of 1 gal and 5 %: 20 gal -> 1, 30 gal -> 1.5, 10 gal -> 1; more than that, not as much.
        ("20", "gal", "1", False),
        ("20", "gal", "1.1", True),
        ("30", "gal", "1.5", False),
        ("30", "gal", "1.501", True),
        ("10", "gal", "1", False),
        ("10", "gal", "1.01", True),
        # A gallon in litres: 3.785411784.
        ("60", "L", "3.785411784", False),
        ("60", "L", "3.785411785", True),
        ("100", "L", "5", False),
        ("100", "L", "5.1", True),
        # By weight and in percent only the 5 % can be told.
        ("200", "lb", "10", False),
        ("200", "lb", "10.1", True),
        ("100", "%", "5", False),
        ("100", "%", "6", True),
    ],
)
def test_when_the_arc_is_asked_for(capacity: str, unit: str, amount: str, arc: bool) -> None:
    assert bool(found(capacity, unit, amount, yellow(amount), FOLLOW)) is arc
    assert found(capacity, unit, amount, red(amount), FOLLOW) == []


@settings(max_examples=60)
@given(st.integers(1, 400), st.integers(1, 400), st.sampled_from(["gal", "L"]))
def test_the_threshold_is_the_greater_of_the_two(capacity: int, tenths: int, unit: str) -> None:
    """Against the words of the rule, worked out in litres."""
    amount = Fraction(tenths, 10)
    if amount >= capacity:
        return
    litres = GALLON if unit == "gal" else Fraction(1)
    asked = amount * litres > max(GALLON, capacity * litres * 5 / 100)
    said = found(str(capacity), unit, show_number(amount), yellow(show_number(amount)), FOLLOW)
    assert bool(said) is asked


def test_red_must_reach_down_to_zero_and_up_to_the_amount_in_every_context() -> None:
    most = ["fuel_quantity at least 2 gal is green"]
    for marks in (
        ["fuel_quantity from 0.5 to 2 gal is red", "fuel_quantity below 0.5 gal is yellow", *most],
        ["fuel_quantity below 1.9 gal is red", "fuel_quantity from 1.9 to 2 gal is yellow", *most],
        [
            "when pump is on then fuel_quantity below 2 gal is red",
            "when pump is off then fuel_quantity below 2 is blue",
            *most,
        ],
        ["fuel_quantity below 2 gal is yellow", "fuel_quantity below 2 gal for more than 5 s is red", *most],
    ):
        [one] = found("21", "gal", "2", marks, FOLLOW)
        assert one.severity is Severity.ERROR
        assert "2 gal cannot be used" in one.message
        assert one.witness is not None
    assert found("21", "gal", "2", ["fuel_quantity below 2 gal is red", *most], FOLLOW) == []


def test_the_arc_holds_where_the_limit_does_not() -> None:
    """A marking is on the dial always. The limit is guarded, so that no other finding says it and advice is given."""
    text = """\
rules "fuel" version 1
source POH "a handbook"
quantity fuel_quantity from 0 to 21 gal
switch pump off, on
unusable_fuel: when pump is on limit fuel_quantity at least 2 gal, source POH
when pump is on then fuel_quantity below 2 gal is red
when pump is off then fuel_quantity below 2 gal is yellow
fuel_quantity at least 2 gal is green
"""
    [one] = [f for f in loads(text).check().findings if f.code.name == NAME]
    assert one.severity is Severity.NOTE
    assert "whenever pump is off" in one.message


@pytest.mark.parametrize(
    ("declaration", "said"),
    [
        ("quantity fuel_quantity from 0 to 21 gal", "nothing says how much of fuel_quantity is unusable"),
        ("quantity rpm from 0 to 3500 rpm", "no quantity is recognisable as a fuel quantity gauge"),
        (
            "quantity tank from 0.5 to 21 gal\ntank at least 0 is green\n"
            "unusable_tank: limit tank at least 0.6 gal, source POH",
            "the range of tank begins at 0.5 gal, so that it has no zero to mark from",
        ),
    ],
)
def test_what_it_takes_to_look(declaration: str, said: str) -> None:
    text = f'rules "fuel" version 1\nsource POH "a handbook"\n{declaration}\n'
    assert [f for f in loads(text).check().findings if f.code.name == NAME] == []
    [one] = [f for f in loads(text + FOLLOW + "\n").check().findings if f.code.name == NAME]
    assert one.message.startswith(said)
    assert one.severity is Severity.ERROR


def test_a_gauge_that_reads_below_zero_has_the_arc_from_zero() -> None:
    text = """\
rules "fuel" version 1
source POH "a handbook"
quantity fuel_quantity from -2 to 21 gal
unusable_fuel: limit fuel_quantity at least 2 gal, source POH
fuel_quantity below 0 is yellow
fuel_quantity from 0 to 2 is red
fuel_quantity above 2 is green
follow "25.1553"
"""
    assert [f for f in loads(text).check().findings if f.code.name == NAME] == []


def test_each_tank_of_an_array() -> None:
    text = """\
rules "fuel" version 1
source POH "a handbook"
quantity fuel_quantity[2] from 0 to 21 gal
unusable_fuel: limit fuel_quantity at least 2 gal, source POH
fuel_quantity[1] below 2 is red
fuel_quantity[2] below 2 is yellow
fuel_quantity at least 2 is green
follow "25.1553"
"""
    [one] = [f for f in loads(text).check().findings if f.code.name == NAME]
    assert one.message.startswith("fuel_quantity[2] below 2 gal is not red")


def test_the_threshold_is_exact() -> None:
    model = loads('rules "f" version 1\nquantity fuel_quantity from 0 to 60 L\n').model
    assert threshold(model.quantities["fuel_quantity"]) == GALLON
