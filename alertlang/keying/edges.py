"""Edges as they are keyed in: in the unit of the display and in its steps, towards the warning where they fall between.

A value that the display cannot hold stands on the sheet twice: rounded, as it is keyed in, and exactly, with the way it
was rounded, so that whoever has only the sheet knows both.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from alertlang.model import ruleset as m
from alertlang.units.number import parse_number, show_number
from alertlang.units.unit import UNITS, Unit, convert, convert_difference, find_unit

# Where nothing says in which steps a display takes its edges: enough for every figure of a manual.
FINEST = Fraction(1, 1000)

_EXACT = re.compile(r"(\S+)(?: (\S+))?, rounded (up|down)")
_LENGTH = re.compile(r"(-?[0-9.]+) (\S+)")


@dataclass(frozen=True, slots=True)
class KeyedEdge:
    """`keyed` in the unit of the display; `exact` empty if that is the very value."""

    keyed: str
    exact: str = ""


def to_unit(value: Fraction, source: Unit, target: Unit, difference: bool) -> Fraction:
    return (convert_difference if difference else convert)(value, source, target)


def exact_text(value: Fraction, unit: Unit, difference: bool) -> str:
    """A value with a unit in which it has an end, its own if that will do: `225 F`."""
    units = [unit, *(one for one in UNITS.values() if one.dimension == unit.dimension and one != unit)]
    for one in units:
        number = show_number(to_unit(value, unit, one, difference))
        if "/" not in number:
            return f"{number} {one.name}".strip()
    return f"{show_number(value)} {unit.name}".strip()


def edge(value: Fraction, quantity: m.Quantity, unit: Unit, resolution: Fraction | None, *, up: bool) -> KeyedEdge:
    """A value of a quantity as a display with this unit and these steps takes it."""
    shown = to_unit(value, quantity.unit, unit, quantity.difference)
    steps = shown / (resolution or FINEST)
    if steps.denominator == 1:
        return KeyedEdge(show_number(shown))
    keyed = (math.ceil(steps) if up else math.floor(steps)) * (resolution or FINEST)
    way = "up" if up else "down"
    return KeyedEdge(show_number(keyed), f"{exact_text(value, quantity.unit, quantity.difference)}, rounded {way}")


def near(value: Fraction, quantity: m.Quantity, unit: Unit, resolution: Fraction | None) -> str:
    """A value of a quantity in the unit of its display, to the nearest step; said if that is not the very value."""
    shown = to_unit(value, quantity.unit, unit, quantity.difference)
    step = resolution or FINEST
    nearest = math.floor(shown / step + Fraction(1, 2)) * step
    return show_number(nearest) if nearest == shown else f"about {show_number(nearest)}"


def held_edge(
    keyed: str, exact: str, quantity_unit: Unit, unit: Unit, resolution: Fraction | None, difference: bool
) -> str:
    """The edge that a cell stands for, with its unit, in the words of the language: the exact one if what is keyed in
    is its rounding, else what is keyed in. ValueError if it cannot be read."""
    value = number_of(keyed)
    found = _EXACT.fullmatch(exact)
    if exact and found is None:
        raise ValueError(f"{exact!r} is not a value and which way it was rounded: write as on the sheet")
    if found is not None:
        one = find_unit(found[2]) if found[2] else quantity_unit
        if one is None or one.dimension != unit.dimension:
            raise ValueError(f"{exact!r} is not in a unit that goes with {unit.name or 'a plain number'}")
        steps = to_unit(number_of(found[1]), one, unit, difference) / (resolution or FINEST)
        rounded = math.ceil(steps) if found[3] == "up" else math.floor(steps)
        if rounded * (resolution or FINEST) == value:
            return f"{found[1]} {one.name}".strip()
    return f"{show_number(value)} {unit.name}".strip()


def number_of(cell: str) -> Fraction:
    """A plain decimal. ValueError with a way out for anything else."""
    if not cell:
        raise ValueError("it is empty: write what the box holds")
    if re.fullmatch(r"-?[0-9]+,[0-9]+", cell):
        raise ValueError(f"{cell!r} has a comma, which may mean a point or thousands: write it with a point")
    try:
        return parse_number(cell)
    except ValueError:
        raise ValueError(f"{cell!r} is not a number: write digits, and a point if need be") from None


def seconds_of(cell: str) -> Fraction:
    """A time such as `5 min`, in seconds. ValueError if it is none."""
    found = _LENGTH.fullmatch(cell)
    unit = find_unit(found[2]) if found else None
    if found is None or unit is None or unit.dimension != "time":
        raise ValueError(f"{cell!r} is not a time: write for example 5 s, or 2 min")
    return number_of(found[1]) * unit.factor


def rounds_up(bands: Iterable[m.Band], band: m.Band, value: Fraction, *, lower: bool) -> bool:
    """Which way an edge is rounded so that what warns gets wider and what is calm gets narrower, and no gap opens."""
    if _warns(band):
        return not lower
    if not lower:
        return False
    others = [one for one in bands if one is not band and _has_upper(one, value)]
    if any(_warns(other) for other in others):
        return True
    # Two calm bands that meet: both go down, so that they still meet.
    return not others


def _warns(band: m.Band) -> bool:
    return not band.colour.calm or band.alert is not None


def _has_upper(band: m.Band, value: Fraction) -> bool:
    """Whether a band ends at a value, coming from below."""
    sides = () if band.region.is_failed else band.region.sides()
    return any(side.first == value for side in sides if side.kind.is_low)
