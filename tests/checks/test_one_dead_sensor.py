"""One dead sensor: guards that come too late or never, other elements of an array, blank gauges, and what is told."""

from __future__ import annotations

from fractions import Fraction

import pytest

from alertlang.api import loads
from alertlang.checks import blank_on_failure, lost_guard
from alertlang.findings.finding import Finding, ToldOtherwise
from alertlang.output.json import claim_data
from alertlang.output.text import witness_words
from tests.helpers.one_check import HEAD, found, mended

OIL = """\
quantity rpm from 0 to 3500 rpm, step 10 rpm
quantity oil from 0 to 100 psi, step 1 psi
condition running means rpm above 400 rpm
low: when running limit oil at least 10 psi, needs warning within 5 s, source NOTE
rpm at least 0 is green
oil at least 10 psi is green
when not running then oil below 10 psi is unmarked
"""
QUICK = 'quick: when running then oil below 10 psi is red with warning "OIL" after 4 s\n'


def lost(text: str) -> list[Finding]:
    """What is found of a sensor that is dead and stays so; one that fails and comes back is another matter."""
    return [one for one in found(lost_guard, text) if one.message.startswith("with ")]


def times(one: Finding) -> tuple[Fraction, Fraction] | None:
    return None if one.reaction is None else (one.reaction.worst, one.reaction.allowed)


# ---- in time


def test_a_guard_that_is_left_comes_too_late() -> None:
    [one] = lost(OIL + QUICK + 'slow: when rpm failed then oil below 10 psi is red with warning "BLIND" after 10 min\n')
    assert times(one) == (Fraction(600), Fraction(5))
    assert one.statements == ("quick", "slow")
    assert ", and warning comes only after 10 min instead of 4 s: 10 min (after, slow)" in one.message
    assert one.witness is not None
    assert one.witness["running"] == ToldOtherwise(holds=True, told=False)


@pytest.mark.parametrize(
    ("left", "expected"),
    [
        pytest.param("oil below 10 psi is red with warning B after 5 s", [], id="just in time"),
        pytest.param("oil below 10 psi is red with warning B after 5.1 s", ["51/10"], id="just too late"),
        pytest.param(
            "oil below 10 psi for more than 8 s is red with warning B",
            ["8", "8"],
            id="red instead of at once, its alert instead of 4 s",
        ),
        pytest.param("oil below 9 psi is red with warning B after 9 s", [None], id="never above 9"),
    ],
)
def test_the_time_that_is_allowed(left: str, expected: list[str | None]) -> None:
    said = lost(OIL + QUICK + f"slow: when rpm failed then {left}\n".replace("warning B", 'warning "B"'))
    assert [None if one.reaction is None else str(one.reaction.worst) for one in said] == expected


def test_red_alone_is_late() -> None:
    rules = OIL.replace(", needs warning within 5 s", "")
    quick = "quick: when running then oil below 10 psi is red\n"
    [one] = lost(rules + quick + "slow: when rpm failed then oil below 10 psi for more than 1 min is red\n")
    assert times(one) == (Fraction(60), Fraction(2))
    assert ", and red comes only after 1 min instead of at once: " in one.message


def test_red_and_its_alert_are_late_alike() -> None:
    quick = 'quick: when running then oil below 10 psi is red with warning "OIL"\n'
    [one] = lost(
        OIL + quick + 'slow: when rpm failed then oil below 10 psi for more than 1 min is red with warning "BLIND"\n'
    )
    assert times(one) == (Fraction(60), Fraction(5))
    assert ", and red and its alert come only after 1 min instead of at once: " in one.message


def test_late_with_the_sensor_too_is_late_alerts_matter() -> None:
    slow = 'slow: when running or rpm failed then oil below 10 psi is red with warning "OIL" after 8 s\n'
    assert lost(OIL + slow) == []
    assert any(f.code.name == "late-alert" for f in loads(HEAD + OIL + slow).check().findings)


def test_two_guards_that_hand_over_are_no_later_for_a_sensor_that_neither_reads() -> None:
    """Whichever way `cold` is on its way, one of them shows; with rpm dead a third one does, and late."""
    text = OIL + (
        "quantity oil_temp from -40 to 300 F, step 1 F\noil_temp at least -40 F is green\n"
        "condition cold means oil_temp below 75 F, set after 20 s, cleared after 20 s\n"
        'c: when running and cold then oil below 10 psi is red with warning "OIL C"\n'
        'w: when running and not cold then oil below 10 psi is red with warning "OIL W"\n'
        'b: when rpm failed then oil below 10 psi is red with warning "BLIND" after {}\n'
    )
    assert lost(text.replace("{}", "4 s")) == []
    [one] = [f for f in lost(text.replace("{}", "9 s")) if "rpm failed" in (f.witness or {})]
    assert times(one) == (Fraction(9), Fraction(5))
    assert "instead of at once" in one.message


def test_a_condition_that_turns_false_late_keeps_the_guard_for_a_while_only() -> None:
    text = OIL.replace("rpm above 400 rpm", "rpm above 400 rpm, cleared after 1 min") + QUICK
    [one] = lost(text)
    assert one.reaction is None


def test_until_and_for_at_least_keep_what_they_had() -> None:
    """What is told can only hold more often with rpm dead, so it has lasted as long, and is set as long."""
    held = OIL.replace("rpm above 400 rpm", "rpm above 400 rpm or rpm failed").replace(
        "low: when running limit", "low: when running for at least 30 s limit"
    )
    assert lost(held + QUICK.replace("when running", "when running for at least 30 s")) == []
    until = OIL.replace("rpm above 400 rpm", "rpm above 400 rpm or rpm failed until rpm below 300 rpm")
    assert lost(until + QUICK) == []
    # And the other way round: it may be over.
    less = held.replace("rpm above 400 rpm or rpm failed", "rpm above 400 rpm")
    assert len(lost(less + QUICK.replace("when running", "when running for at least 30 s"))) == 1


def test_two_sensors_in_one_guard_are_tried_one_by_one() -> None:
    text = OIL + "quantity map from 0 to 40 inHg\nmap at least 0 is green\n"
    both = 'quick: when rpm above 400 rpm and map at least 0 inHg then oil below 10 psi is red with warning "OIL"\n'
    said = lost(text + both)
    assert sorted(name for one in said for name in one.witness or {} if name.endswith("failed")) == [
        "map failed",
        "rpm failed",
    ]
    assert said[0].suggestion is not None
    assert said[-1].suggestion is not None
    assert "when (rpm above 400 rpm or rpm failed) and map at least 0 inHg then" in said[-1].suggestion.text or (
        "when (rpm above 400 rpm or rpm failed) and map at least 0 inHg then" in said[0].suggestion.text
    )


def test_only_news_counts_without_the_sensor() -> None:
    text = OIL.replace("when not running then oil below 10 psi is unmarked", "oil below 10 psi is red")
    text += (
        'quick: when running and oil below 10 psi then warning "OIL"\n'
        'other: when rpm failed and oil below 30 psi then warning "OIL OR RPM"\n'
    )
    [one] = lost(text)
    assert 'no warning comes up whenever rpm is above 400 rpm: "OIL OR RPM" (other) is up already at oil' in one.message
    assert one.suggestion is not None
    assert one.suggestion.text == 'quick: when (running or rpm failed) and oil below 10 psi then warning "OIL"'


# ---- elements

ELEMENTS = """\
quantity c[{size}] from 0 to 10 psi, step 1 psi
c at most 8 psi is green
"""


def test_another_element_of_the_same_array() -> None:
    [one] = lost(
        ELEMENTS.format(size=2) + "high: when c[2] above 3 psi limit c[1] at most 8 psi, needs caution, source NOTE\n"
        "c[2] above 8 psi is yellow\n"
        'when c[2] above 3 psi then c[1] above 8 psi is red with caution "C1 HIGH"\n'
        "when c[2] at most 3 psi then c[1] above 8 psi is yellow\n"
    )
    assert one.message.startswith("with c[2] failed, c[1] above 8 psi breaks the limit high")


@pytest.mark.parametrize(("quantifier", "is_lost"), [("any", False), ("every", True)])
def test_elements_that_are_all_alike(quantifier: str, is_lost: bool) -> None:
    """`any` holds by the element itself, `every` needs the others."""
    said = lost(
        ELEMENTS.format(size=3)
        + "high: limit c at most 8 psi, needs caution, source NOTE\n"
        + f'when {quantifier} c above 1 psi then c above 8 psi is red with caution "C {{n}} HIGH"\n'
        + f"when not {quantifier} c above 1 psi then c above 8 psi is yellow\n"
    )
    # With `every` it is not guarded where another element is low; where all are high it can be lost.
    assert [f.message.startswith("with c[2] failed, c[1] above 8 psi") for f in said] == [True] * is_lost


def test_the_sensors_that_a_reading_is_worked_out_from_are_left_out() -> None:
    text = (
        "quantity cht[4] from 0 to 600 F, step 1 F\nlet uneven = spread of cht\nlet off = deviation of cht\n"
        "lim: limit uneven at most 75 F, needs caution, source NOTE\nuneven at most 75 F is green\n"
        'uneven above 75 F is red with caution "CHT UNEVEN"\n'
        "out: limit off at most 50 F, needs caution, source NOTE\noff at most 50 F is green\n"
        'off above 50 F is red with caution "CHT {n} OFF"\ncht at least 0 F is green\n'
    )
    assert lost(text) == []
    assert found(blank_on_failure, text) == []


def test_the_highest_of_other_sensors_is_gone_with_each_of_them() -> None:
    text = (
        "quantity t[3] from 0 to 100 C\nlet top = highest of t\nquantity p from 0 to 10 psi, step 1 psi\n"
        "t at least 0 C is green\ntop at least 0 C is green\np at most 5 psi is green\n"
        "when top at most 50 C then p above 5 psi is yellow\n"
        "hot: when top above 50 C limit p at most 5 psi, needs caution, source NOTE\n"
        'when top above 50 C then p above 5 psi is red with caution "P HIGH"\n'
    )
    [one] = lost(text)
    assert one.message.startswith("with t failed, p above 5 psi breaks the limit hot")
    assert one.suggestion is not None
    assert "when top above 50 C or any t failed then" in one.suggestion.text
    assert lost(mended(text, one)) == []


@pytest.mark.parametrize(("otherwise", "count"), [("", 1), (", otherwise 3 psi", 0), (", otherwise 9 psi", 1)])
def test_an_end_that_moves_with_another_sensor(otherwise: str, count: int) -> None:
    text = (
        "quantity alt from 0 to 10 ft\nquantity p from 0 to 10 psi, step 1 psi\n"
        f"curve most over alt: 0 ft -> 3 psi, 10 ft -> 8 psi{otherwise}\nalt at least 0 ft is green\n"
        "limit p at most most, needs caution, source NOTE\np at most 10 psi is green\n"
        'p above most is red with caution "P HIGH"\n'
    )
    assert len(lost(text)) == count


# ---- blank gauges

TURBINE = """\
quantity ng from 0 to 110 %, step 1 %
quantity p from 0 to 200 psi, step 1 psi
condition running means ng at least 59 % or ng failed
lim: when running limit p at least 50 psi, needs warning, source NOTE
ng at least 0 is green
when ng below 59 % then p at most 200 psi is unmarked
calm: when ng at least 59 % then p at least 50 psi is green
when running then p below 50 psi is red with warning "OIL"
"""


def test_a_gauge_goes_blank_with_another_sensor() -> None:
    [one] = found(blank_on_failure, TURBINE)
    assert one.message == "with ng failed, p from 50 psi up shows no colour whenever ng is at least 59 %"
    assert one.severity.word == "warning"
    assert found(blank_on_failure, mended(TURBINE, one)) == []


@pytest.mark.parametrize(
    ("rest", "says"),
    [
        pytest.param("p at most 200 psi is unmarked\n", "is unmarked", id="unmarked counts as blank"),
        pytest.param("p at most 200 psi is white\n", None, id="another calm colour will do"),
        pytest.param('p failed is yellow with caution "P"\n', "shows no colour", id="its own failure is different"),
        pytest.param("when ng failed then p at least 0 psi is yellow\n", None, id="yellow will do"),
        pytest.param(
            "when ng failed then p at least 0 psi for more than 5 s is yellow\n",
            "shows no colour",
            id="blank for a while",
        ),
    ],
)
def test_what_is_left_of_a_gauge(rest: str, says: str | None) -> None:
    said = found(blank_on_failure, TURBINE.replace("when ng below 59 % then p at most 200 psi is unmarked\n", rest))
    assert [one.message for one in said if says is None or says not in one.message] == []
    assert bool(said) is (says is not None)


def test_the_proposal_is_the_worst_that_could_show() -> None:
    text = (
        "quantity ng from 0 to 110 %, step 1 %\nquantity p from 0 to 200 psi, step 1 psi\nng at least 0 is green\n"
        "a: when ng below 59 % then p at most 200 psi is green\n"
        "b: when ng at least 59 % then p at most 200 psi is yellow\n"
    )
    [one] = found(blank_on_failure, text)
    assert one.suggestion is not None
    assert one.suggestion.text == "b: when ng at least 59 % or ng failed then p at most 200 psi is yellow"


def test_another_elements_sensor_blanks_a_gauge() -> None:
    text = "quantity c[2] from 0 to 10 psi, step 1 psi\nwhen c[2] above 3 psi then c[1] at least 0 psi is green\n"
    text += "when c[2] at most 3 psi then c[1] at least 0 psi is white\nc[2] at least 0 psi is green\n"
    [one] = found(blank_on_failure, text)
    assert one.message.startswith("with c[2] failed, c[1] at any value shows no colour")


# ---- what is told


def test_a_refuted_claim_says_what_the_box_sees() -> None:
    text = TURBINE.replace("lim:", "# lim:") + "p1: prove when ng failed then p from 50 to 130 psi is at least green\n"
    [claim] = loads(HEAD + text).check().claims
    assert claim.verdict.value == "refuted"
    assert claim.witness is not None
    assert claim.witness["running"] == ToldOtherwise(holds=False, told=True)
    assert "not running, but the box sees running, ng failed" in witness_words(claim.witness)
    data = claim_data(claim)
    assert data["witness"]["running"] is False
    assert data["told"] == {"running": True}


def test_what_is_told_as_it_is_says_nothing_more() -> None:
    """A condition that the sensor has no part in is told as it is."""
    text = (
        "quantity ng from 0 to 110 %\nquantity p from 0 to 200 psi, step 1 psi\ncondition low_p means p below 50 psi\n"
        "when ng at least 59 % and low_p then p below 50 psi is red\n"
        "p1: prove when ng failed then p below 50 psi is red\n"
    )
    [claim] = loads(HEAD + text).check().claims
    assert claim.witness is not None
    assert claim.witness["low_p"] is True
    assert claim_data(claim)["told"] == {}


def test_an_open_truth_is_given_once_with_what_the_box_sees() -> None:
    """Between its two parts `cold` is what its past made of it; told it cannot be less."""
    text = (
        "quantity oil_temp from -40 to 300 F, step 1 F\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n"
        "condition cold means oil_temp below 75 F until oil_temp above 100 F\n"
        "lim: when oil_temp below 75 F limit rpm at most 1200 rpm, needs caution, source NOTE\n"
        'rpm at least 0 is green\nwhen cold then rpm above 1200 rpm is red with caution "COLD"\n'
    )
    [one] = lost(text)
    assert one.witness is not None
    assert not any("told without" in name for name in one.witness)
    assert one.witness["cold"] == ToldOtherwise(holds=True, told=False)
    assert "the box does not see cold" in one.message


def test_the_scenario_of_a_guard_that_is_late_waits_for_what_is_allowed() -> None:
    from alertlang.checks.registry import SEEN
    from alertlang.scenarios.save import saved

    slow = 'slow: when rpm failed then oil below 10 psi is red with warning "B" after 1 min\n'
    rules = loads(HEAD + OIL + QUICK + slow)
    findings = [f for f in rules.check().findings if f.code.name == "lost-guard"]
    [one] = saved(rules.model, findings, seen=SEEN)
    assert one.shows
    assert "rpm failed" in one.text
