"""The values at one sample of a log: what the sensors read, and what is computed from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.meaning.derived import computed
from alertlang.meaning.regions import ends_of, is_in
from alertlang.model import ruleset as m
from alertlang.model.expression import Trend


@dataclass(frozen=True, slots=True)
class Sample:
    """What was recorded at one time, in seconds since any beginning.

    `readings` in their own units by name (`rpm`, `cht[2]`): one that is not there is missing, which is to have failed;
    so has one outside its sensor's range. `positions` by switch: one that is not there is unknown, and whatever is
    said of it is false. `pressed`: the names of the buttons that are held down; `acknowledge`: all
    that acknowledge are, also where there is no lamp to name one.
    """

    time: Fraction
    readings: Mapping[str, Fraction]
    positions: Mapping[str, str]
    acknowledge: bool = False
    pressed: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class SampleReadings:
    """The values at one sample, by name; none where failed."""

    ruleset: m.RuleSet
    time: Fraction
    values: Mapping[str, Fraction | None]
    positions: Mapping[str, str]

    def value(self, quantity: str, index: int | None) -> Fraction | None:
        """A quantity that is no array gives its one value, whatever the index."""
        return self.values[self.ruleset.reading(quantity, index)]

    def is_in(self, region: m.Region, quantity: str, index: int | None) -> bool:
        """Whether a value is in a region."""
        return is_in(region, quantity, index, self.value)

    def knows(self, region: m.Region, quantity: str, index: int | None) -> bool:
        """Whether a value and the ends of a region are there to be compared."""
        return self.value(quantity, index) is not None and bool(ends_of(region, index, self.value))


def readings_at(ruleset: m.RuleSet, sample: Sample, before: SampleReadings | None) -> SampleReadings:
    """The values at a sample, given those at the sample before it (none: it is the first).

    ValueError for a reading, switch or button that the rule set does not have.
    """
    known = {m.variable(q.name, index) for q in ruleset.quantities.values() if q.derived is None for index in q.indexes}
    for name in sample.readings:
        if name not in known:
            raise ValueError(f"the rule set has no sensor {name}")
    for name in sample.positions:
        if name not in ruleset.switches:
            raise ValueError(f"the rule set has no switch {name}")
    for name in sorted(sample.pressed):
        if name not in ruleset.buttons:
            raise ValueError(f"the rule set has no button {name}")
    found = _FoundValues(ruleset, sample, before)
    for quantity in ruleset.quantities.values():
        for index in quantity.indexes:
            found.value(quantity.name, index)
    positions = {
        name: sample.positions[name]
        for name, switch in ruleset.switches.items()
        if sample.positions.get(name) in switch.positions
    }
    in_order: dict[str, Fraction | None] = {
        m.variable(q.name, index): found.values[m.variable(q.name, index)]
        for q in ruleset.quantities.values()
        for index in q.indexes
    }
    return SampleReadings(ruleset, sample.time, in_order, positions)


@dataclass(slots=True)
class _FoundValues:
    """The values found so far; a derived one finds those it reads first."""

    ruleset: m.RuleSet
    sample: Sample
    before: SampleReadings | None
    values: dict[str, Fraction | None] = field(default_factory=dict)

    def value(self, name: str, index: int | None) -> Fraction | None:
        reading = self.ruleset.reading(name, index)
        if reading not in self.values:
            self.values[reading] = self._new(self.ruleset.quantities[name], reading)
        return self.values[reading]

    def _new(self, quantity: m.Quantity, reading: m.ReadingId) -> Fraction | None:
        if isinstance(quantity.derived, Trend):
            return self._trend(quantity, quantity.derived, reading.element)
        if quantity.derived is not None:
            return computed(quantity, reading.element, self.value)
        value = self.sample.readings.get(reading)
        return value if value is not None and quantity.low <= value <= quantity.high else None

    def _trend(self, quantity: m.Quantity, trend: Trend, index: int | None) -> Fraction | None:
        """How much it has changed since the sample before, for the unit of time; failed if either value is.

        It has no sensor that could read too much. Beyond the range that is declared for it, it stays at the end of the
        range, as a needle does at its stop. So whatever is proved for that range holds for every rate there is: a red
        band up to the end of the range stays red beyond it.
        """
        if self.before is None:
            return None
        element = trend.index if trend.index is not None else index
        now, then = self.value(trend.quantity, element), self.before.value(trend.quantity, element)
        if now is None or then is None:
            return None
        rise = (now - then) / (self.sample.time - self.before.time) * trend.seconds
        rate = rise if trend.kind == "rise" else -rise
        return min(max(rate, quantity.low), quantity.high)
