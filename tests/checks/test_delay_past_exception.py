"""delay-past-exception: what counts as waiting too long, and what the stepper shows of it."""

from __future__ import annotations

from fractions import Fraction

import pytest

import alertlang.api as api
from alertlang.checks import delay_past_exception
from alertlang.meaning.readings import Sample
from alertlang.model import ruleset as m
from tests.helpers.one_check import HEAD, found, mended
from tests.helpers.timed import load, stepped

RPM = "quantity rpm from 0 to 3000 rpm, step 10 rpm\n"
LIMIT = f"{RPM}top: limit rpm at most 2500 rpm except for 10 s, needs caution within 20 s, source NOTE\n"


def held(seconds: int) -> str:
    return f'long: rpm above 2500 for more than {seconds} s is red with caution "LONG"\n'


def names(text: str) -> set[str]:
    return {one.code.name for one in api.loads(HEAD + text).check().findings}


@pytest.mark.parametrize(
    ("seconds", "count"),
    [(9, 0), (10, 0), (11, 1), (29, 1), (30, 1), (31, 0)],
)
def test_longer_than_the_exception_and_not_yet_late(seconds: int, count: int) -> None:
    text = LIMIT + held(seconds)
    findings = found(delay_past_exception, text)
    assert len(findings) == count
    assert ("late-alert" in names(text)) == (seconds > 30)
    for one in findings:
        assert f"for {seconds - 10} s it is broken" in one.message
        assert one.suggestion is not None
        assert one.suggestion.text == held(10).strip()
        assert found(delay_past_exception, mended(text, one)) == []


@pytest.mark.parametrize(("after", "count"), [(15, 1), (16, 0)])
def test_what_an_alert_is_held_back_for_counts_too(after: int, count: int) -> None:
    """With it the alert may be late; then late-alert says so, and nothing more is to be said."""
    text = LIMIT + f'long: rpm above 2500 for more than 15 s is red with caution "LONG" after {after} s\n'
    assert len(found(delay_past_exception, text)) == count
    assert ("late-alert" in names(text)) == (not count)


def test_a_colour_is_not_held_back_with_its_alert() -> None:
    text = f"{RPM}respond within 20 s\ntop: limit rpm at most 2500 rpm except for 10 s, source NOTE\n"
    text += 'long: rpm above 2500 for more than 15 s is red with caution "LONG" after 16 s\n'
    assert len(found(delay_past_exception, text)) == 1


@pytest.mark.parametrize("seconds", [11, 15, 30])
def test_the_stepper_shows_nothing_for_just_so_long(seconds: int) -> None:
    """From the first sample at which the limit is broken to the first at which red shows, two a second."""
    ruleset = load(HEAD + LIMIT + held(seconds))
    samples = [Sample(Fraction(i, 2), {"rpm": Fraction(2600)}, {}) for i in range(2 * seconds + 10)]
    shown = stepped(ruleset, samples)
    broken = [one.time for one in shown if one.violated["top", None]]
    red = [one.time for one in shown if one.colours["rpm", None] is m.Colour.RED]
    assert red[0] - broken[0] == seconds - 10
    [one] = found(delay_past_exception, LIMIT + held(seconds))
    assert f"for {seconds - 10} s it is broken" in one.message


def test_no_exception_allows_nothing() -> None:
    text = f"{RPM}top: limit rpm at most 2500 rpm, needs caution within 20 s, source NOTE\n"
    [one] = found(delay_past_exception, text + held(5))
    assert "for no time at all" in one.message
    assert one.suggestion is not None
    assert one.suggestion.text == 'long: rpm above 2500 is red with caution "LONG"'
    assert found(delay_past_exception, mended(text + held(5), one)) == []
    over_lines = text + held(5).replace("for more", "# a comment\n  for more").replace("is red", "\n  is red")
    [one] = found(delay_past_exception, over_lines)
    assert one.suggestion is not None
    assert one.suggestion.text == 'long: rpm above 2500 is red with caution "LONG"'


def test_where_each_time_comes_from() -> None:
    [one] = found(delay_past_exception, f"respond within 20 s\n{LIMIT.replace(' within 20 s', '')}" + held(15))
    assert one.advice[0] == "both times count from the moment in which such a value is reached"
    assert "20 s more for reacting (`respond within`" in one.advice[1]
    assert one.reaction is not None
    assert (one.reaction.worst, one.reaction.allowed) == (Fraction(15), Fraction(30))


# ---- other guards


@pytest.mark.parametrize(
    ("others", "count"),
    [
        pytest.param('rpm above 2500 is red with warning "NOW"\n', 0, id="one-that-does-not-wait"),
        pytest.param(
            'rpm above 2500 for more than 10 s is red with caution "10 S"\n', 0, id="one-that-waits-as-allowed"
        ),
        pytest.param('rpm above 2600 is red with warning "NOW"\n', 1, id="one-for-a-part-of-it"),
        pytest.param("rpm above 2500 is red\n", 1, id="one-without-the-alert"),
        pytest.param('when rpm above 2500 then caution "NOW"\n', 1, id="one-without-the-red"),
        pytest.param('when rpm above 2500 then advisory "NOW"\nrpm above 2500 is red\n', 1, id="one-of-a-lower-level"),
        pytest.param(
            'rpm above 2500 for more than 12 s is red with caution "12 S"\n', 1, id="one-that-waits-less-but-too-long"
        ),
        pytest.param('rpm above 2500 for more than 25 s is red with caution "25 S"\n', 1, id="one-that-waits-longer"),
    ],
)
def test_beside_others(others: str, count: int) -> None:
    assert len(found(delay_past_exception, LIMIT + held(15) + others)) == count


def test_what_is_missing_is_said() -> None:
    [one] = found(delay_past_exception, LIMIT + held(15))
    assert "the red and the caution of long wait for 15 s" in one.message
    assert "it is not red and no caution is up" in one.message
    [one] = found(delay_past_exception, LIMIT + held(15) + "rpm above 2500 is red\n")
    assert "the caution of long waits for 15 s" in one.message
    assert "not red" not in one.message
    [one] = found(delay_past_exception, LIMIT + held(15) + 'when rpm above 2500 then caution "NOW"\n')
    assert "the red of long waits for 15 s" in one.message
    assert "no caution" not in one.message


def test_the_quickest_of_those_that_wait_is_named() -> None:
    text = LIMIT + held(15) + 'rpm above 2500 for more than 12 s is red with caution "12 S"\n'
    [one] = found(delay_past_exception, text)
    assert one.statements == ("rpm_1",)


def test_the_state_in_which_it_is_alone() -> None:
    text = LIMIT + held(15) + 'switch gear up, down\nwhen gear is up then rpm above 2500 is red with caution "NOW"\n'
    [one] = found(delay_past_exception, text)
    assert "whenever gear is down" in one.message


def test_late_alert_on_the_red_keeps_it_quiet_on_the_alert() -> None:
    text = (
        f'{LIMIT}rpm above 2500 for more than 40 s is red\nwhen rpm above 2500 for more than 15 s then caution "LONG"\n'
    )
    assert "late-alert" in names(text)
    assert found(delay_past_exception, text) == []


def test_an_alert_on_its_own() -> None:
    text = f'{LIMIT}rpm above 2500 is red\nlong: when rpm above 2500 for more than 15 s then warning "LONG"\n'
    [one] = found(delay_past_exception, text)
    assert one.statements == ("long",)
    assert found(delay_past_exception, mended(text, one)) == []


def test_a_lamp_without_a_gauge() -> None:
    text = f'{LIMIT}accept unwatched-quantity on rpm because "a lamp"\n'
    text += 'when rpm above 2500 for more than 15 s then caution "L"\n'
    assert len(found(delay_past_exception, text)) == 1


def test_after_is_not_waiting_of_this_kind() -> None:
    text = f'{LIMIT}rpm above 2500 is red with caution "LATER" after 15 s\n'
    assert found(delay_past_exception, text) == []


def test_delays_of_conditions_count_for_being_late_only() -> None:
    text = f"{LIMIT}condition fast means rpm above 2500, set after {{}} s\n"
    text += 'long: when fast then rpm above 2500 for more than 15 s is red with caution "LONG"\n'
    assert len(found(delay_past_exception, text.format(15))) == 1
    assert "late-alert" in names(text.format(16))
    assert found(delay_past_exception, text.format(16)) == []


def test_in_total() -> None:
    text = LIMIT + 'long: rpm above 2500 for more than 15 s in total is red with caution "LONG"\n'
    [one] = found(delay_past_exception, text)
    assert one.suggestion is not None
    assert "for more than 10 s in total is red" in one.suggestion.text


def test_an_avoid_range() -> None:
    text = f"{RPM}shake: avoid rpm from 2000 to 2150 rpm except for 10 s, source NOTE\nrespond within 20 s\n"
    text += "rpm from 2000 to 2150 for more than {} s is red\n"
    assert found(delay_past_exception, text.format(10)) == []
    [one] = found(delay_past_exception, text.format(12))
    assert "allows rpm from 2000 to 2150 rpm only for 10 s" in one.message


# ---- arrays and derived quantities


def test_arrays() -> None:
    text = (
        "quantity cht[3] from 0 to 500 F\n"
        "limit cht at most 450 F except for 10 s, needs caution within 20 s, source NOTE\n"
        'cht above 450 for more than 15 s is red with caution "CHT {n}"\n'
    )
    [one] = found(delay_past_exception, text)
    assert "cht above 450 F" in one.message
    quicker = "".join(f'cht[{i}] above 450 is red with caution "CHT {i} HOT"\n' for i in (1, 3))
    [one] = found(delay_past_exception, text + quicker)
    assert "cht[2] above 450 F" in one.message


def test_a_derived_quantity_and_a_bound_that_moves() -> None:
    text = (
        "quantity egt[2] from 0 to 500\nlet apart = spread of egt\nquantity rpm from 0 to 3000 rpm\n"
        "curve most over rpm: 0 rpm -> 40, 3000 rpm -> 60\n"
        "limit apart at most most except for 10 s, needs caution within 20 s, source NOTE\n"
        'apart above {} for more than {} s is red with caution "APART"\n'
    )
    assert found(delay_past_exception, text.format("most", 10)) == []
    assert len(found(delay_past_exception, text.format("most", 15))) == 1
    assert len(found(delay_past_exception, text.format("40", 15))) == 1
