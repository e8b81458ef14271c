"""What somebody asks to be drawn, or held still in a map, in their own words: bound to the rules, or an error with the
way out."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from alertlang.findings.errors import NameOrFileError
from alertlang.gauges.operating_map import Axis, axis
from alertlang.gauges.states import HeldStill
from alertlang.model.reading import ReadingId
from alertlang.model.ruleset import ConditionIs, Formula, Not, RuleSet
from alertlang.text.suggest import nearest
from alertlang.units.number import parse_number, show_value
from alertlang.units.unit import convert, find_unit


def asked_axis(ruleset: RuleSet, name: str) -> Axis:
    """A quantity, or an element as `cht[2]`."""
    try:
        return axis(ruleset, name)
    except KeyError:
        if name in ruleset.switches:
            first = ruleset.switches[name].positions[0]
            raise NameOrFileError(f'{name} is a switch: hold it still in a map with --at "{name} {first}"') from None
        close = nearest(ReadingId(name).quantity, ruleset.quantities)
        hint = f"did you mean {close}?" if close else "profiles show lists them"
        raise NameOrFileError(f"there is no quantity {name}", hint) from None
    except ValueError:
        made_of = ", ".join(sorted(ruleset.sensors_of(ReadingId(name).quantity)))
        raise NameOrFileError(
            f"{name} is worked out from {made_of} and is not drawn", "show one that has a sensor"
        ) from None


def asked_held(ruleset: RuleSet, wanted: Iterable[str]) -> HeldStill:
    """What is held still: `oil_temp 60 F`, `flaps up`, `cold`, `not cold`."""
    readings: dict[str, Fraction] = {}
    positions: dict[str, str] = {}
    formulas: list[Formula] = []
    for text in wanted:
        words = text.split()
        first = words[0] if words else ""
        if len(words) == 2 and first in ruleset.switches:
            known = ruleset.switches[first].positions
            if words[1] not in known:
                raise NameOrFileError(f"{first} has no position {words[1]}", f"it has {', '.join(known)}")
            positions[first] = words[1]
        elif ReadingId(first).quantity in ruleset.quantities and len(words) in (2, 3):
            readings[asked_axis(ruleset, first).name] = _value(ruleset, ReadingId(first).quantity, words[1:])
        elif words[-1:] and words[-1] in ruleset.conditions and words[:-1] in ([], ["not"]):
            formulas.append(_condition(ruleset, words[-1], negated=len(words) == 2))
        else:
            raise NameOrFileError(
                f"cannot tell what is to be held still by {text!r}",
                'write "oil_temp 60 F", "flaps up", cold, "not cold"',
            )
    return HeldStill(readings, positions, tuple(formulas))


def _value(ruleset: RuleSet, name: str, words: list[str]) -> Fraction:
    quantity = ruleset.quantities[name]
    unit = find_unit(words[1]) if len(words) == 2 else quantity.unit
    what = f"{name} cannot be held at {' '.join(words)}"
    try:
        if unit is None:
            raise ValueError(f"there is no unit {words[1]}")
        value = convert(parse_number(words[0]), unit, quantity.unit)
    except ValueError as problem:
        raise NameOrFileError(what, str(problem)) from None
    if not quantity.low <= value <= quantity.high:
        low, high = show_value(quantity.low, quantity.unit), show_value(quantity.high, quantity.unit)
        raise NameOrFileError(what, f"its sensor reads from {low} to {high}")
    return value


def _condition(ruleset: RuleSet, name: str, *, negated: bool) -> Formula:
    span = ruleset.conditions[name].span
    formula = ConditionIs(name, span=span)
    return Not(formula, span=span) if negated else formula
