"""Numbers as people write them, exactly."""

from __future__ import annotations

import re
from fractions import Fraction

from alertlang.units.unit import UNITS, Unit, convert

# Only the ten ASCII digits: `\d` and int() would also take the digits of other scripts.
_DECIMAL = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")

_TIME = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?)\s*([a-z]*)")

# Far beyond any limit in a manual, and below the length at which int() itself refuses a text.
_LONGEST = 1000


def parse_number(text: str) -> Fraction:
    """The exact value of a plain decimal: digits, perhaps a point and digits, perhaps a leading `-`.

    ValueError for anything else: exponents, ratios, separators, signs other than `-`, blanks.
    """
    if len(text) > _LONGEST:
        raise ValueError(f"a number of more than {_LONGEST} characters")
    if _DECIMAL.fullmatch(text) is None:
        raise ValueError(f"not a plain decimal number: {text!r}")
    return Fraction(text)


def parse_seconds(text: str) -> Fraction:
    """A length of time in seconds: `871`, `871s`, `14.5 min`, `1.2h`. ValueError for anything else."""
    match = _TIME.fullmatch(text.strip())
    unit = UNITS.get(match[2] or "s") if match is not None else None
    if match is None or unit is None or unit.dimension != UNITS["s"].dimension:
        raise ValueError(f"{text!r} is no time: write for example 20s or 5min")
    return convert(parse_number(match[1]), unit, UNITS["s"])


def show_number(value: Fraction) -> str:
    """The value exactly: as a decimal without trailing zeros if it has one, else as `440/9`."""
    places = _decimal_places(value.denominator)
    if places is None:
        return f"{value.numerator}/{value.denominator}"
    if places == 0:
        return str(value.numerator)
    scaled = abs(value.numerator) * (10**places // value.denominator)
    digits = str(scaled).zfill(places + 1)
    sign = "-" if value < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]}"


def show_value(value: Fraction, unit: Unit) -> str:
    """The number and its unit, `2550 rpm`; the number alone if it has none."""
    return f"{show_number(value)} {unit.name}" if unit.name else show_number(value)


def _decimal_places(denominator: int) -> int | None:
    """Digits after the point of a reduced fraction with this denominator, None if they never end."""
    twos, rest = _divide_out(denominator, 2)
    fives, rest = _divide_out(rest, 5)
    return max(twos, fives) if rest == 1 else None


def _divide_out(number: int, prime: int) -> tuple[int, int]:
    """How often `prime` divides `number`, and what then remains."""
    times = 0
    while number % prime == 0:
        number //= prime
        times += 1
    return times, number


def say_value(value: Fraction, unit: Unit) -> str:
    """For people: exact where six decimals are, else rounded and said to be so: `about 6.8948 bar`.

    Only for messages; what is read again by a program is always exact.
    """
    if (value * 10**6).denominator == 1:
        return show_value(value, unit)
    return f"about {show_value(Fraction(round(value * 10**4), 10**4), unit)}"


def number_words(value: Fraction) -> str:
    """The same without the unit, short enough to stand beside an edge: `≈6.8948` where it is rounded."""
    if (value * 10**4).denominator == 1:
        return show_number(value)
    return f"≈{show_number(Fraction(round(value * 10**4), 10**4))}"
