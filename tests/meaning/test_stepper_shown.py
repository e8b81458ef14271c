"""Deadbands, colours, elements, failures and derived quantities, sample by sample; and which samples are refused.

How recordings and what is shown are written is said in `tests/helpers/recordings.py`.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Unpack

import pytest

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model.ruleset import Colour, Level
from tests.helpers.recordings import HEAD, Told, condition, marks, record, run
from tests.helpers.timed import load

# ---- deadband


def on_y(text: str, digits: str) -> str:
    """When a band on y applies, whose deadband is 2."""
    shown = run(f"s: y {text} is red", record("0" * len(digits), y=digits))
    return marks(shown, lambda one: one.applies["s", None])


@pytest.mark.parametrize(
    ("region", "digits", "shown"),
    [
        ("above 6", "67654567", "-###---#"),
        ("at least 6", "56545656", "-##--###"),
        ("below 4", "43456543", "-###---#"),
        ("at most 4", "54565654", "-##----#"),
        ("from 4 to 5", "34656725", "-####--#"),
        ("from 4 to 5", "354321", "-###--"),
        ("outside 3 to 7", "32454687", "-##---##"),
    ],
)
def test_a_band_goes_on_until_the_value_is_out_by_the_deadband(region: str, digits: str, shown: str) -> None:
    assert on_y(region, digits) == shown


def test_a_deadband_ends_exactly_where_it_ends() -> None:
    def last(value: str) -> bool:
        stepper = Stepper(load(HEAD + "s: y above 6 is red\n"))
        stepper.step(Sample(Fraction(0), {"y": Fraction(7)}, {}))
        return stepper.step(Sample(Fraction(1), {"y": Fraction(value)}, {})).applies["s", None]

    assert [last(value) for value in ("4.001", "4", "3.999")] == [True, False, False]


def test_a_deadband_that_ended_does_not_come_back() -> None:
    assert on_y("above 6", "7545") == "##--"


def test_a_failure_ends_it() -> None:
    assert on_y("above 6", "75.5") == "##--"


def test_a_value_that_leaps_past_both_ends_is_near_the_region_as_a_whole() -> None:
    assert on_y("outside 3 to 7", "2685") == "###-"


def test_a_deadband_keeps_the_region_whatever_else_the_band_says() -> None:
    shown = run("s: when pump is on then y above 6 is red", record("0000", y="7565", pump="0110"))
    assert marks(shown, lambda one: one.applies["s", None]) == "-##-"


def test_a_deadband_is_part_of_what_must_last() -> None:
    shown = run("s: y above 6 for more than 2 s is red", record("00000", y="75555"))
    assert marks(shown, lambda one: one.applies["s", None]) == "---##"


def test_conditions_and_limits_have_no_deadband() -> None:
    shown = run("condition c means y above 6\ns: limit y at most 6, source S", record("00", y="75"))
    assert marks(shown, lambda one: one.conditions["c"]) == "#-"
    assert marks(shown, lambda one: one.violated["s", None]) == "#-"


def test_each_band_and_each_element_has_its_own() -> None:
    def sample(time: int, one: int, other: int) -> Sample:
        return Sample(Fraction(time), {"cht[1]": Fraction(one), "cht[2]": Fraction(other)}, {})

    text = "s: cht above 6 is red\nt: cht above 5 is yellow"
    shown = run(text, [sample(0, 6, 6), sample(1, 7, 6), sample(2, 5, 5), sample(3, 4, 3)])
    assert marks(shown, lambda one: one.applies["s", 1]) == "-##-"
    assert marks(shown, lambda one: one.applies["s", 2]) == "----"
    assert marks(shown, lambda one: one.applies["t", 1]) == "####"
    assert marks(shown, lambda one: one.applies["t", 2]) == "###-"


# ---- what is shown


def test_the_worst_colour_that_applies_is_shown() -> None:
    text = "x at most 9 is green\nx above 7 is red\nx above 4 is yellow\ny above 2 is white"
    shown = run(text, record("058.", y="0333"))
    assert [one.colours["x", None] for one in shown] == [Colour.GREEN, Colour.YELLOW, Colour.RED, None]
    assert [one.colours["y", None] for one in shown] == [None, Colour.WHITE, Colour.WHITE, Colour.WHITE]
    # A quantity without bands is there as well, each element by itself.
    assert list(shown[0].colours) == [("x", None), ("y", None), ("cht", 1), ("cht", 2)]


def test_elements_are_shown_by_themselves_with_their_number() -> None:
    text = 's: cht above 6 is red with warning "CYL {n} HOT" latched\nt: cht[2] below 3 is white with advisory "TWO"'
    shown = run(
        text,
        [
            Sample(Fraction(0), {"cht[1]": Fraction(5), "cht[2]": Fraction(8)}, {}),
            Sample(Fraction(1), {"cht[1]": Fraction(7), "cht[2]": Fraction(2)}, {}),
        ],
    )
    assert [{place: said.text for place, said in one.alerts.items()} for one in shown] == [
        {("s", 2): "CYL 2 HOT"},
        {("s", 1): "CYL 1 HOT", ("s", 2): "CYL 2 HOT", ("t", 2): "TWO"},
    ]
    assert shown[1].alerts["s", 1].level is Level.WARNING
    assert shown[1].colours["cht", 2] is Colour.WHITE
    assert list(shown[0].applies) == [("s", 1), ("s", 2), ("t", 2)]


def test_a_failed_band_applies_while_the_value_is_missing() -> None:
    text = 's: x failed is yellow with caution "X?" after 1 s'
    shown = run(text, record("5..5"))
    assert [one.colours["x", None] for one in shown] == [None, Colour.YELLOW, Colour.YELLOW, None]
    assert marks(shown, lambda one: one.alerts) == "--#-"


def test_a_value_beyond_its_sensor_has_failed() -> None:
    stepper = Stepper(load(HEAD + "s: x failed is yellow\nx above 4 is red\n"))
    shown = [stepper.step(Sample(Fraction(k), {"x": Fraction(n)}, {})) for k, n in enumerate(("9", "9.1", "-0.1", "0"))]
    assert marks(shown, lambda one: one.applies["s", None]) == "-##-"
    assert [one.values["x"] for one in shown] == [9, None, None, 0]
    assert [one.colours["x", None] for one in shown] == [Colour.RED, Colour.YELLOW, Colour.YELLOW, None]


def test_of_a_switch_at_no_known_position_nothing_is_true() -> None:
    assert condition("pump is on", "000", pump="1.0") == "#--"
    assert condition("pump is not on", "000", pump="1.0") == "--#"
    stepper = Stepper(load(HEAD + "condition c means pump is not on\n"))
    assert not stepper.step(Sample(Fraction(0), {}, {"pump": "elsewhere"})).conditions["c"]


def test_any_and_every_element() -> None:
    def shown(formula: str, *values: int | None) -> bool:
        stepper = Stepper(load(HEAD + f"condition c means {formula}\n"))
        readings = {f"cht[{n}]": Fraction(value) for n, value in enumerate(values, 1) if value is not None}
        return stepper.step(Sample(Fraction(0), readings, {})).conditions["c"]

    assert [shown("any cht above 4", *two) for two in ((5, 0), (0, 0), (None, 5), (None, 0))] == [1, 0, 1, 0]
    assert [shown("every cht above 4", *two) for two in ((5, 5), (5, 0), (None, 5))] == [1, 0, 0]
    assert [shown("any cht failed", *two) for two in ((0, 0), (None, 0), (None, None))] == [0, 1, 1]
    assert [shown("every cht failed", *two) for two in ((0, 0), (None, 0), (None, None))] == [0, 0, 1]
    assert [shown("cht[2] failed", *two) for two in ((None, 0), (0, None))] == [0, 1]


# ---- limits


def test_a_limit_is_violated_outside_its_region_after_its_exception() -> None:
    def violated(text: str, digits: str, **more: Unpack[Told]) -> str:
        return marks(run(f"s: {text}, source S", record(digits, **more)), lambda one: one.violated["s", None])

    assert violated("limit x at most 4", "0455.") == "--##-"
    assert violated("avoid x from 4 to 5", "0455.") == "-###-"
    assert violated("limit x at most 4 except for 2 s", "5555.555") == "---#----"
    assert violated("when pump is on limit x at most 4", "555", pump="01.") == "-#-"


# ---- derived quantities


def values(text: str, name: str, samples: Iterable[Sample]) -> list[Fraction | None]:
    return [one.values[name] for one in run(text, samples)]


def test_a_rate_is_what_changed_since_the_sample_before() -> None:
    rising = values("let up = rise of x per s, from -9 to 9", "up", record("1354", times=(0, 1, 3, "3.5")))
    assert rising == [None, 2, 1, -2]
    falling = values("let down = fall of x per min, from -300 to 300", "down", record("1354", times=(0, 1, 3, "3.5")))
    assert falling == [None, -120, -60, 120]


def test_a_rate_has_failed_where_either_value_has() -> None:
    assert values("let up = rise of x per s, from -9 to 9", "up", record("13.54")) == [None, 2, None, None, -1]
    assert condition("up failed\nlet up = rise of x per s, from -9 to 9", "13.54") == "#-##-"


def test_a_rate_beyond_its_range_stays_at_the_end_of_it() -> None:
    text = "let up = rise of x per s, from 0 to 2\ns: up from 1 to 2 is red\nup at most 1 is green"
    shown = run(text, record("0990"))
    assert [one.values["up"] for one in shown] == [None, 2, 0, 0]
    assert [one.colours["up", None] for one in shown] == [None, Colour.RED, Colour.GREEN, Colour.GREEN]


def test_a_rate_of_what_is_derived_and_of_each_element() -> None:
    samples = [
        Sample(Fraction(0), {"cht[1]": Fraction(5), "cht[2]": Fraction(8)}, {}),
        Sample(Fraction(1), {"cht[1]": Fraction(7), "cht[2]": Fraction(2)}, {}),
    ]
    text = "let apart = spread of cht\nlet parting = rise of apart per s, from -9 to 9\n"
    shown = run(text + "let cooling = fall of cht per s, from -9 to 9", samples)
    assert shown[1].values["parting"] == 2
    assert (shown[1].values["cooling[1]"], shown[1].values["cooling[2]"]) == (Fraction(-2), Fraction(6))


def test_an_end_of_a_region_may_move() -> None:
    text = "curve most over y: 2 -> 3, 4 -> 7{}\ns: x above most is red"
    shown = run(text.format(""), record("33377.", y="123450"))
    assert [one.values["most"] for one in shown] == [3, 3, 5, 7, 7, 3]
    assert marks(shown, lambda one: one.applies["s", None]) == "------"
    assert marks(run(text.format(""), record("4458", y="2.34")), lambda one: one.applies["s", None]) == "#--#"
    assert marks(run(text.format(", otherwise 3"), record("4", y=".")), lambda one: one.applies["s", None]) == "#"


def test_an_end_that_moves_is_in_the_unit_of_what_is_compared() -> None:
    head = 'rules "t" version 1\nquantity t from 0 to 10 C\nquantity z from 0 to 9\n'
    text = head + "curve most over z: 0 -> 32 F, 9 -> 50 F\ns: t at least most is red\n"
    stepper = Stepper(load(text))
    # At 9 the end is 50 F, which are 10 C; at 4.5 it is 41 F, which are 5 C.
    states = [("10", "9"), ("9.99", "9"), ("5", "4.5"), ("4.99", "4.5")]
    shown = [
        stepper.step(Sample(Fraction(k), {"t": Fraction(t), "z": Fraction(z)}, {})) for k, (t, z) in enumerate(states)
    ]
    assert marks(shown, lambda one: one.applies["s", None]) == "#-#-"


def test_nothing_is_in_or_near_a_region_whose_ends_have_crossed() -> None:
    head = 'rules "t" version 1\nquantity y from 0 to 9, deadband 2\nquantity z from 0 to 9\nlet low = z + 0\n'
    stepper = Stepper(load(head + "s: y from low to 5 is red\n"))
    lows = (4, 5, 6, 5)
    shown = [
        stepper.step(Sample(Fraction(k), {"y": Fraction(5), "z": Fraction(low)}, {})) for k, low in enumerate(lows)
    ]
    assert marks(shown, lambda one: one.applies["s", None]) == "##-#"


# ---- samples


@pytest.mark.parametrize("time", ["5", "4.999", "0"])
def test_time_must_go_on(time: str) -> None:
    stepper = Stepper(load(HEAD))
    stepper.step(Sample(Fraction(5), {}, {}))
    with pytest.raises(ValueError, match="cannot follow"):
        stepper.step(Sample(Fraction(time), {}, {}))


@pytest.mark.parametrize("name", ["z", "cht", "cht[3]", "x[1]", "twice"])
def test_a_reading_that_no_sensor_gives_is_refused(name: str) -> None:
    stepper = Stepper(load(HEAD + "let twice = 2 * x\n"))
    with pytest.raises(ValueError, match=f"no sensor {name}".replace("[", r"\[")):
        stepper.step(Sample(Fraction(0), {name: Fraction(1)}, {}))


def test_a_switch_that_is_not_there_is_refused() -> None:
    with pytest.raises(ValueError, match="no switch lamp"):
        Stepper(load(HEAD)).step(Sample(Fraction(0), {}, {"lamp": "on"}))


def test_a_refused_sample_leaves_no_trace() -> None:
    stepper = Stepper(load(HEAD + "condition c means x above 4, set after 2 s\n"))
    high = {"x": Fraction(5)}
    stepper.step(Sample(Fraction(0), high, {}))
    for sample in (Sample(Fraction(0), {}, {}), Sample(Fraction(1), {"z": Fraction(0)}, {})):
        with pytest.raises(ValueError, match=r"no sensor|cannot follow"):
            stepper.step(sample)
    assert stepper.step(Sample(Fraction(2), high, {})).conditions["c"]
