"""One thing a card has to show, and what puts it among the goals."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.groundtest.grid import Edge, Grid
from alertlang.groundtest.moving import Mover
from alertlang.groundtest.ramp import Ramp
from alertlang.groundtest.stimulus import NO_STIMULI, Setting, Stimuli
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, conjunction, in_interval, negate
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m
from alertlang.units.interval import Interval

# How many steps from its edge a computed reading may be.
_WIDER = (0, 1, 2, 5, 10, 20)
AT_ONCE = Fraction(0)


@dataclass(frozen=True, slots=True, eq=False)
class Goal:
    """One thing to be shown. `parts`: what to set, one after the other (the last shows it); `is_met` by what is shown
    at the end of the last. `alone`: nothing else may be shown in the same step."""

    what: str
    kind: str
    parts: tuple[Stimuli, ...]
    is_met: Callable[[Shown], bool]
    alone: bool = False
    # The one value at which it has to be shown, if there is no other.
    fixed: tuple[str, Setting] | None = None
    # So long it is looked at: what comes late is seen then, or that it does not come.
    wait: Fraction = AT_ONCE
    # It is shown while readings move, from what the last part sets on.
    ramp: Ramp | None = None


@dataclass(slots=True)
class Goals:
    """`moving`: those that a ramp shows. `impossible`: proved, under the assumptions of the rule set. `open`: not
    decided, or shown neither by values that stand still nor by a ramp."""

    base: Stimuli
    grids: Mapping[str, Grid]
    found: list[Goal] = field(default_factory=list)
    moving: list[Goal] = field(default_factory=list)
    impossible: list[str] = field(default_factory=list)
    open: list[str] = field(default_factory=list)
    pairs: int = 0
    masked: int = 0


class Maker(Mover):
    """Makes goals of what can be shown, and keeps what cannot."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        super().__init__(ruleset)
        self.made = Goals(self.base, self.grids)

    def add(
        self,
        what: str,
        kind: str,
        parts: tuple[Stimuli, ...],
        is_met: Callable[[Shown], bool],
        alone: bool = False,
        fixed: tuple[str, Setting] | None = None,
        wait: Fraction = AT_ONCE,
    ) -> None:
        self.made.found.append(Goal(what, kind, parts, is_met, alone, fixed, wait))

    def show(
        self,
        what: str,
        kind: str,
        goal: Term,
        sees: Sequence[Term],
        is_met: Callable[[Shown], bool],
        hint: object,
        bare: Term | None = None,
        given: Stimuli = NO_STIMULI,
        fresh: str | None = None,
        wait: Fraction = AT_ONCE,
        first: Stimuli | None = None,
    ) -> None:
        """A goal where it can be seen (the first of `sees` that can be); else where it holds though nobody sees a
        difference. `bare`: what has to be impossible too before that is said of the goal. `fresh`: a sensor that is
        taken off before, so that nothing is left of what it read. `first`: what is set before."""
        for term in (*(both(goal, seen) for seen in sees), goal):
            answer, stimuli = self.solve(term, hint, given)
            if stimuli is not None:
                before: tuple[Stimuli, ...] = () if fresh is None else ({**stimuli, fresh: None},)
                if first is not None:
                    before, stimuli = (first,), {**first, **stimuli}
                fixed = next(iter(given.items()), None)
                self.add(what, kind, (*before, stimuli), is_met, fixed=fixed, wait=wait)
                return
        if answer is Answer.NO and (bare is None or self.context.possible(bare) is Answer.NO):
            self.made.impossible.append(what)
        elif not self.show_moving(what, kind, goal, sees, is_met, wait, () if first is None else (first,)):
            self.made.open.append(f"{what}: {self._why_open(goal)}")

    def show_moving(
        self,
        what: str,
        kind: str,
        goal: Term,
        sees: Sequence[Term],
        is_met: Callable[[Shown], bool],
        wait: Fraction,
        before: tuple[Stimuli, ...] = (),
    ) -> bool:
        """A goal of which a ramp is the stimulus, if there is one."""
        found = self.find_ramp([*(both(goal, seen) for seen in sees), goal], is_met, wait, before)
        if found is not None:
            self.made.moving.append(Goal(what, kind, found[0], is_met, wait=wait, ramp=found[1]))
        return found is not None

    def _why_open(self, goal: Term) -> str:
        if self.context.possible(goal) is Answer.UNDECIDED:
            return "not decided, the solver gave up"
        if any(self.is_trend(name) for name in self.encoder.definitions_for(goal.reads)[0]):
            return "only a reading that moves could show it"
        return "no settings found on the steps of the gauges"

    def span(self, reading: str, edge: Edge, value: Fraction, given: Term) -> Interval:
        """Where a reading has to be to stand beside an edge: at one value; of a computed one, that its sensors cannot
        always bring there, the least span of some on its side in which they can."""
        quantity = self.context.quantity(reading)
        here = Interval.closed(value, value)
        if not quantity.is_computed:
            return here
        other = edge.outside if value == edge.inside else edge.inside
        up = value > other if other is not None else value <= (quantity.low + quantity.high) / 2
        for steps in _WIDER:
            end = value + (steps if up else -steps) * self.grids[quantity.name].resolution
            span = Interval.closed(min(value, end), max(value, end))
            if self.solve(both(given, in_interval(reading, span)))[1] is not None:
                return span
        return here

    def wins(
        self, band: m.Band, index: int | None, encoder: Encoder | None = None, but: tuple[m.Band, ...] = ()
    ) -> Term:
        """No other band (but some that come later) shows the same colour or a worse one."""
        encoder = encoder or self.encoder
        return conjunction(
            negate(encoder.applies(other, index, eventually=True, linger=True))
            for other in self.ruleset.bands_by_quantity[band.quantity]
            if other is not band and other not in but and other.colour >= band.colour
        )

    def delays(self, rule: m.Band | m.Alert) -> Fraction:
        """The delays of a statement and of one condition it waits for, one after the other."""
        reads = [self.ruleset.conditions[name] for name in self.ruleset.conditions_read(rule.when, rule.unless)]
        before = max((d for c in reads for d in (c.set_after, c.cleared_after) if d is not None), default=AT_ONCE)
        return before + (rule.held or AT_ONCE) + (rule.after or AT_ONCE)

    def first(self, band: m.Band) -> int | None:
        return band.index if band.index is not None else self.ruleset.quantities[band.quantity].indexes[0]


def said(span: Interval, grid: Grid) -> str:
    assert span.low is not None
    assert span.high is not None
    if span.low == span.high:
        return f"{grid.say(span.low)}, one step"
    return f"{grid.say(span.low)} to {grid.say(span.high)}, as near as can be"


def clear(span: Interval, grid: Grid, inside: bool, number: Fraction) -> str:
    assert span.low is not None
    assert span.high is not None
    ends = f"{grid.say(span.low)} to {grid.say(span.high)}"
    return f"{ends}, clearly {'inside' if inside else 'outside'} {grid.say(number)}"


def applies(place: tuple[str, int | None], holds: bool) -> Callable[[Shown], bool]:
    return lambda shown: shown.applies[place] is holds
