"""Random rule sets with everything: whatever says what they mean says the same. More: `python -m tests.agreement`."""

import random

import pytest

from tests.agreement import is_wider, one
from tests.helpers.histories import Histories, clocks, verdicts_and_histories
from tests.helpers.verdicts import verdicts_and_stepper
from tests.helpers.whole import HEAD, load, smaller, whole


# Two of three are whole sets, held against recordings; one is tiny, held against every history it can have.
@pytest.mark.parametrize("first", [0, 6, 12, 18])
def test_everything_agrees(seed: int, first: int) -> None:
    for number in range(first, first + 6):
        outcome = one(str(seed), number)
        assert [f for f in outcome.found if not is_wider(f[0])] == [], outcome.text


def test_the_same_seed_draws_the_same() -> None:
    assert [whole(random.Random(n)) for n in range(5)] == [whole(random.Random(n)) for n in range(5)]


ONE_CLOCK = HEAD + "quantity a from 0 to 4 rpm\nswitch s y, z\n"


def test_every_history_is_counted() -> None:
    """Worked out by hand: up from the sample at which the switch has been at z for 2 s."""
    rules = load(ONE_CLOCK + 'condition c1 means s is z, set after 2 s\na1: when c1 then caution "A"\n')
    assert rules is not None
    assert clocks(rules) == 1
    every = Histories(rules)
    up = [place for place, moment in enumerate(every.moments) if moment.shown.alerts]
    assert {every.told(place).split()[-1] for place in up} == {"z"}
    assert min(every.told(place).count(",") for place in up) == 2
    # Two readings by: at y, or at z for 0 s, 1 s, and 2 s or more; and each where it was not yet, or was before.
    assert len({(m.given, m.shown.conditions["c1"]) for m in every.moments}) == 6


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        # A band that the solver is told of and the stepper is not, and the other way round.
        ("b1: a at least 0 rpm for more than 2 s is green\nb2: when s is z then a at most 2 rpm is red\n", None),
        ("b1: a at least 0 rpm is green\np1: prove when s is z then a above 2 rpm is green\n", None),
        # What is assumed of a delayed condition is assumed of it once it has settled: no flight ends before.
        (
            "condition c1 means s is y and a at most 2 rpm, set after 2 s\na at least 0 rpm is green\n"
            "p1: prove when c1 then a at least 0 rpm is yellow\ns1: assume not (not c1 and s is y)\n",
            None,
        ),
        # What can never be true is not still true.
        (
            "condition c1 means s is z and s is y, cleared after 1 s\nb1: when not c1 then a at least 0 rpm is red\n",
            None,
        ),
        # A memory that only an assumption reads, and a blank gauge with and without it.
        (
            "quantity b from 0 to 4 rpm\ncondition c1 means (b above 2 rpm) for less than 1 s, set after 1 s\n"
            "condition c2 means not c1 until c1, set after 2 s\nb1: when c1 then a at least 0 rpm is green\n"
            "s1: assume not (c2 and s is y)\n",
            "wider, a band shows: only said",
        ),
        # A limit that is never broken has no clock to be interrupted.
        (
            "condition c1 means a above 2 rpm until s is z or s is y\n"
            'b1: when c1 then a at most 2 rpm for more than 1 s is green with warning "B1" after 2 s\n'
            "l1: when not c1 limit a at most 2 rpm, needs warning within 1 s, source NOTE\n",
            None,
        ),
        # A memory that nothing sets is left open between its parts.
        (
            "condition c1 means a at most 2 rpm and a above 2 rpm until s is z\n"
            "b1: when c1 then a above 2 rpm is red\n",
            "wider, a band shows: only said",
        ),
    ],
)
def test_a_sound_rule_set_agrees(text: str, kind: str | None) -> None:
    rules = load(ONE_CLOCK + text)
    assert rules is not None
    assert [k for k, _ in verdicts_and_histories(rules)] == ([] if kind is None else [kind])


def test_a_reading_in_a_region_whose_ends_follow_another_is_counted() -> None:
    """Between two curves and above 2 rpm is nothing but what lies near them, as b is nearer to 0 rpm."""
    text = "quantity a from 0 to 4 rpm, deadband 2 rpm\nquantity b from 0 to 4 rpm\n"
    text += "curve low over b: 0 rpm -> 1 rpm, 4 rpm -> 3 rpm\ncurve high over b: 0 rpm -> 3 rpm, 4 rpm -> 1 rpm\n"
    text += "a from low to high is green\nprove when a above 2 rpm then a from low to high is never green\n"
    rules = load(HEAD + text)
    assert rules is not None
    assert list(verdicts_and_histories(rules)) == []


@pytest.mark.parametrize(
    "text",
    [
        "condition c1 means a at least 0 rpm until (not (a failed)) for at least 1 s\n",
        "condition c1 means a at most 2 rpm until (s is z and a at most 2 rpm) for at least 1 s\n",
    ],
)
def test_that_a_condition_stays_true_is_not_held_against_what_would_clear_it(text: str) -> None:
    """What is timed holds well enough: the finding stands at it because it clears nothing."""
    rules = load(ONE_CLOCK + text)
    assert rules is not None
    assert [k for k, _ in verdicts_and_stepper(rules, random.Random(1))] == []


def test_what_a_failure_does_not_need_is_left_out() -> None:
    text = whole(random.Random(3)) + 'zz: when speed failed then caution "Z"\nquantity extra from 0 to 1\n'
    assert smaller(text, lambda t: "extra" in t) == HEAD.splitlines()[0] + "\nquantity extra from 0 to 1\n"
