"""A run of the reference stepper that has come to one sample, with all it takes to say why it shows what it does."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from alertlang.meaning.derived import computed
from alertlang.meaning.look import RunLook
from alertlang.meaning.readings import Sample, SampleReadings
from alertlang.meaning.stepper import Memory, SampleStep, Shown, Stepper
from alertlang.model import ruleset as m

# What can be as it is since some sample: `colour`, `alert`, `applies`, `violated` of a place, `lamp` of a text,
# `switch` of a name.
Key = tuple[str, object]


@dataclass(frozen=True, slots=True)
class Since:
    """The first sample at which something was as it still is: its row, from 0, and its time."""

    row: int
    time: Fraction


@dataclass(frozen=True, slots=True)
class Moment:
    """One sample of a run. `row` from 0; `before`: what was known before it; `pressed`: the buttons pressed at it,
    `buttons`: those that are down."""

    row: int
    shown: Shown
    look: RunLook
    before: Memory
    pressed: frozenset[str]
    buttons: frozenset[str]
    since: Mapping[Key, Since]

    @property
    def rules(self) -> m.RuleSet:
        return self.look.ruleset

    def imagined(self, name: str, value: Fraction | str | None) -> Shown:
        """What would be shown if one reading, or the position of one switch, were another at this sample alone; none:
        failed. All else and every clock as they stand; rises and falls too, for it would have come from nowhere."""
        return SampleStep(self.rules, self.before.copy(), self._other(name, value), self.pressed).shown()

    def gone_on(self, name: str, value: Fraction | str | None) -> Stepper:
        """A stepper that has met this sample with one reading or position another, as in `imagined`."""
        stepper = Stepper(self.rules)
        stepper.memory = memory = self.before.copy()
        shown = SampleStep(self.rules, memory, self._other(name, value), self.pressed).shown()
        memory.readings, memory.true, memory.buttons = self.look.readings, shown.conditions, self.buttons
        return stepper

    def _other(self, name: str, value: Fraction | str | None) -> SampleReadings:
        readings = self.look.readings
        if name in self.rules.switches:
            positions = {key: position for key, position in readings.positions.items() if key != name}
            if isinstance(value, str):
                positions[name] = value
            return SampleReadings(self.rules, readings.time, readings.values, positions)
        assert not isinstance(value, str)
        return SampleReadings(self.rules, readings.time, self._values(name, value), readings.positions)

    def _values(self, name: str, value: Fraction | None) -> dict[str, Fraction | None]:
        rules, found = self.rules, dict[str, Fraction | None]()

        def read(quantity: str, index: int | None) -> Fraction | None:
            reading = rules.reading(quantity, index)
            if reading not in found:
                measured = rules.quantities[quantity]
                if reading == name:
                    found[reading] = value
                elif measured.is_computed:
                    found[reading] = computed(measured, reading.element, read)
                else:
                    found[reading] = self.look.readings.values[reading]
            return found[reading]

        return {
            m.variable(quantity.name, index): read(quantity.name, index)
            for quantity in rules.quantities.values()
            for index in quantity.indexes
        }


class Run(Protocol):
    """A run that can be asked about any of its samples, by row from 0."""

    def at(self, row: int) -> Moment: ...

    def after(self, row: int, most: int) -> Sequence[Sample]:
        """The samples after a row, at most so many."""


def shown_states(shown: Shown) -> Iterator[tuple[Key, object]]:
    """All that is shown, each by its key."""
    for gauge, colour in shown.colours.items():
        yield ("colour", gauge), colour
    for place, applies in shown.applies.items():
        yield ("applies", place), applies
        yield ("alert", place), place in shown.alerts
    for place, violated in shown.violated.items():
        yield ("violated", place), violated
    for text, lamp in shown.lamps.items():
        yield ("lamp", text), lamp


class PlainRun:
    """A run from its first sample on, gone through anew for each question."""

    def __init__(self, rules: m.RuleSet, samples: Sequence[Sample]) -> None:
        """`samples`: one at least."""
        self.rules = rules
        self.samples = samples

    def after(self, row: int, most: int) -> Sequence[Sample]:
        return self.samples[row + 1 : row + 1 + most]

    def at(self, row: int) -> Moment:
        stepper = Stepper(self.rules)
        before = stepper.memory.copy()
        states: dict[Key, object] = {}
        since: dict[Key, Since] = {}
        shown: Shown | None = None
        for number, sample in enumerate(self.samples[: row + 1]):
            if number == row:
                before = stepper.memory.copy()
            shown = stepper.step(sample)
            at = {("switch", name): sample.positions.get(name) for name in self.rules.switches}
            for key, state in (*shown_states(shown), *at.items()):
                if key not in states or states[key] != state:
                    states[key], since[key] = state, Since(number, sample.time)
        assert shown is not None
        buttons = stepper.memory.buttons
        return Moment(row, shown, RunLook(stepper, shown), before, buttons - before.buttons, buttons, since)
