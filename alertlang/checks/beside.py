"""States beside the one that a question is about: some readings are moved (`Mode.moved`), all else is as it is.

A question may ask that some such state is so, and that none is. Both are asked of chosen values of what is moved, and
values are added until no other one makes a difference in any state that matters. So every question stays one that any
solver for linear arithmetic can answer, and its answer is exact.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.logic.encode import Encoder
from alertlang.logic.explore import Cells, wishes_for
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, conjunction, disjunction, in_interval, negate, numbers_in
from alertlang.meaning.instant import Instant
from alertlang.meaning.news import Values
from alertlang.model.snapshot import FaultModel
from alertlang.units.interval import Interval

# How many values may stand for all before the tool says that it cannot tell.
_MOST_VALUES = 24
# After so many they are asked for at the numbers themselves first.
_MOST_FREE = 4
# What is said of the state beside, as its encoder has it.
Said = Callable[[Encoder], Term]


class Beside:
    """States beside those of an encoder in which something (`where`) is so. `about` tells them from other ones."""

    def __init__(self, context: Context, encoder: Encoder, moved: frozenset[str], about: str, where: Term) -> None:
        self.context = context
        self.encoder = encoder
        self.moved = moved
        self.about = about
        self.where = where
        self._points: list[FaultModel] = []
        self._exact = True
        self._asked: list[Said] = []

    def any(self, what: str = "at any value") -> Encoder:
        """Any one of them, to be asked about by itself."""
        return self.encoder.in_mode(replace(self.encoder.mode, moved=self.moved, copy=f" ({what}, {self.about})"))

    def some(self, what: str, said: Said) -> Term:
        """Some such state is so, in a term that is `settled`. `what` tells it from others of the same term."""
        if not self._exact:
            return said(self.any(what))
        self._asked.append(said)
        return disjunction(said(point) for point in self._chosen())

    def none(self, said: Said) -> Term:
        """None is, in a term that is `settled`."""
        self._asked.append(said)
        return conjunction(negate(said(point)) for point in self._chosen())

    def _chosen(self) -> list[Encoder]:
        return [self.encoder.in_mode(point) for point in self._points]

    def settled(self, build: Callable[[], Term]) -> tuple[Term, bool]:
        """A term built of `some` and `none`, and whether it is exact. Where it would take too many values, or the
        solver gives up, it is true in all states it should be true in, and maybe in more."""
        self._exact = True
        while True:
            self._asked = []
            term = build()
            point = self._missing()
            if point is None:
                return term, True
            if isinstance(point, Answer) or len(self._points) == _MOST_VALUES:
                self._exact = False
                return build(), False
            self._points.append(point)

    def _missing(self) -> FaultModel | Answer | None:
        """Values at which something that was asked about is so and at no chosen ones; none if there are none."""
        other = self.any()
        new = [both(said(other), *(negate(said(point)) for point in self._chosen())) for said in self._asked]
        goal = both(self.where, disjunction(new))
        answer = self.context.is_satisfiable(goal) if new else Answer.NO
        if answer is Answer.NO:
            return None
        if len(self._points) >= _MOST_FREE:
            goal = self._at_a_number(goal, other)
        model = self.context.decider.model(goal)
        if model is None:
            return Answer.UNDECIDED
        copies = {reading: reading + other.mode.copy for reading in sorted(self.moved)}
        # What nothing compares is not in the question: any value does.
        values = {r: model.readings.get(copy, self.context.quantity(r).low) for r, copy in copies.items()}
        readable = {reading: self._on_step(goal, copies[reading], value) for reading, value in values.items()}
        same = (in_interval(copies[reading], Interval.point(value)) for reading, value in readable.items())
        if self.context.is_satisfiable(both(goal, *same)) is Answer.YES:
            values = readable
        said = ", ".join(f"{reading} {value}" for reading, value in values.items())
        return replace(self.encoder.mode, moved=self.moved, copy=f" (at {said})", pinned=tuple(values.items()))

    def _at_a_number(self, goal: Term, other: Encoder) -> Term:
        """The same at an end of a sensor's range or at a number that is compared, where it can be so at one: values
        that come nearer and nearer to it never stand for all."""
        moved = {reading: self.context.quantity(reading) for reading in sorted(self.moved)}
        numbers = {reading + other.mode.copy: {quantity.low, quantity.high} for reading, quantity in moved.items()}
        for name, compared in numbers_in([goal]).items():
            if name.endswith(other.mode.copy):
                numbers.setdefault(name, set()).update(compared)
        for name in sorted(numbers):
            for number in sorted(numbers[name]):
                there = both(goal, in_interval(name, Interval.point(number)))
                if self.context.is_satisfiable(there) is Answer.YES:
                    return there
        return goal

    def tried(self, instant: Instant) -> list[Values]:
        """The values that are moved to in a question that gave a state."""
        return [v for v in instant.state.moved.values() if v.keys() == self.moved]

    def _on_step(self, goal: Term, copy: str, value: Fraction) -> Fraction:
        """A value that a person likes to read, of those that a question compares with nothing in between."""
        names = self.encoder.names
        if not names.is_copy(copy):
            return value
        cells = Cells(names.quantity(copy).range, numbers_in([goal]).get(copy, set()))
        at = cells.index(value)
        return wishes_for(cells.span(at, at), names.quantity(copy).step, [], value)[0]
