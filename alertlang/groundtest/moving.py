"""Ramps for what only a rise or fall can show: sought with the solver, and run over the reference before they count."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from functools import cached_property
from itertools import islice

from alertlang.groundtest.moved import Moved
from alertlang.groundtest.ramp import Ramp, ends_of, moved_by, ramps, rates, reads
from alertlang.groundtest.running import Run
from alertlang.groundtest.stimulus import Setter, Stimuli
from alertlang.logic.terms import Term, conjunction, in_interval
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m
from alertlang.model.expression import Trend
from alertlang.units.interval import Interval

# So many ramps are run for one goal.
_MOST_TRIED = 12

# What to set in turn, the last of it where the ramp begins; and the ramp.
Found = tuple[tuple[Stimuli, ...], Ramp]


class Mover(Setter):
    def __init__(self, ruleset: m.RuleSet) -> None:
        super().__init__(ruleset)
        self._moved: dict[object, Moved] = {}

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
            run = Run(self.ruleset)
            for part in ({}, *parts):
                run.hold({**self.base, **part})
            self._moved[key] = run.ramp({**self.base, **parts[-1]}, ramp)
        return self._moved[key]
