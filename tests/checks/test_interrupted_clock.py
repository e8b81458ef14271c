"""Clocks that hand over to each other while states change: what is found, and what is fine."""

from __future__ import annotations

from fractions import Fraction

import pytest

from alertlang.api import load, loads
from alertlang.findings.finding import Finding
from alertlang.text.resources import examples_dir

HEAD = 'rules "osier" version 1\nsource S common practice\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
FLAPS = "switch flaps up, down\n"
LIMIT = "lim: limit rpm at most 2600 rpm except for 300 s, needs caution, source S\n"
CALM = "rpm at most 2600 rpm is green\nrpm above 2600 rpm is yellow\n"
FOR = "for more than 300 s is red with caution"

CLOCKS = (
    FLAPS + LIMIT + CALM + f'up: when flaps is up then rpm above 2600 rpm {FOR} "UP"\n'
    f'down: when flaps is down then rpm above 2600 rpm {FOR} "DOWN"\n'
)
SETTLING = (
    FLAPS + "condition a means flaps is up, set after 5 s\ncondition b means flaps is down, set after 5 s\n"
    "lim: limit rpm at most 2600 rpm except for 300 s, needs caution within 10 s, source S\n"
    + CALM
    + f'long: when a or b then rpm above 2600 rpm {FOR} "LONG"\n'
)
ALERTS = (
    FLAPS + LIMIT + CALM + "shown: rpm above 2600 rpm for more than 300 s is red\n"
    'up: when flaps is up and rpm above 2600 rpm then caution "UP" after 300 s\n'
    'down: when flaps is down and rpm above 2600 rpm then caution "DOWN" after 300 s\n'
)


def found(text: str, name: str = "interrupted-clock") -> list[Finding]:
    findings = loads(HEAD + text).check().findings
    assert not any(one.undecided for one in findings)
    return [one for one in findings if one.code.name == name]


@pytest.mark.parametrize(
    ("text", "clocks", "changing"),
    [
        pytest.param(CLOCKS, ("up", "down"), "flaps", id="two-bands"),
        pytest.param(SETTLING, ("long",), "flaps", id="conditions-that-settle"),
        pytest.param(ALERTS, ("up", "down"), "flaps", id="two-alerts"),
        pytest.param(
            "switch flaps up, half, down\n"
            + LIMIT
            + CALM
            + "".join(f'{p}: when flaps is {p} then rpm above 2600 rpm {FOR} "{p}"\n' for p in ("up", "half", "down")),
            ("up", "half", "down"),
            "flaps",
            id="three-in-rotation",
        ),
        pytest.param(
            "switch flaps up, half, down\n"
            + LIMIT
            + CALM
            + f'not_up: when flaps is not up then rpm above 2600 rpm {FOR} "NOT UP"\n'
            + f'not_half: when flaps is not half then rpm above 2600 rpm {FOR} "NOT HALF"\n'
            + f'not_down: when flaps is not down then rpm above 2600 rpm {FOR} "NOT DOWN"\n',
            ("not_up", "not_half", "not_down"),
            "flaps",
            id="two-of-three-at-any-time",
        ),
        pytest.param(
            FLAPS + LIMIT + CALM + f'up: rpm above 2600 rpm {FOR} "UP" unless flaps is down\n'
            f'down: rpm above 2600 rpm {FOR} "DOWN" unless flaps is up\n',
            ("up", "down"),
            "flaps",
            id="an-unless-that-interrupts",
        ),
        pytest.param(
            LIMIT + CALM + f'some: rpm from 2600 to 2800 rpm {FOR} "SOME"\n'
            'much: rpm above 2800 rpm is red with caution "MUCH"\n',
            ("some",),
            "rpm",
            id="where-another-one-shows-red-at-once",
        ),
        pytest.param(
            FLAPS
            + "lim: limit rpm at most 2600 rpm except for 60 s, needs caution within 20 s, source S\n"
            + CALM
            + 'up: when flaps is up then rpm above 2600 rpm for more than 60 s is red with caution "UP" after 15 s\n'
            "down: when flaps is down then rpm above 2600 rpm for more than 60 s is red "
            'with caution "DOWN" after 15 s\n',
            ("up", "down"),
            "flaps",
            id="for-more-than-and-after",
        ),
        pytest.param(
            FLAPS + "lim: avoid rpm from 2000 to 2150 rpm except for 10 s, source S\n"
            "rpm at least 0 rpm is green\n"
            "up: when flaps is up then rpm from 2000 to 2150 rpm for more than 10 s is red\n"
            "down: when flaps is down then rpm from 2000 to 2150 rpm for more than 10 s is red\n",
            ("up", "down"),
            "flaps",
            id="a-range-to-avoid",
        ),
        pytest.param(
            "quantity cht[2] from 0 to 600 F, step 1 F\n"
            + FLAPS
            + "lim: limit cht at most 460 F except for 60 s, needs caution, source S\ncht at most 460 F is green\n"
            "cht above 460 F is yellow\n"
            'up: when flaps is up then cht above 460 F for more than 60 s is red with caution "UP {n}"\n'
            'down: when flaps is down then cht above 460 F for more than 60 s is red with caution "DOWN {n}"\n',
            ("up", "down"),
            "flaps",
            id="an-array",
        ),
        pytest.param(
            FLAPS + "lim: limit rpm at most 2600 rpm, needs caution within 5 s, source S\n"
            "condition a means flaps is up, set after 4 s\ncondition b means flaps is down, set after 4 s\n"
            'rpm at most 2600 rpm is green\nshown: when a or b then rpm above 2600 rpm is red with caution "RED"\n'
            "rpm above 2600 rpm is yellow\n",
            ("shown",),
            "flaps",
            id="nothing-but-conditions-that-settle",
        ),
    ],
)
def test_clocks_that_hand_over(text: str, clocks: tuple[str, ...], changing: str) -> None:
    findings = found(text)
    assert findings
    for one in findings:
        assert one.statements == clocks
        assert f" anew when {changing} change" in one.message
        assert one.reaction is not None
        assert one.reaction.worst > one.reaction.allowed
        assert "not proved" not in one.message


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(
            LIMIT
            + "top: limit rpm at most 2700 rpm except for 60 s, needs warning, source S\n"
            + CALM
            + f'a: rpm above 2600 rpm {FOR} "A"\n'
            'b: rpm above 2700 rpm for more than 60 s is red with warning "B"\n',
            id="clocks-that-overlap",
        ),
        pytest.param(
            FLAPS + "a: when flaps is up limit rpm at most 2600 rpm except for 300 s, needs caution, source S\n"
            "b: when flaps is down limit rpm at most 2600 rpm except for 300 s, needs caution, source S\n"
            + CALM
            + f'up: when flaps is up then rpm above 2600 rpm {FOR} "UP"\n'
            f'down: when flaps is down then rpm above 2600 rpm {FOR} "DOWN"\n',
            id="limits-that-take-turns",
        ),
        pytest.param(CLOCKS + 'all: rpm above 2600 rpm for more than 300 s is red with caution "ALL"\n', id="mended"),
        pytest.param(
            FLAPS + LIMIT + CALM + 'up: when flaps is up then rpm above 2600 rpm is red with caution "UP" after 2 s\n'
            'down: when flaps is down then rpm above 2600 rpm is red with caution "DOWN" after 2 s\n',
            id="quick-ones-together",
        ),
        pytest.param(
            "quantity oil_temp from 0 to 300 F\ncondition cold means oil_temp below 75 F, set after 5 s\n"
            "lim: when oil_temp below 75 F limit rpm at most 1200 rpm, needs caution within 8 s, source S\n"
            'rpm at least 0 rpm is green\nshown: when cold then rpm above 1200 rpm is red with caution "COLD"\n'
            'oil: when oil_temp failed then rpm above 1200 rpm is red with caution "BLIND"\n',
            id="a-condition-that-is-settled-wherever-the-limit-is-broken",
        ),
        pytest.param(
            "quantity oil_temp from 0 to 300 F\ncondition cold means oil_temp below 75 F, set after 5 s\n"
            "lim: when cold limit rpm at most 1200 rpm except for 30 s, needs caution, source S\n"
            "rpm at most 1200 rpm is green\nrpm above 1200 rpm is yellow\n"
            'shown: when cold then rpm above 1200 rpm for more than 30 s is red with caution "COLD"\n',
            id="a-condition-of-the-limit-itself",
        ),
        pytest.param(
            FLAPS + LIMIT + CALM + f'all: rpm above 2600 rpm {FOR.replace("300 s", "300 s in total")} "ALL"\n',
            id="a-clock-that-never-forgets",
        ),
        pytest.param(
            "lim: when rpm below 2600 rpm limit rpm at most 2600 rpm, needs caution, source S\n"
            f'rpm at least 0 rpm is green\nslow: rpm above 2600 rpm {FOR} "SLOW"\n',
            id="a-limit-that-is-never-broken",
        ),
    ],
)
def test_what_is_fine(text: str) -> None:
    assert [one.message for one in found(text)] == []


def test_bramble_is_fine() -> None:
    findings = load(examples_dir() / "02-bramble" / "bramble.alert").check().findings
    assert [one.code.name for one in findings if one.accepted is None] == []


def test_the_history_is_told_with_what_it_changes() -> None:
    [one] = found(CLOCKS)
    assert one.message == (
        "rpm above 2600 rpm can break the limit lim (<text> line 5) without end (the first 302.4 s are told below) "
        "and it is not red and no caution is up: the clocks of up and down start anew when flaps changes"
    )
    assert one.advice == (
        "0 s: rpm 3050 rpm, flaps up; 151.6 s: flaps down; so up to 302.4 s (allowed: 302 s)",
        "held in turn for 299.6 s each, nothing ever comes",
        "one statement that waits and applies wherever the limit is broken is enough, beside these",
    )
    assert one.reaction is not None
    assert one.reaction.allowed == 302


def test_the_proposal_is_the_one_statement() -> None:
    for text in (CLOCKS, ALERTS, SETTLING):
        [one] = found(text)
        assert one.suggestion is not None
        assert found(f"{text}{one.suggestion.text}\n") == []


def test_what_no_history_shows_is_not_proved() -> None:
    """A rate can only be held for a while: the solver takes it for free, the stepper does not."""
    text = (
        "let climbing = rise of rpm per s, from -100 to 100 rpm\n"
        + LIMIT
        + CALM
        + f'up: when climbing above 0 rpm then rpm above 2600 rpm {FOR} "UP"\n'
        f'down: when climbing at most 0 rpm then rpm above 2600 rpm {FOR} "DOWN"\n'
    )
    [one] = found(text)
    assert "is not proved" in one.message
    assert one.reaction is None


@pytest.mark.parametrize("said", ["unguarded-limit", "missing-alert", "late-alert"])
def test_what_others_say_of_the_limit_is_enough(said: str) -> None:
    changed = {
        "unguarded-limit": CLOCKS.replace(
            "down: when flaps is down then rpm above", "down: when flaps is down then rpm above 100 rpm and rpm above"
        ),
        "missing-alert": CLOCKS.replace(' with caution "DOWN"', ""),
        "late-alert": CLOCKS.replace('"DOWN"', '"DOWN" after 10 s'),
    }
    text = changed[said]
    if said == "unguarded-limit":
        text = CLOCKS.replace("down: when flaps is down then", "down: when flaps is down and flaps is up then")
    assert found(text, said)
    assert found(text) == []


SENSOR = (
    "quantity oil_pressure from 0 to 100 psi, step 1 psi\ncondition running means rpm above 400 rpm\n"
    "low: when running limit oil_pressure at least 10 psi, needs warning within 5 s, source S\n"
    "rpm at least 0 rpm is green\noil_pressure at least 10 psi is green\n"
    "when not running then oil_pressure below 10 psi is unmarked\n"
)
ON_AND_OFF = (
    SENSOR + 'quick: when running then oil_pressure below 10 psi is red with warning "OIL P" after 4 s\n'
    'slow: when rpm failed then oil_pressure below 10 psi is red with warning "OIL P NO RPM" after 4 s\n'
)


def test_a_sensor_that_fails_and_comes_back() -> None:
    [one] = found(ON_AND_OFF, "lost-guard")
    assert "while rpm fails and comes back" in one.message
    assert "the clocks of quick and slow start anew each time" in one.message
    assert one.reaction is not None
    assert one.reaction.worst > one.reaction.allowed == Fraction(5)
    assert found(ON_AND_OFF) == []


def test_a_sensor_may_fail_and_come_back_where_one_statement_holds_in_both() -> None:
    one_for_both = (
        'both: when running or rpm failed then oil_pressure below 10 psi is red with warning "OIL P" after 4 s\n'
    )
    assert found(SENSOR + one_for_both, "lost-guard") == []


def test_what_must_have_lasted_lasts_on_without_a_sensor() -> None:
    """The draft of a start: `(running or rpm failed) for at least 30 s` does not start anew with the sensor."""
    limit = SENSOR.replace("when running limit", "when running for at least 30 s limit")
    red = 'shown: when {} then oil_pressure below 10 psi is red with warning "OIL P" after 4 s\n'
    anew = limit + red.format("running for at least 30 s or rpm failed")
    lasting = limit + red.format("(running or rpm failed) for at least 30 s")
    assert ["fails and comes back" in one.message for one in found(anew, "lost-guard")] == [True]
    assert found(lasting, "lost-guard") == found(lasting) == found(lasting, "unguarded-limit") == []


def test_what_settles_anew_after_a_sensor_came_back_while_the_limit_still_counts() -> None:
    """`high_power` stays set where the limit looks, and has to be set anew where the box looks."""
    [one] = found(
        "quantity volts from 0 to 100 V, step 1 V\n"
        "condition high_power means rpm above 2000 rpm, set after 1 s, cleared after 1 s\n"
        "lim: when high_power limit volts at most 50 V, source S\n"
        "rpm at least 0 rpm is green\nvolts at most 50 V is green\n"
        "when not (high_power or rpm failed) then volts above 50 V is unmarked\n"
        "shown: when high_power or rpm failed then volts above 50 V is red\n",
        "lost-guard",
    )
    assert "while rpm fails and comes back, volts above 50 V can break the limit lim" in one.message
    assert "high_power has to settle anew each time" in one.message
    assert one.advice[1] == "held in turn for 0.8 s each, nothing ever comes"
