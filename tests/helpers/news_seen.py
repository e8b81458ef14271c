"""Whether an alert counts for a limit that is broken in a state that lasts: told anew by the stepper, for any rule set
without rates.

A state beside it is the next sample after it has lasted, with other values of what is moved: what is remembered is then
as it was. Values are tried at every number, knot and crossing and between any two of these: of one reading that is all
there are; several are tried one within the other. What must be so in every state is told of histories along such
values.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise

from alertlang.meaning.instant import State
from alertlang.meaning.readings import readings_at
from alertlang.meaning.stepper import Memory, Sample, Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.model.expression import CurveOver, Statistic, nodes
from tests.helpers.agreeing import drawn, sensors, watched

Values = Mapping[str, Fraction]
# A state has lasted after so many samples, so far apart that each is longer than any delay.
SAMPLES, APART = 14, 10
HISTORIES = 120


class Beside:
    """A limit that is broken for one element in one state, and what is told of the states beside it."""

    def __init__(self, rules: m.RuleSet, one: m.Range, e: int | None, state: State, chance: random.Random) -> None:
        self.rules, self.one, self.e, self.chance = rules, one, e, chance
        self.moved: list[str] = sorted(rules.sensors_read(one.quantity, e))
        behind = [(q.name, i) for q in rules.quantities.values() for i in q.indexes]
        self.gauges = {(one.quantity, e), *(g for g in behind if m.variable(*g) in self.moved)}
        # An alert that waits has not waited long enough where it goes by what is moved; what must be so of a guard
        # that comes early is told with all waiting over.
        plain = self._plain()
        self.soon = _with(plain, [r for r in plain.rules if not r.held or not self._goes_by(r)])
        self.late = _with(plain, [replace(r, held=None) for r in plain.rules])
        self.readings = {n: v for n, v in state.readings.items() if n in sensors(rules)}
        self.positions = state.positions
        soon, late = (self._lasted(some) for some in (self.soon, self.late))
        self.here = self._next(self.late, late, {})
        self._seen: list[Shown] = []
        self._going_on = self._histories()
        self.there: list[tuple[Shown, Shown]] = []
        for values in self._tried(self.readings, self.moved):
            shown = self._next(self.soon, soon, values)
            if _is_kept(shown):
                self.there.append((shown, self._next(self.late, late, values)))

    def _plain(self) -> m.RuleSet:
        """Without deadbands and delays; no memory of what is moved, nor times that other limits allow; normal ranges
        and the ends of the limit are told as if they were to be avoided."""
        rules, one = watched(self.rules), self.one
        self.bad = {r.label for r in rules.ranges if r.kind in {"limit", "avoid"} and (r is one or not r.except_for)}
        self.normal = [r.label for r in rules.ranges if r.kind == "normal" and r.quantity == one.quantity]
        ranges = [r for r in rules.ranges if r.label in {*self.bad, *self.normal}]
        self.ends = [one.label]
        if one.region.second is not None and one.region.kind.outside is (one.kind == "avoid"):
            kind, own = one.region.kind, one.kind == "avoid"
            outer = (
                replace(one.region, kind=m.RegionKind.AT_MOST if kind.low is own else m.RegionKind.BELOW),
                replace(
                    one.region,
                    kind=m.RegionKind.AT_LEAST if kind.high is own else m.RegionKind.ABOVE,
                    first=one.region.bounds[1],
                ),
            )
            self.ends = ["the low end", "the high end"]
            ranges += [
                replace(one, label=label, kind=m.RangeKind.AVOID, region=replace(region, second=None))
                for label, region in zip(self.ends, outer, strict=True)
            ]
        ranges = [replace(r, kind=m.RangeKind.AVOID if r.kind == "normal" else r.kind, except_for=None) for r in ranges]
        conditions = {
            name: replace(
                c, until=None if self._reads(rules, c.formula) else c.until, set_after=None, cleared_after=None
            )
            for name, c in rules.conditions.items()
        }
        quantities = {name: replace(q, deadband=None) for name, q in rules.quantities.items()}
        found = replace(rules, quantities=quantities, conditions=conditions, ranges=tuple(ranges))
        return _with(found, [replace(r, after=None, latched=False) for r in rules.rules])

    def _reads(self, rules: m.RuleSet, formula: m.Formula) -> bool:
        """Whether a formula reads what is moved; arrays as a whole, for in a state that lasts no memory is needed."""
        names = rules.quantities_read(formula)
        each = (rules.sensors_read(name, i) for name in names for i in rules.quantities[name].indexes)
        return any(not read.isdisjoint(self.moved) for read in each)

    def _goes_by(self, rule: m.Band | m.Alert) -> bool:
        read = self.rules.sensors_told_by(rule, self.e)
        if isinstance(rule, m.Band):
            read |= self.rules.sensors_read(rule.quantity, self.e)
        return not read.isdisjoint(self.moved)

    # ---- samples

    def _lasted(self, rules: m.RuleSet) -> Memory:
        stepper = Stepper(rules)
        for k in range(SAMPLES):
            stepper.step(Sample(Fraction(APART * k), self.readings, self.positions))
        return stepper.memory

    def _next(self, rules: m.RuleSet, memory: Memory, values: Values) -> Shown:
        stepper = Stepper(rules)
        stepper.memory = memory.copy()
        return stepper.step(Sample(Fraction(APART * SAMPLES), {**self.readings, **values}, self.positions))

    def _every(self) -> Iterator[Shown]:
        """What is shown over some histories, all waiting over; they go on only as far as somebody looks."""
        yield from self._seen
        for shown in self._going_on:
            self._seen.append(shown)
            yield shown

    def _histories(self) -> Iterator[Shown]:
        now = 0
        for _ in range(HISTORIES):
            state = drawn(self.rules, self.chance, s.PLAIN, ())
            if state is None:
                break
            stepper = Stepper(self.late)
            readings = {n: v for n, v in state.readings.items() if n in self.readings}
            # Where two ends cross that both move no number of the rules says.
            for name in readings if self.chance.randrange(2) else ():
                one = self.rules.quantities[name.split("[")[0]]
                readings[name] = one.low + (one.high - one.low) * Fraction(self.chance.randrange(33), 32)
            for name in self.chance.sample(sorted(readings), min(2, len(readings))):
                for value in self._points(readings, name):
                    readings[name] = value
                    for _ in range(2):
                        now += self.chance.choice((1, APART))
                        shown = stepper.step(Sample(Fraction(now), dict(readings), state.positions))
                    if _is_kept(shown):
                        yield shown
                    else:
                        stepper = Stepper(self.late)

    # ---- values

    def _tried(self, readings: Values, names: list[str]) -> Iterator[Values]:
        first, *rest = names
        if not rest:
            yield from ({first: value} for value in self._points(readings, first))
            return
        for value in {v for one in self._tried(readings, rest) for v in self._points({**readings, **one}, first)}:
            for others in self._tried({**readings, first: value}, rest):
                yield {first: value, **others}

    def _points(self, readings: Values, name: str) -> list[Fraction]:
        """The values of one reading at which anything can change, and one between any two of them."""
        known: dict[Fraction, Mapping[str, Fraction | None]] = {}

        def value(x: Fraction, of: str) -> Fraction:
            if x not in known:
                known[x] = readings_at(self.rules, Sample(Fraction(0), {**readings, name: x}, {}), None).values
            found = known[x][of]
            assert found is not None
            return found

        quantity = self.rules.quantities[name.split("[")[0]]
        points = [quantity.low, quantity.high]
        for first, second, factor, offset in _compared(self.rules):
            new = set(points)
            for low, high in pairwise(points):
                # Straight in between.
                a, b = low + (high - low) / 3, low + (high - low) * 2 / 3
                at_a, at_b = (
                    value(x, first) - (offset if second is None else value(x, second) * factor + offset) for x in (a, b)
                )
                if at_a != at_b:
                    new.add(a - at_a * (b - a) / (at_b - at_a))
            points = sorted(x for x in new if quantity.low <= x <= quantity.high)
        return sorted({*points, *((low + high) / 2 for low, high in pairwise(points))})

    # ---- what is told

    def counts(self, rule: m.Band | m.Alert) -> bool:
        """Whether its alert is up here and news, or that of a guard that comes early."""
        if not self._is_up(self.here, rule):
            return False
        fine = [both for both in self.there if self._is_fine(both[0]) and self._worst(both[0]) < m.Colour.RED.rank]
        calm = [both for both in fine if self._worst(both[0]) < m.Colour.YELLOW.rank]
        if not any(self._is_up(soon, rule) for soon, _ in calm or fine):
            return True
        normal = [both for both in calm if self._is_normal(both[0])]
        downs = any(not self._is_up(late, rule) for _, late in normal or calm)
        some_normal = any(self._is_normal(soon) for soon, _ in self.there)

        def is_early(end: str) -> bool:
            return (
                some_normal
                and self._is_up_at(end, rule, (late for _, late in self.there))
                and not any(self._is_up(shown, rule) for shown in self._every() if self._is_normal(shown))
            ) or (downs and self._is_up_at(end, rule, self._every()))

        return all(is_early(end) for end in self.ends if self.here.violated[end, self.e])

    def _is_up(self, shown: Shown, rule: m.Band | m.Alert) -> bool:
        return shown.applies.get((rule.label, None if isinstance(rule, m.Alert) else self.e), False)

    def _is_up_at(self, end: str, rule: m.Band | m.Alert, some: Iterable[Shown]) -> bool:
        return all(self._is_up(shown, rule) for shown in some if shown.violated[end, self.e])

    def _is_fine(self, shown: Shown) -> bool:
        about = {r.label: r.quantity for r in self.rules.ranges}
        wrong = (place for place, so in shown.violated.items() if so and place[0] in self.bad)
        return not any((about[label], i) in self.gauges for label, i in wrong)

    def _worst(self, shown: Shown) -> int:
        colours = [shown.colours[gauge] for gauge in self.gauges]
        return max((c.rank for c in colours if c is not None), default=0)

    def _is_normal(self, shown: Shown) -> bool:
        return any(shown.violated.get((label, self.e), False) for label in self.normal)


def _compared(rules: m.RuleSet) -> Iterator[tuple[str, str | None, Fraction, Fraction]]:
    """A reading and with what it is compared, another one times a factor or nothing, and an offset; all that bends a
    reading comes before whatever is worked out from that."""
    no = Fraction(0)
    for quantity in rules.quantities.values():
        for node in () if quantity.derived is None else nodes(quantity.derived):
            if isinstance(node, Statistic):
                each = [m.variable(node.quantity, i + 1) for i in range(node.size)]
                yield from ((first, second, Fraction(1), no) for first, second in combinations(each, 2))
            if isinstance(node, CurveOver):
                for i in rules.quantities[node.quantity].indexes if node.index is None else (node.index,):
                    yield from ((m.variable(node.quantity, i), None, no, x) for x, _ in node.points)
    about: list[m.Band | m.Range] = [*rules.bands, *rules.ranges]
    regions = [(one.quantity, one.region) for one in about]
    for formula in rules.formulas:
        compared = [part for part in m.parts_of(formula) if isinstance(part, m.Compare)]
        regions += [(part.quantity, part.region) for part in compared]
    for name, region in regions:
        for i in rules.quantities[name].indexes:
            for bound in region.bounds:
                if isinstance(bound, m.Moving):
                    end = m.variable(bound.quantity, None if rules.quantities[bound.quantity].size is None else i)
                    yield m.variable(name, i), end, bound.factor, bound.offset
                else:
                    yield m.variable(name, i), None, no, bound


def _with(rules: m.RuleSet, some: list[m.Band | m.Alert]) -> m.RuleSet:
    bands = tuple(one for one in some if isinstance(one, m.Band))
    return replace(rules, bands=bands, alerts=tuple(one for one in some if isinstance(one, m.Alert)))


def _is_kept(shown: Shown) -> bool:
    return all(holds for name, holds in shown.conditions.items() if name.startswith("kept "))
