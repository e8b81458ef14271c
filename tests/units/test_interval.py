"""Interval sets agree with membership, number by number, at every end point and between."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.units.interval import (
    EMPTY,
    Interval,
    IntervalSet,
    highest_multiple,
    lowest_multiple,
    multiple_inside,
)

# Few possible end points, so that drawn intervals often touch, overlap and leave single points out.
ENDS = [Fraction(number, 3) for number in range(-6, 7)]
# Every end, one number between any two neighbours, one beyond each side: two sets with such ends are
# equal if and only if they agree on these.
PROBES = [Fraction(number, 6) for number in range(-13, 14)]


@st.composite
def intervals(draw: st.DrawFn) -> Interval:
    bounds = st.none() | st.sampled_from(ENDS)
    low, high = draw(bounds), draw(bounds)
    if low is not None and high is not None and low >= high:
        low, high = high, low
    if low is not None and low == high:
        return Interval.point(low)
    return Interval(low, low is not None and draw(st.booleans()), high, high is not None and draw(st.booleans()))


sets = st.lists(intervals(), max_size=5).map(lambda drawn: IntervalSet.of(*drawn))
steps = st.sampled_from([Fraction(1, 7), Fraction(1, 3), Fraction(1, 2), Fraction(1), Fraction(5, 3)])


def f(text: str) -> Fraction:
    return Fraction(text)


def holds(interval: Interval, value: Fraction) -> bool:
    """Membership in the plainest words."""
    above = interval.low is None or interval.low < value or (interval.low_included and interval.low == value)
    below = interval.high is None or value < interval.high or (interval.high_included and interval.high == value)
    return above and below


def members(some: IntervalSet) -> set[Fraction]:
    return {value for value in PROBES if any(holds(part, value) for part in some.parts)}


ALL = set(PROBES)


@pytest.mark.parametrize(
    ("interval", "inside", "outside"),
    [
        (Interval.closed(f("1"), f("2")), ["1", "1.5", "2"], ["0.9", "2.1"]),
        (Interval.open(f("1"), f("2")), ["1.001", "1.999"], ["1", "2"]),
        (Interval.below(f("1")), ["0.9", "-1000"], ["1", "2"]),
        (Interval.at_most(f("1")), ["1", "-1000"], ["1.001"]),
        (Interval.above(f("1")), ["1.001", "1000"], ["1", "0"]),
        (Interval.at_least(f("1")), ["1", "1000"], ["0.999"]),
        (Interval.everything(), ["0", "-1000", "1000"], []),
        (Interval.point(f("1")), ["1"], ["0.999", "1.001"]),
    ],
)
def test_shapes_hold_what_their_names_say(interval: Interval, inside: list[str], outside: list[str]) -> None:
    assert [interval.contains(f(text)) for text in inside] == [True] * len(inside)
    assert [interval.contains(f(text)) for text in outside] == [False] * len(outside)


@pytest.mark.parametrize(
    ("low", "low_included", "high", "high_included", "message"),
    [
        (f("2"), True, f("1"), True, "empty"),
        (f("1"), False, f("1"), True, "empty"),
        (f("1"), True, f("1"), False, "empty"),
        (f("1"), False, f("1"), False, "empty"),
        (None, True, f("1"), True, "unbounded"),
        (f("1"), True, None, True, "unbounded"),
    ],
)
def test_no_empty_interval_and_no_included_infinity(
    low: Fraction | None, low_included: bool, high: Fraction | None, high_included: bool, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        Interval(low, low_included, high, high_included)


def test_width_point_and_interior() -> None:
    assert Interval.closed(f("1"), f("3.5")).width() == f("2.5")
    assert Interval.point(f("1")).width() == 0
    assert Interval.below(f("1")).width() is None
    assert Interval.above(f("1")).width() is None
    assert Interval.point(f("1")).is_point
    assert not Interval.closed(f("1"), f("2")).is_point
    assert not Interval.everything().is_point
    assert Interval.point(f("1")).interior() is None
    assert Interval.closed(f("1"), f("2")).interior() == Interval.open(f("1"), f("2"))
    assert Interval.at_least(f("1")).interior() == Interval.above(f("1"))
    assert Interval.everything().interior() == Interval.everything()


def test_touching_parts_merge_only_if_one_has_the_point() -> None:
    one_two = Interval(f("1"), True, f("2"), False)
    assert IntervalSet.of(one_two, Interval.closed(f("2"), f("3"))).parts == (Interval.closed(f("1"), f("3")),)
    apart = IntervalSet.of(Interval.above(f("2")), Interval.below(f("2")))
    assert apart.parts == (Interval.below(f("2")), Interval.above(f("2")))
    assert apart.complement().parts == (Interval.point(f("2")),)
    assert apart.union(IntervalSet.of(Interval.point(f("2")))).parts == (Interval.everything(),)


def test_below_next_to_above_leaves_a_point_that_two_units_can_hide() -> None:
    # "below 120 F" next to "at least 48.9 C": 120 F is 440/9 C, so a sliver of 1/90 C has no colour.
    gap = IntervalSet.of(Interval.below(Fraction(440, 9)), Interval.at_least(f("48.9"))).complement()
    assert gap.parts == (Interval(Fraction(440, 9), True, f("48.9"), False),)
    assert gap.width() == Fraction(1, 90)


@pytest.mark.parametrize(
    "parts",
    [
        (Interval.closed(f("2"), f("3")), Interval.closed(f("0"), f("1"))),
        (Interval.closed(f("0"), f("2")), Interval.closed(f("1"), f("3"))),
        (Interval(f("0"), True, f("1"), False), Interval.closed(f("1"), f("2"))),
    ],
)
def test_parts_out_of_form_are_refused(parts: tuple[Interval, ...]) -> None:
    with pytest.raises(ValueError, match="sorted and apart"):
        IntervalSet(parts)


def test_empty_set() -> None:
    assert EMPTY == IntervalSet.EMPTY == IntervalSet.of()
    assert EMPTY.is_empty
    assert EMPTY.width() == 0
    assert list(EMPTY) == []
    assert not EMPTY.contains(f("0"))
    assert EMPTY.complement() == IntervalSet.of(Interval.everything())
    assert not EMPTY.complement().is_empty
    assert EMPTY.complement().complement() == EMPTY


def test_width_of_sets() -> None:
    assert IntervalSet.of(Interval.closed(f("0"), f("1")), Interval.open(f("2"), f("2.5"))).width() == f("1.5")
    assert IntervalSet.of(Interval.closed(f("0"), f("1")), Interval.above(f("2"))).width() is None


@given(intervals(), intervals())
def test_interval_membership_and_intersection(one: Interval, two: Interval) -> None:
    assert [one.contains(value) for value in PROBES] == [holds(one, value) for value in PROBES]
    common = one.intersect(two)
    found = set() if common is None else {value for value in PROBES if holds(common, value)}
    assert found == {value for value in PROBES if holds(one, value) and holds(two, value)}


@given(st.lists(intervals(), max_size=6))
def test_of_is_the_union_in_any_order(drawn: list[Interval]) -> None:
    some = IntervalSet.of(*drawn)
    assert members(some) == {value for value in PROBES if any(holds(each, value) for each in drawn)}
    assert IntervalSet.of(*reversed(drawn)) == some
    assert IntervalSet.of(*some) == some


@given(sets, sets)
def test_operations_against_membership(one: IntervalSet, two: IntervalSet) -> None:
    assert members(one.union(two)) == members(one) | members(two)
    assert members(one.intersect(two)) == members(one) & members(two)
    assert members(one.subtract(two)) == members(one) - members(two)
    assert members(one.complement()) == ALL - members(one)
    assert one.is_subset(two) == (members(one) <= members(two))
    assert one.is_empty == (not members(one))
    assert (one == two) == (members(one) == members(two))


@given(sets)
def test_contains_against_membership(some: IntervalSet) -> None:
    assert {value for value in PROBES if some.contains(value)} == members(some)


@given(sets)
def test_interior_is_what_has_neighbours_on_both_sides(some: IntervalSet) -> None:
    near = Fraction(1, 100)  # nearer than any other end point
    inside = {value for value in members(some) if some.contains(value - near) and some.contains(value + near)}
    assert members(some.interior()) == inside


@given(sets, sets)
def test_width_adds_up(one: IntervalSet, two: IntervalSet) -> None:
    box = IntervalSet.of(Interval.closed(f("-3"), f("3")))
    one, two = one.intersect(box), two.intersect(box)
    parts = (one.subtract(two).width(), one.intersect(two).width(), two.subtract(one).width())
    assert sum(part for part in parts if part is not None) == one.union(two).width()


@pytest.mark.parametrize(
    ("interval", "step", "middle", "lowest", "highest"),
    [
        (Interval.closed(f("2500"), f("2550")), "10", "2520", "2500", "2550"),
        (Interval.open(f("2500"), f("2550")), "10", "2520", "2510", "2540"),
        (Interval.open(f("0"), f("10")), "10", None, None, None),
        (Interval(f("0"), False, f("10"), True), "10", "10", "10", "10"),
        (Interval(f("0"), True, f("10"), False), "10", "0", "0", "0"),
        (Interval.closed(f("0"), f("10")), "10", "0", "0", "10"),
        (Interval.closed(f("-7"), f("-2")), "2", "-4", "-6", "-2"),
        (Interval.point(f("3")), "1.5", "3", "3", "3"),
        (Interval.point(f("3.1")), "1.5", None, None, None),
        (Interval.above(f("2750")), "10", "2760", "2760", None),
        (Interval.at_least(f("2750")), "10", "2750", "2750", None),
        (Interval.below(f("-40")), "3", "-42", None, "-42"),
        (Interval.at_most(f("-42")), "3", "-42", None, "-42"),
        (Interval.everything(), "10", "0", None, None),
    ],
)
def test_multiples_by_example(
    interval: Interval, step: str, middle: str | None, lowest: str | None, highest: str | None
) -> None:
    found = [multiple(interval, f(step)) for multiple in (multiple_inside, lowest_multiple, highest_multiple)]
    assert found == [None if text is None else f(text) for text in (middle, lowest, highest)]


@given(intervals(), steps)
def test_multiples_against_counting(interval: Interval, step: Fraction) -> None:
    # Ends lie between -2 and 2, so counting from -5 to 5 meets every multiple that matters.
    inside = [step * count for count in range(-40, 41) if holds(interval, step * count)]
    low, high = interval.low, interval.high
    assert lowest_multiple(interval, step) == (None if low is None else min(inside, default=None))
    assert highest_multiple(interval, step) == (None if high is None else max(inside, default=None))
    if low is None:
        expected = Fraction(0) if high is None else max(inside, default=None)
    elif high is None:
        expected = min(inside, default=None)
    else:
        middle = (low + high) / 2
        expected = min(sorted(inside), key=lambda value: abs(value - middle), default=None)
    assert multiple_inside(interval, step) == expected


@pytest.mark.parametrize("step", ["0", "-1"])
@pytest.mark.parametrize("function", [multiple_inside, lowest_multiple, highest_multiple])
def test_step_must_be_positive(function: object, step: str) -> None:
    assert callable(function)
    with pytest.raises(ValueError, match="above 0"):
        function(Interval.everything(), f(step))
