"""What shows only for a time, and other things that random rule sets found."""

import pytest

from alertlang.checks import blank_on_failure, constant_condition, dead_alert, late_alert, unreachable_band
from tests.helpers.one_check import found

HEAD = "quantity a from 0 to 4 rpm\nswitch s y, z\na at least 0 rpm is green\n"
LATER = "condition late means s is y, cleared after 2 s\n"
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
