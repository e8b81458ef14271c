"""The shortest history that is found in which a limit stays unguarded because states change.

The solver names states: where no quick statement applies, and for each slow one where it does not. Histories that hold
one of them for a while and then go to another are played, those with few changes first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import islice, permutations, product

from alertlang.checks.clocks import Interrupted, WatchedLimit
from alertlang.checks.context import Context
from alertlang.checks.played import HeldState, Inputs, Player, Unguarded, until
from alertlang.checks.reaction import delay_of
from alertlang.logic.solver import Answer, Model
from alertlang.logic.terms import AtValue, Term, both, in_interval, negate
from alertlang.model import ruleset as m
from alertlang.model.snapshot import failed_flag
from alertlang.units.interval import Interval

_ZERO = Fraction(0)
_MOST_STATES = 5
_MOST_STRETCHES = 60
_MOST_TRIES = 200
_LONG = 4


@dataclass(frozen=True, slots=True)
class Silence:
    """A history in which nothing shows a limit for too long, and the times in it. `endless`: the seconds for which its
    last two states can be held in turn so that nothing ever comes, as far as that was tried; none where it does."""

    history: tuple[HeldState, ...]
    times: Unguarded
    endless: Fraction | None

    @property
    def changing(self) -> tuple[str, ...]:
        """The names whose change starts the clocks anew."""
        found: dict[str, None] = {}
        for state, other in zip(self.history, self.history[1:], strict=False):
            found.update(dict.fromkeys(state.inputs.changed(other.inputs)))
        return tuple(found)


def shortest_silence(context: Context, found: Interrupted, first: Model) -> Silence | None:
    """A history with as few changes as may be; none if none of those that were tried is one. `first`: a state in which
    the limit is broken and nothing quick shows it."""
    watch = found.watch
    player = Player(context.ruleset, watch, durations_of(context.ruleset, watch))
    states = _states(context, found, inputs_of(context, first))
    beginnings: list[tuple[HeldState, ...]] = [()] if player.is_broken_at_once(states[0]) else []
    # Where no state that breaks the limit can begin a history, its context has to settle first; then what is told of it
    # without a sensor.
    before = tuple(_before(context, found, states[0], player))
    beginnings.append(before)
    if watch.sensor is not None:
        failed = frozenset((watch.sensor,))
        beginnings.append((*before, *(replace(state, inputs=replace(state.inputs, failed=failed)) for state in before)))
    for before in beginnings:
        for plan in islice(_plans(player, states), _MOST_TRIES):
            times = player.unguarded((*before, *plan))
            if times is not None:
                history = until((*before, *plan), times.ends)
                return Silence(history, times, _endless(player, before, history, times.broken))
    return None


def _endless(
    player: Player, before: tuple[HeldState, ...], history: Sequence[HeldState], begins: Fraction
) -> Fraction | None:
    pair = [stretch.inputs for stretch in history[-2:]]
    for dwell in _dwells(player) if len(pair) == 2 else ():
        long = _in_turn(pair, (dwell, dwell), max(_LONG * player.watch.allowed, _LONG * dwell))
        if len(long) < _MOST_STRETCHES and player.never_shown((*before, *long), begins):
            return dwell
    return None


# ---- states ------------------------------------------------------------------------------------------------------


def _states(context: Context, found: Interrupted, first: Inputs) -> list[Inputs]:
    """States in which the limit is broken: the first one; near it, for each slow statement, one in which that does not
    apply; and for each condition that may be either way one of either kind."""
    watch = found.watch
    reading = m.variable(watch.one.quantity, watch.index)
    states = [first]
    # With a sensor that comes and goes a memory is set where the limit looks while the box sees nothing.
    where = found.unshown if watch.sensor is None else found.broken
    goals = [both(where, set_part) for set_part in _set_parts(context, found)]
    goals += [both(found.unshown, negate(found.applies(rule))) for rule in found.slow]
    goals += [both(found.broken, negate(found.applies(rule))) for rule in found.slow]
    for name in sorted(found.free):
        undelayed = (context.encoder if watch.sensor is None else found.told).condition(name)
        goals += [both(found.broken, undelayed), both(found.broken, negate(undelayed))]
    if watch.sensor is not None:
        # A condition that the limit reads may stay as it was for a while: past the limit's values alone.
        whenever = replace(watch.one, when=None, label=f"{watch.one.label}, whenever")
        past = context.encoder.violated(whenever, watch.index)
        goals += [both(past, negate(context.encoder.condition(name))) for name in sorted(found.free)]
    for goal in goals:
        if len(states) == _MOST_STATES:
            break
        state = state_near(context, goal, reading, first)
        if state is not None and state not in states:
            states.append(state)
    if watch.sensor is not None:
        states += [one for s in states if (one := replace(s, failed=s.failed ^ {watch.sensor})) not in states]
    return states


def _set_parts(context: Context, found: Interrupted) -> Iterator[Term]:
    """What sets the memories that the limit's context reads: where one holds no history has to come before."""
    conditions = context.ruleset.conditions
    for name in sorted(context.ruleset.conditions_read(found.watch.one.when)):
        if conditions[name].until is not None:
            yield found.there.formula(conditions[name].formula)


def _before(context: Context, found: Interrupted, near: Inputs, player: Player) -> Iterator[HeldState]:
    """A state in which the limit's context holds and the limit is kept, held until everything has settled."""
    declared, index = found.watch.one, found.watch.index
    kept = both(context.encoder.given(declared), negate(context.encoder.violated(declared, index)))
    state = state_near(context, kept, m.variable(declared.quantity, index), near)
    if state is not None:
        yield HeldState(state, 1 + sum(player.durations, _ZERO))


def state_near(context: Context, goal: Term, reading: str, near: Inputs) -> Inputs | None:
    """A state with round values; as like another one as may be, the limited reading first."""
    if context.is_satisfiable(goal) is not Answer.YES:
        return None
    names = context.decider.cone_of_influence(goal.reads)[0]
    for name in context.in_order(sorted(names & near.readings.keys()), reading):
        goal = _kept(context, goal, in_interval(name, Interval.point(near.readings[name])))
    for name in sorted(names & near.positions.keys()):
        goal = _kept(context, goal, AtValue(name, near.positions[name]))
    explored = context.explorer.explore(goal, reading, 1)
    return inputs_of(context, explored.found[0].witness) if explored.found else None


def _kept(context: Context, goal: Term, term: Term) -> Term:
    narrower = both(goal, term)
    return narrower if context.is_satisfiable(narrower) is Answer.YES else goal


def inputs_of(context: Context, model: Model) -> Inputs:
    state = context.instant(model).state
    quantities = [q for q in context.ruleset.quantities.values() if q.derived is None]
    sensors = [m.variable(q.name, index) for q in quantities for index in q.indexes]
    readings: dict[str, Fraction] = {name: state.readings[name] for name in sensors}
    failed = frozenset(name for name in sensors if model.flags.get(failed_flag(name), False))
    return Inputs(readings, dict(state.positions), failed)


# ---- plans -------------------------------------------------------------------------------------------------------


def _plans(player: Player, states: Sequence[Inputs]) -> Iterator[tuple[HeldState, ...]]:
    """Ways to hold states one after the other for a little longer than the limit allows."""
    watch, spacing = player.watch, player.spacing
    total = watch.allowed + 6 * spacing
    dwells = _dwells(player)
    pairs = list(permutations(states, 2))
    for dwell in (total / 2, *dwells):
        if dwell < total:
            yield from ((HeldState(a, dwell), HeldState(b, total - dwell)) for a, b in pairs)
    # Where something shows now and then it takes the reaction time more.
    for long in (total, total + watch.one.allowed):
        for dwell, pair in product(dwells, pairs):
            yield _in_turn(pair, (dwell, dwell), long)
            yield _in_turn(pair, (dwell, spacing), long)
        for dwell, three in product(dwells, permutations(states, 3)):
            yield _in_turn(three, (dwell, dwell, dwell), long)
            yield _in_turn(three, (dwell, spacing, spacing), long)


def _in_turn(states: Sequence[Inputs], dwells: Sequence[Fraction], total: Fraction) -> tuple[HeldState, ...]:
    found: list[HeldState] = []
    left = total
    while left > 0 and len(found) < _MOST_STRETCHES:
        i = len(found) % len(states)
        found.append(HeldState(states[i], min(dwells[i], left)))
        left -= dwells[i]
    return tuple(found)


def durations_of(ruleset: m.RuleSet, watch: WatchedLimit) -> list[Fraction]:
    """Every time that has to do with a limit and what guards it, in order."""
    found = {watch.one.except_for, watch.one.allowed, watch.allowed}
    formulas = [f for rule in watch.rules for f in (rule.when, rule.unless)]
    for rule in watch.rules:
        found |= {rule.held, rule.after, delay_of(ruleset, rule, alert=watch.alert).seconds}
    for name in ruleset.conditions_read(*formulas, watch.one.when):
        found |= {ruleset.conditions[name].set_after, ruleset.conditions[name].cleared_after}
        formulas += ruleset.conditions[name].parts
    for formula in (*formulas, watch.one.when):
        found |= {part.duration for part in m.parts_of(formula) if isinstance(part, m.Held)} if formula else set()
    return sorted(time for time in found if time)


def _dwells(player: Player) -> list[Fraction]:
    """For how long states are held in turn: until just before something would come, the longest first."""
    found = {time - 2 * player.spacing for time in player.durations} | {time / 2 for time in player.durations}
    return sorted((time for time in found if time >= player.spacing), reverse=True)
