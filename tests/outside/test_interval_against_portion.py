"""Interval sets against the independent `portion` library."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import portion
from hypothesis import given
from hypothesis import strategies as st

from alertlang.units.interval import Interval, IntervalSet

# Few ends, so that touching and single points are common; some far and odd ones besides.
ends = st.sampled_from([Fraction(number, 2) for number in range(-4, 5)]) | st.fractions(max_denominator=50)


@st.composite
def intervals(draw: st.DrawFn) -> Interval:
    low, high = draw(st.none() | ends), draw(st.none() | ends)
    if low is not None and high is not None and low >= high:
        low, high = high, low
    if low is not None and low == high:
        return Interval.point(low)
    return Interval(low, low is not None and draw(st.booleans()), high, high is not None and draw(st.booleans()))


drawn_sets = st.lists(intervals(), max_size=6)


def to_portion(interval: Interval) -> Any:
    return portion.from_data(
        [
            (
                portion.CLOSED if interval.low_included else portion.OPEN,
                -portion.inf if interval.low is None else interval.low,
                portion.inf if interval.high is None else interval.high,
                portion.CLOSED if interval.high_included else portion.OPEN,
            )
        ]
    )


def union(drawn: list[Interval]) -> Any:
    """The union by portion alone, so that our own normal form is compared and not assumed."""
    found = portion.empty()
    for each in drawn:
        found |= to_portion(each)
    return found


def data(some: IntervalSet) -> list[tuple[bool, Fraction | None, Fraction | None, bool]]:
    return [(part.low_included, part.low, part.high, part.high_included) for part in some]


def portion_data(found: Any) -> list[tuple[bool, Fraction | None, Fraction | None, bool]]:
    """The parts in order, in our terms; portion holds an empty set as one empty part."""
    return [
        (
            part.left is portion.CLOSED,
            None if part.lower == -portion.inf else part.lower,
            None if part.upper == portion.inf else part.upper,
            part.right is portion.CLOSED,
        )
        for part in found
        if not part.empty
    ]


@given(drawn_sets)
def test_normal_form(drawn: list[Interval]) -> None:
    assert data(IntervalSet.of(*drawn)) == portion_data(union(drawn))


@given(drawn_sets, drawn_sets)
def test_union(one: list[Interval], two: list[Interval]) -> None:
    assert data(IntervalSet.of(*one).union(IntervalSet.of(*two))) == portion_data(union(one) | union(two))


@given(drawn_sets, drawn_sets)
def test_intersection(one: list[Interval], two: list[Interval]) -> None:
    assert data(IntervalSet.of(*one).intersect(IntervalSet.of(*two))) == portion_data(union(one) & union(two))


@given(drawn_sets, drawn_sets)
def test_difference(one: list[Interval], two: list[Interval]) -> None:
    assert data(IntervalSet.of(*one).subtract(IntervalSet.of(*two))) == portion_data(union(one) - union(two))


@given(drawn_sets)
def test_complement(drawn: list[Interval]) -> None:
    assert data(IntervalSet.of(*drawn).complement()) == portion_data(~union(drawn))


@given(drawn_sets, ends)
def test_membership(drawn: list[Interval], value: Fraction) -> None:
    assert IntervalSet.of(*drawn).contains(value) == (value in union(drawn))


@given(drawn_sets, drawn_sets)
def test_subset(one: list[Interval], two: list[Interval]) -> None:
    assert IntervalSet.of(*one).is_subset(IntervalSet.of(*two)) == (union(one) in union(two))


@given(drawn_sets, drawn_sets)
def test_a_part_is_a_subset(one: list[Interval], two: list[Interval]) -> None:
    # Drawn apart, one set seldom holds another: here it does, by portion's own reckoning.
    common = union(one) & union(two)
    ours = IntervalSet.of(*one).intersect(IntervalSet.of(*two))
    assert common in union(two)
    assert ours.is_subset(IntervalSet.of(*two))


@given(intervals(), intervals())
def test_two_intervals(one: Interval, two: Interval) -> None:
    common = one.intersect(two)
    found = portion_data(to_portion(one) & to_portion(two))
    assert ([] if common is None else data(IntervalSet((common,)))) == found
