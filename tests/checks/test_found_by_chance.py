"""What shows only for a time, and other things that random rule sets found."""

import pytest

from alertlang.api import loads
from alertlang.checks import (
    blank_on_failure,
    constant_condition,
    dead_alert,
    late_alert,
    set_clear_overlap,
    stuck_condition,
    unreachable_band,
)
from alertlang.results.report import Verdict
from tests.helpers.one_check import HEAD as ONE_CHECK
from tests.helpers.one_check import found

HEAD = "quantity a from 0 to 4 rpm\nswitch s y, z\na at least 0 rpm is green\n"
LATER = "condition late means s is y, cleared after 2 s\n"
CLIMB = "quantity temp from -4 to 4 C\nlet climb = rise of temp per s, from -8 to 8 C\n"
SOON = "condition up means s is y or s is z, set after 60 s\n"


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(LATER + 'b: when late and s is z then a above 2 rpm is red with warning "B"', id="still true"),
        pytest.param(LATER + 'when late and s is z then warning "A"', id="an alert on its own"),
        pytest.param(SOON + 'b: a above 2 rpm is yellow with caution "B" unless up', id="since it was switched on"),
        pytest.param(SOON + "a at least 0 rpm is yellow unless not up", id="not masked yet"),
        pytest.param(
            "condition low means a at most 2 rpm, set after 1 s\n"
            "b: when not low then a at least 0 rpm for more than 2 s is white\na above 2 rpm is yellow",
            id="what it waits for was so before",
        ),
        pytest.param(
            LATER + "condition other means s is z, cleared after 2 s\n"
            'when (late and s is z) or (other and s is y) for more than 60 s then warning "A"',
            id="two that keep it up in turn",
        ),
        pytest.param(
            LATER
            + "condition last means late and s is z\n"
            + 'b: when last then a above 2 rpm is red with warning "B"',
            id="through another condition",
        ),
        # At the first sample, and where temp comes back.
        pytest.param(CLIMB + 'when climb failed and temp above 2 C then advisory "A" latched', id="no sample before"),
        pytest.param(
            CLIMB + "let jerk = fall of climb per s, from -8 to 8 C\n"
            'when jerk failed and climb above 2 C then advisory "A"',
            id="no climb before",
        ),
        pytest.param(CLIMB + "b: when climb failed and temp above 2 C then a above 2 rpm is red", id="a band there"),
    ],
)
def test_what_shows_until_it_settles_can_show(text: str) -> None:
    assert [one.message for check in (unreachable_band, dead_alert) for one in found(check, HEAD + text + "\n")] == []


@pytest.mark.parametrize(
    ("text", "names"),
    [
        # Never true, so not still true either.
        (
            "condition late means a above 9 rpm, cleared after 2 s\nb: when late then a above 2 rpm is red",
            ("b", "late"),
        ),
        (LATER + "b: when late and not late then a above 2 rpm is red", ("b", "late")),
        (LATER + "b: a above 2 rpm is yellow\nr: when late or s is z or s is y then a above 1 rpm is red", ("b", "r")),
    ],
)
def test_what_shows_at_no_time_is_named_as_before(text: str, names: tuple[str, ...]) -> None:
    [one] = found(unreachable_band, HEAD + text + "\n")
    assert one.statements == names


def test_what_is_always_true_is_so_only_from_its_delay_on() -> None:
    [one] = found(constant_condition, HEAD + SOON)
    assert one.message == "the condition up is always true from 1 min after the start on: it decides nothing else"


def test_the_assumptions_that_mask_are_those_of_settled_states() -> None:
    text = """quantity b from 0 to 4 rpm
condition c1 means s is y until b at most 2 rpm, set after 2 s
condition c2 means not c1, cleared after 2 s
r: when s is z or c1 then a at least 0 rpm is red
g: a above 2 rpm is yellow
s1: assume not (not c2 and s is y)
"""
    assert ("g", "r", "s1") in [one.statements for one in found(unreachable_band, HEAD + text)]


def test_a_band_that_ends_elsewhere_with_a_sensor_failed_is_named() -> None:
    """At 3 rpm it is yellow with the sensor at -2 C, and with it failed the end is at 4 rpm."""
    text = "quantity temp from -4 to 4 C\nquantity speed from 0 to 10 rpm\n"
    text += "curve top over temp: -2 C -> 2 rpm, 4 C -> 4 rpm, otherwise 4 rpm\nb: speed above top is yellow\n"
    [one] = found(blank_on_failure, text)
    assert (one.statements, one.suggestion) == (("b",), None)
    assert "give the curve an `otherwise` that will do" in one.advice[0]


def test_what_only_a_claim_asks_of_the_past_follows_from_what_there_is() -> None:
    """`running` has lasted 30 s, so `running or rpm failed` has, which no statement asks for."""
    [one] = found(
        late_alert,
        """\
quantity rpm from 0 to 3000 rpm
quantity oil_pressure from 0 to 100 psi
condition running means rpm above 400 rpm
limit_loss: when running for at least 30 s
  limit oil_pressure at least 10 psi, needs warning within 5 s, source NOTE
slow: when running or rpm failed then oil_pressure below 10 psi is red with warning "OIL P" after 29.5 s
told: prove when (running or rpm failed) for at least 30 s then oil_pressure below 10 psi is red
""",
    )
    assert "and warning comes only after 29.5 s whenever running for at least 30 s" in one.message


def test_a_rise_that_has_failed_alone_sets_what_asks_for_it() -> None:
    assert (
        found(stuck_condition, HEAD + CLIMB + "condition c means temp above 2 C and climb failed until s is z\n") == []
    )
    [one] = found(set_clear_overlap, HEAD + CLIMB + "condition c means climb failed until temp above 2 C\n")
    assert "temp above 2 C whenever there was no temp just before" in one.message


def test_all_that_rises_and_falls_with_a_reading_has_failed_at_once() -> None:
    text = CLIMB + "let sink = fall of temp per min, from -8 to 8 C\n"
    text += 'x: when climb failed and not (sink failed) then advisory "X"\n'
    assert [one.statements for one in found(dead_alert, HEAD + text)] == [("x",)]


def test_one_element_rises_while_another_has_no_value_before() -> None:
    text = "quantity cht[2] from 0 to 4\nlet rest = 4 - cht\nlet warming = rise of rest per s, from 0 to 4\n"
    one = 'when warming[1] failed and warming[2] above 2 and cht[1] above 2 then advisory "X"\n'
    assert found(dead_alert, HEAD + text + one) == []
    [dead] = found(dead_alert, HEAD + text + one.replace("warming[1] failed", "warming[2] failed"))
    assert dead.code.name == "dead-alert"


def test_what_has_another_value_while_its_sensor_has_failed_rises_all_the_same() -> None:
    """The curve never fails, so neither does its rise: the reference had it failed."""
    text = "quantity temp from -4 to 4 C\ncurve top over temp: -2 C -> 2 C, 2 C -> 3 C, otherwise 2 C\n"
    text += "let rising = rise of top per s, from -8 to 8 C\ncondition c means temp failed until rising at least 0 C\n"
    [one] = found(set_clear_overlap, HEAD + text)
    assert "whenever temp has failed" in one.message


@pytest.mark.parametrize(("named", "verdict"), [("temp", Verdict.REFUTED), ("climb", Verdict.PROVED)])
def test_a_rise_that_comes_back_later_than_its_reading_breaks_what_has_lasted(named: str, verdict: Verdict) -> None:
    text = f"""{CLIMB}g: when climb above 1 C for at least 2 s then a above 2 rpm is yellow
r: when (climb above 1 C or {named} failed) for at least 2 s then a at least 0 rpm is red
s1: assume climb above 1 C for at least 2 s
p1: prove when s is y or temp failed then a at least 0 rpm is red
"""
    [claim] = loads(ONE_CHECK + HEAD + text).check().claims
    assert claim.verdict is verdict
