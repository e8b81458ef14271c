"""What rules mean over time, read off all samples at once: the definitions, quantified over the samples as they stand.

Nothing is remembered from one sample to the next; every question looks back over the whole recording. It shares with
the stepper the rule set and the form of what is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any, TypeVar

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown
from alertlang.model import expression as e
from alertlang.model import ruleset as m
from alertlang.units.interval import IntervalSet

T = TypeVar("T")


class History:
    """A rule set and a whole recording. `k` is everywhere the number of a sample, from 0."""

    def __init__(self, rules: m.RuleSet, samples: Sequence[Sample]) -> None:
        self.rules = rules
        self.samples = samples
        self._answers: dict[tuple[Any, ...], Any] = {}

    def shown(self) -> list[Shown]:
        return [self._shown(k) for k in range(len(self.samples))]

    def _once(self, key: tuple[Any, ...], answer: Callable[[], T]) -> T:
        """An answer that was given before need not be worked out again."""
        if key not in self._answers:
            self._answers[key] = answer()
        found: T = self._answers[key]
        return found

    # ---- time

    def durations(self, k: int, holds: Callable[[int], bool]) -> list[Fraction]:
        """How long ago each sample was since which something holds at every sample."""
        time = [sample.time for sample in self.samples]
        return [time[k] - time[j] for j in range(k + 1) if all(holds(i) for i in range(j, k + 1))]

    def at_least(self, k: int, holds: Callable[[int], bool], duration: Fraction | None) -> bool:
        return any(ago >= (duration or 0) for ago in self.durations(k, holds))

    def more_than(self, k: int, holds: Callable[[int], bool], duration: Fraction) -> bool:
        return any(ago > duration for ago in self.durations(k, holds))

    # ---- values

    def value(self, name: str, index: int | None, k: int) -> Fraction | None:
        quantity = self.rules.quantities[name]
        element = index if quantity.size else None
        return self._once(("value", name, element, k), lambda: self._value(quantity, element, k))

    def _value(self, quantity: m.Quantity, index: int | None, k: int) -> Fraction | None:
        if quantity.derived is not None:
            found = self._expression(quantity.derived, index, k)
            if quantity.is_trend and found is not None:
                return sorted((quantity.low, found, quantity.high))[1]
            return found
        found = self.samples[k].readings.get(quantity.name if index is None else f"{quantity.name}[{index}]")
        return found if found is not None and quantity.range.contains(found) else None

    def _expression(self, node: e.Expression, index: int | None, k: int) -> Fraction | None:
        match node:
            case e.Number():
                return node.value
            case e.ReadingOf():
                return self.value(node.quantity, node.index or index, k)
            case e.Scaled():
                part = self._expression(node.part, index, k)
                return part if part is None else node.factor * part + node.offset
            case e.Sum():
                parts = [value for part in node.parts if (value := self._expression(part, index, k)) is not None]
                return None if len(parts) < len(node.parts) else sum(parts, Fraction(0))
            case e.CurveOver():
                x = self.value(node.quantity, node.index, k)
                return node.otherwise if x is None else _on_curve(node.points, x)
            case e.Statistic():
                parts = [value for i in range(node.size) if (value := self.value(node.quantity, i + 1, k)) is not None]
                if len(parts) < node.size:
                    return None
                ordered = sorted(parts)
                mean = sum(parts, Fraction(0)) / len(parts)
                return {
                    "highest": ordered[-1],
                    "lowest": ordered[0],
                    "spread": ordered[-1] - ordered[0],
                    "average": mean,
                    "deviation": parts[(index or 1) - 1] - mean,
                }[node.kind]
            case e.Trend():
                if k == 0:
                    return None
                one, other = (self.value(node.quantity, node.index or index, i) for i in (k - 1, k))
                if one is None or other is None:
                    return None
                apart = self.samples[k].time - self.samples[k - 1].time
                return (other - one if node.kind == "rise" else one - other) * node.seconds / apart

    def region_set(self, region: m.Region, index: int | None, k: int) -> IntervalSet | None:
        """The values in a region at a sample; none if an end has failed."""
        at_sample = [bound if isinstance(bound, Fraction) else self._end(bound, index, k) for bound in region.bounds]
        ends = [end for end in at_sample if end is not None]
        if len(ends) < len(at_sample) or not ends:
            return None
        return replace(region, first=ends[0], second=ends[1] if len(ends) > 1 else None).values

    def _end(self, bound: m.Moving, index: int | None, k: int) -> Fraction | None:
        value = self.value(bound.quantity, index, k)
        return None if value is None else bound.offset + bound.factor * value

    def inside(self, region: m.Region, quantity: str, index: int | None, k: int) -> bool:
        value = self.value(quantity, index, k)
        if region.kind == "failed":
            return value is None
        values = self.region_set(region, index, k)
        return value is not None and values is not None and values.contains(value)

    def out_by(self, region: m.Region, quantity: str, index: int | None, k: int) -> Fraction | None:
        """How far a value is from the nearest in a region; none if there is no telling."""
        value, values = self.value(quantity, index, k), self.region_set(region, index, k)
        if value is None or values is None:
            return None
        ways = []
        for part in values:
            short = Fraction(0) if part.low is None else part.low - value
            past = Fraction(0) if part.high is None else value - part.high
            ways.append(max(short, past, Fraction(0)))
        return min(ways, default=None)

    # ---- formulas

    def holds(self, formula: m.Formula | None, k: int) -> bool:
        return formula is None or self._once(("holds", formula, k), lambda: self._holds(formula, k))

    def _holds(self, formula: m.Formula, k: int) -> bool:
        match formula:
            case m.Compare():
                which = [formula.index] if formula.size is None else range(1, formula.size + 1)
                some = {
                    self.value(formula.quantity, i, k) is None
                    if formula.region.kind == "failed"
                    else self.inside(formula.region, formula.quantity, i, k)
                    for i in which
                }
                return True in some if formula.quantifier == "any" else False not in some
            case m.SwitchIs():
                position = self.samples[k].positions.get(formula.switch)
                if position not in self.rules.switches[formula.switch].positions:
                    return False
                return position != formula.position if formula.negated else position == formula.position
            case m.ConditionIs():
                return self.condition(formula.name, k)
            case m.Held():
                long = self.at_least(k, lambda i: self.holds(formula.part, i), formula.duration)
                return long if formula.at_least else self.holds(formula.part, k) and not long
            case m.Not():
                return not self.holds(formula.part, k)
            case m.And():
                return all(self.holds(part, k) for part in formula.parts)
            case m.Or():
                return any(self.holds(part, k) for part in formula.parts)

    def condition(self, name: str, k: int) -> bool:
        return self._once(("condition", name, k), lambda: self._condition(self.rules.conditions[name], k))

    def _condition(self, one: m.Condition, k: int) -> bool:
        """What its delays last decided."""

        def wanted(i: int) -> bool:
            """Set at some sample, and not cleared at any after that one."""
            if one.until is None:
                return self.holds(one.formula, i)
            return any(
                self.holds(one.formula, j) and not any(self.holds(one.until, n) for n in range(j + 1, i + 1))
                for j in range(i + 1)
            )

        for i in reversed(range(k + 1)):
            if self.at_least(i, wanted, one.set_after):
                return True
            if self.at_least(i, lambda n: not wanted(n), one.cleared_after):
                return False
        return False

    # ---- statements

    def elements(self, one: m.Band | m.Alert | m.Range) -> list[int | None]:
        if isinstance(one, m.Alert):
            return [None]
        size = self.rules.quantities[one.quantity].size
        return [one.index] if one.index or not size else list(range(1, size + 1))

    def in_band(self, band: m.Band, index: int | None, k: int) -> bool:
        """Its region held at some sample, and at every one from there on the value was out of it by less than B."""

        def near(i: int) -> bool:
            out = self.out_by(band.region, band.quantity, index, i)
            return out is not None and deadband is not None and out < deadband

        deadband = self.rules.quantities[band.quantity].deadband
        return any(
            self.inside(band.region, band.quantity, index, j) and all(near(i) for i in range(j + 1, k + 1))
            for j in range(k + 1)
        )

    def rest(self, rule: m.Band | m.Alert, index: int | None, k: int) -> bool:
        def answer() -> bool:
            stopped = rule.unless is not None and self.holds(rule.unless, k)
            inside = not isinstance(rule, m.Band) or self.in_band(rule, index, k)
            return self.holds(rule.when, k) and inside and not stopped

        return self._once(("rest", rule.label, index, k), answer)

    def applies(self, rule: m.Band | m.Alert, index: int | None, k: int) -> bool:
        def answer() -> bool:
            if rule.held is None:
                return self.rest(rule, index, k)
            if not rule.in_total:
                return self.more_than(k, lambda i: self.rest(rule, index, i), rule.held)
            parts = [self.samples[i + 1].time - self.samples[i].time for i in range(k) if self.rest(rule, index, i)]
            return self.rest(rule, index, k) and sum(parts) > rule.held

        return self._once(("applies", rule.label, index, k), answer)

    def is_up(self, rule: m.Band | m.Alert, index: int | None, k: int) -> bool:
        return self._once(("up", rule.label, index, k), lambda: self._is_up(rule, index, k))

    def _is_up(self, rule: m.Band | m.Alert, index: int | None, k: int) -> bool:
        """Due; or latched, up before, and not both acknowledged since it came up and without a cause."""
        if self.at_least(k, lambda i: self.applies(rule, index, i), rule.after):
            return True
        if not rule.latched or k == 0 or not self.is_up(rule, index, k - 1):
            return False
        acknowledged = any(
            self.pressed(p) and all(self.is_up(rule, index, i) for i in range(p - 1, k)) for p in range(1, k + 1)
        )
        return self.applies(rule, index, k) or not acknowledged

    def pressed(self, k: int) -> bool:
        return self.samples[k].acknowledge and (k == 0 or not self.samples[k - 1].acknowledge)

    def violated(self, one: m.Range, index: int | None, k: int) -> bool:
        def broken(i: int) -> bool:
            value, values = self.value(one.quantity, index, i), self.region_set(one.region, index, i)
            if value is None or values is None:
                return False
            return self.holds(one.when, i) and values.contains(value) is (one.kind == "avoid")

        return broken(k) if one.except_for is None else self.more_than(k, broken, one.except_for)

    def _shown(self, k: int) -> Shown:
        rules = self.rules
        every = [(rule, index) for rule in rules.rules for index in self.elements(rule)]
        variables = [(q.name, index) for q in rules.quantities.values() for index in q.indexes]
        colours: dict[tuple[str, int | None], m.Colour | None] = {}
        for name, index in variables:
            bands = [one for one in rules.bands if one.quantity == name and one.index in {None, index}]
            shown = [band.colour for band in bands if self.applies(band, index, k)]
            colours[name, index] = sorted(shown)[-1] if shown else None
        return Shown(
            self.samples[k].time,
            {m.variable(name, index): self.value(name, index, k) for name, index in variables},
            {name: self.condition(name, k) for name in rules.conditions},
            {(rule.label, index): self.applies(rule, index, k) for rule, index in every},
            colours,
            {
                (rule.label, index): m.AlertText(rule.alert.level, rule.alert.text.replace("{n}", str(index)))
                for rule, index in every
                if rule.alert is not None and self.is_up(rule, index, k)
            },
            {
                (one.label, index): self.violated(one, index, k)
                for one in rules.ranges
                if one.kind in ("limit", "avoid")
                for index in self.elements(one)
            },
        )


def _on_curve(points: Sequence[tuple[Fraction, Fraction]], x: Fraction) -> Fraction:
    """Straight lines between the points: each part of the way from one to the next counts as far as it was gone."""
    value = points[0][1]
    for (start, low), (end, high) in pairwise(points):
        value += (high - low) * (min(max(x, start), end) - start) / (end - start)
    return value
