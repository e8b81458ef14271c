"""silent-danger: against counted states, and the words of the clock, arrays and derived quantities."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, assume, given, settings

import alertlang.api as api
from alertlang.checks import silent_danger
from alertlang.findings.finding import WitnessReading
from alertlang.model import ruleset as m
from tests.helpers import news_counted
from tests.helpers.cells import inside
from tests.helpers.generate import Text, rule_sets
from tests.helpers.one_check import by_itself, found, mended
from tests.helpers.oracle import Oracle
from tests.helpers.shown import check_region, check_witness, element, primary

RPM = "quantity rpm from 0 to 3000 rpm, step 10 rpm\n"
LIMIT = f'{RPM}top: limit rpm at most 2700, needs warning, source NOTE\nrpm above 2700 is red with warning "RPM"\n'


def can_be_broken(oracle: Oracle, one: m.Range) -> bool:
    """Some value of the sensor breaks the limit, and its context can hold."""
    values = (inside(one.region, value) for value in oracle.values(one.quantity))
    return any(v if one.kind == "avoid" else not v for v in values) and oracle.exists(oracle.true(one.when))


def silent(oracle: Oracle, band: m.Band) -> dict[int | None, int]:
    """By element, the states in which a red band shows in silence with no limit broken; empty where it says nothing."""
    problem: dict[int | None, int] = {}
    needing = [one for one in oracle.limits("limit", "avoid") if one.needs and one.quantity == band.quantity]
    needing = [one for one in needing if can_be_broken(oracle, one)]
    for index in oracle.elements(band.quantity, band.index):
        own = [one for one in needing if one.index in {None, index}]
        shown = oracle.applies(band, index)
        states = shown & ~news_counted.told(oracle, band.quantity, index, m.Level.ADVISORY, None, [shown])
        broken = oracle.any_of(oracle.broken(one, index) for one in own)
        if oracle.exists(states & broken):
            return {}
        if own:
            problem[index] = states & ~broken
    return problem


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(rule_sets(assumptions=(0, 1), bands=(1, 5)))
def test_what_is_found_is_what_counting_says(generated: Text) -> None:
    rules = api.loads(generated.text).model
    oracle = Oracle(rules)
    assume(oracle.possible != 0)
    wrong = {band.label: silent(oracle, band) for band in rules.bands if band.colour is m.Colour.RED}
    findings = by_itself(silent_danger, rules)
    labels = [one.statements[0] for one in findings]
    assert len(set(labels)) == len(labels)
    assert set(labels) == {label for label, some in wrong.items() if any(oracle.exists(s) for s in some.values())}
    for one in findings:
        assert one.witness is not None
        assert one.region is not None
        problem = wrong[one.statements[0]][element(primary(one.region))]
        check_region(oracle, one.region, problem)
        check_witness(oracle, one.witness, one.region, problem)
        if one.suggestion is not None:
            assert one.suggestion.replaces is not None
            after = api.loads(generated.text.replace(one.suggestion.replaces.text, one.suggestion.text)).model
            assert one.statements[0] not in {f.statements[0] for f in by_itself(silent_danger, after)}


@pytest.mark.parametrize(
    ("text", "count"),
    [
        pytest.param("rpm below 500 is red\n", 1, id="other-end"),
        pytest.param('rpm below 500 is red with caution "LOW"\n', 0, id="an-alert-of-a-lower-level"),
        pytest.param('rpm below 500 is red\nwhen rpm below 500 then advisory "LOW"\n', 0, id="an-alert-on-its-own"),
        pytest.param('rpm below 500 is red\nwhen rpm below 400 then advisory "LOW"\n', 1, id="it-comes-too-late"),
        pytest.param('rpm below 500 is red\nwhen gear is up then advisory "LOW"\n', 1, id="it-is-about-something-else"),
        pytest.param("rpm below 500 is yellow\n", 0, id="yellow"),
        pytest.param("rpm below 500 is red\nrpm below 300 is red\n", 2, id="each-band-once"),
        pytest.param("rpm above 2600 is red\n", 1, id="red-before-the-limit"),
        pytest.param("rpm above 2700 is red\n", 0, id="red-where-the-alert-is-up"),
    ],
)
def test_a_red_band(text: str, count: int) -> None:
    assert len(found(silent_danger, LIMIT + "switch gear up, down\n" + text)) == count


def test_no_limit_that_needs_an_alert() -> None:
    text = f"{RPM}limit rpm at most 2700, source NOTE\nrpm above 2700 is red\nrpm below 500 is red\n"
    assert found(silent_danger, text) == []


def test_missing_alert_comes_first() -> None:
    text = f"{RPM}limit rpm at most 2700, needs caution, source NOTE\nrpm above 2600 is red\n"
    codes = {
        one.code.name for one in api.loads('rules "c" version 1\nsource NOTE common practice\n' + text).check().findings
    }
    assert "missing-alert" in codes
    assert "silent-danger" not in codes


def test_the_limit_that_is_named_is_the_near_one() -> None:
    text = f"{LIMIT}slow: limit rpm at least 500 except for 2 s, source NOTE\n"
    text += "low: when gear is up limit rpm at least 400, needs caution, source NOTE\nswitch gear up, down\n"
    text += 'rpm below 500 is red\nwhen gear is up and rpm below 400 then caution "LOW"\n'
    [one] = found(silent_danger, text)
    assert one.limit == "low"
    assert one.suggestion is not None
    assert 'with caution "RPM LOW"' in one.suggestion.text


# ---- the clock


def test_times_count_as_over() -> None:
    late = (
        'rpm below 500 for more than 10 s is red\nwhen rpm below 500 for more than 60 s then advisory "LOW" after 5 s\n'
    )
    assert found(silent_danger, LIMIT + late) == []
    [one] = found(silent_danger, LIMIT + "rpm below 500 for more than 10 s is red\n")
    assert one.suggestion is not None
    assert one.suggestion.text == 'rpm below 500 for more than 10 s is red with warning "RPM LOW"'
    assert found(silent_danger, mended(LIMIT + "rpm below 500 for more than 10 s is red\n", one)) == []


def test_an_alert_with_a_memory_may_be_down() -> None:
    text = 'condition low means rpm below 400 until rpm above 600\nrpm below 500 is red\nwhen low then caution "LOW"\n'
    [one] = found(silent_danger, LIMIT + text)
    assert one.message.startswith("rpm below 500 rpm is red and no alert is up whenever not low")
    assert one.witness is not None
    assert one.witness["low"] is False
    assert isinstance(one.witness["rpm"], WitnessReading)
    assert one.witness["rpm"].value >= 400


def test_red_that_a_deadband_keeps_up_does_not_count() -> None:
    text = LIMIT.replace("step 10 rpm", "step 10 rpm, deadband 50 rpm").replace(' with warning "RPM"', "")
    assert found(silent_danger, text + 'when rpm above 2700 then warning "RPM"\n') == []


# ---- arrays and derived quantities


def test_one_element_of_an_array() -> None:
    text = (
        "quantity cht[3] from 0 to 500 F\nlimit cht at most 450, needs warning, source NOTE\n"
        'cht above 450 is red with warning "CHT {n}"\ncht[2] above 400 is red\n'
    )
    [one] = found(silent_danger, text)
    assert one.message.startswith("cht[2] above 400 up to 450 F is red and no alert is up")
    assert found(silent_danger, mended(text, one)) == []


def test_an_array_whose_elements_are_alike() -> None:
    text = (
        "quantity cht[3] from 0 to 500 F\nlimit cht at most 450, needs warning, source NOTE\n"
        'cht above 450 is red with warning "CHT {n}"\ncht below 100 is red\n'
    )
    [one] = found(silent_danger, text)
    assert one.suggestion is not None
    assert one.suggestion.text == 'cht below 100 is red with warning "CHT {n} LOW"'
    assert found(silent_danger, mended(text, one)) == []


def test_a_derived_quantity() -> None:
    text = (
        "quantity cht[2] from 0 to 500 F\nlet apart = spread of cht\n"
        "limit apart at most 60 F, needs caution, source NOTE\n"
        'apart above 60 is red with caution "APART"\napart from 40 to 60 is red\n'
    )
    [one] = found(silent_danger, text)
    assert one.statements == ("apart_2",)


def test_a_bound_that_moves() -> None:
    text = (
        f"{RPM}quantity boost from 0 to 40 inHg\ncurve most over rpm: 0 rpm -> 20 inHg, 3000 rpm -> 30 inHg\n"
        "limit boost at most most, needs warning, source NOTE\nboost above {} is red\n"
        'when boost above most then warning "BOOST"\n'
    )
    assert found(silent_danger, text.format("most")) == []
    assert len(found(silent_danger, text.format("20"))) == 1
