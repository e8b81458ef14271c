"""A scenario bound to a rule set: what is read over time, and what must be shown when.

Times are in seconds of the scenario's own clock; values in the quantity's own unit; readings by name (`rpm`, `cht[2]`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.model import ruleset as m
from alertlang.text.source import Span
from alertlang.why.subject import needs as statements_need

DEFAULT_SPACING = Fraction(1, 2)
"""Seconds between samples where a scenario does not say: common practice, no source."""

MOST_SAMPLES = 100_000
"""More are refused: somebody mistyped a time."""

Place = tuple[str, int | None]
"""A gauge as (quantity, element), or a statement as (label, element)."""


# ---- what is read ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Sets:
    """A reading has this value from now on; none: its sensor has failed."""

    reading: str
    value: Fraction | None


@dataclass(frozen=True, slots=True)
class Ramps:
    """A reading goes evenly from one value to another until a time, and stays there."""

    reading: str
    first: Fraction
    last: Fraction
    until: Fraction


@dataclass(frozen=True, slots=True)
class Turns:
    """A switch is at a position from now on; none: nobody knows at which."""

    switch: str
    position: str | None


@dataclass(frozen=True, slots=True)
class Presses:
    """A button is down at this sample; none: all that acknowledge are."""

    button: str | None = None


Change = Sets | Ramps | Turns | Presses


@dataclass(frozen=True, slots=True)
class TimeLine:
    """What changes at one time."""

    time: Fraction
    changes: tuple[Change, ...]
    span: Span = field(compare=False, repr=False)


# ---- what must be shown ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class GaugeShows:
    """Each of the gauges shows the colour; none: it shows no colour."""

    gauges: tuple[Place, ...]
    colour: m.Colour | None


@dataclass(frozen=True, slots=True)
class AlertIsUp:
    """An alert of this level and text is up (or, `up` false, none is). `raised_by`: the statements that have it."""

    level: m.Level
    text: str
    up: bool
    raised_by: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class IsQuiet:
    """No caution and no warning is up."""


@dataclass(frozen=True, slots=True)
class ConditionHolds:
    """A condition holds, or does not."""

    name: str
    holds: bool


@dataclass(frozen=True, slots=True)
class LampShows:
    """A lamp, by its text, is off, steady, flashing or slow flashing."""

    lamp: str
    light: str


What = GaugeShows | AlertIsUp | IsQuiet | ConditionHolds | LampShows


@dataclass(frozen=True, slots=True)
class ScenarioExpectation:
    """Something that must be so at every sample from `first` on and before `before`.

    `before` none: to the last sample. `once`: at the sample at `first` alone. `text`: as it is written.
    """

    what: What
    first: Fraction
    before: Fraction | None
    once: bool
    text: str
    span: Span = field(compare=False, repr=False)

    def covers(self, time: Fraction) -> bool:
        """Whether it must be so at a time."""
        if self.once:
            return time == self.first
        return self.first <= time and (self.before is None or time < self.before)


@dataclass(frozen=True)
class Scenario:
    """`spacing` seconds between samples; `times`: those that are named, in order, at each of which there is a sample.

    `lines` and `expected` in the order of the text; `given`: the readings and switches that have a value.
    """

    name: str
    version: int
    path: str
    about: tuple[str, ...]
    rules: m.RuleSet
    spacing: Fraction
    lines: tuple[TimeLine, ...]
    expected: tuple[ScenarioExpectation, ...]
    times: tuple[Fraction, ...]
    given: frozenset[str]

    @property
    def first(self) -> Fraction:
        return self.times[0]

    @property
    def last(self) -> Fraction:
        return self.times[-1]

    def sample_times(self) -> Iterator[Fraction]:
        """All times at which there is a sample, in order: evenly spaced from the first line on, and each named one."""
        named = iter(self.times)
        at: Fraction | None = next(named)
        even = self.first
        while at is not None:
            if even < at:
                yield even
            else:
                yield at
            time = min(even, at)
            if at == time:
                at = next(named, None)
            if even == time:
                even += self.spacing


def samples_in(times: tuple[Fraction, ...], spacing: Fraction) -> int:
    """At most so many samples there are, without counting them."""
    return int((times[-1] - times[0]) / spacing) + 1 + len(times)


def alerts_there_are(rules: m.RuleSet) -> tuple[tuple[Place, m.AlertText], ...]:
    """Every alert that some statement raises, that of each element by itself, as its text is shown."""
    found: list[tuple[Place, m.AlertText]] = []
    for rule in rules.rules:
        if rule.alert is None:
            continue
        indexes: tuple[int | None, ...] = (None,)
        if isinstance(rule, m.Band):
            indexes = rules.quantities[rule.quantity].indexes if rule.index is None else (rule.index,)
        for index in indexes:
            text = rule.alert.text if index is None else rule.alert.text.replace("{n}", str(index))
            found.append(((rule.label, index), m.AlertText(rule.alert.level, text)))
    return tuple(found)


# ---- what a scenario must give ---------------------------------------------------------------------------------


def needs(rules: m.RuleSet, expected: tuple[What, ...]) -> tuple[frozenset[str], frozenset[str]]:
    """The quantities with a sensor and the switches on which anything that is expected can depend.

    An array counts as a whole. What is not among them makes no difference to any of it.
    """
    sensors: frozenset[str] = frozenset()
    switches: frozenset[str] = frozenset()
    for what in expected:
        if isinstance(what, ConditionHolds):
            parts = rules.conditions[what.name].parts
            read = frozenset(sensor for name in rules.quantities_read(*parts) for sensor in rules.sensors_of(name))
            found = read, rules.switches_read(*parts)
        else:
            found = statements_need(rules, _concerned(rules, what))
        sensors, switches = sensors | found[0], switches | found[1]
    return sensors, switches


def _concerned(rules: m.RuleSet, what: GaugeShows | AlertIsUp | IsQuiet | LampShows) -> list[m.Rule]:
    """The statements that decide whether something is shown."""
    if isinstance(what, GaugeShows):
        gauges = {quantity for quantity, _ in what.gauges}
        return [band for band in rules.bands if band.quantity in gauges]
    if isinstance(what, AlertIsUp):
        labels = {label for label, _ in what.raised_by}
        return [rule for rule in rules.rules if rule.label in labels]
    if isinstance(what, LampShows):
        return lit_by(rules, what.lamp)
    return [rule for rule in rules.rules if rule.alert is not None and rule.alert.level >= m.Level.CAUTION]


def lit_by(rules: m.RuleSet, text: str) -> list[m.Rule]:
    """The statements whose alerts light a lamp."""
    lamp = next(lamp for lamp in rules.lamps if lamp.text == text)
    return [rule for rule in rules.rules if rule.alert is not None and lamp.shows(rule.label, rule.alert.level)]
