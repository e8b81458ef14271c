"""Stretches of a gauge, in the words of the language and exactly."""

from __future__ import annotations

from fractions import Fraction

from alertlang.drafting.profile_queries import LimitedReading
from alertlang.model import ruleset as m
from alertlang.syntax import tree as t
from alertlang.units.interval import Interval, IntervalSet
from alertlang.units.number import show_value


class NumberForms:
    """How the profiles write their numbers: a converted one may have no decimal form in the gauge's own unit."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self._written: dict[tuple[str, Fraction], str] = {}
        for declared in ruleset.ranges:
            node = declared.node.region
            ends = [node.first] if node.second is None else [node.first, node.second]
            unit = next((e.unit for e in reversed(ends) if isinstance(e, t.Value) and e.unit is not None), None)
            for bound, end in zip(declared.region.bounds, ends, strict=True):
                if isinstance(bound, Fraction) and isinstance(end, t.Value):
                    own = end.unit or unit
                    number = show_value(end.number, ruleset.quantities[declared.quantity].unit)
                    text = number if own is None else f"{number.split()[0]} {own.text}"
                    self._written.setdefault((declared.quantity, bound), text)

    def words(self, gauge: LimitedReading, bound: m.Bound) -> str:
        if isinstance(bound, m.Moving):
            return bound.quantity
        shown = show_value(bound, gauge.quantity.unit)
        return self._written.get((gauge.quantity.name, bound), shown) if "/" in shown.split()[0] else shown

    def region(self, gauge: LimitedReading, region: m.Region, *, complement: bool = False) -> str:
        one = region.complement() if complement else region
        return one.kind.words.format(*(self.words(gauge, bound) for bound in one.bounds))

    def stretch(self, gauge: LimitedReading, part: Interval) -> str:
        """An interval as a region, both ends taken in unless it reaches to an end of the sensor."""
        low, high = self._inner(gauge, part)
        if low is None and high is None:
            return f"at least {self.words(gauge, gauge.quantity.low)}"
        if low is None:
            assert high is not None
            return f"{'at most' if part.high_included else 'below'} {self.words(gauge, high)}"
        if high is None:
            return f"{'at least' if part.low_included else 'above'} {self.words(gauge, low)}"
        return f"from {self.words(gauge, low)} to {self.words(gauge, high)}"

    def _inner(self, gauge: LimitedReading, part: Interval) -> tuple[Fraction | None, Fraction | None]:
        low = None if part.low is None or part.low <= gauge.quantity.low else part.low
        high = None if part.high is None or part.high >= gauge.quantity.high else part.high
        return low, high

    def open_ends(self, gauge: LimitedReading, part: Interval) -> tuple[Fraction | None, Fraction | None]:
        """The ends that `stretch` takes in although the interval leaves them out."""
        low, high = self._inner(gauge, part)
        if low is None or high is None:
            return None, None
        return (None if part.low_included else low), (None if part.high_included else high)


def on_sensor(gauge: LimitedReading, region: m.Region) -> IntervalSet:
    """The values of a region that can be read; of one with a moving end, all that can be in it."""
    return region.values.intersect(IntervalSet.of(gauge.quantity.range))
