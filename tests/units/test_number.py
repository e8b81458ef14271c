"""Numbers are read and shown exactly."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.units.number import parse_number, show_number, show_value
from alertlang.units.unit import PLAIN, UNITS


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("0", Fraction(0)),
        ("2550", Fraction(2550)),
        ("-40", Fraction(-40)),
        ("0.1", Fraction(1, 10)),
        ("29.92", Fraction(748, 25)),
        ("-0.5", Fraction(-1, 2)),
        ("007", Fraction(7)),
        ("1.500", Fraction(3, 2)),
        ("-0", Fraction(0)),
    ],
)
def test_parses_plain_decimals(text: str, value: Fraction) -> None:
    assert parse_number(text) == value


@pytest.mark.parametrize(
    "text",
    [
        "", "-", ".", "-.", "1e3", "1E3", "1/3", "1_000", "1,000", "nan", "inf", "-inf", "+5", "--5", "- 5",
        " 5", "5 ", "5\n", "5.", ".5", "1.2.3", "0x10", "٣", "\uff15", "²", "5rpm", "−5",
    ],
)  # fmt: skip
def test_refuses_everything_else(text: str) -> None:
    with pytest.raises(ValueError, match="not a plain decimal number"):
        parse_number(text)


def test_refuses_a_number_too_long_to_be_meant() -> None:
    assert parse_number("1" * 1000) == (10**1000 - 1) // 9
    with pytest.raises(ValueError, match="more than 1000 characters"):
        parse_number("1" * 1001)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Fraction(0), "0"),
        (Fraction(2550), "2550"),
        (Fraction(-40), "-40"),
        (Fraction(1, 10), "0.1"),
        (Fraction(-1, 2), "-0.5"),
        (Fraction(1, 1024), "0.0009765625"),
        (Fraction(1, 125), "0.008"),
        (Fraction(12, 5), "2.4"),
        (Fraction(440, 9), "440/9"),
        (Fraction(-1, 3), "-1/3"),
        (Fraction(1, 6), "1/6"),
        (Fraction(10**30), "1" + "0" * 30),
        (Fraction(1, 10**30), "0." + "0" * 29 + "1"),
    ],
)
def test_shows_exactly(value: Fraction, text: str) -> None:
    assert show_number(value) == text


def test_shows_value_with_its_unit() -> None:
    assert show_value(Fraction(2550), UNITS["rpm"]) == "2550 rpm"
    assert show_value(Fraction(88), UNITS["%"]) == "88 %"
    assert show_value(Fraction(440, 9), UNITS["C"]) == "440/9 C"
    assert show_value(Fraction(3, 2), PLAIN) == "1.5"


@given(st.integers(), st.integers(0, 40))
def test_every_decimal_survives_show_and_parse(digits: int, places: int) -> None:
    value = Fraction(digits, 10**places)
    assert parse_number(show_number(value)) == value


@given(st.integers(), st.integers(0, 40))
def test_decimals_are_shown_without_needless_digits(digits: int, places: int) -> None:
    text = show_number(Fraction(digits, 10**places))
    assert set(text) <= set("-.0123456789")
    assert "." not in text or text[-1] not in "0."


@given(st.fractions())
def test_whatever_is_shown_is_the_value(value: Fraction) -> None:
    assert Fraction(show_number(value)) == value


@given(st.text(max_size=8))
def test_any_text_is_a_number_or_an_error(text: str) -> None:
    try:
        value = parse_number(text)
    except ValueError:
        return
    assert set(text) <= set("-.0123456789")
    assert value == Fraction(text)
