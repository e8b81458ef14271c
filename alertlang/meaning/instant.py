"""What a rule set means at one instant. No solver, no cleverness: this is the text the others are held against."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from alertlang.model import ruleset as m


@dataclass(frozen=True, slots=True)
class State:
    """Readings in their own units by name (`rpm`, `cht[2]`), and switch positions by name."""

    readings: Mapping[str, Fraction]
    positions: Mapping[str, str]


def in_region(region: m.Region, value: Fraction) -> bool:
    """`below` and `above` leave their number out, `at most`, `at least` and `from ... to` take it in."""
    match region.kind:
        case "below":
            return value < region.first
        case "above":
            return value > region.first
        case "at_most":
            return value <= region.first
        case "at_least":
            return value >= region.first
        case "within":
            assert region.second is not None
            return region.first <= value <= region.second
        case "outside":
            assert region.second is not None
            return value < region.first or value > region.second
    raise AssertionError(region.kind)


class Instant:
    """One state of a rule set. A name that the state does not give is a KeyError."""

    def __init__(self, ruleset: m.RuleSet, state: State) -> None:
        self.ruleset = ruleset
        self.state = state

    def reading(self, quantity: str, index: int | None) -> Fraction:
        return self.state.readings[m.variable(quantity, index)]

    def holds(self, formula: m.Formula | None) -> bool:
        """Whether a formula is true; none is."""
        match formula:
            case None:
                return True
            case m.Compare():
                return in_region(formula.region, self.reading(formula.quantity, formula.index))
            case m.Quantified():
                readings = [self.reading(formula.quantity, i) for i in range(1, formula.size + 1)]
                hits = [in_region(formula.region, reading) for reading in readings]
                return any(hits) if formula.quantifier == "any" else all(hits)
            case m.SwitchIs():
                return (self.state.positions[formula.switch] == formula.position) is not formula.negated
            case m.ConditionIs():
                return self.holds(self.ruleset.conditions[formula.name].formula)
            case m.Not():
                return not self.holds(formula.part)
            case m.And():
                return all(self.holds(part) for part in formula.parts)
            case m.Or():
                return any(self.holds(part) for part in formula.parts)

    def is_possible(self) -> bool:
        """Every reading within its sensor's range, every assumption kept that this state can tell of."""
        for name, value in self.state.readings.items():
            quantity = self.ruleset.quantities[name.split("[")[0]]
            if not quantity.low <= value <= quantity.high:
                return False
        for name, position in self.state.positions.items():
            if position not in self.ruleset.switches[name].positions:
                return False
        for assumption in self.ruleset.assumptions:
            try:
                kept = not self.holds(assumption.when) or self.holds(assumption.formula)
            except KeyError:
                continue
            if not kept:
                return False
        return True

    def applies(self, band: m.Band, index: int | None) -> bool:
        if band.index is not None and band.index != index:
            return False
        return (
            self.holds(band.when)
            and in_region(band.region, self.reading(band.quantity, index))
            and not (band.unless is not None and self.holds(band.unless))
        )

    def alerts(self, alert: m.Alert) -> bool:
        """Whether an alert on its own is up."""
        return self.holds(alert.when) and not (alert.unless is not None and self.holds(alert.unless))

    def colours(self, quantity: str, index: int | None) -> list[m.Colour]:
        """The colours of all bands that apply."""
        return [b.colour for b in self.ruleset.bands if b.quantity == quantity and self.applies(b, index)]

    def colour(self, quantity: str, index: int | None) -> m.Colour | None:
        """The worst colour that applies, which is what the gauge shows; none if no band applies."""
        return max(self.colours(quantity, index), default=None)

    def violates(self, one: m.Range, index: int | None) -> bool:
        """Whether a limit is broken or an avoid range entered."""
        inside = in_region(one.region, self.reading(one.quantity, index))
        return self.holds(one.when) and (inside if one.kind == "avoid" else not inside)

    def is_in(self, one: m.Range, index: int | None) -> bool:
        """Whether a precaution or normal range holds the reading."""
        return self.holds(one.when) and in_region(one.region, self.reading(one.quantity, index))

    def level_for(self, quantity: str, index: int | None) -> m.Level | None:
        """The highest level of the alerts that are up and count for a limit on the quantity."""
        levels = [
            band.alert.level
            for band in self.ruleset.bands
            if band.quantity == quantity and band.alert is not None and self.applies(band, index)
        ]
        levels += [
            alert.alert.level
            for alert in self.ruleset.alerts
            if quantity in self.ruleset.quantities_read(alert.when) and self.alerts(alert)
        ]
        return max(levels, default=None)

    def level(self) -> m.Level | None:
        """The highest level of all alerts that are up."""
        levels = [
            band.alert.level
            for band in self.ruleset.bands
            if band.alert is not None
            and any(self.applies(band, index) for index in self.ruleset.quantities[band.quantity].indexes)
        ]
        levels += [alert.alert.level for alert in self.ruleset.alerts if self.alerts(alert)]
        return max(levels, default=None)
