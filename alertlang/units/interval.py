"""Exact sets of real numbers: intervals, and finite unions of them.

Every bound is turned into a *cut*, a place between numbers: just before x or just after x. With cuts, an
included and an excluded bound need no separate cases: an interval is what lies between two cuts, two
intervals touch when a cut is the same, and nothing lies between a cut and itself.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

# (-1, 0, 0) before all numbers, (0, x, 0) just before x, (0, x, 1) just after x, (1, 0, 0) after all.
_Cut = tuple[int, Fraction, int]
_BEFORE_ALL: _Cut = (-1, Fraction(0), 0)
_AFTER_ALL: _Cut = (1, Fraction(0), 0)


@dataclass(frozen=True, slots=True, order=False)
class Interval:
    """The numbers between two bounds, never none. A bound of None is unbounded, and so not included.

    ValueError on construction if the interval would be empty or include an infinite end.
    """

    low: Fraction | None
    low_included: bool
    high: Fraction | None
    high_included: bool

    def __post_init__(self) -> None:
        if (self.low is None and self.low_included) or (self.high is None and self.high_included):
            raise ValueError("an unbounded end cannot be included")
        if _low_cut(self) >= _high_cut(self):
            raise ValueError("an interval cannot be empty")

    @classmethod
    def closed(cls, low: Fraction, high: Fraction) -> Interval:
        """From `low` to `high`, both included."""
        return cls(low, True, high, True)

    @classmethod
    def open(cls, low: Fraction, high: Fraction) -> Interval:
        """Between `low` and `high`, both excluded."""
        return cls(low, False, high, False)

    @classmethod
    def below(cls, high: Fraction) -> Interval:
        """Less than `high`."""
        return cls(None, False, high, False)

    @classmethod
    def at_most(cls, high: Fraction) -> Interval:
        """Less than `high`, or `high`."""
        return cls(None, False, high, True)

    @classmethod
    def above(cls, low: Fraction) -> Interval:
        """More than `low`."""
        return cls(low, False, None, False)

    @classmethod
    def at_least(cls, low: Fraction) -> Interval:
        """More than `low`, or `low`."""
        return cls(low, True, None, False)

    @classmethod
    def everything(cls) -> Interval:
        """All real numbers."""
        return cls(None, False, None, False)

    @classmethod
    def point(cls, value: Fraction) -> Interval:
        """Only `value`."""
        return cls(value, True, value, True)

    @property
    def is_point(self) -> bool:
        """Whether it holds a single number."""
        return self.low is not None and self.low == self.high

    @property
    def bounds(self) -> tuple[Fraction, Fraction]:
        """The lower and the upper end of a bounded interval."""
        assert self.low is not None
        assert self.high is not None
        return self.low, self.high

    def starts_before(self, other: Interval) -> bool:
        """Whether it begins no later than another one."""
        return _low_cut(self) <= _low_cut(other)

    def ends_after(self, other: Interval) -> bool:
        """Whether it ends no sooner than another one."""
        return _high_cut(self) >= _high_cut(other)

    def contains(self, value: Fraction) -> bool:
        return _low_cut(self) <= (0, value, 0) and (0, value, 1) <= _high_cut(self)

    def width(self) -> Fraction | None:
        """The distance between the bounds, 0 for a point, None if unbounded."""
        return None if self.low is None or self.high is None else self.high - self.low

    def interior(self) -> Interval | None:
        """The interval without its end points, None for a point."""
        return None if self.is_point else Interval(self.low, False, self.high, False)

    def intersect(self, other: Interval) -> Interval | None:
        """The numbers in both, None if there are none."""
        return _between(max(_low_cut(self), _low_cut(other)), min(_high_cut(self), _high_cut(other)))


@dataclass(frozen=True, slots=True)
class IntervalSet:
    """A finite union of intervals, in the one form that every such set has.

    The parts are sorted, and between two neighbours there is at least one number outside the set: so
    equal sets have equal parts. `of` brings any intervals into that form; ValueError if constructed
    directly from parts that are not in it.
    """

    parts: tuple[Interval, ...]

    EMPTY: ClassVar[IntervalSet]

    def __post_init__(self) -> None:
        for left, right in zip(self.parts, self.parts[1:], strict=False):
            if _high_cut(left) >= _low_cut(right):
                raise ValueError("the parts of an interval set must be sorted and apart; use IntervalSet.of")

    @classmethod
    def of(cls, *intervals: Interval) -> IntervalSet:
        """The union of any intervals. O(n log n)."""
        return _merged(intervals)

    def __iter__(self) -> Iterator[Interval]:
        return iter(self.parts)

    @property
    def is_empty(self) -> bool:
        return not self.parts

    def contains(self, value: Fraction) -> bool:
        """Whether `value` is in the set. O(log n)."""
        place = bisect_right(self.parts, (0, value, 0), key=_low_cut)
        return place > 0 and self.parts[place - 1].contains(value)

    def union(self, other: IntervalSet) -> IntervalSet:
        """The numbers in either set."""
        return _merged((*self.parts, *other.parts))

    def intersect(self, other: IntervalSet) -> IntervalSet:
        """The numbers in both sets. O(n)."""
        found: list[Interval] = []
        mine, theirs = 0, 0
        while mine < len(self.parts) and theirs < len(other.parts):
            interval, two = self.parts[mine], other.parts[theirs]
            common = interval.intersect(two)
            if common is not None:
                found.append(common)
            # The part that ends first can meet nothing further.
            if _high_cut(interval) <= _high_cut(two):
                mine += 1
            else:
                theirs += 1
        return IntervalSet(tuple(found))

    def complement(self) -> IntervalSet:
        """The numbers not in the set. O(n)."""
        lows = (_BEFORE_ALL, *(_high_cut(part) for part in self.parts))
        highs = (*(_low_cut(part) for part in self.parts), _AFTER_ALL)
        gaps = (_between(low, high) for low, high in zip(lows, highs, strict=True))
        return IntervalSet(tuple(gap for gap in gaps if gap is not None))

    def subtract(self, other: IntervalSet) -> IntervalSet:
        """The numbers in this set and not in the other. O(n)."""
        return self.intersect(other.complement())

    def is_subset(self, other: IntervalSet) -> bool:
        """Whether every number of this set is in the other. O(n)."""
        return self.subtract(other).is_empty

    def interior(self) -> IntervalSet:
        """The set without the end points of its parts; single points vanish."""
        insides = (part.interior() for part in self.parts)
        return IntervalSet(tuple(inside for inside in insides if inside is not None))

    def width(self) -> Fraction | None:
        """The sum of the widths of the parts, None if unbounded."""
        total = Fraction(0)
        for part in self.parts:
            width = part.width()
            if width is None:
                return None
            total += width
        return total


EMPTY = IntervalSet(())
"""The set without any number."""
IntervalSet.EMPTY = EMPTY


def lowest_multiple(interval: Interval, step: Fraction) -> Fraction | None:
    """The lowest multiple of `step` in the interval; None if there is none or no lowest.

    ValueError unless `step` is above 0.
    """
    _check_step(step)
    if interval.low is None:
        return None
    found = math.ceil(interval.low / step) * step
    if found == interval.low and not interval.low_included:
        found += step
    return found if interval.contains(found) else None


def highest_multiple(interval: Interval, step: Fraction) -> Fraction | None:
    """The highest multiple of `step` in the interval; None if there is none or no highest.

    ValueError unless `step` is above 0.
    """
    _check_step(step)
    if interval.high is None:
        return None
    found = math.floor(interval.high / step) * step
    if found == interval.high and not interval.high_included:
        found -= step
    return found if interval.contains(found) else None


def multiple_inside(interval: Interval, step: Fraction) -> Fraction | None:
    """The multiple of `step` in the interval that is nearest its middle, the lower of two as near.

    Unbounded on one side: the one nearest the bound. All numbers: 0. None if no multiple is inside;
    ValueError unless `step` is above 0.
    """
    _check_step(step)
    if interval.low is None and interval.high is None:
        return Fraction(0)
    if interval.high is None:
        return lowest_multiple(interval, step)
    if interval.low is None:
        return highest_multiple(interval, step)
    middle = (interval.low + interval.high) / 2
    # Where the multiple next to the middle is outside, so is everything beyond it on that side.
    lower = math.floor(middle / step) * step
    inside = [value for value in (lower, lower + step) if interval.contains(value)]
    return min(inside, key=lambda value: (abs(value - middle), value), default=None)


def _check_step(step: Fraction) -> None:
    if step <= 0:
        raise ValueError("a step must be above 0")


def _low_cut(interval: Interval) -> _Cut:
    return _BEFORE_ALL if interval.low is None else (0, interval.low, 0 if interval.low_included else 1)


def _high_cut(interval: Interval) -> _Cut:
    return _AFTER_ALL if interval.high is None else (0, interval.high, 1 if interval.high_included else 0)


def _between(low: _Cut, high: _Cut) -> Interval | None:
    """The interval between two cuts, None if nothing lies there."""
    if low >= high:
        return None
    return Interval(
        None if low == _BEFORE_ALL else low[1],
        low != _BEFORE_ALL and low[2] == 0,
        None if high == _AFTER_ALL else high[1],
        high != _AFTER_ALL and high[2] == 1,
    )


def _merged(intervals: Iterable[Interval]) -> IntervalSet:
    """The union, with parts joined wherever no number separates them."""
    spans: list[tuple[_Cut, _Cut]] = []
    for low, high in sorted((_low_cut(each), _high_cut(each)) for each in intervals):
        if spans and low <= spans[-1][1]:
            spans[-1] = (spans[-1][0], max(spans[-1][1], high))
        else:
            spans.append((low, high))
    parts = (_between(low, high) for low, high in spans)
    return IntervalSet(tuple(part for part in parts if part is not None))
