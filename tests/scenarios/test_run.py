"""Scenarios that are run: when something must be so, and what is read at each sample.

Source: grammar/SCENARIOS.md, worked out by hand for the rules of tests/helpers/osier_scenarios.py.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from alertlang.scenarios import scenario as s
from alertlang.scenarios.run import samples
from tests.helpers.osier_scenarios import as_said, first, ran, scenario


def times(text: str) -> list[Fraction]:
    return [one.time for one in samples(scenario(text))]


def values(text: str, name: str) -> list[Fraction | None]:
    return [one.readings.get(name) for one in samples(scenario(text))]


# ---- samples


def test_samples_are_half_a_second_apart_unless_it_is_said() -> None:
    """Common practice, no source."""
    assert Fraction(1, 2) == s.DEFAULT_SPACING
    assert times("at 0 s: rpm 5, oil_temp 100 F -> rpm green\nat 1.5 s") == [0, Fraction(1, 2), 1, Fraction(3, 2)]
    assert times("sample every 1/3 min\nat 0 s: rpm 5, oil_temp 100 F -> rpm green\nat 1 min") == [0, 20, 40, 60]


def test_a_sample_at_every_time_that_is_named_and_no_sample_twice() -> None:
    text = """sample every 2 s
at 1 s: rpm 5, oil_temp 100 F -> rpm green by 4 s until 5 s
at 6.25 s: rpm to 50 by 7 s
at 9 s
"""
    # From the first line on: 1, 3, 5, 7, 9; named: 1, 4, 5, 6.25, 7, 9.
    assert times(text) == [1, 3, 4, 5, Fraction(25, 4), 7, 9]


def test_what_is_read_stays_until_it_is_changed() -> None:
    text = """sample every 1 s
at 0 s: rpm 100, oil_temp 100 F -> rpm green
at 2 s: rpm failed
at 4 s: rpm 300
at 5 s
"""
    assert values(text, "rpm") == [100, 100, None, None, 300, 300]
    assert values(text, "oil_temp") == [100] * 6


def test_a_ramp_is_exact_and_stays_at_its_end() -> None:
    text = "sample every 1 s\nat 0 s: rpm 100, oil_temp 0 C -> rpm green\nat 1 s: rpm to 200 by 4 s\nat 6 s"
    third = Fraction(100, 3)
    assert values(text, "rpm") == [100, 100, 100 + third, 100 + 2 * third, 200, 200, 200]
    assert values(text, "oil_temp") == [32] * 7


def test_a_ramp_may_say_where_it_begins_and_a_new_value_ends_it() -> None:
    text = "sample every 1 s\nat 0 s: rpm 100 to 500 by 4 s, oil_temp 9 F -> rpm green\n"
    text += "at 2 s: rpm 50\nat 3 s: rpm to 70 by 4 s"
    assert values(text, "rpm") == [100, 200, 50, 50, 70]


def test_a_ramp_goes_on_from_where_another_has_come_to() -> None:
    text = "sample every 1 s\nat 0 s: rpm 100 to 500 by 4 s, oil_temp 9 F -> rpm green\nat 2 s: rpm to 100 by 4 s"
    assert values(text, "rpm") == [100, 200, 300, 200, 100]


def test_every_element_on_a_ramp_goes_on_from_its_own_value() -> None:
    text = "sample every 1 s\nat 0 s: every cht 100 F, cht[2] 200 F -> cht[1] green\nat 1 s: every cht to 300 F by 3 s"
    assert values(text, "cht[1]") == [100, 100, 200, 300]
    assert values(text, "cht[2]") == [200, 200, 250, 300]


def test_a_press_lasts_one_sample() -> None:
    text = "sample every 1 s\nat 0 s: rpm 5, oil_temp 9 F, acknowledge -> rpm green\nat 2 s: acknowledge\nat 3 s"
    assert [one.acknowledge for one in samples(scenario(text))] == [True, False, True, False]


def test_a_switch_whose_position_is_not_known() -> None:
    text = 'at 0 s: rpm 500, canopy failed -> no caution "CANOPY" until 9 s\nat 9 s: canopy open -> caution "CANOPY"'
    assert [one.positions for one in samples(scenario(text))][:2] == [{}, {}]
    assert as_said(text)


# ---- when something must be so


def test_without_by_it_must_be_so_at_that_very_sample_and_no_longer() -> None:
    high = "at 0 s: rpm 2800, oil_temp 100 F -> rpm red"
    assert as_said(f"{high}\nat 1 s: rpm 500\nat 2 s")
    found = first("at 0 s: rpm 500, oil_temp 100 F -> rpm red\nat 1 s: rpm 2800")
    assert (found.time, found.since) == (Fraction(0), Fraction(0))


@pytest.mark.parametrize(("by", "so"), [("0.999 s", False), ("1 s", True), ("1.001 s", True), ("5 s", True)])
def test_by_is_kept_at_its_very_instant(by: str, so: bool) -> None:
    """`after 1 s` is over at the first sample 1 s later, and there is a sample at every time that is named."""
    assert as_said(f'at 0 s: rpm 2800, oil_temp 100 F -> warning "OVERSPEED" by {by}') is so


@pytest.mark.parametrize(("until", "so"), [("0.5 s", True), ("1 s", True), ("1.001 s", False)])
def test_until_leaves_its_very_instant_out(until: str, so: bool) -> None:
    assert as_said(f'at 0 s: rpm 2800, oil_temp 100 F -> no warning "OVERSPEED" until {until}\nat 5 s') is so


def test_by_and_until_meet_at_one_instant() -> None:
    """The alert must not come before 1 s, and must have come at 1 s."""
    text = 'at 0 s: rpm 2800, oil_temp 100 F -> no warning "OVERSPEED" until 1 s, warning "OVERSPEED" by 1 s\nat 9 s'
    assert as_said(text)


@pytest.mark.parametrize(("at", "so"), [("300 s", False), ("300.001 s", True), ("5 min", False)])
def test_more_than_is_more_than(at: str, so: bool) -> None:
    assert as_said(f'at 0 s: rpm 2560\nat {at} -> caution "PWR TIME"') is so


def test_by_holds_on_until_the_next_line_and_not_at_it() -> None:
    text = "at 0 s: rpm 2800, oil_temp 100 F -> rpm red by 1 s\nat 4 s: rpm 500 -> rpm green"
    assert as_said(text)
    # The next line is the first after the time of `by`, whatever it says.
    assert not as_said("at 0 s: rpm 500, oil_temp 100 F -> rpm green by 3 s\nat 2 s: rpm 2800\nat 4 s: rpm 500")
    assert as_said("at 0 s: rpm 500, oil_temp 100 F -> rpm red by 3 s\nat 2 s: rpm 2800\nat 4 s: rpm 500")


def test_by_holds_on_to_the_end_after_the_last_line() -> None:
    found = first("at 0 s: rpm 2630 to 2730 by 10 s, oil_temp 100 F -> rpm green by 1 s")
    # Above 2680 from 5 s on, seen at the next sample.
    assert (found.time, found.since) == (Fraction(11, 2), Fraction(1))


def test_a_line_at_the_time_of_by_has_set_its_values_already() -> None:
    text = "at 0 s: rpm 2800, oil_temp 100 F -> rpm red by 2 s\nat 2 s: rpm 500"
    assert first(text).time == 2


def test_until_reaches_over_lines() -> None:
    text = "at 0 s: rpm 500, oil_temp 100 F -> rpm green until 5 s\nat 2 s: oil_temp 90 F\nat 3 s: rpm 2800"
    assert first(text).time == 3


def test_by_and_until_together() -> None:
    text = "at 0 s: rpm 500, oil_temp 100 F -> rpm red by 2 s until 4 s\nat 1 s: rpm 2800\nat {}: rpm 500\nat 9 s"
    assert as_said(text.format("4 s"))
    assert first(text.format("3.9 s")).time == Fraction(39, 10)


# ---- which difference is the first


def test_the_first_in_time_then_the_first_that_is_written() -> None:
    text = """at 0 s: rpm 500, oil_temp 100 F -> cold by 3 s, rpm red by 2 s
at 1 s -> rpm blank by 3 s
at 9 s -> rpm red
"""
    found = first(text)
    assert (found.time, found.expected) == (Fraction(2), "rpm red by 2 s")
    both = first("at 0 s: rpm 500, oil_temp 100 F -> cold, rpm red")
    assert both.expected == "cold"


def test_nothing_is_run_beyond_the_first_difference() -> None:
    report = ran("at 0 s: rpm 500, oil_temp 100 F -> rpm red\nat 90 s -> rpm green")
    assert (report.samples, report.expectations, report.seconds) == (1, 2, Fraction(90))
    assert not report.as_said


def test_what_there_is_to_count() -> None:
    report = ran("at 0 s: rpm 500, oil_temp 100 F -> rpm green, not cold by 1 s\nat 2 s: oil_temp 90 F")
    assert (report.expectations, report.samples, report.seconds, report.as_said) == (2, 5, Fraction(2), True)


# ---- what can be expected


def test_every_element_must_show_it() -> None:
    assert as_said("at 0 s: every cht 390 F -> every cht green, cht[2] green")
    found = first("at 0 s: every cht 390 F, cht[3] 410 F -> every cht green")
    assert "cht[3]" in found.message


def test_blank_is_no_colour_and_unmarked_is_one() -> None:
    text = "at 0 s: rpm failed, oil_temp 100 F -> rpm blank"
    assert as_said(text)
    assert not as_said(text.replace("blank", "unmarked"))


def test_alerts_of_elements_have_their_number() -> None:
    assert as_said('at 0 s: every cht 390 F, cht[2] 401 F -> warning "CHT 2 HOT", no warning "CHT 1 HOT"')


def test_quiet_lets_advisories_be() -> None:
    calm = "at 0 s: rpm 500, oil_temp 100 F, oil_pressure 60, every cht 340 F, canopy latched"
    assert as_said(f"{calm} -> quiet")
    assert as_said(f'{calm}, cht[1] 360 F -> advisory "UNEVEN", quiet')
    assert not as_said(f"{calm}, cht[1] 410 F -> quiet")
    # A caution is enough.
    assert as_said(f'{calm.replace("latched", "open")} -> quiet until 5 s, caution "CANOPY" by 5 s')
    assert not as_said(f"{calm.replace('latched', 'open')} -> quiet until 6 s")


def test_latched_until_acknowledged() -> None:
    text = """at 0 s: rpm 2800, oil_temp 100 F -> warning "OVERSPEED" by 1 s
at 3 s: rpm 2000 -> warning "OVERSPEED" until 5 s
at 5 s: acknowledge -> no warning "OVERSPEED" by 5 s
at 9 s
"""
    assert as_said(text)
    assert first(text.replace("acknowledge ", "")).time == 5


def test_conditions() -> None:
    text = """at 0 s: oil_temp 60 F -> cold until 15 s
at 5 s: oil_temp 81 F -> not cold by 15 s
at 30 s
"""
    assert as_said(text)


def test_readings_in_another_unit_and_as_fractions() -> None:
    assert as_said("at 0 s: rpm 1300, oil_temp 20 C -> rpm red")
    assert as_said("at 0 s: rpm 1300, oil_temp 224/3 F -> cold")
    assert not as_said("at 0 s: rpm 1300, oil_temp 226/3 F -> cold")
