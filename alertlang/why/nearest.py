"""The nearest change of one input that would change what is shown.

What is shown can change only where a comparison that the reading decides comes to its edge: these points are exact, and
between two of them everything is as at any one value. So each point and one value of each stretch between two are tried
with the stepper, outward from the value there is, until something else is shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from alertlang.findings.finding import Reach, WitnessReading
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m
from alertlang.results.why import NearestChange
from alertlang.units.interval import Interval
from alertlang.why.moment import Moment
from alertlang.why.piecewise import Line, constant, expression, less, scaled, zeros
from alertlang.why.subject import Subject, needs

_ONE, _ZERO = Fraction(1), Fraction(0)


class Nearest:
    """Asks of one moment; what was tried once is known for the next question."""

    def __init__(self, moment: Moment) -> None:
        self.moment = moment
        self.rules = moment.rules
        self._cells: dict[str, tuple[Interval, ...]] = {}
        self._tried: dict[tuple[str, object], Shown] = {}

    def changes(self, subject: Subject) -> tuple[NearestChange, ...]:
        """Of each input that the subject depends on, in the order of declaration; those that change nothing alone are
        left out."""
        sensors, switches = needs(self.rules, subject.statements)
        found: list[NearestChange | None] = []
        for quantity in self.rules.quantities.values():
            for index in quantity.indexes if quantity.name in sensors else ():
                found.append(self._reading(quantity, m.variable(quantity.name, index), subject))
                found.append(self._failed(m.variable(quantity.name, index), subject))
        for name in self.rules.switches:
            if name in switches:
                found += self._positions(name, subject)
        return tuple(change for change in found if change is not None)

    # ---- readings

    def _reading(self, quantity: m.Quantity, name: m.ReadingId, subject: Subject) -> NearestChange | None:
        value = self.moment.look.readings.values[name]
        cells = self.cells(quantity, name)
        here = subject.sees(self.moment.shown)
        if value is None:
            ways = [range(len(cells))]
        else:
            there = next(k for k, cell in enumerate(cells) if cell.is_point and cell.low == value)
            ways = [range(there + 1, len(cells)), range(there - 1, -1, -1)]
        hits = [hit for way in ways if (hit := self._first(quantity, name, way, subject, here)) is not None]
        if not hits:
            return None
        # An end that is reached is nearer than one that is not; of two as near the higher.
        _, _, _, change = min(hits, key=lambda hit: hit[:3])
        return change

    def _first(
        self, quantity: m.Quantity, name: m.ReadingId, way: range, subject: Subject, here: object
    ) -> tuple[Fraction, bool, bool, NearestChange] | None:
        """The first cell on the way with something else shown, joined with those beyond it that show the same."""
        cells, value = self._cells[name], self.moment.look.readings.values[name]
        steps = iter(way)
        for k in steps:
            shown = self._at(name, _inside(cells[k], quantity, value))
            seen = subject.sees(shown)
            if seen == here:
                continue
            last = k
            for further in steps:
                if subject.sees(self._at(name, _inside(cells[further], quantity, value))) != seen:
                    break
                last = further
            first, end = (cells[k], cells[last]) if way.step > 0 else (cells[last], cells[k])
            reach = Interval(first.low, first.low_included, end.high, end.high_included)
            near = cells[k].low if way.step > 0 else cells[k].high
            assert near is not None
            change = NearestChange(
                name,
                Reach(reach, quantity.unit),
                None,
                WitnessReading(_inside(cells[k], quantity, value), quantity.unit),
                None if value is None else abs(near - value),
                None if value is None else way.step > 0,
                (last == len(cells) - 1) if way.step > 0 else last == 0,
                subject.told(self.moment.shown, shown),
            )
            return change.by or _ZERO, not cells[k].is_point, way.step < 0, change
        return None

    def _failed(self, name: m.ReadingId, subject: Subject) -> NearestChange | None:
        if self.moment.look.readings.values[name] is None:
            return None
        shown = self._at(name, None)
        if subject.sees(shown) == subject.sees(self.moment.shown):
            return None
        return NearestChange(name, None, "failed", None, None, None, False, subject.told(self.moment.shown, shown))

    def _at(self, name: str, value: Fraction | str | None) -> Shown:
        if (name, value) not in self._tried:
            self._tried[name, value] = self.moment.imagined(name, value)
        return self._tried[name, value]

    # ---- switches

    def _positions(self, name: str, subject: Subject) -> Iterator[NearestChange]:
        """Every other position at which something else is shown."""
        here = subject.sees(self.moment.shown)
        now = self.moment.look.readings.positions.get(name)
        for position in self.rules.switches[name].positions:
            if position != now:
                shown = self._at(name, position)
                if subject.sees(shown) != here:
                    told = subject.told(self.moment.shown, shown)
                    yield NearestChange(name, None, position, position, None, None, False, told)

    # ---- where something can change

    def cells(self, quantity: m.Quantity, name: m.ReadingId) -> tuple[Interval, ...]:
        """The sensor's range as points and the stretches between them, in turn and rising: in each of them every
        comparison comes out one way. The value there is is a point too."""
        if name not in self._cells:
            points = {quantity.low, quantity.high, *_Edges(self.moment, quantity, name).points()}
            value = self.moment.look.readings.values[name]
            if value is not None:
                points.add(value)
            found: list[Interval] = []
            before: Fraction | None = None
            for point in sorted(points):
                if before is not None:
                    found.append(Interval.open(before, point))
                found.append(Interval.point(point))
                before = point
            self._cells[name] = tuple(found)
        return self._cells[name]


class _Edges:
    """The values of one reading at which a comparison comes to its edge."""

    def __init__(self, moment: Moment, quantity: m.Quantity, name: m.ReadingId) -> None:
        self.rules = moment.rules
        self.readings = moment.look.readings
        self.name = name
        self.low, self.high = quantity.low, quantity.high
        self._lines: dict[str, Line | None] = {}

    def points(self) -> Iterator[Fraction]:
        if self.low == self.high:
            return
        for quantity, index, region, deadband in self._compared():
            value = self._line(quantity, index)
            ends = [self._end(bound, index) for bound in region.bounds]
            if value is None:
                continue
            for end in ends:
                if end is not None:
                    for shift in {_ZERO, deadband, -deadband}:
                        yield from zeros(scaled(less(value, end), _ONE, shift))
            if len(ends) == 2 and ends[0] is not None and ends[1] is not None:
                # Ends that cross leave nothing between them.
                yield from zeros(less(ends[0], ends[1]))

    def _compared(self) -> Iterator[tuple[str, int | None, m.Region, Fraction]]:
        """Everything that is compared with a region, by element, that the reading has a part in; with the deadband."""
        rules = self.rules
        found: list[tuple[str, int | None, m.Region, Fraction]] = []
        for band in rules.bands:
            deadband = rules.quantities[band.quantity].deadband or _ZERO
            found += [(band.quantity, index, band.region, deadband) for index in rules.indexes_of(band)]
        for declared in rules.ranges:
            found += [(declared.quantity, index, declared.region, _ZERO) for index in rules.indexes_of(declared)]
        for formula in rules.formulas:
            for part in m.parts_of(formula):
                if isinstance(part, m.Compare):
                    found += [(part.quantity, index, part.region, _ZERO) for index in part.indexes]
        for quantity, index, region, deadband in dict.fromkeys(found):
            names = [quantity, *(bound.quantity for bound in region.moving)]
            if any(self.name in rules.sensors_read(name, index) for name in names):
                yield quantity, index, region, deadband

    def _line(self, quantity: str, index: int | None) -> Line | None:
        reading = self.rules.reading(quantity, index)
        if reading not in self._lines:
            self._lines[reading] = self._new_line(quantity, reading)
        return self._lines[reading]

    def _new_line(self, quantity: str, reading: m.ReadingId) -> Line | None:
        measured = self.rules.quantities[quantity]
        if reading == self.name:
            return ((self.low, self.low), (self.high, self.high))
        if measured.is_computed:
            assert measured.derived is not None
            return expression(measured.derived, reading.element, self._line, self.low, self.high)
        value = self.readings.values[reading]
        return None if value is None else constant(value, self.low, self.high)

    def _end(self, bound: m.Bound, index: int | None) -> Line | None:
        if not isinstance(bound, m.Moving):
            return constant(bound, self.low, self.high)
        line = self._line(bound.quantity, index)
        return None if line is None else scaled(line, bound.factor, bound.offset)


def _inside(cell: Interval, quantity: m.Quantity, value: Fraction | None) -> Fraction:
    """A value of a cell: on the sensor's step and near the value there is, where it has one such."""
    low, high = cell.bounds
    if cell.is_point:
        return low
    step = quantity.step
    if step is not None:
        first, last = (low // step + 1) * step, (-(-high // step) - 1) * step
        for number in (first, last) if value is None or value <= low else (last, first):
            if low < number < high:
                return number
    return (low + high) / 2
