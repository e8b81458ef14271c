"""Stimuli for a term: what to set so that it is true, near to what is set already and on the steps of the gauges; and a
ramp where only a rise or fall can show it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cached_property
from itertools import islice

from alertlang.checks.context import Context
from alertlang.gauges.states import usual_state
from alertlang.groundtest.grid import NO_STIMULI, Setting, Stimuli, grid_of
from alertlang.groundtest.ramp import Ramp, ends_of, moved_by, ramps, rates, reads
from alertlang.groundtest.running import Moved, StimulusRun
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer, Model
from alertlang.logic.terms import (
    FALSE,
    All,
    AtValue,
    Flag,
    Less,
    Linear,
    Negation,
    Some,
    Term,
    both,
    conjunction,
    disjunction,
    in_interval,
    negate,
)
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m
from alertlang.model.expression import Trend
from alertlang.model.snapshot import MISSED, failed_flag
from alertlang.units.interval import Interval

# So many settings found before are tried again for what is like them.
_MOST_HINTS = 12
# So many ramps are run for one goal.
_MOST_TRIED = 12
_ZERO = Fraction(0)
_AT_REST: Mapping[str, Fraction] = {}

# What to set in turn, the last of it where the ramp begins; and the ramp.
Found = tuple[tuple[Stimuli, ...], Ramp]


class Setter:
    """Finds stimuli for terms of one rule set. `base`: as usual as can be, where everything starts."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        self.context = Context(ruleset)
        self.encoder = self.context.encoder
        for name in ruleset.conditions:
            self.encoder.condition(name)
        self.grids = {name: grid_of(ruleset, quantity) for name, quantity in ruleset.quantities.items()}
        self.base = self._base()
        self._hints: dict[object, list[Stimuli]] = {}
        self._sensor_of = {failed_flag(name): name for name in self.sensors()}
        self._moved: dict[object, Moved] = {}

    def sensors(self) -> Iterator[str]:
        for quantity in self.ruleset.quantities.values():
            if quantity.derived is None:
                yield from (m.variable(quantity.name, index) for index in quantity.indexes)

    def _base(self) -> Stimuli:
        """As usual as can be, on the steps of the gauges."""
        usual = usual_state(self.context)
        found: dict[str, Setting] = {}
        for name in self.sensors():
            quantity = self.ruleset.quantities[m.ReadingId(name).quantity]
            value = quantity.low if usual is None else usual.state.readings.get(name, quantity.low)
            near = self.grids[quantity.name].near(value)
            found[name] = value if near is None else near
        for switch in self.ruleset.switches.values():
            found[switch.name] = (
                switch.positions[0] if usual is None else usual.state.positions.get(switch.name, switch.positions[0])
            )
        return found

    # ---- a stimulus for a term

    def solve(
        self,
        goal: Term,
        hint: object = None,
        given: Stimuli = NO_STIMULI,
        moving: Mapping[str, Fraction] = _AT_REST,
    ) -> tuple[Answer, Stimuli | None]:
        """Whether a term can be true, and settings of all it reads: as in the state where everything starts, or as for
        the goal before it, wherever that can be; and always values that can be set. `given`: what the term asks for
        of them anyway. `moving`: the rises and falls that are not at rest."""
        names = sorted(self.encoder.definitions_for(goal.reads)[0])
        steady = [
            in_interval(name, Interval.closed(rate, rate))
            for name in names
            if self.is_trend(name) and self.context.quantity(name).range.contains(rate := moving.get(name, _ZERO))
        ]
        # What is held has a sample before it.
        steady += [negate(Flag(name)) for name in names if name.endswith(MISSED)]
        term = conjunction((goal, *steady))
        # A sensor of which nothing is asked but that it has failed, or has not, is one too.
        asked = {*names, *(self._sensor_of[name] for name in names if name in self._sensor_of)}
        settable = sorted(name for name in asked if name in self.base)
        start = {**self.base, **given}
        hints = self._hints.setdefault(hint, []) if hint is not None else []
        likely = (
            {n: preferred[n] for n in settable}
            for preferred in ({**self.base, **before, **given} for before in (NO_STIMULI, *reversed(hints)))
            if self._could_be(term, preferred, settable)
        )
        # Where the likeliest will do, nothing else has to be asked.
        first = next(likely, None)
        if first is not None and self._will_do(term, first, names):
            return Answer.YES, first
        answer = self.context.is_satisfiable(term)
        if answer is not Answer.YES:
            if steady and answer is Answer.NO and self.context.is_satisfiable(goal) is Answer.YES:
                return Answer.UNDECIDED, None
            return answer, None
        for settings in likely:
            if self._will_do(term, settings, names):
                return Answer.YES, settings
        chosen = self._one_by_one(term, settable, names, start)
        if chosen is None:
            return Answer.UNDECIDED, None
        if hint is not None:
            hints.append(chosen)
            del hints[:-_MOST_HINTS]
        return Answer.YES, chosen

    def _will_do(self, term: Term, settings: Stimuli, names: list[str]) -> bool:
        pinned = conjunction((term, *(self._pin(name, setting, names) for name, setting in settings.items())))
        return self.context.is_satisfiable(pinned) is Answer.YES

    def _one_by_one(self, term: Term, settable: list[str], names: list[str], start: Stimuli) -> Stimuli | None:
        chosen: dict[str, Setting] = {}
        # First as much as can be as it is, then the rest at the nearest value that can be set.
        rest = []
        for name in settable:
            more = both(term, self._pin(name, start[name], names))
            if self._could_be(term, start, (*chosen, name)) and self.context.is_satisfiable(more) is Answer.YES:
                term = more
                chosen[name] = start[name]
            else:
                rest.append(name)
        # A switch needs no model, and to make one takes time.
        model = self.context.decider.model(term) if any(name not in self.ruleset.switches for name in rest) else None
        for name in rest:
            for setting in self._choices(name, term, names, model):
                more = both(term, self._pin(name, setting, names))
                tried = {**chosen, name: setting}
                if self._could_be(term, tried, tried) and self.context.is_satisfiable(more) is Answer.YES:
                    term = more
                    chosen[name] = setting
                    break
            else:
                return None
        return {name: chosen[name] for name in settable}

    def _choices(self, name: str, term: Term, names: list[str], model: Model | None) -> Iterator[Setting]:
        if name in self.ruleset.switches:
            yield from self.ruleset.switches[name].positions
            return
        quantity = self.context.quantity(name)
        if model is not None and name in model.readings:
            grid, value = self.grids[quantity.name], model.readings[name]
            for number in (grid.near(value), grid.under(value, at=True), grid.over(value, at=True)):
                if number is not None and quantity.low <= number <= quantity.high:
                    yield number
        found = self.context.explorer.explore(term, name, 1).found
        if found:
            box = found[0].box.readings[name]
            value = found[0].witness.readings[name]
            grid = self.grids[quantity.name]
            near = [grid.near(value), grid.under(value, at=True), grid.over(value, at=True)]
            for end in (box.low, box.high):
                if end is not None:
                    near += [grid.over(end, at=False), grid.under(end, at=False), grid.near(end)]
            yield from (v for v in near if v is not None and quantity.low <= v <= quantity.high)
        if failed_flag(name) in names:
            yield None

    def _could_be(self, term: Term, settings: Stimuli, names: Iterable[str]) -> bool:
        """Whether a look at the settings of some names leaves it open that a term is true."""
        set_now = {name: settings[name] for name in names}

        def known(name: str) -> Fraction | str | bool | None:
            sensor = self._sensor_of.get(name)
            if sensor is not None:
                return set_now[sensor] is None if sensor in set_now else None
            return set_now.get(name)

        return could_be(term, known)

    def is_trend(self, name: str) -> bool:
        quantity = self.ruleset.quantities.get(m.ReadingId(name).quantity)
        return quantity is not None and quantity.is_trend

    def _pin(self, name: str, setting: Setting, names: Iterable[str]) -> Term:
        if isinstance(setting, str):
            return AtValue(name, setting)
        gone = Flag(failed_flag(name)) if failed_flag(name) in names else FALSE
        if setting is None:
            return gone
        if name not in names:
            return negate(gone)
        return both(in_interval(name, Interval.closed(setting, setting)), negate(gone))

    def definite(self, *formulas: m.Formula | None, encoder: Encoder) -> Term:
        """Every condition with `until` that is read is set, or cleared: never what it happened to be before."""
        parts = []
        for name in sorted(self.ruleset.conditions_read(*formulas)):
            condition = self.ruleset.conditions[name]
            if condition.until is not None:
                parts.append(disjunction((encoder.formula(condition.formula), encoder.formula(condition.until))))
        return conjunction(parts)

    # ---- a ramp for what only a rise or fall can show: run over the reference before it counts

    @cached_property
    def _ends(self) -> dict[str, frozenset[Fraction]]:
        """By quantity, every number at which something may change."""
        return dict(ends_of(self.ruleset))

    def find_ramp(
        self,
        goals: Sequence[Term],
        is_met: Callable[[Shown], bool],
        wait: Fraction,
        before: tuple[Stimuli, ...] = (),
    ) -> Found | None:
        """A ramp during which the first of some terms holds for which there is one; it holds as well if somebody is not
        exact. `before`: what is set first."""
        for goal in goals:
            trends = self._trends(goal)
            starts = ((ramp, self._start(goal, trends, ramp, before)) for ramp in self._ramps(trends, wait))
            likely = ((ramp, (*before, settings)) for ramp, settings in starts if settings is not None)
            for ramp, parts in islice(likely, _MOST_TRIED):
                if self._run(parts, ramp).is_met(is_met, wait):
                    return parts, ramp
        return None

    def _trends(self, goal: Term) -> list[tuple[m.Quantity, int | None]]:
        """The rises and falls that a term reads."""
        names = self.encoder.definitions_for(goal.reads)[0]
        return [
            (quantity, index)
            for quantity in self.ruleset.quantities.values()
            if quantity.is_trend
            for index in quantity.indexes
            if m.variable(quantity.name, index) in names
        ]

    def _ramps(self, trends: list[tuple[m.Quantity, int | None]], wait: Fraction) -> Iterator[Ramp]:
        for quantity, names in self._movable(trends):
            trend = quantity.derived
            assert isinstance(trend, Trend)
            grid, home = self.grids[trend.quantity], self.base[names[0]]
            assert isinstance(home, Fraction)
            for rate in rates(quantity, self._ends[quantity.name]):
                yield from ramps(trend, names, rate, grid, home, self._ends[trend.quantity], wait)

    def _movable(self, trends: list[tuple[m.Quantity, int | None]]) -> Iterator[tuple[m.Quantity, tuple[str, ...]]]:
        """Sensors to move: each alone, then all of an array together."""
        found: dict[str, tuple[m.Quantity, dict[str, None]]] = {}
        for quantity, index in trends:
            assert isinstance(quantity.derived, Trend)
            name = moved_by(quantity.derived, index)
            if name in self.base:
                found.setdefault(quantity.name, (quantity, {}))[1][name] = None
        for quantity, names in found.values():
            yield from ((quantity, (name,)) for name in names)
        yield from ((quantity, tuple(names)) for quantity, names in found.values() if len(names) > 1)

    def _start(
        self, goal: Term, trends: list[tuple[m.Quantity, int | None]], ramp: Ramp, before: tuple[Stimuli, ...]
    ) -> Stimuli | None:
        """What to set so that a term holds where a ramp begins."""
        moving: dict[str, Fraction] = {
            m.variable(quantity.name, index): reads(quantity, index, ramp) for quantity, index in trends
        }
        names = self.encoder.definitions_for(goal.reads)[0]
        start = dict.fromkeys(ramp.names, ramp.start)
        here = [in_interval(name, Interval.closed(ramp.start, ramp.start)) for name in ramp.names if name in names]
        last = before[-1] if before else {}
        found = self.solve(conjunction((goal, *here)), given={**last, **start}, moving=moving)[1]
        return None if found is None else {**last, **found, **start}

    def _run(self, parts: tuple[Stimuli, ...], ramp: Ramp) -> Moved:
        """What the reference shows during a ramp, all as usual but for what is set."""
        key = (ramp, *(tuple(sorted(part.items())) for part in parts))
        if key not in self._moved:
            run = StimulusRun(self.ruleset)
            for part in ({}, *parts):
                run.hold({**self.base, **part})
            self._moved[key] = run.ramp({**self.base, **parts[-1]}, ramp)
        return self._moved[key]


# ---- what is plain of a term once some stimuli are known, without a solver: so that it is not asked in vain

# Of a name: its reading, its position, whether its flag is up; none where that is open.
Known = Callable[[str], Fraction | str | bool | None]


def could_be(term: Term, known: Known) -> bool:
    """Whether what is known leaves it open that a term is true. False is certain; true may still be wrong."""
    return _Look(known).at(term) is not False


class _Look:
    def __init__(self, known: Known) -> None:
        self.known = known
        self.found: dict[int, bool | None] = {}

    def at(self, term: Term) -> bool | None:
        key = id(term)
        if key not in self.found:
            self.found[key] = self._at(term)
        return self.found[key]

    def _at(self, term: Term) -> bool | None:
        match term:
            case Less():
                value = self.known(term.variable)
                if not isinstance(value, Fraction):
                    return None
                return value < term.value or (term.included and value == term.value)
            case AtValue():
                position = self.known(term.switch)
                return position == term.position if isinstance(position, str) else None
            case Flag():
                up = self.known(term.name)
                return up if isinstance(up, bool) else None
            case Linear():
                return self._sum(term)
            case Negation():
                part = self.at(term.part)
                return None if part is None else not part
            case All():
                return self._parts(term.parts, ends=False)
            case Some():
                return self._parts(term.parts, ends=True)
        raise AssertionError(term)

    def _sum(self, term: Linear) -> bool | None:
        total = term.constant
        for name, factor in term.coefficients:
            value = self.known(name)
            if not isinstance(value, Fraction):
                return None
            total += factor * value
        return total == 0 if term.equal else total <= 0

    def _parts(self, parts: tuple[Term, ...], *, ends: bool) -> bool | None:
        """`ends`: the value of one part that settles the whole."""
        open_one = False
        for part in parts:
            value = self.at(part)
            if value is ends:
                return ends
            open_one = open_one or value is None
        return None if open_one else not ends
