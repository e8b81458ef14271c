"""A reading that is moved evenly: how fast, from where and to where, so that a rise or fall is what it has to be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import floor

from alertlang.groundtest.grid import Grid
from alertlang.model import ruleset as m
from alertlang.model.expression import Trend
from alertlang.units.interval import Interval

# So much quicker or slower a ramp may be: what is expected is the same.
UNEVEN = Fraction(1, 10)
# How far a ramp is from the edge that it shows, in parts of it; and how much nearer or farther will do.
_CLEAR = Fraction(1, 5)
_NEAREST, _FARTHEST = Fraction(4, 5), Fraction(2)
# A ramp between two values that can be set is nearly as fast as was asked for.
_AS_ASKED = Fraction(1, 20)
# How long a ramp may take, in seconds: numbers that a person sets without a slip.
_LONG = (20, 30, 60, 90, 120, 180, 240, 300, 420, 600, 900, 1200, 1800, 2700, 3600)
# A ramp moves for so long, at least, after all delays are over.
_LEFT = Fraction(4)
_MOST_PLACES = 6


@dataclass(frozen=True, slots=True)
class Ramp:
    """Readings that are moved together, evenly, from `start` to `end` in so many `seconds`; in their own unit."""

    names: tuple[str, ...]
    start: Fraction
    end: Fraction
    seconds: Fraction

    @property
    def ending(self) -> dict[str, Fraction]:
        """Where the readings are when it is over."""
        return dict.fromkeys(self.names, self.end)

    def at(self, time: Fraction) -> dict[str, Fraction]:
        """Where the readings are so many seconds after it began."""
        return dict.fromkeys(self.names, self.start + (self.end - self.start) * min(time / self.seconds, Fraction(1)))

    def slower(self, factor: Fraction) -> Ramp:
        """The same in so many times its time."""
        return Ramp(self.names, self.start, self.end, self.seconds * factor)

    @property
    def sure(self) -> Fraction:
        """So many seconds it moves, even if it is a little quicker than it should be."""
        return Fraction(floor(self.seconds * (1 - UNEVEN)))

    def words(self, name: str, grid: Grid) -> str:
        way = "down" if self.end < self.start else "up"
        ends = f"from {grid.show(self.start)} {way} to {grid.show(self.end)}"
        return f"{name}: {ends}, evenly, in {self.seconds} s"


def trend_edges(quantity: m.Quantity, region: m.Region) -> Iterator[tuple[Fraction, bool, Interval]]:
    """Every end of a region of a rise or fall that is a number, whether inside or outside it, and where a ramp is
    clear of it on that side."""
    for side in () if region.is_failed else region.sides():
        number = side.first
        if not isinstance(number, Fraction):
            continue
        # Which way the inside lies.
        sign = -1 if side.kind.is_low else 1
        by = _clearance(quantity, number)
        for inside in (True, False):
            way = sign if inside else -sign
            ends = [_stopped(quantity, number + way * by * factor) for factor in (_NEAREST, _FARTHEST)]
            if ends[0] != _stopped(quantity, number):
                yield number, inside, Interval.closed(min(ends), max(ends))


def rates(quantity: m.Quantity, numbers: Iterable[Fraction]) -> tuple[Fraction, ...]:
    """How fast to try, slowest first: clear of each number that matters, between each two, and parts of the range."""
    known = sorted({*numbers})
    found = {number + way * _clearance(quantity, number) for number in known for way in (1, -1)}
    found |= {(one + other) / 2 for one, other in pairwise([quantity.low, *known, quantity.high])}
    return tuple(sorted((rate for rate in found if rate), key=lambda rate: (abs(rate), rate)))


def _clearance(quantity: m.Quantity, number: Fraction) -> Fraction:
    return abs(number) * _CLEAR or (quantity.high - quantity.low) / 20


def _stopped(quantity: m.Quantity, value: Fraction) -> Fraction:
    return min(max(value, quantity.low), quantity.high)


def reads(quantity: m.Quantity, index: int | None, ramp: Ramp) -> Fraction:
    """What a rise or fall reads while a ramp is on; what it reads at rest, of a reading that does not move."""
    trend = quantity.derived
    assert isinstance(trend, Trend)
    rise = Fraction(0)
    if moved_by(trend, index) in ramp.names:
        rise = (ramp.end - ramp.start) / ramp.seconds * trend.seconds
    return _stopped(quantity, rise if trend.kind == "rise" else -rise)


def moved_by(trend: Trend, index: int | None) -> str:
    """The reading that a rise or fall is of."""
    return m.variable(trend.quantity, trend.index if trend.index is not None else index)


def ramps(
    trend: Trend,
    names: tuple[str, ...],
    rate: Fraction,
    grid: Grid,
    home: Fraction,
    ends: Iterable[Fraction],
    wait: Fraction,
) -> Iterator[Ramp]:
    """Ramps about so fast that last until some delays are over, between values that can be set: where no number of
    `ends` is crossed, nearest to `home` first; then wherever there is room."""
    per_second = (rate if trend.kind == "rise" else -rate) / trend.seconds
    low, high = grid.quantity.low, grid.quantity.high
    for seconds in map(Fraction, _LONG):
        if floor(seconds * (1 - UNEVEN)) < wait + _LEFT:
            continue
        way = per_second * seconds
        steps = floor(abs(way) / grid.step + Fraction(1, 2))
        size = steps * grid.step * (1 if way > 0 else -1)
        if not steps or abs(size - way) > abs(way) * _AS_ASKED or abs(size) > high - low:
            continue
        for start in _places(grid, size, home, ends):
            yield Ramp(names, start, start + size, seconds)
        return


def _places(grid: Grid, size: Fraction, home: Fraction, ends: Iterable[Fraction]) -> Iterator[Fraction]:
    low, high = grid.quantity.low, grid.quantity.high
    marks = [low, *sorted(end for end in {*ends} if low < end < high), high]
    rooms = sorted(pairwise(marks), key=lambda room: (max(room[0] - home, home - room[1], Fraction(0)), room))
    found: dict[Fraction, None] = {}
    for number, other in (*rooms, (low, high)):
        clear = grid.step if (number, other) != (low, high) else Fraction(0)
        for start in (home, grid.near((number + other - size) / 2)):
            if start is not None and all(number + clear <= end <= other - clear for end in (start, start + size)):
                found[start] = None
    yield from list(found)[:_MOST_PLACES]


def ends_of(ruleset: m.RuleSet) -> Mapping[str, frozenset[Fraction]]:
    """By quantity, every number at which a band or a condition changes."""
    found: dict[str, set[Fraction]] = {name: set() for name in ruleset.quantities}
    for band in ruleset.bands:
        found[band.quantity].update(band.region.numbers)
    for formula in ruleset.formulas:
        for part in m.parts_of(formula):
            if isinstance(part, m.Compare):
                found[part.quantity].update(part.region.numbers)
    return {name: frozenset(numbers) for name, numbers in found.items()}
