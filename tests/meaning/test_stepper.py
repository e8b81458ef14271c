"""The words of the clock one at a time, sample by sample, with the instants at which a time just ends.

How recordings and what is shown are written is said in `tests/helpers/recordings.py`.
"""

from __future__ import annotations

import pytest

from alertlang.model.ruleset import Colour
from tests.helpers.recordings import alert, applies, condition, marks, record, run

# ---- conditions


def test_a_plain_condition_is_its_formula() -> None:
    assert condition("x above 4", "0550.5") == "-##--#"


def test_set_after_a_time_is_from_that_instant_on() -> None:
    # True at 1, 2 and 3 s: the one at 3 s is exactly 2 s after the one at 1 s.
    assert condition("x above 4, set after 2 s", "0555505505") == "---##-----"


@pytest.mark.parametrize(("last", "shown"), [("2.999", "--"), ("3", "-#"), ("3.001", "-#"), ("60", "-#")])
def test_set_after_counts_between_uneven_samples(last: str, shown: str) -> None:
    assert condition("x above 4, set after 2 s", "55", times=(1, last)) == shown


def test_set_after_is_undone_at_once() -> None:
    assert condition("x above 4, set after 1 s", "055055") == "--#--#"


def test_cleared_after_a_time_is_from_that_instant_on() -> None:
    assert condition("x above 4, cleared after 2 s", "050005050000") == "-###-#####--"


@pytest.mark.parametrize(("last", "shown"), [("3.999", "###"), ("4", "##-"), ("4.001", "##-")])
def test_cleared_after_counts_between_uneven_samples(last: str, shown: str) -> None:
    assert condition("x above 4, cleared after 2 s", "500", times=(1, 2, last)) == shown


def test_with_both_delays_it_keeps_its_value_in_between() -> None:
    assert condition("x above 4, set after 2 s, cleared after 2 s", "5505550050005") == "-----######--"


def test_it_is_false_before_the_first_sample() -> None:
    # There is nothing yet that the delay could keep.
    assert condition("x above 4, cleared after 2 s", "000") == "---"
    assert condition("x above 4 until x below 2", "333") == "---"


def test_until_holds_from_where_it_is_set_to_where_it_is_cleared() -> None:
    assert condition("x above 6 until x below 3", "5753327555") == "-####-####"


def test_until_is_set_where_both_parts_hold() -> None:
    assert condition("x above 4 until x above 6", "0575705") == "-######"
    assert condition("x above 6 until x above 4", "0757005") == "-#-###-"


def test_delays_look_at_what_until_makes_of_its_parts() -> None:
    # x is above 6 at one sample only, and that is enough: it is not cleared for 2 s.
    assert condition("x above 6 until x below 3, set after 2 s", "07555500") == "---###--"
    # Cleared for one sample only, it stays; a sample that sets it again starts anew.
    assert condition("x above 6 until x below 3, cleared after 2 s", "7507007000") == "#########-"


def test_a_missing_value_is_false_and_starts_the_delay_anew() -> None:
    assert condition("x above 4, set after 2 s", "55.555") == "-----#"
    assert condition("x below 4, set after 2 s", "00.000") == "-----#"
    # It counts as false, so it lets a delay to clear run on.
    assert condition("x above 4, cleared after 2 s", "50.05") == "###-#"
    assert condition("x above 4 until x below 2, cleared after 1 s", "5.1.") == "###-"


def test_what_is_said_of_a_failure_holds_while_the_value_is_missing() -> None:
    assert condition("x failed, set after 1 s", "0..0") == "--#-"
    assert condition("x failed or x above 4, set after 2 s", "05.50") == "---#-"
    # The comparison is false, so its opposite is true.
    assert condition("not (x above 4)", "0.5") == "##-"


def test_conditions_are_built_on_conditions() -> None:
    text = "condition c means d, set after 1 s\ncondition d means x above 4, set after 1 s"
    shown = run(text, record("05555"))
    assert marks(shown, lambda one: one.conditions["d"]) == "--###"
    assert marks(shown, lambda one: one.conditions["c"]) == "---##"


def test_for_at_least_and_for_less_than_share_the_time() -> None:
    assert condition("x above 4 for at least 2 s", "05555055") == "---##---"
    assert condition("x above 4 for less than 2 s", "05555055") == "-##---##"


@pytest.mark.parametrize(("last", "at_least", "less_than"), [("1.999", "-", "#"), ("2", "#", "-"), ("2.001", "#", "-")])
def test_for_at_least_from_that_instant_on(last: str, at_least: str, less_than: str) -> None:
    assert condition("x above 4 for at least 2 s", "55", times=(0, last))[1] == at_least
    assert condition("x above 4 for less than 2 s", "55", times=(0, last))[1] == less_than


def test_time_counts_also_where_nobody_asks() -> None:
    """The pump decides at first; x has been high all the while."""
    text = "pump is on or (x above 4 for at least 3 s)"
    assert condition(text, "55550", pump="11100") == "####-"
    text = "pump is on and (x above 4 for at least 3 s)"
    assert condition(text, "55550", pump="00011") == "---#-"


def test_times_in_one_another() -> None:
    assert condition("(x above 4 for at least 1 s) for at least 2 s", "055555") == "----##"
    assert condition("(not (x above 4)) for at least 2 s", "5000.5") == "---##-"


# ---- statements


def test_for_more_than_a_time_is_after_that_instant() -> None:
    assert applies("x above 4 for more than 2 s is red", "0555550555") == "----##----"


@pytest.mark.parametrize(("last", "shown"), [("1.999", "--"), ("2", "--"), ("2.001", "-#")])
def test_for_more_than_counts_between_uneven_samples(last: str, shown: str) -> None:
    assert applies("x above 4 for more than 2 s is red", "55", times=(0, last)) == shown


def test_for_more_than_is_about_all_the_rest_of_the_statement() -> None:
    band = "when pump is on then x above 4 for more than 1 s is red"
    assert applies(band, "555555", pump="010111") == "-----#"
    assert applies("x above 4 for more than 1 s is red unless pump is on", "555555", pump="001000") == "-----#"
    assert applies('when pump is on for more than 1 s then warning "W"', "000000", pump="110111") == "-----#"


def test_it_holds_back_colour_and_alert() -> None:
    shown = run('s: x above 4 for more than 1 s is red with warning "W" after 1 s', record("55555"))
    assert [one.colours["x", None] for one in shown] == [None, None, Colour.RED, Colour.RED, Colour.RED]
    assert marks(shown, lambda one: one.alerts) == "---##"


def test_in_total_adds_up_what_follows_each_sample_at_which_it_held() -> None:
    # 1 s after each of the samples at 0, 2, 3 and 5 s; it is no more than 3 s at 5 s, and more at 6 s.
    assert applies("x above 4 for more than 3 s in total is red", "5055055505") == "------##-#"
    assert applies("x above 4 for more than 3 s is red", "5055055505") == "----------"


def test_in_total_counts_the_whole_time_to_the_next_sample() -> None:
    assert applies("x above 4 for more than 3 s in total is red", "5055", times=(0, 3, 10, "10.1")) == "---#"
    assert applies("x above 4 for more than 3 s in total is red", "5.55", times=(0, 3, 10, 20)) == "---#"


def test_after_holds_back_the_alert_alone_up_to_that_instant() -> None:
    text = 'x above 4 is red with warning "W" after 2 s'
    assert alert(text, "0555505505") == "---##-----"
    assert applies(text, "0555505505") == "-####-##-#"


@pytest.mark.parametrize(("last", "shown"), [("1.999", "--"), ("2", "-#"), ("2.001", "-#")])
def test_after_counts_between_uneven_samples(last: str, shown: str) -> None:
    assert alert('when x above 4 then warning "W" after 2 s', "55", times=(0, last)) == shown


def test_unless_and_when_are_of_the_same_sample() -> None:
    assert applies("when pump is on then x above 4 is red", "5555", pump="0110") == "-##-"
    assert applies("x above 4 is red unless pump is on", "5555", pump="0110") == "#--#"


# ---- latched

LATCHED = 'x above 4 is red with warning "W" latched'


def test_a_latched_alert_stays_to_the_end_if_nobody_acknowledges() -> None:
    assert alert(LATCHED, "0500000") == "-######"
    assert alert('when x above 4 then warning "W" latched', "0500000") == "-######"


def test_acknowledged_it_goes_with_its_cause() -> None:
    assert alert(LATCHED, "05550000", acknowledge=[2]) == "-###----"
    # The cause is gone already: it goes when it is acknowledged.
    assert alert(LATCHED, "05550000", acknowledge=[6]) == "-#####--"
    # At the very sample at which the cause goes.
    assert alert(LATCHED, "05550000", acknowledge=[4]) == "-###----"


def test_what_comes_again_must_be_acknowledged_again() -> None:
    assert alert(LATCHED, "0550550000", acknowledge=[2]) == "-##-######"


def test_what_nobody_has_seen_yet_is_not_acknowledged() -> None:
    assert alert(LATCHED, "0500000", acknowledge=[0, 1]) == "-######"
    assert alert(LATCHED, "0500000", acknowledge=[1]) == "-######"


def test_to_hold_the_button_is_one_press() -> None:
    assert alert(LATCHED, "00500000", acknowledge=[1, 2, 3, 4]) == "--######"
    assert alert(LATCHED, "00500000", acknowledge=[1, 3]) == "--#-----"


def test_a_press_before_it_is_up_is_for_nothing() -> None:
    text = 'x above 4 is red with warning "W" after 2 s latched'
    assert alert(text, "0555000", acknowledge=[2]) == "---####"
    # While its cause is back it stays, although its delay is not over again.
    assert alert(text, "05550505000", acknowledge=[7]) == "---#####---"


def test_latching_keeps_the_alert_and_not_the_colour() -> None:
    shown = run(f"s: {LATCHED}", record("050"))
    assert [one.colours["x", None] for one in shown] == [None, Colour.RED, None]
