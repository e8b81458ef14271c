"""States made of a witness, and histories that may lead to them.

A witness names the readings that matter. What else the statements concerned read is filled in. First the state is held
from the beginning; where that does not show what the finding says (a condition must have been set before, a deadband
must keep a band), one other state is put before it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.model.expression import Trend
from alertlang.scenarios import scenario as s
from alertlang.scenarios.goal import WitnessGoal
from alertlang.scenarios.write import input_texts, ramp_text

_ZERO = Fraction(0)

MOST_FILLED = 24
"""Ways to fill in what a witness does not name."""

MOST_BEFORE = 80
"""States that are tried before the one of the witness."""

_FINE, _COARSE = 200, 12
"""At most about so many samples: where the state is held from the beginning, and where another stands before it."""

_SPACINGS = tuple(Fraction(n, 2) for n in (1, 2, 4, 10, 20, 60, 120, 240, 600, 1200, 3600, 7200))

Readings = Mapping[str, Fraction | None]


@dataclass(frozen=True, slots=True)
class Play:
    """A state that is held from `begins` to `ends`, and what comes before it.

    `before`: readings and positions of another state, from 0 s on, that are not those of the state itself. `rising`:
    readings that are on their way, with where they come from. `filled`: what the witness does not name, in words.
    """

    readings: Readings
    positions: Mapping[str, str]
    begins: Fraction
    ends: Fraction
    spacing: Fraction
    moment: Fraction | None = None
    before: tuple[Readings, Mapping[str, str]] | None = None
    rising: tuple[tuple[str, Fraction], ...] = ()
    filled: tuple[str, ...] = ()

    def scenario(self, rules: m.RuleSet) -> s.Scenario:
        """It as a scenario that expects nothing."""
        span = rules.bands[0].span if rules.bands else rules.rules[0].span
        times = {_ZERO, self.begins, self.ends}
        if self.moment is not None:
            times.add(self.begins + self.moment)
        state: list[s.Change] = [s.Sets(name, value) for name, value in self.readings.items()]
        state += [s.Ramps(name, first, self._value(name), self.ends) for name, first in self.rising]
        state += [s.Turns(name, position) for name, position in self.positions.items()]
        lines = [s.TimeLine(self.begins, tuple(state), span)]
        if self.before is not None:
            earlier: list[s.Change] = [
                s.Sets(name, value) for name, value in {**self.readings, **self.before[0]}.items()
            ]
            earlier += [s.Turns(name, place) for name, place in {**self.positions, **self.before[1]}.items()]
            lines.insert(0, s.TimeLine(_ZERO, tuple(earlier), span))
        given = frozenset((*self.readings, *self.positions))
        return s.Scenario("", 1, "", (), rules, self.spacing, tuple(lines), (), tuple(sorted(times)), given)

    def _value(self, name: str) -> Fraction:
        value = self.readings[name]
        assert value is not None
        return value

    def lines(self, rules: m.RuleSet) -> list[tuple[Fraction, list[str]]]:
        """Its lines in words: the time of each, and what is read."""
        rising = {name for name, _ in self.rising}
        readings = {name: value for name, value in self.readings.items() if name not in rising}
        texts = input_texts(rules, readings, self.positions)
        texts += [ramp_text(rules, name, first, self._value(name), self.ends) for name, first in self.rising]
        if self.before is None:
            return [(self.begins, texts)]
        earlier = input_texts(rules, {**self.readings, **self.before[0]}, {**self.positions, **self.before[1]})
        changed = input_texts(
            rules,
            {name: self.readings[name] for name in self.before[0]},
            {name: self.positions[name] for name in self.before[1]},
        )
        return [(_ZERO, earlier), (self.begins, changed)]


def plays(rules: m.RuleSet, goal: WitnessGoal) -> Iterator[Play]:
    """Ways to lead to the state of a witness, the simplest first."""
    longest = _longest(rules, goal)
    fine = _spacing(longest, _FINE)
    settled = max(longest, goal.moment or _ZERO)
    first: Play | None = None
    for readings, positions, filled in _states(rules, goal):
        play = Play(readings, positions, _ZERO, settled, fine, goal.moment, filled=filled)
        play = _with_rates(rules, goal, play)
        first = first or play
        yield play
    assert first is not None
    if first.rising or not _remembers(rules, goal):
        return
    # Long enough for everything to settle before; then so short that nothing has.
    for begins in (max(longest, Fraction(1)), _shortest(rules, goal) / 2):
        later = replace(first, begins=begins, ends=begins + settled, spacing=_spacing(begins + settled, _COARSE))
        for before in _before(rules, first):
            yield replace(later, before=before)


# ---- the state ---------------------------------------------------------------------------------------------------


def _states(rules: m.RuleSet, goal: WitnessGoal) -> Iterator[tuple[Readings, Mapping[str, str], tuple[str, ...]]]:
    """Readings, positions, and what was filled in of them."""
    sensors, switches = s.needs(rules, goal.about)
    if goal.limit is not None:
        reads = (goal.limit.when,)
        names = {goal.limit.quantity, *rules.quantities_read(*reads)}
        names |= {end.quantity for end in goal.limit.region.moving}
        sensors |= {sensor for name in names for sensor in rules.sensors_of(name)}
        switches |= rules.switches_read(*reads)
    there = {
        name: value
        for name, value in goal.readings.items()
        if rules.quantities[m.ReadingId(name).quantity].derived is None
    }
    free: dict[str, list[Fraction]] = {}
    for quantity in rules.quantities.values():
        for index in quantity.indexes:
            name = m.variable(quantity.name, index)
            if quantity.name in sensors and name not in there:
                free[name] = _choices(rules, quantity)
    positions = dict(goal.positions)
    open_ = [name for name in rules.switches if name in switches and name not in positions]
    filled_readings = {name: choices[0] for name, choices in free.items()}
    filled_positions = {name: rules.switches[name].positions[0] for name in open_}
    ways: list[tuple[dict[str, Fraction], dict[str, str]]] = [(filled_readings, filled_positions)]
    ways += [({**filled_readings, name: v}, filled_positions) for name, choices in free.items() for v in choices[1:]]
    ways += [
        (filled_readings, {**filled_positions, name: p}) for name in open_ for p in rules.switches[name].positions[1:]
    ]
    possible = [way for way in ways if _is_possible(rules, {**there, **way[0]}, {**positions, **way[1]})]
    for values, places in (possible or ways[:1])[:MOST_FILLED]:
        readings: dict[str, Fraction | None] = {}
        for quantity in rules.quantities.values():
            for name in (m.variable(quantity.name, index) for index in quantity.indexes):
                if name in there or name in values:
                    readings[name] = None if name in goal.failed else {**values, **there}[name]
        known = {**positions, **places}
        ordered = {name: known[name] for name in rules.switches if name in known}
        yield readings, ordered, tuple(input_texts(rules, values, places))


def _is_possible(rules: m.RuleSet, readings: Mapping[str, Fraction], positions: Mapping[str, str]) -> bool:
    return Instant(rules, State(readings, positions)).is_possible()


def _choices(rules: m.RuleSet, quantity: m.Quantity) -> list[Fraction]:
    """Values to fill in, the most ordinary first: in the middle of a normal range, of all, at the ends."""
    normal = [
        declared.region.numbers
        for declared in rules.ranges_by_quantity[quantity.name]
        if declared.kind is m.RangeKind.NORMAL
    ]
    found = [_on_step(quantity, sum(numbers, _ZERO) / 2) for numbers in normal if len(numbers) == 2]
    found += [_on_step(quantity, (quantity.low + quantity.high) / 2), quantity.low, quantity.high]
    return list(dict.fromkeys(value for value in found if quantity.low <= value <= quantity.high))


def _on_step(quantity: m.Quantity, value: Fraction) -> Fraction:
    return (value // quantity.step) * quantity.step if quantity.step else value


def _with_rates(rules: m.RuleSet, goal: WitnessGoal, play: Play) -> Play:
    """The same with readings that change as fast as the witness says; without, where the sensor's range is too short
    for that."""
    rising: dict[str, Fraction] = {}
    ends = max(play.ends, 2 * play.spacing)
    for name, value in goal.readings.items():
        quantity = rules.quantities[m.ReadingId(name).quantity]
        trend = quantity.derived
        if not isinstance(trend, Trend) or not value:
            continue
        index = m.ReadingId(name).element if trend.index is None else trend.index
        of = m.variable(trend.quantity, index)
        now = play.readings.get(of)
        if now is None or of in rising:
            return play
        rate = (value if trend.kind == "rise" else -value) / trend.seconds
        rising[of] = now - rate * ends
        sensor = rules.quantities[trend.quantity]
        if not sensor.low <= rising[of] <= sensor.high:
            return play
    return replace(play, ends=ends, rising=tuple(rising.items())) if rising else play


# ---- what comes before -------------------------------------------------------------------------------------------


def _before(rules: m.RuleSet, play: Play) -> Iterator[tuple[Readings, Mapping[str, str]]]:
    """Other states, one reading or switch changed in each: readings at the numbers that they are compared with, and
    between them."""
    count = 0
    for name, value in play.readings.items():
        for other in _values(rules, rules.quantities[m.ReadingId(name).quantity]) if value is not None else ():
            if other != value and _is_possible(rules, {**_there(play), name: other}, play.positions):
                count += 1
                if count > MOST_BEFORE:
                    return
                yield {name: other}, {}
    for name, position in play.positions.items():
        for place in rules.switches[name].positions:
            if place != position and _is_possible(rules, _there(play), {**play.positions, name: place}):
                yield {}, {name: place}


def _there(play: Play) -> dict[str, Fraction]:
    return {name: value for name, value in play.readings.items() if value is not None}


def _values(rules: m.RuleSet, quantity: m.Quantity) -> list[Fraction]:
    regions = [band.region for band in rules.bands if band.quantity == quantity.name]
    regions += [declared.region for declared in rules.ranges_by_quantity[quantity.name]]
    for formula in rules.formulas:
        compared = [part for part in m.parts_of(formula) if isinstance(part, m.Compare)]
        regions += [part.region for part in compared if part.quantity == quantity.name]
    numbers = sorted(
        {
            quantity.low,
            quantity.high,
            *(n for region in regions for n in region.numbers if quantity.low <= n <= quantity.high),
        }
    )
    between = [(number + other) / 2 for number, other in pairwise(numbers)]
    return sorted({*numbers, *between})


# ---- time --------------------------------------------------------------------------------------------------------


def _concerned(rules: m.RuleSet, goal: WitnessGoal) -> tuple[list[m.Rule], list[m.Formula], frozenset[str]]:
    """The statements that decide what is looked at, all formulas they read, and the conditions in them."""
    labels = set(goal.labels)
    gauges: set[str] = set()
    formulas: list[m.Formula | None] = []
    for what in goal.about:
        if isinstance(what, s.GaugeShows):
            gauges |= {quantity for quantity, _ in what.gauges}
        elif isinstance(what, s.AlertIsUp):
            labels |= {label for label, _ in what.raised_by}
        elif isinstance(what, s.LampShows):
            labels |= {rule.label for rule in s.lit_by(rules, what.lamp)}
        elif isinstance(what, s.ConditionHolds):
            formulas += rules.conditions[what.name].parts
    concerned = [
        rule for rule in rules.rules if rule.label in labels or (isinstance(rule, m.Band) and rule.quantity in gauges)
    ]
    formulas += [formula for rule in concerned for formula in (rule.when, rule.unless)]
    if goal.limit is not None:
        formulas.append(goal.limit.when)
    conditions = set(rules.conditions_read(*formulas))
    conditions |= {what.name for what in goal.about if isinstance(what, s.ConditionHolds)}
    found = [formula for formula in formulas if formula is not None]
    found += [part for name in sorted(conditions) for part in rules.conditions[name].parts]
    return concerned, found, frozenset(conditions)


def _longest(rules: m.RuleSet, goal: WitnessGoal) -> Fraction:
    """After so many seconds at most, and no more, everything about a state that is held has settled."""
    concerned, formulas, conditions = _concerned(rules, goal)
    longest = max(((rule.held or _ZERO) + (rule.after or _ZERO) for rule in concerned), default=_ZERO)
    held = {part.duration for formula in formulas for part in m.parts_of(formula) if isinstance(part, m.Held)}
    longest += sum(held, _ZERO)
    for name in sorted(conditions):
        longest += max(rules.conditions[name].set_after or _ZERO, rules.conditions[name].cleared_after or _ZERO)
    if goal.limit is not None:
        longest += goal.limit.except_for or _ZERO
    # One second more: `for more than` asks for it.
    return longest + 1 if longest else _ZERO


def _shortest(rules: m.RuleSet, goal: WitnessGoal) -> Fraction:
    """The shortest delay of a condition that is read."""
    conditions = [rules.conditions[name] for name in _concerned(rules, goal)[2]]
    delays = [delay for condition in conditions for delay in (condition.set_after, condition.cleared_after) if delay]
    return min(delays, default=Fraction(1))


def _spacing(seconds: Fraction, most: int) -> Fraction:
    return next((number for number in _SPACINGS if seconds / number <= most), seconds / most)


def _remembers(rules: m.RuleSet, goal: WitnessGoal) -> bool:
    """Whether anything that is looked at can depend on what came before."""
    concerned, formulas, conditions = _concerned(rules, goal)
    if any(rules.conditions[name].until is not None or rules.conditions[name].is_delayed for name in conditions):
        return True
    if any(isinstance(part, m.Held) for formula in formulas for part in m.parts_of(formula)):
        return True
    bands = [rule for rule in concerned if isinstance(rule, m.Band)]
    return any(rules.quantities[band.quantity].deadband is not None for band in bands) or any(
        rule.latched or rule.held is not None for rule in concerned
    )
