"""Regions in words, and statements that close them."""

from __future__ import annotations

from collections.abc import Callable, Container
from fractions import Fraction

from alertlang.findings.finding import Positions, Region, WitnessTruth
from alertlang.model import ruleset as m
from alertlang.model.snapshot import FAILED, MISSED, TOLD, UNSETTLED
from alertlang.units.interval import Interval
from alertlang.units.number import say_value, show_number, show_value
from alertlang.units.unit import PLAIN, UNITS, Unit, convert


def _written(value: Fraction, unit: Unit) -> str:
    """A number as it can be written in a statement: where its own unit would need a fraction, in another one
    (5/9 C is 33 F). A fraction is left where no unit has a decimal for it."""
    found = show_value(value, unit)
    if "/" not in show_number(value):
        return found
    for other in UNITS.values():
        if other.dimension == unit.dimension and unit.name:
            number = show_number(convert(value, unit, other))
            if "/" not in number:
                return f"{number} {other.name}"
    return found


def _from_to(low: Fraction, high: Fraction, unit: Unit) -> str:
    first, last = _written(low, unit), _written(high, unit)
    ending = f" {unit.name}"
    # One unit at the end serves both.
    if unit.name and first.endswith(ending) and last.endswith(ending):
        first = first.removesuffix(ending)
    return f"from {first} to {last}"


def _truth_words(name: str, holds: bool) -> str:
    """An open truth for people: `cold`, `not cold`, `cold is still false`, `power_time not yet for 5 min`."""
    if name.endswith(")") and TOLD in name:
        return f"the box {'sees' if holds else 'does not see'} {name.partition(TOLD)[0]}"
    if UNSETTLED in name:
        return f"{name.split(UNSETTLED)[0]} is still {'true' if holds else 'false'}"
    if name.endswith(FAILED) and holds:
        return f"{name.removesuffix(FAILED)} has failed"
    if name.endswith(MISSED) and holds:
        return f"there was no {name.removesuffix(MISSED)} just before"
    if " for more than " in name:
        label, time = name.split(" for more than ")
        return f"{label} has lasted {'more' if holds else 'no longer'} than {time}"
    if holds:
        return name
    return f"not ({name})" if " for at least " in name else f"not {name}"


def _or_failed(compared: list[str], name: str) -> str:
    text = compared[0] if len(compared) == 1 else f"({' and '.join(compared)})"
    return f"({text} or {name} failed)"


class StatementWords:
    """Says things about one rule set."""

    def __init__(self, ruleset: m.RuleSet, quantity: Callable[[str], m.Quantity]) -> None:
        """`quantity`: the quantity of a reading's name."""
        self.ruleset = ruleset
        self._quantity = quantity

    # ---- for people

    def stretch(self, variable: str, interval: Interval) -> str:
        """For example `from 2500 to 2550 rpm`, `above 2750 rpm`, `at exactly 100 psi`."""
        quantity = self._quantity(variable)
        unit = quantity.unit
        low, high = interval.bounds
        if interval == quantity.range:
            return "at every value"
        if interval.is_point:
            return f"at exactly {say_value(low, unit)}"
        if low == quantity.low and interval.low_included:
            return f"{'up to' if interval.high_included else 'below'} {say_value(high, unit)}"
        if high == quantity.high and interval.high_included:
            return f"{'from' if interval.low_included else 'above'} {say_value(low, unit)}" + (
                " up" if interval.low_included else ""
            )
        if not interval.low_included and not interval.high_included:
            return f"between {say_value(low, PLAIN)} and {say_value(high, unit)} (both ends left out)"
        if interval.low_included and interval.high_included:
            return f"from {say_value(low, PLAIN)} to {say_value(high, unit)}"
        if interval.low_included:
            return f"from {say_value(low, PLAIN)} to below {say_value(high, unit)}"
        return f"above {say_value(low, PLAIN)} up to {say_value(high, unit)}"

    def whenever(self, region: Region, primary: str | None) -> str:
        """The rest of a region: ` whenever oil_temp is at least 120 F and flaps is up`, or nothing."""
        said: list[str] = []
        for name, part in region.items():
            if name == primary:
                continue
            if isinstance(part, WitnessTruth):
                said.append(_truth_words(name, part.holds))
            elif isinstance(part, Positions):
                said.append(f"{name} is {' or '.join(part.names)}")
            else:
                said.append(f"{name} is {self._relation(name, part.interval)}")
        return f" whenever {' and '.join(said)}" if said else ""

    def _relation(self, variable: str, interval: Interval) -> str:
        if interval.is_point:
            return f"exactly {say_value(interval.bounds[0], self._quantity(variable).unit)}"
        return " and ".join(self._sides(variable, interval, say_value)) or "anything"

    def _sides(self, variable: str, interval: Interval, say: Callable[[Fraction, Unit], str]) -> list[str]:
        """What an interval asks of a reading at each end that is not that of its range."""
        quantity = self._quantity(variable)
        low, high = interval.bounds
        parts: list[str] = []
        if low != quantity.low or not interval.low_included:
            parts.append(f"{'at least' if interval.low_included else 'above'} {say(low, quantity.unit)}")
        if high != quantity.high or not interval.high_included:
            parts.append(f"{'at most' if interval.high_included else 'below'} {say(high, quantity.unit)}")
        return parts

    # ---- in the language

    def region_text(self, variable: str, interval: Interval) -> str:
        """A region of the language that covers an interval, and at most one end point more on each side."""
        sides = self._sides(variable, interval, _written)
        return sides[0] if len(sides) == 1 else _from_to(*interval.bounds, self._quantity(variable).unit)

    def condition_text(self, region: Region, primary: str | None, failing: Container[str] = ()) -> str:
        """A formula for the rest of a region, exact; empty if nothing is left. While a reading among `failing` has
        failed it holds as well, as far as that reading goes."""
        parts: list[str] = []
        for name, part in region.items():
            if name == primary:
                continue
            if isinstance(part, WitnessTruth):
                parts += self._truth(name, part)
            elif isinstance(part, Positions):
                parts.append(self._positions_text(name, part.names))
            else:
                compared = self._comparisons(name, part.interval)
                parts += [_or_failed(compared, name)] if compared and name in failing else compared
        return " and ".join(parts)

    def _truth(self, name: str, part: WitnessTruth) -> list[str]:
        """An open truth as a formula; nothing for one that no formula can name, which makes the formula too wide."""
        if TOLD in name:
            return []
        if " for at least " in name:
            return [name if part.holds else f"not ({name})"]
        if name in self.ruleset.conditions:
            return [name if part.holds else f"not {name}"]
        return []

    def _positions_text(self, switch: str, names: tuple[str, ...]) -> str:
        everything = self.ruleset.switches[switch].positions
        others = [p for p in everything if p not in names]
        if len(names) == 1:
            return f"{switch} is {names[0]}"
        if len(others) == 1:
            return f"{switch} is not {others[0]}"
        return "(" + " or ".join(f"{switch} is {name}" for name in names) + ")"

    def _comparisons(self, variable: str, interval: Interval) -> list[str]:
        if " - " in variable:
            return self._against(variable, interval)
        sides = self._sides(variable, interval, _written)
        if interval.low_included and interval.high_included and len(sides) == 2:
            return [f"{variable} {_from_to(*interval.bounds, self._quantity(variable).unit)}"]
        return [f"{variable} {side}" for side in sides]

    def _against(self, difference: str, interval: Interval) -> list[str]:
        """A reading against a let or curve, where the interval ends at their being equal; else nothing."""
        reading, end = difference.split(" - ")
        quantity = self._quantity(difference)
        if interval.low == 0 and interval.high == quantity.high:
            return [f"{reading} {'at least' if interval.low_included else 'above'} {end}"]
        if interval.high == 0 and interval.low == quantity.low:
            return [f"{reading} {'at most' if interval.high_included else 'below'} {end}"]
        return []

    def alert_text(self, quantity: str, high: bool, level: m.Level, each: bool) -> str:
        """A text that no alert of another level or meaning has: `RPM HIGH`, `CHT {n} LOW`."""
        taken = {rule.alert.text for rule in self.ruleset.rules if rule.alert is not None}
        name = quantity.upper().replace("_", " ") + (" {n}" if each else "")
        for ending in ("HIGH" if high else "LOW", "LIMIT", f"{level.word.upper()}"):
            text = f"{name} {ending}"
            if text not in taken:
                return text
        number = 2
        while f"{name} LIMIT {number}" in taken:
            number += 1
        return f"{name} LIMIT {number}"
