"""Small parts of what is told of a recorded run as text."""

from __future__ import annotations

from fractions import Fraction

from alertlang.output.style import Line, wrapped
from alertlang.units.number import say_value, show_number
from alertlang.units.unit import UNITS

MARGIN = "  "


def section(title: str, lines: list[Line], empty: str) -> list[Line]:
    if not lines and not empty:
        return []
    return [[], [("strong", title)], *(lines or [[("", MARGIN + empty)]])]


def span_of(segment: int, start: Fraction, end: Fraction | None, seconds: Fraction, several: bool) -> str:
    where = f"segment {segment}, " if several else ""
    until = "to the end" if end is None else f"to {at_second(end)}"
    return f"{where}from {at_second(start)} {until}, {duration(seconds)}"


def gauge_name(quantity: str, element: int | None) -> str:
    return quantity if element is None else f"{quantity}[{element}]"


def at_second(time: Fraction) -> str:
    """A time as the log counts it, so that it can be found there."""
    return say_value(time, UNITS["s"])


def duration(seconds: Fraction) -> str:
    minutes, rest = divmod(seconds, 60)
    if minutes < 2:
        return say_value(seconds, UNITS["s"])
    hours, minutes = divmod(minutes, 60)
    said = f"{hours} h {minutes} min" if hours else f"{minutes} min"
    return said + (f" {say_value(rest, UNITS['s'])}" if rest and "about" not in say_value(rest, UNITS["s"]) else "")


def amount_of(value: Fraction, unit: str) -> str:
    return f"{rounded(value)} {unit}".rstrip()


def rounded(value: Fraction) -> str:
    """For people: exact where three decimals are, else rounded to them."""
    if (value * 1000).denominator == 1:
        return show_number(value)
    return f"about {show_number(Fraction(round(value * 1000), 1000))}"


def indented(style: str, text: str, width: int) -> list[Line]:
    return wrapped(style, text, width, MARGIN, MARGIN * 2)


def further(text: str, width: int, style: str = "") -> list[Line]:
    return wrapped(style, text, width, MARGIN * 2, MARGIN * 3)


def percent(share: Fraction) -> str:
    """To a tenth; what is neither nothing nor all is not said to be."""
    tenths = Fraction(round(share * 1000), 10)
    if share and not tenths:
        return "less than 0.1 %"
    return "more than 99.9 %" if tenths == 100 and share < 1 else f"{show_number(tenths)} %"
