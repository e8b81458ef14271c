"""Lets, rates and curves: what they are computed from, between what they lie, and what cannot be computed.

The values are worked out by `meaning`, which shares no code with what binds them.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.model.expression import CurveOver, Trend
from alertlang.model.load import Loaded
from tests.model.conftest import Load

Rules = Callable[[str], Loaded]
MORE = """quantity map "Manifold pressure" from 10 to 40 inHg
quantity egt[4] from 0 to 900 C
quantity two[2] from 0 to 600 F
quantity share from 0 to 100 %
quantity flow from 0 to 40 gal/h
"""
READINGS = {
    "rpm": Fraction(2500),
    "oil_temp": Fraction(212),
    "ratio": Fraction(1, 4),
    "map": Fraction(28),
    "share": Fraction(40),
    "flow": Fraction(10),
    **{f"cht[{i}]": Fraction(value) for i, value in enumerate((300, 340, 320, 360), 1)},
    **{f"egt[{i}]": Fraction(value) for i, value in enumerate((700, 710, 720, 730), 1)},
    "two[1]": Fraction(100),
    "two[2]": Fraction(200),
}


def _ruleset(loaded: Loaded) -> m.RuleSet:
    assert [f.message for f in loaded.findings] == []
    assert loaded.ruleset is not None
    return loaded.ruleset


def _values(ruleset: m.RuleSet, name: str, readings: dict[str, Fraction] = READINGS) -> list[Fraction]:
    """The value of a derived quantity, or those of its elements; within its range, as it must be."""
    quantity = ruleset.quantities[name]
    found = [Instant(ruleset, State(readings, {})).reading(name, index) for index in quantity.indexes]
    assert all(quantity.low <= value <= quantity.high for value in found)
    return found


# ---- let

# The expression, its unit, whether it is a difference, its lowest and highest value, its value (or its elements').
LETS: list[tuple[str, str, bool, str, str, str]] = [
    ("rpm", "rpm", False, "0", "3500", "2500"),
    ("cht", "F", False, "0", "600", "300 340 320 360"),
    ("cht[4]", "F", False, "0", "600", "360"),
    # Sums. The unit is that of the left, but of the right if the left is a number.
    ("rpm + 100 rpm", "rpm", False, "100", "3600", "2600"),
    ("100 rpm - rpm", "rpm", False, "-3400", "100", "-2400"),
    ("rpm - 100 rpm - 50 rpm", "rpm", False, "-150", "3350", "2350"),
    ("rpm - (100 rpm - 50 rpm)", "rpm", False, "-50", "3450", "2450"),
    ("rpm - rpm", "rpm", False, "-3500", "3500", "0"),
    ("ratio + 5 %", "", False, "1/20", "21/20", "3/10"),
    ("5 % + ratio", "", False, "1/20", "21/20", "3/10"),
    ("share + ratio", "%", False, "0", "200", "65"),
    ("ratio + share", "", False, "0", "2", "13/20"),
    ("map + 1 psi - 1 psi", "inHg", False, "10", "40", "28"),
    # Products.
    ("2 * rpm", "rpm", False, "0", "7000", "5000"),
    ("rpm * -2", "rpm", False, "-7000", "0", "-5000"),
    ("rpm / 4", "rpm", False, "0", "875", "625"),
    ("rpm / 0.1", "rpm", False, "0", "35000", "25000"),
    ("50 % * rpm", "rpm", False, "0", "1750", "1250"),
    ("rpm / 50 %", "rpm", False, "0", "7000", "5000"),
    ("share / 50 %", "", False, "0", "2", "4/5"),
    ("2 * 3 * rpm / (4 - 2)", "rpm", False, "0", "10500", "7500"),
    ("1 rpm + 2 * rpm", "rpm", False, "1", "7001", "5001"),
    ("(1 rpm + rpm) * 2", "rpm", False, "2", "7002", "5002"),
    ("rpm / 100 rpm", "", False, "0", "35", "25"),
    ("map / 1 inHg - rpm / 100 rpm", "", False, "-25", "40", "3"),
    ("5 - rpm / 1000 rpm", "", False, "3/2", "5", "5/2"),
    # Temperatures: points and differences.
    ("oil_temp + 5 C", "F", False, "-31", "309", "221"),
    ("5 C + oil_temp", "F", False, "-31", "309", "221"),
    ("oil_temp - 5 C", "F", False, "-49", "291", "203"),
    ("oil_temp - -5 C", "F", False, "-31", "309", "221"),
    ("5 C - 3 C + oil_temp", "F", False, "-182/5", "1518/5", "1078/5"),
    ("oil_temp - cht[1]", "F", True, "-640", "300", "-88"),
    ("(oil_temp - cht[1]) * 2", "F", True, "-1280", "600", "-176"),
    ("oil_temp - cht[1] + 5 C", "F", True, "-631", "309", "-79"),
    ("oil_temp + spread of cht", "F", False, "-40", "900", "272"),
    ("spread of cht + oil_temp", "F", False, "-40", "900", "272"),
    ("spread of cht - 5 C", "F", True, "-9", "591", "51"),
    ("oil_temp / 1 C", "", False, "-40", "1340/9", "100"),
    ("oil_temp / 1 K", "", False, "4663/20", "75967/180", "7463/20"),
    ("(oil_temp - cht[1]) / 1 C", "", False, "-3200/9", "500/3", "-440/9"),
    # Arrays.
    ("highest of cht", "F", False, "0", "600", "360"),
    ("lowest of cht", "F", False, "0", "600", "300"),
    ("average of cht", "F", False, "0", "600", "330"),
    ("spread of cht", "F", True, "0", "600", "60"),
    ("deviation of cht", "F", True, "-450", "450", "-30 10 -10 30"),
    ("cht - average of cht", "F", True, "-600", "600", "-30 10 -10 30"),
    ("cht - egt", "F", True, "-1652", "568", "-992 -970 -1008 -986"),
    ("egt - cht", "C", True, "-2840/9", "8260/9", "4960/9 4850/9 560 4930/9"),
    ("cht + 5 F", "F", False, "5", "605", "305 345 325 365"),
    ("oil_temp - cht", "F", True, "-640", "300", "-88 -128 -108 -148"),
]


@pytest.mark.parametrize(("text", "unit", "difference", "low", "high", "values"), LETS, ids=[one[0] for one in LETS])
def test_let(rules: Rules, text: str, unit: str, difference: bool, low: str, high: str, values: str) -> None:
    ruleset = _ruleset(rules(f"{MORE}let x = {text}"))
    x, found = ruleset.quantities["x"], _values(ruleset, "x")
    assert found == [Fraction(value) for value in values.split()]
    assert (x.unit.name or "", x.difference) == (unit, difference)
    assert (x.low, x.high) == (Fraction(low), Fraction(high))
    assert x.size == (None if len(found) == 1 else len(found))
    assert (x.step, x.accuracy, x.deadband, x.title, x.sources, x.per) == (None, None, None, None, (), None)
    assert (x.is_computed, x.is_trend) == (True, False)


def test_units_of_flow_meet_exactly(rules: Rules) -> None:
    ruleset = _ruleset(rules(f"{MORE}let x = 10 L/h + flow"))
    # 231 cubic inches of 2.54 cm.
    litres = 231 * Fraction(254, 100) ** 3 / 1000
    assert _values(ruleset, "x") == [10 + 10 / litres]
    assert ruleset.quantities["x"].unit.name == "gal/h"


def test_let_of_lets_whatever_their_order(rules: Rules) -> None:
    ruleset = _ruleset(rules("let x = hot - cool\nlet cool = lowest of cht\nlet hot = highest of cht"))
    assert _values(ruleset, "x") == [60]
    assert ruleset.quantities["x"].difference
    assert ruleset.sensors_of("x") == {"cht"}


# An expression: a name, a number as it is written, or an operation on two expressions.
Tree = str | tuple[str, "Tree", "Tree"]
amounts = st.decimals(-50, 50, places=2).map(str)
factors = st.sampled_from(["0.5", "4", "-3", "12.5"])
trees: st.SearchStrategy[Tree] = st.recursive(
    st.sampled_from(["rpm", "other"]) | amounts,
    lambda part: st.tuples(st.sampled_from("+-"), part, part) | st.tuples(st.sampled_from("*/"), part, factors),
    max_leaves=8,
)


def _written(tree: Tree) -> str:
    if isinstance(tree, tuple):
        right = tree[2] if tree[0] in "*/" else _written(tree[2])
        return f"({_written(tree[1])} {tree[0]} {right})"
    return tree if tree.isalpha() else f"{tree} rpm"


def _worth(tree: Tree, rpm: int, other: int) -> Fraction:
    if isinstance(tree, str):
        return Fraction({"rpm": rpm, "other": other}.get(tree, tree))
    left, right = (_worth(part, rpm, other) for part in tree[1:])
    return {"+": left + right, "-": left - right, "*": left * right, "/": left / (right or 1)}[tree[0]]


@given(trees, st.integers(0, 3500), st.integers(0, 900))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow], max_examples=100)
def test_arithmetic_is_what_it_says(rules: Rules, tree: Tree, rpm: int, other: int) -> None:
    ruleset = _ruleset(rules(f"quantity other from 0 to 900 rpm\nlet x = rpm + {_written(tree)}"))
    assert _values(ruleset, "x", {"rpm": Fraction(rpm), "other": Fraction(other)}) == [rpm + _worth(tree, rpm, other)]


@pytest.mark.parametrize("written", ["0 to 1750 rpm", "-5 to 9000 rpm", "0 to 1750", "-5 to 9000"])
def test_a_written_range_that_holds_all_changes_nothing(rules: Rules, written: str) -> None:
    x = _ruleset(rules(f"let x = rpm / 2, from {written}")).quantities["x"]
    assert (x.low, x.high) == (Fraction(0), Fraction(1750))


def test_a_written_range_of_a_difference_is_one(rules: Rules) -> None:
    # 600 F apart are 333.3 C; as points they would be 315.6 C.
    assert _ruleset(rules("let x = spread of cht, from 0 to 334 C")).quantities["x"].high == 600
    [found] = rules("let x = spread of cht, from 0 to 320 C").findings
    assert "lets it run from 0 to 600 F" in found.message


# ---- rise and fall


@pytest.mark.parametrize(
    ("text", "kind", "seconds", "between"),
    [
        ("rise of oil_temp per s, from -10 to 50 F", "rise", 1, (-10, 50)),
        ("fall of oil_temp per min, from 0 to 50", "fall", 60, (0, 50)),
        # A difference: 50 C are 90 F.
        ("rise of oil_temp per h, from 0 to 50 C", "rise", 3600, (0, 90)),
    ],
)
def test_rate(rules: Rules, text: str, kind: str, seconds: int, between: tuple[int, int]) -> None:
    x = _ruleset(rules(f"let x = {text}")).quantities["x"]
    assert x.derived == Trend(kind, "oil_temp", None, Fraction(seconds))
    assert (x.low, x.high) == tuple(map(Fraction, between))
    assert (x.unit.name, x.difference, x.size) == ("F", True, None)
    assert (x.is_trend, x.is_computed, x.per) == (True, False, text.split(" per ")[1].split(",")[0])


def test_rate_of_an_array_of_an_element_and_of_a_let(rules: Rules) -> None:
    ruleset = _ruleset(
        rules(
            "let hot = highest of cht\nlet x = fall of cht per min, from 0 to 9\n"
            "let y = rise of cht[2] per s, from 0 to 9\nlet z = rise of hot per s, from 0 to 9"
        )
    )
    x, y, z = (ruleset.quantities[name] for name in "xyz")
    assert (x.size, y.size, z.size) == (4, None, None)
    assert y.derived == Trend("rise", "cht", 2, Fraction(1))
    assert ruleset.sensors_of("z") == {"cht"}
    assert "cht" in ruleset.indexed_arrays


# ---- curve


def test_curve(rules: Rules) -> None:
    text = "curve x over oil_temp: 0 C -> 1 bar, 100 F -> 200 kPa, 200 -> 3, otherwise 500 hPa"
    x = _ruleset(rules(text)).quantities["x"]
    assert x.derived == CurveOver("oil_temp", None, ((32, 1), (100, 2), (200, 3)), Fraction(1, 2))  # type: ignore[arg-type]
    assert (x.unit.name, x.low, x.high, x.size, x.difference) == ("bar", Fraction(1), Fraction(3), None, False)


@pytest.mark.parametrize(
    ("rpm", "value"),
    [(0, 22), (1799, 22), (1800, 22), (2100, 25), (2400, 28), (2550, 26), (2700, 24), (3500, 24)],
)
def test_curve_is_straight_between_its_points_and_flat_beyond_them(rules: Rules, rpm: int, value: int) -> None:
    ruleset = _ruleset(rules("curve x over rpm: 1800 -> 22 inHg, 2400 -> 28, 2700 -> 24"))
    assert _values(ruleset, "x", {"rpm": Fraction(rpm)}) == [value]
    derived = ruleset.quantities["x"].derived
    assert isinstance(derived, CurveOver)
    assert derived.at(Fraction(rpm)) == value
    assert derived.otherwise is None


@pytest.mark.parametrize(
    ("points", "between"),
    [
        ("1000 -> 5, 2000 -> 7", (5, 7)),
        ("1000 -> 5, 2000 -> -7, 3000 -> 6", (-7, 6)),
        ("1000 -> 5", (5, 5)),
        # What lies beyond the sensor is never reached.
        ("-1000 -> -10, 1000 -> 10", (0, 10)),
        ("3000 -> 0, 4000 -> 100", (0, 50)),
        ("-10 -> 1, -5 -> 2", (2, 2)),
        # What it is on failure is no part of it.
        ("1000 -> 5, 2000 -> 7, otherwise 99", (5, 7)),
    ],
)
def test_range_of_a_curve(rules: Rules, points: str, between: tuple[int, int]) -> None:
    x = _ruleset(rules(f"curve x over rpm: {points}")).quantities["x"]
    assert (x.low, x.high) == tuple(map(Fraction, between))
    assert x.unit.name == ""


def test_curve_over_a_difference_and_over_an_element(rules: Rules) -> None:
    ruleset = _ruleset(
        rules("let apart = spread of cht\ncurve x over apart: 10 C -> 1, 20 C -> 2\ncurve y over cht[2]: 100 C -> 1")
    )
    x, y = ruleset.quantities["x"].derived, ruleset.quantities["y"].derived
    assert isinstance(x, CurveOver)
    assert isinstance(y, CurveOver)
    assert x.points == ((Fraction(18), Fraction(1)), (Fraction(36), Fraction(2)))
    assert (y.quantity, y.index, y.points) == ("cht", 2, ((Fraction(212), Fraction(1)),))


# ---- as the end of a region


def test_an_end_that_moves_is_in_the_unit_of_what_is_compared(rules: Rules) -> None:
    text = "curve top over rpm: 1000 -> 50 C, 2000 -> 100 C\noil_temp above top is red\noil_temp from 50 to top is blue"
    above, between = _ruleset(rules(text)).bands
    end = above.region.first
    assert end == m.Moving("top", Fraction(9, 5), Fraction(32), Fraction(122), Fraction(212))
    assert (between.region.first, between.region.second) == (Fraction(50), end)
    assert (above.region.moves, above.region.numbers, between.region.numbers) == (True, (), (Fraction(50),))
    # A value that may be in it, and one that is wherever the end is.
    assert above.region.values.contains(Fraction(123))
    assert not above.region.values.contains(Fraction(122))
    assert above.region.certain.contains(Fraction(213))
    assert not above.region.certain.contains(Fraction(212))


def test_an_end_that_is_a_difference_has_no_offset(rules: Rules) -> None:
    text = f"{MORE}let apart = spread of cht\nlet most = spread of egt\napart above most is red"
    [band] = _ruleset(rules(text)).bands
    assert band.region.first == m.Moving("most", Fraction(9, 5), Fraction(0), Fraction(0), Fraction(1620))


def test_ends_of_an_array_element_by_element(rules: Rules) -> None:
    ruleset = _ruleset(
        rules("let low = cht - 5 F\nlet all = average of cht\ncht above low is red\ncht above all is red")
    )
    instant = Instant(ruleset, State(READINGS, {}))
    first, second = ruleset.bands
    assert [instant.applies(first, i) for i in (1, 2, 3, 4)] == [True] * 4
    assert [instant.applies(second, i) for i in (1, 2, 3, 4)] == [False, True, False, True]


# ---- names


def test_two_profiles_may_derive_the_same_if_they_say_the_same(load: Load) -> None:
    text = 'profile "{}" version 1\nquantity q from 0 to 9\nlet x = q / 2\ncurve c over q: 1 -> {}\n'
    user = 'rules "t" version 1\nuse profile "a"\nuse profile "b"\n'
    assert load({"a.profile": text.format("a", 2), "b.profile": text.format("b", 2), "t.alert": user}).findings == ()
    [found] = load({"a.profile": text.format("a", 2), "b.profile": text.format("b", 3), "t.alert": user}).findings
    assert (found.code.code, found.path, found.where and found.where.text) == ("AL106", "b.profile", "c")
