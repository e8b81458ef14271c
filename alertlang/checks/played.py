"""Histories of states that are held and changed, played on the stepper: is a limit broken and nothing shows it?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.checks.clocks import WatchedLimit
from alertlang.meaning.stepper import Sample, Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.model.expression import inputs as read_by

_ZERO = Fraction(0)
_FINE = 100
"""At least so many samples where it has to be sure."""


@dataclass(frozen=True, slots=True)
class Inputs:
    """What there is to read, and the readings whose sensors have failed."""

    readings: Mapping[str, Fraction]
    positions: Mapping[str, str]
    failed: frozenset[str] = frozenset()

    def changed(self, other: Inputs) -> list[str]:
        """The names that are not as in another state, sensors that fail or come back among them."""
        names = [name for name, value in self.readings.items() if other.readings[name] != value]
        names += [name for name, position in self.positions.items() if other.positions[name] != position]
        return [*names, *sorted(self.failed ^ other.failed)]


@dataclass(frozen=True, slots=True)
class HeldState:
    """A state that is held for so many seconds."""

    inputs: Inputs
    seconds: Fraction


History = Sequence[HeldState]


@dataclass(frozen=True, slots=True)
class Unguarded:
    """Times in a history: from when on the limit is broken, from when on its `except for` is over and nothing shows it,
    and when that had lasted for longer than it gives for reacting."""

    broken: Fraction
    silent: Fraction
    ends: Fraction


class Player:
    """Plays histories for one limit. `spacing`: seconds between two samples, far less than every time that matters."""

    def __init__(self, ruleset: m.RuleSet, watch: WatchedLimit, durations: Sequence[Fraction]) -> None:
        """`durations`: every time that has to do with the limit and what guards it, in rising order."""
        self.watch = watch
        self.durations = durations
        self.spacing = min(Fraction(1), durations[0] / 10)
        self._small = concerned(ruleset, watch)

    def unguarded(self, history: History) -> Unguarded | None:
        """The first stretch of time in which nothing shows the limit for too long, looked at where it matters; None
        also where it does not stand when looked at often."""
        watch = self.watch
        run = _Run(self._small, watch)
        begins: Fraction | None = None
        silent: Fraction | None = None
        for time, inputs in _samples(history, self._moments(history)):
            broken, shown = run.step(time, inputs)
            begins = (time if begins is None else begins) if broken else None
            over = begins is not None and (not watch.one.except_for or time - begins > watch.one.except_for)
            silent = (time if silent is None else silent) if over and not shown else None
            if begins is not None and silent is not None and time - silent > watch.one.allowed:
                found = Unguarded(begins, silent, time)
                return found if self._is_sure(found, history) else None
        return None

    def is_broken_at_once(self, inputs: Inputs) -> bool:
        """Whether the limit counts as broken at the first sample of all."""
        return _Run(self._small, self.watch).step(_ZERO, inputs)[0]

    def never_shown(self, history: History, begins: Fraction) -> bool:
        """Whether in a history the limit is broken from a time on, and nothing ever shows it."""
        run = _Run(self._small, self.watch)
        for time, inputs in _samples(history, self._moments(history)):
            broken, shown = run.step(time, inputs)
            if shown or (time >= begins and not broken):
                return False
        return True

    def takes(self, history: History) -> Fraction | None:
        """How long the limit has been broken when something first shows it; none if nothing does."""
        run = _Run(self._small, self.watch)
        begins: Fraction | None = None
        for time, inputs in _samples(history, self._moments(history)):
            broken, shown = run.step(time, inputs)
            begins = (time if begins is None else begins) if broken else None
            if begins is not None and shown:
                return time - begins
        return None

    def _is_sure(self, found: Unguarded, history: History) -> bool:
        """Whether it is so at each of many samples: all through the silence the limit is broken, its time over, and
        nothing shows it."""
        fine = max(self.spacing, found.ends / _FINE)
        times = {n * fine for n in range(int(found.ends / fine) + 1)} | {found.broken, found.silent, found.ends}
        times |= {time for time in _changes(history) if time < found.ends}
        run = _Run(self._small, self.watch)
        for time, inputs in _samples(history, sorted(times)):
            broken, shown = run.step(time, inputs)
            if time >= found.silent and (shown or not broken):
                return False
        return True

    def _moments(self, history: History) -> list[Fraction]:
        """The times to look at: where states change, just before, and where something could come."""
        times: set[Fraction] = set()
        for begins, stretch in zip(_changes(history), history, strict=False):
            lasts = stretch.seconds
            inside = (_ZERO, *self.durations, lasts / 2, lasts - self.spacing)
            times |= {begins + x + y for x in inside for y in (_ZERO, self.spacing) if x >= 0 and x + y < lasts}
        # The limit may have begun to be broken with the first state, or with the second.
        ends = _changes(history)[-1]
        since = [begins + x for begins in _changes(history)[:2] for x in self.durations]
        times |= {x + n * self.spacing for x in since for n in (0, 1, 2) if x + n * self.spacing < ends}
        return sorted({*times, ends})


def concerned(ruleset: m.RuleSet, watch: WatchedLimit) -> m.RuleSet:
    """The limit, what guards it, and what these read. Statements know nothing of each other, so the stepper says of
    these what it says of them in the whole rule set."""
    bands = tuple(rule for rule in watch.rules if isinstance(rule, m.Band))
    alerts = tuple(rule for rule in watch.rules if isinstance(rule, m.Alert))
    limit = replace(watch.one, except_for=None)
    formulas = (limit.when, *(formula for rule in watch.rules for formula in (rule.when, rule.unless)))
    pending = {limit.quantity, *(band.quantity for band in bands), *ruleset.quantities_read(*formulas)}
    for region in (limit.region, *(band.region for band in bands)):
        pending |= {bound.quantity for bound in region.moving}
    quantities: set[str] = set()
    while pending:
        name = pending.pop()
        quantities.add(name)
        derived = ruleset.quantities[name].derived
        pending |= set() if derived is None else {*read_by(derived)} - quantities
    conditions, switches = ruleset.conditions_read(*formulas), ruleset.switches_read(*formulas)
    return replace(
        ruleset,
        quantities={name: quantity for name, quantity in ruleset.quantities.items() if name in quantities},
        switches={name: switch for name, switch in ruleset.switches.items() if name in switches},
        conditions={name: condition for name, condition in ruleset.conditions.items() if name in conditions},
        assumptions=(),
        ranges=(limit,),
        bands=bands,
        alerts=alerts,
        claims=(),
        lamps=(),
    )


def until(history: History, ends: Fraction) -> tuple[HeldState, ...]:
    """A history up to a time."""
    begins = _changes(history)
    return tuple(
        replace(stretch, seconds=min(stretch.seconds, ends - start))
        for start, stretch in zip(begins, history, strict=False)
        if start < ends
    )


def _changes(history: History) -> list[Fraction]:
    """The times at which its stretches begin, and that at which the last one ends."""
    found = [_ZERO]
    for stretch in history:
        found.append(found[-1] + stretch.seconds)
    return found


def _samples(history: History, times: Sequence[Fraction]) -> Iterator[tuple[Fraction, Inputs]]:
    number, ends = 0, history[0].seconds
    for time in times:
        while time >= ends and number + 1 < len(history):
            number += 1
            ends += history[number].seconds
        yield time, history[number].inputs


class _Run:
    """A history sample by sample: what there is, and what the statements are told, which differs where a sensor has
    failed."""

    def __init__(self, ruleset: m.RuleSet, watch: WatchedLimit) -> None:
        self.watch = watch
        self._told = Stepper(ruleset)
        self._there = self._told if watch.sensor is None else Stepper(ruleset)
        sensors = (quantity for quantity in ruleset.quantities.values() if quantity.derived is None)
        self._readings: list[str] = [
            m.variable(quantity.name, index) for quantity in sensors for index in quantity.indexes
        ]

    def step(self, time: Fraction, inputs: Inputs) -> tuple[bool, bool]:
        """Whether the limit counts as broken, and whether something shows it."""
        readings: dict[str, Fraction] = {name: inputs.readings[name] for name in self._readings}
        told = {name: value for name, value in readings.items() if name not in inputs.failed}
        positions = {name: inputs.positions[name] for name in self._told.ruleset.switches}
        shown = there = self._told.step(Sample(time, told, positions))
        if self._there is not self._told:
            there = self._there.step(Sample(time, readings, positions))
        return there.violated[self.watch.one.label, self.watch.index], self._is_shown(shown)

    def _is_shown(self, shown: Shown) -> bool:
        up = shown.alerts if self.watch.alert else {place for place, applies in shown.applies.items() if applies}
        places = ((rule.label, None if isinstance(rule, m.Alert) else self.watch.index) for rule in self.watch.rules)
        return any(place in up for place in places)
