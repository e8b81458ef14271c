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
from alertlang.model.expression import CurveOver, Trend, inputs
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
    "rpm": 2500, "oil_temp": 212, "ratio": Fraction(1, 4), "map": 28, "share": 40, "flow": 10,
    **{f"cht[{i}]": value for i, value in enumerate((300, 340, 320, 360), 1)},
    **{f"egt[{i}]": value for i, value in enumerate((700, 710, 720, 730), 1)},
    "two[1]": 100, "two[2]": 200,
}  # fmt: skip


def _ruleset(loaded: Loaded) -> m.RuleSet:
    assert [f.message for f in loaded.findings] == []
    assert loaded.ruleset is not None
    return loaded.ruleset


def _instant(ruleset: m.RuleSet) -> Instant:
    return Instant(ruleset, State({name: Fraction(value) for name, value in READINGS.items()}, {}))


def _x(rules: Rules, text: str) -> tuple[m.Quantity, list[Fraction]]:
    """The derived quantity x of some statements, and its value (or those of its elements) at READINGS."""
    ruleset = _ruleset(rules(MORE + text))
    x = ruleset.quantities["x"]
    values = [_instant(ruleset).reading("x", index) for index in x.indexes]
    assert all(x.low <= value <= x.high for value in values)
    return x, values


# ---- let

# The expression, its unit, whether it is a difference, its range, its value (or those of its elements).
LETS: list[tuple[str, str, bool, tuple[object, object], list[object]]] = [
    ("rpm", "rpm", False, (0, 3500), [2500]),
    ("cht", "F", False, (0, 600), [300, 340, 320, 360]),
    ("cht[4]", "F", False, (0, 600), [360]),
    # sums
    ("rpm + 100 rpm", "rpm", False, (100, 3600), [2600]),
    ("100 rpm - rpm", "rpm", False, (-3400, 100), [-2400]),
    ("rpm - 100 rpm - 50 rpm", "rpm", False, (-150, 3350), [2350]),
    ("rpm - (100 rpm - 50 rpm)", "rpm", False, (-50, 3450), [2450]),
    ("rpm - rpm", "rpm", False, (-3500, 3500), [0]),
    ("ratio + 5 %", "", False, (Fraction(1, 20), Fraction(21, 20)), [Fraction(3, 10)]),
    ("share + ratio", "%", False, (0, 200), [65]),
    ("ratio + share", "", False, (0, 2), [Fraction(13, 20)]),
    ("map + 1 psi - 1 psi", "inHg", False, (10, 40), [28]),
    # The unit is that of the left, but of the right if the left is a number.
    ("egt - cht[1]", "C", True, (Fraction(-2840, 9), Fraction(8260, 9)), [Fraction(v * 9 - 2680 // 2, 9) for v in
                                                                        (700, 710, 720, 730)]),
    ("10 L/h + flow", "gal/h", False, None, None),  # type: ignore[list-item]
    # products
    ("2 * rpm", "rpm", False, (0, 7000), [5000]),
    ("rpm * -2", "rpm", False, (-7000, 0), [-5000]),
    ("rpm / 4", "rpm", False, (0, 875), [625]),
    ("rpm / 0.1", "rpm", False, (0, 35000), [25000]),
    ("50 % * rpm", "rpm", False, (0, 1750), [1250]),
    ("rpm / 50 %", "rpm", False, (0, 7000), [5000]),
    ("share / 50 %", "", False, (0, 2), [Fraction(4, 5)]),
    ("2 * 3 * rpm / (4 - 2)", "rpm", False, (0, 10500), [7500]),
    ("1 rpm + 2 * rpm", "rpm", False, (1, 7001), [5001]),
    ("(1 rpm + rpm) * 2", "rpm", False, (2, 7002), [5002]),
    ("rpm / 100 rpm", "", False, (0, 35), [25]),
    ("map / 1 inHg - rpm / 100 rpm", "", False, (-25, 40), [3]),
    ("5 - rpm / 1000 rpm", "", False, (Fraction(3, 2), 5), [Fraction(5, 2)]),
    # temperatures: points and differences
    ("oil_temp + 5 C", "F", False, (-31, 309), [221]),
    ("5 C + oil_temp", "F", False, (-31, 309), [221]),
    ("oil_temp - 5 C", "F", False, (-49, 291), [203]),
    ("oil_temp - -5 C", "F", False, (-31, 309), [221]),
    ("5 C - 3 C + oil_temp", "F", False, (Fraction(-182, 5), Fraction(1518, 5)), [Fraction(1078, 5)]),
    ("oil_temp - cht[1]", "F", True, (-640, 300), [-88]),
    ("(oil_temp - cht[1]) * 2", "F", True, (-1280, 600), [-176]),
    ("oil_temp - cht[1] + 5 C", "F", True, (-631, 309), [-79]),
    ("oil_temp + spread of cht", "F", False, (-40, 900), [272]),
    ("spread of cht + oil_temp", "F", False, (-40, 900), [272]),
    ("spread of cht - 5 C", "F", True, (-9, 591), [51]),
    ("oil_temp / 1 C", "", False, (-40, Fraction(1340, 9)), [100]),
    ("oil_temp / 1 K", "", False, None, [Fraction(37315, 100)]),  # type: ignore[list-item]
    ("(oil_temp - cht[1]) / 1 C", "", False, (Fraction(-3200, 9), Fraction(500, 3)), [Fraction(-440, 9)]),
    # arrays
    ("highest of cht", "F", False, (0, 600), [360]),
    ("lowest of cht", "F", False, (0, 600), [300]),
    ("average of cht", "F", False, (0, 600), [330]),
    ("spread of cht", "F", True, (0, 600), [60]),
    ("deviation of cht", "F", True, (-450, 450), [-30, 10, -10, 30]),
    ("cht - average of cht", "F", True, (-600, 600), [-30, 10, -10, 30]),
    ("cht - egt", "F", True, (-1652, 568), [300 - 1292, 340 - 1310, 320 - 1328, 360 - 1346]),
    ("cht + 5 F", "F", False, (5, 605), [305, 345, 325, 365]),
    ("oil_temp - cht", "F", True, (-640, 300), [-88, -128, -108, -148]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "unit", "difference", "between", "values"), LETS, ids=[one[0] for one in LETS])
def test_let(
    rules: Rules, text: str, unit: str, difference: bool, between: tuple[object, object] | None, values: object
) -> None:
    x, found = _x(rules, f"let x = {text}")
    assert (x.unit.name or "", x.difference) == (unit, difference)
    if between is not None:
        assert (x.low, x.high) == between
    if values is not None:
        assert found == values
    assert x.size == (None if len(found) == 1 else len(found))
    assert (x.step, x.accuracy, x.deadband, x.title, x.sources, x.per) == (None, None, None, None, (), None)
    assert x.is_computed
    assert not x.is_trend


def test_units_of_flow_meet_exactly(rules: Rules) -> None:
    x, [value] = _x(rules, "let x = 10 L/h + flow")
    # 231 cubic inches of 2.54 cm.
    litres = Fraction(231) * Fraction(254, 100) ** 3 / 1000
    assert (x.unit.name, value) == ("gal/h", 10 + 10 / litres)


def test_let_of_lets_whatever_their_order(rules: Rules) -> None:
    ruleset = _ruleset(rules("let x = hot - cool\nlet cool = lowest of cht\nlet hot = highest of cht"))
    assert _instant(ruleset).reading("x", None) == 60
    assert ruleset.quantities["x"].difference
    assert ruleset.sensors_of("x") == {"cht"}


numbers = st.decimals(-50, 50, places=2).map(str)
leaves = st.one_of(
    st.sampled_from(["rpm", "lowest_rpm", "share / 1 %  * 1 rpm_unit", "map / 1 inHg * 1 rpm_unit"]),
    numbers.map(lambda number: f"{number} rpm"),
).filter(lambda text: "rpm_unit" not in text)
sums = st.recursive(
    leaves,
    lambda part: st.one_of(
        st.tuples(part, st.sampled_from(["+", "-"]), part).map(lambda p: f"({p[0]} {p[1]} {p[2]})"),
        st.tuples(part, numbers).map(lambda p: f"({p[0]} * {p[1]})"),
        st.tuples(part, st.sampled_from(["0.5", "4", "-3", "12.5"])).map(lambda p: f"({p[0]} / {p[1]})"),
    ),
    max_leaves=6,
)


@given(sums, st.integers(0, 3500), st.integers(0, 900))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
def test_arithmetic_is_what_it_says(rules: Rules, text: str, rpm: int, other: int) -> None:
    loaded = rules(f"quantity lowest_rpm from 0 to 900 rpm\nlet x = {text} + rpm - rpm")
    ruleset = _ruleset(loaded)
    state = State({"rpm": Fraction(rpm), "lowest_rpm": Fraction(other)}, {})
    found = Instant(ruleset, state).reading("x", None)
    plain = text.replace(" rpm)", ")").replace(" rpm ", " ")
    plain = _python(text)
    assert found == eval(plain, {"F": Fraction, "rpm": Fraction(rpm), "lowest_rpm": Fraction(other)})
    x = ruleset.quantities["x"]
    assert x.low <= found <= x.high


def _python(text: str) -> str:
    """The same in Python: every number a fraction, units left out."""
    import re

    return re.sub(r"(-?\d+(?:\.\d+)?)(?: rpm)?", r"F('\1')", text)
