"""The names that questions are about: readings, derived readings, open truths, and what ties them together."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cached_property

from alertlang.logic.derive import equals, on_curve, range_of_difference, weighted
from alertlang.logic.terms import FALSE, TRUE, Flag, Linear, Term, both, disjunction, in_interval, negate
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.model.changed_readings import ChangedReadings
from alertlang.model.expression import CurveOver, Expression, Number, ReadingOf, Scaled, Statistic, Sum, Trend, elements
from alertlang.model.reading import ReadingId
from alertlang.units.interval import Interval

_ONE = Fraction(1)


class TermNames:
    """Names of one rule set with their definitions, made when they are first asked for."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        # A definition is told of its name wherever the name is read; a name without one is free in its range.
        self.definitions: dict[str, Term] = {}
        self.flags: set[str] = set()
        # Readings that no statement declares under that name: differences, highest and lowest, values in a mode.
        self._own: dict[str, m.Quantity] = {}
        # Values of moved readings and of what follows from them; of the readings themselves of which copy they are.
        self._copies: set[str] = set()
        self.moved: dict[str, tuple[str, str]] = {}
        self._changed: dict[frozenset[str], ChangedReadings] = {}
        self._places = {name: i for i, name in enumerate(ruleset.quantities)}
        self._closed: dict[frozenset[str], tuple[frozenset[str], tuple[Term, ...]]] = {}
        # Whoever names a derived reading without asking for it here must not get one that is free.
        for quantity in ruleset.quantities.values():
            for index in quantity.indexes if quantity.is_computed else ():
                self.reading(quantity.name, index, s.PLAIN)

    @cached_property
    def alike(self) -> dict[str, list[m.Condition]]:
        """By name, the conditions that are set and cleared by the same formulas, delays aside; itself among them."""
        found: dict[tuple[m.Formula, ...], list[m.Condition]] = {}
        for condition in self.ruleset.conditions.values():
            found.setdefault(self._input(condition), []).append(condition)
        return {one.name: some for some in found.values() for one in some}

    def _input(self, condition: m.Condition) -> tuple[m.Formula, ...]:
        """What sets and clears a condition; another name for something is what it names."""
        parts = condition.parts
        while len(parts) == 1 and isinstance(parts[0], m.ConditionIs):
            named = self.ruleset.conditions[parts[0].name]
            if named.is_delayed:
                break
            parts = named.parts
        return parts

    def quantity(self, name: str) -> m.Quantity:
        """The quantity of a reading (`cht[2]` is one of cht), or what stands for it."""
        own = self._own.get(name)
        return own if own is not None else self.ruleset.quantities[ReadingId(name).quantity]

    def is_written(self, name: str) -> bool:
        """Whether a statement of the language can name the reading."""
        return name not in self._own

    def is_copy(self, name: str) -> bool:
        """Whether it is a value beside the state that a question is about, with some readings moved."""
        return name in self._copies

    def changed(self, mode: s.FaultModel) -> ChangedReadings:
        """What is moved in a mode, and what follows from it."""
        if mode.moved not in self._changed:
            self._changed[mode.moved] = ChangedReadings(self.ruleset, mode.moved)
        return self._changed[mode.moved]

    def is_free(self, name: str) -> bool:
        """A reading that nothing defines: it takes any value of its range."""
        return name not in self.definitions

    def place(self, name: str) -> int:
        """Where a reading stands in the order of declaration; what is not declared comes after what it is made of."""
        return self._places[self.quantity(name).name.split(" ")[0]]

    def closed(self, reads: frozenset[str]) -> tuple[frozenset[str], tuple[Term, ...]]:
        """Some names with all that their definitions read, and these definitions in the order of names."""
        known = self._closed.get(reads)
        if known is not None:
            return known
        names: set[str] = set()
        pending = list(reads)
        while pending:
            name = pending.pop()
            if name in names:
                continue
            names.add(name)
            definition = self.definitions.get(name)
            if definition is not None:
                pending.extend(definition.reads)
        found = frozenset(names), tuple(self.definitions[n] for n in sorted(names) if n in self.definitions)
        self._closed[reads] = found
        return found

    # ---- open truths

    def flag(self, name: str, definition: Term) -> Term:
        """An open truth with what ties it."""
        if name not in self.flags:
            self.flags.add(name)
            if definition is not TRUE:
                self.definitions[name] = definition
        return Flag(name)

    def failed(self, quantity: str, index: int | None, mode: s.FaultModel) -> Term:
        """A reading is missing; never, for what may not fail in the mode."""
        if not mode.may_fail:
            return FALSE
        measured = self.ruleset.quantities[quantity]
        if measured.derived is None:
            reading = self.ruleset.reading(quantity, index)
            return self.flag(s.failed_flag(reading), TRUE) if reading in mode.may_fail else FALSE
        if isinstance(measured.derived, CurveOver):
            if measured.derived.otherwise is not None:
                return FALSE
            return self.failed(measured.derived.quantity, measured.derived.index, mode)
        read = elements(measured.derived, index)
        gone = disjunction(self.failed(n, i, mode) for n, i in read)
        if not measured.is_trend or gone is FALSE:
            return gone
        # It is still missing at the sample after.
        [(of, element)] = read
        return disjunction((gone, self.flag(s.missed_flag(self.ruleset.reading(of, element)), TRUE)))

    # ---- readings

    def reading(self, quantity: str, index: int | None, mode: s.FaultModel) -> str:
        """The name of an element's value, defined if it is a derived one.

        In a mode in which a sensor may fail, what a curve does then is part of the value, so it has a name of its own.
        """
        measured = self.ruleset.quantities[quantity]
        name: str = self.ruleset.reading(quantity, index)
        element = None if measured.size is None else index
        follows = bool(mode.moved) and self.changed(mode).follows(quantity, element)
        if not measured.is_computed:
            return self._moved(name, measured, mode) if follows else name
        failing = sorted(v for v in mode.may_fail if ReadingId(v).quantity in self.ruleset.sensors_of(quantity))
        if failing:
            name += f" (where {', '.join(failing)} may fail)"
            low, high = self._told_range(measured)
            self._own.setdefault(name, replace(measured, low=low, high=high))
        if follows:
            copied = name + mode.copy
            self._own.setdefault(copied, self.quantity(name))
            self._copies.add(copied)
            name = copied
        if name not in self.definitions:
            self.definitions[name] = self._defined(name, measured, element, mode)
        return name

    def _moved(self, name: str, quantity: m.Quantity, mode: s.FaultModel) -> str:
        """The name of a moved reading's other value."""
        copied = name + mode.copy
        if copied not in self._copies:
            self._own[copied] = quantity
            self._copies.add(copied)
            self.moved[copied] = (mode.copy, name)
            for pinned, value in mode.pinned:
                if pinned == name:
                    self.definitions[copied] = in_interval(copied, Interval.point(value))
        return copied

    def _defined(self, name: str, quantity: m.Quantity, element: int | None, mode: s.FaultModel) -> Term:
        assert quantity.derived is not None
        if isinstance(quantity.derived, CurveOver):
            curve = quantity.derived
            over = self.reading(curve.quantity, curve.index, mode)
            line = on_curve(name, over, curve.points)
            gone = self.failed(curve.quantity, curve.index, mode)
            if gone is FALSE or curve.otherwise is None:
                return line
            instead = Linear({name: _ONE}, -curve.otherwise, equal=True)
            return disjunction((both(negate(gone), line), both(gone, instead)))
        return equals(
            name, weighted(quantity.derived, element, lambda n, i: self.reading(n, i, mode), self._declare_extreme)
        )

    def _told_range(self, quantity: m.Quantity) -> tuple[Fraction, Fraction]:
        """Between what a value lies, curves giving what they give on failure: never too narrow, or it would hide
        states."""
        if not quantity.is_computed:
            return quantity.low, quantity.high
        assert quantity.derived is not None
        return self._expression_range(quantity.derived, quantity)

    def _expression_range(self, node: Expression, of: m.Quantity) -> tuple[Fraction, Fraction]:
        match node:
            case Number():
                return node.value, node.value
            case ReadingOf():
                return self._told_range(self.ruleset.quantities[node.quantity])
            case Scaled():
                ends = [end * node.factor + node.offset for end in self._expression_range(node.part, of)]
                return min(ends), max(ends)
            case Sum():
                ranges = [self._expression_range(part, of) for part in node.parts]
                return sum((low for low, _ in ranges), Fraction(0)), sum((high for _, high in ranges), Fraction(0))
            case Statistic():
                low, high = self._told_range(self.ruleset.quantities[node.quantity])
                if node.kind in {"spread", "deviation"}:
                    return low - high, high - low
                return low, high
            case CurveOver():
                values = [of.low, of.high, *(value for _, value in node.points)]
                values += [] if node.otherwise is None else [node.otherwise]
                return min(values), max(values)
            case Trend():
                return of.low, of.high

    def _declare_extreme(self, name: str, quantity: str, definition: Term) -> None:
        if name not in self.definitions:
            # In a mode in which a curve may give something else its elements can be out of their usual range.
            elements = [self.quantity(read) for read in definition.reads if read != name]
            low, high = min(element.low for element in elements), max(element.high for element in elements)
            of = self.ruleset.quantities[quantity]
            self._own[name] = replace(of, name=f"{quantity} {name}", low=low, high=high, size=None)
            self.definitions[name] = definition
            if not self._copies.isdisjoint(definition.reads):
                self._copies.add(name)

    def difference(self, quantity: str, index: int | None, end: m.Moving, mode: s.FaultModel) -> str:
        """The name of a reading less a moving end, in the reading's unit."""
        reading = self.reading(quantity, index, mode)
        other = self.reading(end.quantity, index, mode)
        name = f"{reading} - {other}"
        if name not in self.definitions:
            measured = self.quantity(reading)
            low, high = range_of_difference(measured, self.quantity(other), end)
            self._own[name] = replace(
                measured, name=f"{quantity} - {end.quantity}", low=low, high=high, step=None, difference=True, size=None
            )
            weights = {reading: _ONE, name: -_ONE}
            weights[other] = weights.get(other, Fraction(0)) - end.factor
            self.definitions[name] = Linear(weights, -end.offset, equal=True)
            if reading in self._copies or other in self._copies:
                self._copies.add(name)
        return name
