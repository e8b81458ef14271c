"""normal-not-green: against counted states, and the words of the clock, arrays and derived quantities."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, assume, given, settings

import alertlang.api as api
from alertlang.checks import normal_not_green
from alertlang.model import ruleset as m
from tests.helpers.generate import Text, rule_sets
from tests.helpers.one_check import by_itself, found, mended
from tests.helpers.oracle import Oracle, rank
from tests.helpers.shown import box_of, check_region, check_witness, element, primary

RPM = "quantity rpm from 0 to 3000 rpm, step 10 rpm\n"
NORMAL = f"{RPM}usual: normal rpm from 1000 to 2000 rpm, source NOTE\n"
MOST = 4


def not_green(oracle: Oracle, one: m.Range, index: int | None) -> int:
    """The states in which a normal value shows something else than green, by counting."""
    states = oracle.true(one.when) & oracle.reads_in(one.quantity, index, one.region)
    for other in oracle.rules.ranges:
        if other.quantity == one.quantity and other.index in {None, index} and other.kind != "normal":
            inside = oracle.true(other.when) & oracle.reads_in(other.quantity, index, other.region)
            states &= ~(inside if other.kind == "precaution" else oracle.broken(other, index))
    greens = [band for band in oracle.bands(one.quantity) if band.colour is m.Colour.GREEN]
    green = oracle.any_of(oracle.applies(band, index) for band in greens)
    return states & ~(green & ~oracle.shows(one.quantity, index, 2))


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(rule_sets(assumptions=(0, 1), bands=(1, 5)))
def test_what_is_found_is_what_counting_says(generated: Text) -> None:
    rules = api.loads(generated.text).model
    oracle = Oracle(rules)
    assume(oracle.possible != 0)
    normal = {one.label: one for one in rules.ranges if one.kind == "normal" and oracle.bands(one.quantity)}
    wrong = {
        label: {i: not_green(oracle, one, i) for i in oracle.elements(one.quantity, one.index)}
        for label, one in normal.items()
    }
    findings = by_itself(normal_not_green, rules)
    assert {one.limit for one in findings} == {
        label for label, by_element in wrong.items() if any(oracle.exists(states) for states in by_element.values())
    }
    for one in findings:
        assert one.witness is not None
        assert one.region is not None
        problem = wrong[str(one.limit)][element(primary(one.region))]
        check_region(oracle, one.region, problem)
        check_witness(oracle, one.witness, one.region, problem)
        if one.suggestion is not None:
            after = Oracle(api.loads(f"{generated.text}{one.suggestion.text}\n").model)
            [again] = [r for r in after.rules.ranges if r.label == one.limit]
            left = not_green(after, again, element(primary(one.region)))
            assert not after.exists(left & box_of(after, one.region))
    for label, by_element in wrong.items():
        for index, problem in by_element.items():
            boxes = [
                box_of(oracle, f.region or {})
                for f in findings
                if f.limit == label and element(primary(f.region or {})) == index
            ]
            # Of elements that are treated alike one is shown.
            if 0 < len(boxes) < MOST:
                assert not oracle.exists(problem & ~oracle.any_of(boxes))


def test_generated_bands_are_often_wrong_and_often_right() -> None:
    """Else the test above would say little."""
    green = "usual: normal rpm from 10 to 20 rpm, source NOTE\nrpm from 10 to 20 is green\n"
    head = "quantity rpm from 0 to 40 rpm, step 10 rpm\n"
    assert found(normal_not_green, head + green) == []
    assert len(found(normal_not_green, head + green + "rpm from 15 to 40 is yellow\n")) == 1
    assert rank(api.loads('rules "r" version 1\n' + head + "rpm at most 20 is green\n").model.bands[0]) == 1


@pytest.mark.parametrize(
    ("bands", "count"),
    [
        pytest.param("rpm from 1000 to 2000 is green\n", 0, id="green"),
        pytest.param("rpm from 1000 to 2000 is green\nrpm from 900 to 1500 is white\n", 0, id="green-beside-white"),
        pytest.param("rpm from 1000 to 2000 is white\n", 1, id="white-alone"),
        pytest.param("rpm from 1000 to 2000 is blue\n", 1, id="blue-alone"),
        pytest.param("rpm from 1000 to 2000 is unmarked\n", 1, id="unmarked"),
        pytest.param("rpm from 1000 to 2000 is green\nrpm above 1900 is red\n", 1, id="red-over-green"),
        pytest.param("rpm from 1001 to 2000 is green\n", 1, id="blank-at-one-end"),
        pytest.param("rpm above 2000 is red\n", 1, id="blank"),
        pytest.param("", 0, id="no-bands-at-all"),
    ],
)
def test_colours(bands: str, count: int) -> None:
    assert len(found(normal_not_green, NORMAL + bands)) == count


@pytest.mark.parametrize(
    ("asked", "count"),
    [
        ("limit rpm at most 1500, source NOTE\n", 0),
        ("limit rpm at most 1499, source NOTE\n", 0),
        ("limit rpm at most 1501, source NOTE\n", 1),
        ("limit rpm at most 1500 except for 5 min, source NOTE\n", 0),
        ("avoid rpm from 1501 to 2000, source NOTE\n", 1),
        ("avoid rpm from 1500 to 2000, source NOTE\n", 0),
        ("precaution rpm at least 1500, source NOTE\n", 0),
        ("precaution rpm at least 1800, source NOTE\n", 1),
    ],
)
def test_what_asks_for_more_than_green(asked: str, count: int) -> None:
    """Yellow from just above 1500 on is right where a limit, an avoid range or a precaution holds from there."""
    text = f"{NORMAL}rpm at most 1500 is green\nrpm above 1500 is yellow\n{asked}"
    assert len(found(normal_not_green, text)) == count


def test_it_is_asked_only_while_the_range_holds() -> None:
    text = f"{RPM}switch gear up, down\nwhen gear is up normal rpm from 1000 to 2000 rpm, source NOTE\n"
    assert found(normal_not_green, text + "when gear is up then rpm from 1000 to 2000 is green\n") == []
    [one] = found(normal_not_green, text + "when gear is down then rpm from 1000 to 2000 is green\n")
    assert "whenever gear is up" in one.message


# ---- the clock


def test_a_yellow_that_comes_after_a_time_counts() -> None:
    bands = "rpm from 1000 to 2000 is green\nslow: rpm from 1000 to 1200 for more than 30 s is yellow\n"
    [one] = found(normal_not_green, NORMAL + bands)
    assert "from 1000 to 1200 rpm" in one.message
    assert one.statements == ("slow",)
    assert one.suggestion is None


def test_a_green_that_comes_after_a_time_counts_as_not_there_yet() -> None:
    text = f"{NORMAL}rpm from 1000 to 2000 for more than 5 s is green\n"
    [one] = found(normal_not_green, text)
    assert one.suggestion is not None
    assert found(normal_not_green, mended(text, one)) == []


def test_what_a_deadband_keeps_up_came_from_outside() -> None:
    with_deadband = NORMAL.replace("step 10 rpm", "step 10 rpm, deadband 50 rpm")
    bands = "rpm from 1000 to 2000 is green\nrpm above 2000 is red\nrpm below 1000 is yellow\n"
    assert found(normal_not_green, with_deadband + bands) == []


# ---- arrays and derived quantities


def test_one_element_of_an_array() -> None:
    text = (
        "quantity cht[3] from 0 to 500 F\nnormal cht from 200 to 400 F, source NOTE\n"
        "cht from 200 to 400 is green\ncht[2] from 350 to 400 is yellow\n"
    )
    [one] = found(normal_not_green, text)
    assert one.message.startswith("cht[2] from 350 to 400 F lies in the normal range")


def test_a_limit_on_one_element_excuses_no_other() -> None:
    text = (
        "quantity cht[2] from 0 to 500 F\nnormal cht from 200 to 400 F, source NOTE\n"
        "limit cht[1] at most 350 F, source NOTE\ncht from 200 to 350 is green\ncht above 350 is red\n"
    )
    [one] = found(normal_not_green, text)
    assert one.message.startswith("cht[2] above 350 up to 400 F")


def test_elements_treated_alike_are_one_finding() -> None:
    text = "quantity cht[4] from 0 to 500 F\nnormal cht from 200 to 400 F, source NOTE\ncht from 200 to 390 is green\n"
    [one] = found(normal_not_green, text)
    assert one.message.startswith("cht above 390 up to 400 F")
    assert one.suggestion is not None
    assert one.suggestion.text == "cht from 390 to 400 F is green"
    assert found(normal_not_green, mended(text, one)) == []


def test_a_derived_quantity() -> None:
    text = (
        "quantity cht[2] from 0 to 500 F\nlet apart = spread of cht\nnormal apart at most 40 F, source NOTE\n"
        "apart at most 30 is green\napart above 30 is yellow\n"
    )
    [one] = found(normal_not_green, text)
    assert "apart above 30 up to 40 F" in one.message


def test_a_range_that_moves() -> None:
    text = (
        f"{RPM}quantity boost from 0 to 40 inHg\ncurve most over rpm: 0 rpm -> 20 inHg, 3000 rpm -> 30 inHg\n"
        "normal boost at most most, source NOTE\nboost at most {} is green\nboost above 20 is yellow\n"
    )
    assert len(found(normal_not_green, text.format("most"))) == 1
    fits = text.replace("boost above 20 is yellow", "boost above most is yellow")
    assert found(normal_not_green, fits.format("most")) == []


WHITE = """rules "arcs" version 1
source NOTE common practice
quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt
switch flaps up, takeoff, landing
{label}when {when} normal airspeed from 42 to 85 kt, source NOTE
when {when} then airspeed from {low} to 85 kt is {colour}
"""


@pytest.mark.parametrize(
    ("label", "when", "low", "colour", "clean"),
    [
        ("out: ", "flaps is landing", 42, "white", True),
        ("out: ", "flaps is landing", 42, "green", True),
        ("out: ", "flaps is landing", 43, "white", False),
        ("out: ", "flaps is landing", 42, "blue", False),
        ("out: ", "flaps is not up", 42, "white", True),
        ("out: ", "flaps is not landing", 42, "white", False),
        ("flap_range: ", "flaps is not landing", 42, "white", True),
    ],
)
def test_white_will_do_with_the_flaps_out(label: str, when: str, low: int, colour: str, clean: bool) -> None:
    rules = api.loads(WHITE.format(label=label, when=when, low=low, colour=colour)).model
    assert (by_itself(normal_not_green, rules) == []) is clean
