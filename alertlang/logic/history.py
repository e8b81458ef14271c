"""Whether some recording of a few samples makes a term true at its last one, and such a recording.

At one instant an open truth (a flag) is free within what ties it. Over a recording it follows from the samples up to
now: a clock says how. The solver chooses the samples and their times; what it finds is told to the reference stepper
before anybody believes it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import z3

from alertlang.logic.encode import Encoder
from alertlang.logic.interrupts import Context
from alertlang.logic.solver import Answer, Decider, Model, _answer, _new_solver, _Translator
from alertlang.logic.terms import Term
from alertlang.model.expression import Trend
from alertlang.model.reading import ReadingId
from alertlang.model.snapshot import FAILED, MISSED, told_without

_ONE = Fraction(1)
# In the solver's own measure: what takes more is seldom found at all, and is told as not decided.
_WORK_LIMIT = 1_000_000


@dataclass(frozen=True, slots=True)
class Until:
    """Set by one term and kept until another holds."""

    sets: Term
    clears: Term

    @property
    def terms(self) -> tuple[Term, ...]:
        return self.sets, self.clears

    @property
    def durations(self) -> tuple[Fraction, ...]:
        return ()


@dataclass(frozen=True, slots=True)
class Lasting:
    """A term has held at every sample since one at least (`more`: more than) `duration` seconds ago; `in_total`: more
    than that in all, and holds now."""

    base: Term
    duration: Fraction
    more: bool
    in_total: bool = False

    @property
    def terms(self) -> tuple[Term, ...]:
        return (self.base,)

    @property
    def durations(self) -> tuple[Fraction, ...]:
        return (self.duration,)


@dataclass(frozen=True, slots=True)
class Delayed:
    """A condition after its delays."""

    wanted: Term
    set_after: Fraction
    cleared_after: Fraction

    @property
    def terms(self) -> tuple[Term, ...]:
        return (self.wanted,)

    @property
    def durations(self) -> tuple[Fraction, ...]:
        return self.set_after, self.cleared_after


@dataclass(frozen=True, slots=True)
class Lingering:
    """A band was in its region at the sample before, be it by its deadband."""

    region: Term
    near: Term

    @property
    def terms(self) -> tuple[Term, ...]:
        return self.region, self.near

    @property
    def durations(self) -> tuple[Fraction, ...]:
        return ()


@dataclass(frozen=True, slots=True)
class LatchedAlert:
    """A latched alert is still up: `applies` its cause, `due` that the cause has lasted long enough."""

    applies: Term
    due: Term

    @property
    def terms(self) -> tuple[Term, ...]:
        return self.applies, self.due

    @property
    def durations(self) -> tuple[Fraction, ...]:
        return ()


Clock = Until | Lasting | Delayed | Lingering | LatchedAlert


@dataclass(frozen=True, slots=True)
class Moment:
    """One sample. `failed`: the readings that are missing."""

    time: Fraction
    state: Model
    failed: frozenset[str]
    acknowledged: bool


class Recordings:
    """Looks for recordings of one rule set whose open truths have these clocks."""

    def __init__(self, encoder: Encoder, decider: Decider, clocks: Mapping[str, Clock]) -> None:
        self.encoder = encoder
        self.decider = decider
        self.clocks = clocks
        self.undecided = False

    def find(
        self,
        goal: Term,
        samples: int,
        *,
        may_fail: frozenset[str],
        one_at_most: bool = False,
        still: bool = False,
        presses: bool = True,
    ) -> tuple[Moment, ...] | None:
        """So many samples, at the last of which `goal` holds; none if there are none (or the solver gave up, which
        `undecided` then says).

        `may_fail`: the readings that may be missing; `one_at_most`: one of them alone. `still`: one more sample
        follows, in which nothing has changed for longer than any clock runs, and it is the last. `presses`: alerts may
        be acknowledged.
        """
        return _Question(self, goal, samples + still, may_fail, one_at_most, still, presses).answer()

    def names(self, goal: Term) -> tuple[frozenset[str], tuple[Term, ...]]:
        """All that the question is about, and the assumptions that touch it."""
        reads = goal.reads
        while True:
            names, assumptions = self.decider.cone_of_influence(reads)
            more = set(names)
            for name in names:
                clock = self.clocks.get(name)
                if clock is not None:
                    more.update(*(term.reads for term in clock.terms))
                elif (trend := self.trend(name)) is not None:
                    more.add(trend[1])
            if more <= names:
                return names, tuple(term for _, term in assumptions)
            reads = frozenset(more)

    def trend(self, name: str) -> tuple[Trend, str] | None:
        """A rise or fall, and the reading that it is of."""
        if self.encoder.is_flag(name) or self.encoder.is_switch(name) or not self.encoder.names.is_written(name):
            return None
        quantity = self.encoder.names.quantity(name)
        if not isinstance(quantity.derived, Trend):
            return None
        of, trend = self.encoder.ruleset.quantities[quantity.derived.quantity], quantity.derived
        index = trend.index if trend.index is not None else ReadingId(name).element
        return trend, self.encoder.names.reading(of.name, index, self.encoder.mode)


class _Question:
    def __init__(
        self,
        kept: Recordings,
        goal: Term,
        samples: int,
        may_fail: frozenset[str],
        one_at_most: bool,
        still: bool,
        presses: bool,
    ) -> None:
        self.kept = kept
        self.encoder = kept.encoder
        self.goal = goal
        self.may_fail = may_fail
        self.one_at_most = one_at_most
        self.still = still
        self.names, self.assumptions = kept.names(goal)
        self.context = Context()
        self.at = [_Translator(self.encoder, self.context, f" @{i}") for i in range(samples)]
        self.times = [z3.RealVal(0, self.context), *(z3.Real(f"time @{i}", self.context) for i in range(1, samples))]
        self.presses = [z3.Bool(f"press @{i}", self.context) for i in range(samples)]
        self.may_press = presses
        clocks = kept.clocks
        self.own = {name: clocks[name] for name in sorted(self.names) if name in clocks}
        found = {d for clock in self.own.values() for d in clock.durations if d}
        self.durations = sorted(found)
        self.work_limit = min(kept.decider.work_limit, _WORK_LIMIT)
        self.solver = _new_solver(self.context, self.work_limit)

    def answer(self) -> tuple[Moment, ...] | None:
        self._samples()
        self._times()
        self._failures()
        for name, clock in self.own.items():
            self._clock(name, clock)
        self.solver.add(self.at[-1](self.goal))
        self.kept.decider.queries += 1
        found = _answer(self.solver, self.work_limit)
        self.kept.undecided |= found is Answer.UNDECIDED
        return tuple(self._moments(self.solver.model())) if found is Answer.YES else None

    def _samples(self) -> None:
        for translator in self.at:
            self.solver.add([translator.world(name) for name in sorted(self.names)])
            self.solver.add([translator(term) for term in self.assumptions])
        # To hold a button down is one press.
        self.solver.add(
            [z3.Not(z3.And(one, other)) for one, other in zip(self.presses, self.presses[1:], strict=False)]
        )
        self.solver.add([z3.Not(press) for press in self.presses[: 1 if self.may_press else None]])

    def _times(self) -> None:
        gaps = {_ONE, *self.durations, *(d + _ONE for d in self.durations), *(d / 2 for d in self.durations)}
        gaps |= {other - number for number in self.durations for other in self.durations if other > number}
        gaps |= {(number + other) / 2 for number in self.durations for other in self.durations if other > number}
        last = len(self.at) - 1
        for i in range(1, len(self.at)):
            gap = self.times[i] - self.times[i - 1]
            if self.still and i == last:
                self.solver.add(gap == self._number(sum(self.durations, _ONE)), *self._unchanged(i))
                allowed = [sum(self.durations, _ONE)]
            else:
                allowed = sorted(gaps)
                self.solver.add(z3.Or([gap == self._number(number) for number in allowed]))
            for name in sorted(self.names):
                trend = self.kept.trend(name)
                if trend is not None:
                    self._trend(i, name, *trend, gap, allowed)

    def _unchanged(self, i: int) -> list[Any]:
        translator, other = self.at[i - 1], self.at[i]
        found: list[Any] = [z3.Not(self.presses[i])]
        for name in sorted(self.names):
            if self.encoder.is_switch(name):
                positions = self.encoder.ruleset.switches[name].positions
                found += [translator.position(name, p) == other.position(name, p) for p in positions]
            elif not self.encoder.is_flag(name):
                if self.kept.trend(name) is None:
                    found.append(translator.reading(name) == other.reading(name))
            elif name.endswith(FAILED):
                found.append(translator.flag(name) == other.flag(name))
        return found

    def _trend(self, i: int, name: str, trend: Trend, of: str, gap: Any, gaps: Iterable[Fraction]) -> None:
        """How much a reading has changed since the sample before; at the first one the stepper knows none."""
        sign = 1 if trend.kind == "rise" else -1
        now, before, value = self.at[i].reading(of), self.at[i - 1].reading(of), self.at[i].reading(name)
        low, high = (self._number(x) for x in (self.encoder.range_of(name).low, self.encoder.range_of(name).high))
        for seconds in gaps:
            rate = (now - before) * self._number(sign * trend.seconds / seconds)
            held = z3.If(rate < low, low, z3.If(rate > high, high, rate))
            self.solver.add(z3.Implies(gap == self._number(seconds), value == held))

    def _failures(self) -> None:
        flags = [name for name in sorted(self.names) if self.encoder.is_flag(name) and name.endswith(FAILED)]
        ever = []
        for name in flags:
            each = [translator.flag(name) for translator in self.at]
            if name.removesuffix(FAILED) not in self.may_fail:
                self.solver.add([z3.Not(flag) for flag in each])
            else:
                ever.append(z3.Or(each))
        gone = told_without(self.may_fail)
        for name in sorted(self.names):
            if name.endswith(MISSED):
                of = ReadingId(name.removesuffix(MISSED))
                missing = self.encoder.names.failed(of.quantity, of.element, gone)
                self._is(name, 0, True)
                for i, translator in enumerate(self.at[:-1]):
                    self._is(name, i + 1, translator(missing))
        if self.one_at_most:
            pairs = [(one, other) for i, one in enumerate(ever) for other in ever[:i]]
            self.solver.add([z3.Not(z3.And(one, other)) for one, other in pairs])

    # ---- clocks

    def _clock(self, name: str, clock: Clock) -> None:
        match clock:
            case Until():
                sets, clears = self._all(clock.sets), self._all(clock.clears)
                self._define(name, lambda i, was: z3.Or(sets[i], z3.And(was, z3.Not(clears[i]))))
            case Lasting(in_total=True):
                holds = self._all(clock.base)
                for i in range(len(self.at)):
                    self._is(name, i, z3.And(holds[i], self._total(holds, i) > self._number(clock.duration)))
            case Lasting():
                holds = self._all(clock.base)
                for i in range(len(self.at)):
                    self._is(name, i, self._lasted(holds, i, clock.duration, clock.more))
            case Delayed():
                on = self._all(clock.wanted)
                off = [z3.Not(one) for one in on]
                self._define(
                    name,
                    lambda i, was: z3.Or(
                        self._lasted(on, i, clock.set_after, False),
                        z3.And(was, z3.Not(self._lasted(off, i, clock.cleared_after, False))),
                    ),
                )
            case Lingering():
                region, near = self._all(clock.region), self._all(clock.near)
                was = z3.BoolVal(False, self.context)
                for i, translator in enumerate(self.at):
                    self._is(name, i, was)
                    was = z3.Or(region[i], z3.And(translator.flag(name), near[i]))
            case LatchedAlert():
                applies, due = self._all(clock.applies), self._all(clock.due)
                up = seen = z3.BoolVal(False, self.context)
                for i, translator in enumerate(self.at):
                    seen = z3.And(up, z3.Or(seen, self.presses[i]))
                    self._is(name, i, z3.And(up, z3.Or(applies[i], z3.Not(seen))))
                    up = z3.Or(due[i], translator.flag(name))

    def _define(self, name: str, value: Callable[[int, Any], Any]) -> None:
        was: Any = z3.BoolVal(False, self.context)
        for i, translator in enumerate(self.at):
            self._is(name, i, value(i, was))
            was = translator.flag(name)

    def _is(self, name: str, i: int, value: Any) -> None:
        self.solver.add(self.at[i].flag(name) == value)

    def _all(self, term: Term) -> list[Any]:
        return [translator(term) for translator in self.at]

    def _lasted(self, holds: list[Any], i: int, duration: Fraction, more: bool) -> Any:
        since = []
        for j in range(i + 1):
            gap = self.times[i] - self.times[j]
            enough = gap > self._number(duration) if more else gap >= self._number(duration)
            since.append(z3.And(*holds[j : i + 1], enough))
        return z3.Or(since)

    def _total(self, holds: list[Any], i: int) -> Any:
        total: Any = self._number(Fraction(0))
        for j in range(i):
            total = total + z3.If(holds[j], self.times[j + 1] - self.times[j], self._number(Fraction(0)))
        return total

    def _number(self, value: Fraction | None) -> Any:
        return z3.RealVal(str(value), self.context)

    # ---- what was found

    def _moments(self, model: z3.ModelRef) -> Iterable[Moment]:
        for translator, time, press in zip(self.at, self.times, self.presses, strict=True):
            readings: dict[str, Fraction] = {}
            positions: dict[str, str] = {}
            failed: set[str] = set()
            for name in sorted(self.names):
                if self.encoder.is_switch(name):
                    for position in self.encoder.ruleset.switches[name].positions:
                        if z3.is_true(model.eval(translator.position(name, position), model_completion=True)):
                            positions[name] = position
                            break
                elif self.encoder.is_flag(name):
                    if name.endswith(FAILED) and z3.is_true(model.eval(translator.flag(name), model_completion=True)):
                        failed.add(name.removesuffix(FAILED))
                elif self.encoder.names.is_written(name):
                    value = model.eval(translator.reading(name), model_completion=True)
                    readings[name] = Fraction(value.as_string())
            now = Fraction(model.eval(time, model_completion=True).as_string())
            pressed = z3.is_true(model.eval(press, model_completion=True))
            yield Moment(now, Model(readings, positions), frozenset(failed), pressed)
