"""Random rule sets with everything: whatever says what they mean says the same. More: `python -m tests.agreement`."""

import random

import pytest

from tests.agreement import is_wider, one
from tests.helpers.histories import Histories, clocks, verdicts_and_histories
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
    ],
)
def test_a_sound_rule_set_agrees(text: str, kind: str | None) -> None:
    rules = load(ONE_CLOCK + text)
    assert rules is not None
    assert [k for k, _ in verdicts_and_histories(rules)] == ([] if kind is None else [kind])


def test_what_a_failure_does_not_need_is_left_out() -> None:
    text = whole(random.Random(3)) + 'zz: when speed failed then caution "Z"\nquantity extra from 0 to 1\n'
    assert smaller(text, lambda t: "extra" in t) == HEAD.splitlines()[0] + "\nquantity extra from 0 to 1\n"
