"""From "some state does it" to what a person can read: the largest box around a state, a round witness in it."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import partial

from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer, Decider, Model
from alertlang.logic.terms import (
    AtValue,
    Flag,
    Less,
    Term,
    both,
    conjunction,
    disjunction,
    in_interval,
    lines_in,
    negate,
    numbers_in,
)
from alertlang.units.interval import Interval, multiple_inside


@dataclass(frozen=True, slots=True)
class Box:
    """States in which each reading lies in its interval, each switch is at one of its positions, and the open truths
    named are as they are given."""

    readings: Mapping[str, Interval]
    positions: Mapping[str, tuple[str, ...]]
    flags: Mapping[str, bool]


@dataclass(frozen=True, slots=True)
class Found:
    """A box in which a term holds in every possible state, and one state of it."""

    box: Box
    witness: Model


@dataclass(frozen=True, slots=True)
class Exploration:
    """Boxes that hold what was looked for. `complete`: nothing is outside them. `undecided`: the solver gave up."""

    found: tuple[Found, ...]
    complete: bool
    undecided: bool


class Cells:
    """A reading's range cut at every number it is compared with: points and open stretches, in order.

    Nothing that is said of the reading changes within a cell.
    """

    def __init__(self, sensor: Interval, numbers: set[Fraction]) -> None:
        low, high = sensor.bounds
        self.points = sorted({n for n in numbers if low < n < high} | {low, high})

    def __len__(self) -> int:
        return 2 * len(self.points) - 1

    def index(self, value: Fraction) -> int:
        """The cell of a value."""
        place = bisect_left(self.points, value)
        return 2 * place if self.points[place] == value else 2 * place - 1

    def span(self, first: int, last: int) -> Interval:
        """The stretch from one cell to another, both included."""
        low, low_included = self.points[first // 2], first % 2 == 0
        high, high_included = self.points[(last + 1) // 2], last % 2 == 0
        return Interval(low, low_included, high, high_included)

    def within(self, interval: Interval) -> list[Interval]:
        """What each cell shares with an interval, where it shares anything."""
        parts = (self.span(i, i).intersect(interval) for i in range(len(self)))
        return [part for part in parts if part is not None]


class Explorer:
    """Looks for states of one rule set."""

    def __init__(self, encoder: Encoder, decider: Decider) -> None:
        self.encoder = encoder
        self.decider = decider
        self._lines: dict[str, list[tuple[str, Fraction, Fraction]]] = {}

    def explore(self, goal: Term, primary: str | None, most: int, start: Term | None = None) -> Exploration:
        """Boxes in which `goal` holds, the reading `primary` stretched first.

        At most `most` of them. With `start` only boxes around a state that satisfies it too.
        """
        if primary is not None and primary not in goal.reads:
            # A goal that holds at every value of a reading does not mention it; its boxes and witnesses still must.
            goal = both(goal, self._in_range(primary))
        found: list[Found] = []
        wanted = goal if start is None else both(goal, start)
        while True:
            answer = self.decider.is_satisfiable(wanted)
            if answer is Answer.UNDECIDED:
                return Exploration(tuple(found), complete=False, undecided=True)
            if answer is Answer.NO:
                return Exploration(tuple(found), complete=True, undecided=False)
            if len(found) == most:
                return Exploration(tuple(found), complete=False, undecided=False)
            model = self.decider.model(wanted)
            if model is None:
                return Exploration(tuple(found), complete=False, undecided=True)
            box = self.grow(goal, model, primary)
            found.append(Found(box, self.round(wanted, box, model)))
            wanted = both(wanted, negate(self.term(box)))

    def _in_range(self, reading: str) -> Term:
        """True at every value the sensor can give."""
        return Less(reading, self.encoder.range_of(reading).bounds[1], True)

    # ---- boxes

    def term(self, box: Box) -> Term:
        """The states of a box."""
        parts = [in_interval(name, i, self.encoder.range_of(name)) for name, i in box.readings.items()]
        parts += [self._at(name, positions) for name, positions in box.positions.items()]
        parts += [Flag(name) if holds else negate(Flag(name)) for name, holds in box.flags.items()]
        return conjunction(parts)

    def _at(self, switch: str, positions: tuple[str, ...]) -> Term:
        everything = self.encoder.ruleset.switches[switch].positions
        if len(positions) == len(everything):
            return conjunction(())
        return disjunction(AtValue(switch, position) for position in positions)

    def grow(self, goal: Term, model: Model, primary: str | None) -> Box:
        """A box around a state in which `goal` holds throughout, that no single name can stretch further.

        What the goal asks beside the state, with some readings moved, is held where it was found: a box is of states.
        """
        _, assumptions = self.decider.cone_of_influence(goal.reads)
        numbers = self.numbers(goal)
        # What is only read to work out a derived reading needs no bounds: the box bounds the derived one. Nor does
        # what is derived and only assumed something of.
        assumed = frozenset().union(*(term.reads for _, term in assumptions))
        names = goal.reads.union(n for n in assumed if self.encoder.names.is_free(n) or self.encoder.is_flag(n))
        readings: dict[str, Interval] = {}
        cells: dict[str, Cells] = {}
        place: dict[str, tuple[int, int]] = {}
        ours = self.encoder.names
        copies = frozenset(name for name in names if ours.is_copy(name))
        # What only a copy is worked out from has no cells of its own: the value that was found is one.
        deeper = {n for n in ours.closed(copies)[0] if n in model.readings and ours.is_free(n)} - names
        for name in deeper:
            numbers.setdefault(name, set()).add(model.readings[name])
        held = _exactly({name: value for name, value in model.readings.items() if name in ours.moved})
        for name, value in model.readings.items():
            if name not in names | deeper or ours.is_copy(name):
                continue
            cells[name] = Cells(self.encoder.range_of(name), numbers.get(name, set()))
            at = cells[name].index(value)
            place[name] = (at, at)
            readings[name] = cells[name].span(at, at)
        positions: dict[str, tuple[str, ...]] = {
            name: (position,) for name, position in model.positions.items() if name in names
        }
        flags = {name: holds for name, holds in model.flags.items() if name in names}

        def holds() -> bool:
            outside = both(self.term(Box(readings, positions, flags)), held, negate(goal))
            return self.decider.is_satisfiable(outside) is Answer.NO

        def stretch(name: str, first: int, last: int) -> bool:
            before = readings[name]
            readings[name] = cells[name].span(first, last)
            if holds():
                place[name] = (first, last)
                return True
            readings[name] = before
            return False

        def halve(good: int, bad: int, holds: Callable[[int], bool]) -> None:
            """Stretches from a cell as far as it goes towards one to which it does not."""
            while abs(bad - good) > 1:
                middle = (good + bad) // 2
                if holds(middle):
                    good = middle
                else:
                    bad = middle

        for name in self._in_order(readings, primary):
            end = len(cells[name]) - 1
            first, last = place[name]
            if stretch(name, 0, end):
                continue
            if not stretch(name, first, end):
                halve(last, end, partial(stretch, name, first))
            first, last = place[name]
            if not stretch(name, 0, last):
                halve(first, 0, partial(stretch, name, last=last))
        for name in sorted(positions):
            for position in self.encoder.ruleset.switches[name].positions:
                if position in positions[name]:
                    continue
                before = positions[name]
                wider = tuple(p for p in self.encoder.ruleset.switches[name].positions if p in before or p == position)
                positions[name] = wider
                if not holds():
                    positions[name] = before
        for name in sorted(flags):
            known = flags.pop(name)
            if not holds():
                flags[name] = known
        return Box(dict(readings), dict(positions), dict(sorted(flags.items())))

    def _in_order(self, names: Iterable[str], primary: str | None) -> list[str]:
        """The primary reading first, then in the order of declaration."""
        return sorted(names, key=lambda n: (n != primary, self.encoder.names.place(n), len(n), n))

    def numbers(self, goal: Term, more: frozenset[str] = frozenset()) -> dict[str, set[Fraction]]:
        """The numbers at which what is asked of a reading may change, by reading: those it is compared with, and those
        at which something worked out from it alone reaches a number of its own. `more`: what else is asked about."""
        names, assumptions = self.decider.cone_of_influence(goal.reads | more)
        found = numbers_in([goal, *(term for _, term in assumptions)])
        lines: list[tuple[str, str, Fraction, Fraction]] = []
        for name in sorted(names):
            own = self._lines_of(name)
            lines += [(name, *line) for line in own]
            if len(own) == 1:
                # And back, where there is one way only: each of the two is worked out from the other.
                [(other, factor, constant)] = own
                lines.append((other, name, 1 / factor, -constant / factor))
        grew = bool(lines)
        while grew:
            grew = False
            for name, other, factor, constant in lines:
                through = {(number - constant) / factor for number in found.get(name, ())}
                grew = grew or not through <= found.get(other, set())
                found.setdefault(other, set()).update(through)
        return found

    def _lines_of(self, name: str) -> list[tuple[str, Fraction, Fraction]]:
        found = self._lines.get(name)
        if found is None:
            found = self._lines[name] = lines_in(self.encoder.definition(name), name)
        return found

    # ---- witnesses

    def round(self, goal: Term, box: Box, model: Model) -> Model:
        """A state of the box with values on each quantity's step, wherever such a state still satisfies `goal`."""
        inside = both(goal, self.term(box))
        numbers = self.numbers(inside)
        # What is derived follows from the rest.
        order = [name for name in self._in_order(model.readings, None) if self.encoder.names.is_free(name)]
        derived = len(order) < len(model.readings)
        wishes: dict[str, list[Fraction]] = {}
        on_step: dict[str, Term] = {}
        for name in order:
            step = self.encoder.names.quantity(name).step
            within = box.readings.get(name, self.encoder.range_of(name))
            stretches = Cells(self.encoder.range_of(name), numbers.get(name, set())).within(within)
            wishes[name] = wishes_for(within, step, stretches, model.readings[name])
            if step is not None:
                readable = (part for part in stretches if multiple_inside(part, step) is not None)
                on_step[name] = disjunction(in_interval(name, part) for part in readable)
        chosen = {name: wishes[name][0] for name in order}
        if self.decider.is_satisfiable(both(inside, _exactly(chosen))) is not Answer.YES:
            chosen = {}
            # First which readings can be on their steps together, so that the choice for one leaves room for the next.
            for name in order:
                together = both(inside, on_step[name]) if name in on_step else inside
                if self.decider.is_satisfiable(together) is Answer.YES:
                    inside = together
            for name in order:
                value = self._first_possible(both(inside, _exactly(chosen)), name, wishes[name])
                if value is None and derived:
                    value = self._near_a_state(both(inside, _exactly(chosen)), name)
                if value is None:
                    # The solver's own value may be ruled out by now only if it gave up on the way.
                    return model
                chosen[name] = value
        fixed = both(inside, _exactly(chosen))
        positions = dict(model.positions)
        for name in sorted(positions):
            # What is only read by an open truth is in no box.
            for position in box.positions.get(name, self.encoder.ruleset.switches[name].positions):
                if self.decider.is_satisfiable(both(fixed, AtValue(name, position))) is Answer.YES:
                    positions[name] = position
                    fixed = both(fixed, AtValue(name, position))
                    break
        # What is left open is left as if nothing had happened before, where that will do.
        flags = dict(model.flags)
        for name in sorted(flags):
            no = negate(Flag(name))
            flags[name] = self.decider.is_satisfiable(both(fixed, no)) is not Answer.YES
            fixed = both(fixed, Flag(name) if flags[name] else no)
        if not derived and self.decider.is_satisfiable(fixed) is Answer.YES:
            return Model(chosen, positions, flags)
        settled = self.decider.model(fixed)
        return model if settled is None else settled

    def _first_possible(self, inside: Term, name: str, values: Iterable[Fraction]) -> Fraction | None:
        for value in values:
            if self.decider.is_satisfiable(both(inside, _exactly({name: value}))) is Answer.YES:
                return value
        return None

    def _near_a_state(self, inside: Term, name: str) -> Fraction | None:
        """A value on the step, or a short one, beside the one that the solver gives."""
        model = self.decider.model(inside)
        if model is None:
            return None
        value = model.readings[name]
        grain = self.encoder.names.quantity(name).step or Fraction(1, 10)
        below = (value // grain) * grain
        return self._first_possible(inside, name, (below, below + grain, value))


def _exactly(readings: Mapping[str, Fraction]) -> Term:
    return conjunction(in_interval(name, Interval.point(value)) for name, value in readings.items())


def wishes_for(interval: Interval, step: Fraction | None, cells: list[Interval], fallback: Fraction) -> list[Fraction]:
    """Values to try for a reading, the best first: on the step and in the middle, on the step in some cell, round."""
    found: list[Fraction] = []
    stretches = [interval, *cells]
    if step is not None:
        on_step = (multiple_inside(stretch, step) for stretch in stretches)
        found += [value for value in on_step if value is not None]
    found += [_round_number(stretch) for stretch in stretches]
    found.append(fallback)
    return list(dict.fromkeys(found))


def _round_number(interval: Interval) -> Fraction:
    """A short number near the middle of a bounded interval."""
    low, high = interval.bounds
    if interval.is_point:
        return low
    unit = Fraction(1)
    # At most half the width, so that a multiple lies well inside.
    while unit * 20 <= high - low:
        unit *= 10
    while True:
        for part in (Fraction(1), Fraction(1, 2), Fraction(1, 5)):
            value = multiple_inside(interval, unit * part)
            if value is not None:
                return value
        unit /= 10
