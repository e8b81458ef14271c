"""Derived readings in the solver against the reference value, and questions about them against a fine grid."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import alertlang
from alertlang.checks.context import Context
from alertlang.findings.finding import Finding, WitnessReading, WitnessTruth
from alertlang.logic.derive import range_of_difference
from alertlang.logic.smtlib import script
from alertlang.logic.solver import Answer, Question
from alertlang.logic.terms import both, conjunction, in_interval, negate
from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.units.interval import Interval
from tests.outside.test_second_solver import second_opinion

TEXT = """\
rules "osier" version 1
quantity rpm from 0 to 3000 rpm, step 10 rpm
quantity mp from 10 to 40 inHg, step 0.1 inHg
quantity cht[3] from 0 to 600 F, step 1 F
quantity oat from -40 to 50 C
let spread_of = spread of cht
let high = highest of cht
let low = lowest of cht
let mean = average of cht
let off = deviation of cht
let square = mp / 1 inHg - rpm / 100 rpm
let warm = high - oat
let twice = (spread_of + 10 F) * 2
curve top over rpm: 1800 rpm -> 22 inHg, 2400 rpm -> 28 inHg, 2700 rpm -> 25 inHg
curve by_heat over high: 200 F -> 2700 rpm, 400 F -> 2000 rpm
let room = top - mp
"""

readings = st.fixed_dictionaries(
    {
        "rpm": st.sampled_from([0, 1799, 1800, 2100, 2400, 2500, 2700, 3000]),
        "mp": st.integers(10, 40),
        "cht[1]": st.integers(0, 600),
        "cht[2]": st.sampled_from([0, 200, 300, 400, 600]),
        "cht[3]": st.integers(0, 600),
        "oat": st.integers(-40, 50),
    }
).map(lambda found: {name: Fraction(value) for name, value in found.items()})


@pytest.fixture(scope="module")
def context() -> Context:
    return Context(alertlang.loads(TEXT).model)


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(values=readings)
def test_the_solver_gives_each_the_value_of_the_reference(context: Context, values: dict[str, Fraction]) -> None:
    instant = Instant(context.ruleset, State(values, {}))
    here = conjunction(in_interval(name, Interval.point(value)) for name, value in values.items())
    for quantity in context.ruleset.quantities.values():
        if quantity.derived is None:
            continue
        for index in quantity.indexes:
            value = instant.reading(quantity.name, index)
            assert quantity.low <= value <= quantity.high, "between the ends that were worked out"
            name = context.encoder.names.reading(quantity.name, index, context.encoder.mode)
            there = in_interval(name, Interval.point(value))
            assert context.decider.is_satisfiable(both(here, there)) is Answer.YES, name
            assert context.decider.is_satisfiable(both(here, negate(there))) is Answer.NO, name


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(values=readings, off=st.sampled_from([0, 1]))
def test_a_second_solver_reads_the_same_definitions(context: Context, values: dict[str, Fraction], off: int) -> None:
    instant = Instant(context.ruleset, State(values, {}))
    here = conjunction(in_interval(name, Interval.point(value)) for name, value in values.items())
    for name, index in (("room", None), ("off", 2), ("by_heat", None), ("twice", None)):
        value = instant.reading(name, index)
        variable = context.encoder.names.reading(name, index, context.encoder.mode)
        term = both(here, in_interval(variable, Interval.point(value + off)))
        text = script(context.encoder, Question(term, (), Answer.UNDECIDED))
        assert second_opinion(text) == ("unsat" if off else "sat")


def found_in(text: str, *names: str) -> list[Finding]:
    report = alertlang.loads(TEXT + text).check()
    return [f for f in report.findings if f.code.name in names]


def test_a_gap_beside_a_curve_is_where_the_grid_says() -> None:
    [gap] = found_in("mp at most top is green\nwhen rpm above 2000 then mp above top is red\n", "gap")
    model = alertlang.loads(TEXT).model
    assert gap.witness is not None
    shown = {name: fact.value for name, fact in gap.witness.items() if isinstance(fact, WitnessReading)}
    blank = [
        (rpm, mp)
        for rpm, mp in product(range(0, 3001, 100), range(10, 41))
        if rpm <= 2000 and mp > Instant(model, State({"rpm": Fraction(rpm)}, {})).reading("top", None)
    ]
    assert blank
    assert shown["rpm"] <= 2000
    assert shown["mp"] > Instant(model, State(shown, {})).reading("top", None) == shown["top"]
    assert shown["rpm"] % 10 == 0
    assert (shown["mp"] * 10).denominator == 1
    assert gap.region is not None
    assert "mp - top" in gap.region


def test_a_mended_one_is_clean() -> None:
    assert not found_in("mp at most top is green\nmp above top is red\n", "gap", "conflict", "disagreement")


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        pytest.param("mp below top is green\nmp above top is red\n", {"gap"}, id="a-point-that-moves"),
        pytest.param("mp at most top is green\nmp at least top is red\n", set(), id="a-shared-end-that-moves"),
        pytest.param("mp at most top is green\nmp above 27 is red\nmp above top is red\n", {"conflict"},
                     id="an-end-that-crosses-a-curve"),
        pytest.param("mp at most top is green\nmp above 28 is red\nmp above top is red\n", {"redundant-band"},
                     id="a-number-beyond-the-curve"),
        pytest.param("spread_of from 0 to 600 F is green\nspread_of above 600 F is red\n", {"unreachable-band"},
                     id="more-than-a-spread-can-be"),
        pytest.param("when low above 300 F then high below 300 F is red\nhigh at least 0 F is green\n",
                     {"unreachable-band"}, id="the-highest-is-not-below-the-lowest"),
        pytest.param("off from -400 to 400 F is green\n", set(), id="a-deviation-is-at-most-two-thirds"),
        pytest.param("off from -399 to 400 F is green\n", {"gap"}, id="just-too-narrow"),
    ],
)  # fmt: skip
def test_questions_about_what_is_derived(text: str, codes: set[str]) -> None:
    looked_for = ("gap", "conflict", "redundant-band", "unreachable-band")
    assert {f.code.name for f in found_in(text, *looked_for)} == codes


def test_a_limit_against_a_curve_is_guarded_only_by_the_same_curve() -> None:
    head = "source S common practice\nl: limit mp at most top, needs warning, source S\nmp at most top is green\n"
    assert not found_in(head + 'mp above top is red with warning "MP"\n', "unguarded-limit", "missing-alert")
    [late] = found_in(head + 'mp above 25 is red with warning "MP"\n', "unguarded-limit")
    assert late.limit == "l"
    assert late.witness is not None
    value = late.witness["mp"]
    assert isinstance(value, WitnessReading)
    assert value.value <= 25


def test_failure_in_a_curve_with_and_without_otherwise() -> None:
    head = (
        'rules "osier" version 1\nsource S common practice\nquantity rpm from 0 to 3000 rpm\n'
        "quantity mp from 10 to 40 inHg\n{curve}\n"
        'l: limit mp at most top, source S\nmp at most top is green\nmp above top is red with warning "MP"\n'
    )
    points = "curve top over rpm: 1800 rpm -> 22 inHg, 2400 rpm -> 28 inHg"
    lost = alertlang.loads(head.format(curve=points)).check().findings
    assert [f.code.name for f in lost if f.code.name == "lost-guard"] == ["lost-guard"]
    safe = alertlang.loads(head.format(curve=f"{points}, otherwise 22 inHg")).check().findings
    assert "lost-guard" not in {f.code.name for f in safe}
    unsafe = alertlang.loads(head.format(curve=f"{points}, otherwise 23 inHg")).check().findings
    [found] = [f for f in unsafe if f.code.name == "lost-guard"]
    assert found.region is not None
    assert found.region["rpm failed"] == WitnessTruth(True)


def test_a_trend_is_free_in_its_range() -> None:
    head = (
        'rules "osier" version 1\nquantity cht[2] from 0 to 600 F\nlet cooling = fall of cht per min, from 0 to 200 F\n'
    )
    rules = alertlang.loads(head + "cooling at most 50 F is green\ncooling above 50 F is yellow\n"
                            "prove when every cht above 500 F then cooling[1] at most 60 F is green\n")  # fmt: skip
    report = rules.check()
    assert [c.verdict.value for c in report.claims] == ["refuted"]
    assert isinstance(rules.model.quantities["cooling"], m.Quantity)
    assert not [f for f in report.findings if f.code.name == "gap"]


@pytest.mark.parametrize("otherwise", [60, 1000000])
@pytest.mark.parametrize("end", ["top", "twice"])
def test_what_a_curve_gives_on_failure_may_lie_beyond_all_it_gives_otherwise(otherwise: int, end: str) -> None:
    """A guard that a far too high `otherwise` takes away is lost, however far that is from the curve."""
    text = (
        'rules "osier" version 1\nsource S common practice\nquantity rpm from 0 to 3000 rpm\n'
        "quantity mp from 10 to 40 inHg\n"
        f"curve top over rpm: 1800 rpm -> 22 inHg, 2400 rpm -> 28 inHg, otherwise {otherwise} inHg\n"
        "let twice = top * 2 - top\n"
        f"l: limit mp at most {end}, source S\nmp at most {end} is green\nmp above {end} is red\n"
    )
    assert "lost-guard" in {f.code.name for f in alertlang.loads(text).check().findings}


def test_a_difference_reaches_from_end_to_end() -> None:
    ruleset = alertlang.loads(
        'rules "a" version 1\nquantity a from 0 to 10 bar\nquantity b from -2 to 4 bar\nlet t = 3 bar - b\n'
        "a above t is red\na at most t is green\n"
    ).model
    band = ruleset.rules[0]
    assert isinstance(band, m.Band)
    assert isinstance(band.region.first, m.Moving)
    a, b, t = (ruleset.quantities[name] for name in "abt")
    assert range_of_difference(a, t, band.region.first) == (Fraction(0 - 5), Fraction(10 + 1))
    assert range_of_difference(a, b, replace(band.region.first, factor=Fraction(-1), offset=Fraction(1))) == (
        Fraction(-3),
        Fraction(13),
    )
