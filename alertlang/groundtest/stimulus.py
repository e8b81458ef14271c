"""Stimuli for a term: what to set so that it is true, near to what is set already and on the steps of the gauges."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.gauges.states import usual_state
from alertlang.groundtest.grid import grid_of
from alertlang.groundtest.known import could_be
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer, Model
from alertlang.logic.terms import FALSE, At, Flag, Term, both, conjunction, disjunction, in_interval, negate
from alertlang.model import ruleset as m
from alertlang.model.snapshot import MISSED, failed_flag
from alertlang.units.interval import Interval

# What some stimuli are set to, by name: a value in its own unit, a switch position, or none for a sensor taken off.
Setting = Fraction | str | None
Stimuli = Mapping[str, Setting]

NO_STIMULI: Stimuli = {}
# So many settings found before are tried again for what is like them.
_MOST_HINTS = 12
_ZERO = Fraction(0)
_AT_REST: Mapping[str, Fraction] = {}


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

    def sensors(self) -> Iterator[str]:
        for quantity in self.ruleset.quantities.values():
            if quantity.derived is None:
                yield from (m.variable(quantity.name, index) for index in quantity.indexes)

    def _base(self) -> Stimuli:
        """As usual as can be, on the steps of the gauges."""
        usual = usual_state(self.context)
        found: dict[str, Setting] = {}
        for name in self.sensors():
            quantity = self.ruleset.quantities[name.split("[")[0]]
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
        answer = self.context.possible(term)
        if answer is not Answer.YES:
            if steady and answer is Answer.NO and self.context.possible(goal) is Answer.YES:
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
        return self.context.possible(pinned) is Answer.YES

    def _one_by_one(self, term: Term, settable: list[str], names: list[str], start: Stimuli) -> Stimuli | None:
        chosen: dict[str, Setting] = {}
        # First as much as can be as it is, then the rest at the nearest value that can be set.
        rest = []
        for name in settable:
            more = both(term, self._pin(name, start[name], names))
            if self._could_be(term, start, (*chosen, name)) and self.context.possible(more) is Answer.YES:
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
                if self._could_be(term, tried, tried) and self.context.possible(more) is Answer.YES:
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
            for one in (grid.near(value), grid.under(value, at=True), grid.over(value, at=True)):
                if one is not None and quantity.low <= one <= quantity.high:
                    yield one
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
        quantity = self.ruleset.quantities.get(name.split("[")[0])
        return quantity is not None and quantity.is_trend

    def _pin(self, name: str, setting: Setting, names: Iterable[str]) -> Term:
        if isinstance(setting, str):
            return At(name, setting)
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
