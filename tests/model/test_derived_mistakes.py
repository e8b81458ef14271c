"""What cannot be computed, or compared with what is: one finding each, at its place, with the way out."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from alertlang.model.load import Loaded
from tests.model.test_derived import MORE

Rules = Callable[[str], Loaded]
# A statement after MORE stands in this line of the file.
FIRST = 3 + MORE.count("\n")
NO_RANGE = "let x = rise of rpm per s"
RANGE = "the range of x is empty: it must run from a lower to a higher value"
# The last statement, the code, what is underlined in it, what is said, what is advised.
SLIPS: list[tuple[str, str, str, str, str]] = [
    # let
    ("let x = 5", "AL112", "let x = 5", "x reads nothing: it is always the same", "read a quantity"),
    ("let x = 5 rpm * 2", "AL112", "let x = 5 rpm * 2", "x reads nothing", "read a quantity"),
    ("let x = x + 1 rpm", "AL112", "x", "x is computed from itself", "quantities that have a sensor"),
    ("curve x over x: 1 -> 2", "AL112", "x", "x is computed from itself", "quantities that have a sensor"),
    ("let x = rise of x per s, from 0 to 5", "AL112", "x", "x is computed from itself", "that have a sensor"),
    ("let x = rpm / 2, from 0 to 900 rpm", "AL112", "0 to 900 rpm", "run from 0 to 1750 rpm", "write an `assume`"),
    ("let x = rpm, from 1 to 3500 rpm", "AL112", "1 to 3500 rpm", "run from 0 to 3500 rpm", "take the range away"),
    ("let x = rpm, from 0 to 5 psi", "AL105", "5 psi", "x is a rotational speed in rpm, and 5 psi is", "(rpm)"),
    ("let x = rpm, from 0 to 5 rmp", "AL110", "rmp", "rmp is not a unit", "did you mean rpm?"),
    ("let x = rpm + 5 rmp", "AL110", "rmp", "rmp is not a unit", "did you mean rpm?"),
    ("let x = rmp / 2", "AL104", "rmp", "there is no quantity rmp", "did you mean rpm?"),
    ("let x = cht[5]", "AL112", "cht[5]", "elements 1 to 4; there is no 5", "cht[1] to cht[4]"),
    ("let x = rpm[1]", "AL113", "rpm[1]", "rpm has one value", "write rpm without [1]"),
    ("let x = flaps", "AL113", "flaps", "flaps is a switch, and a quantity must stand here", "flaps is up"),
    ("let x = running", "AL113", "running", "running is a condition, and a quantity must stand here", ""),
    # not linear
    ("let x = rpm * rpm", "AL112", "rpm * rpm", "something can be multiplied by a number, not by a quant", "a curve"),
    (
        "let x = rpm / map",
        "AL112",
        "rpm / map",
        "something can be divided by a number, not by a quantity",
        "cannot be",
    ),
    (
        "let x = 5 / rpm",
        "AL112",
        "5 / rpm",
        "something can be divided by a number, not by a quantity",
        "cannot be",
    ),
    ("let x = rpm / 0", "AL112", "0", "this divides by zero", "write another number"),
    ("let x = rpm / (2 rpm - 2 rpm)", "AL112", "2 rpm - 2 rpm", "this divides by zero", "write another number"),
    # dimensions
    ("let x = rpm + map", "AL105", "rpm + map", "a rotational speed (rpm) and a pressure (inHg) cannot be", "/ 1 inHg"),
    ("let x = rpm - ratio", "AL105", "rpm - ratio", "(rpm) and a plain number cannot be added or", "/ 100 rpm"),
    ("let x = rpm + 5", "AL105", "rpm + 5", "(rpm) and a plain number cannot be", "the number with its unit, rpm"),
    ("let x = 5 - rpm", "AL105", "5 - rpm", "a plain number and a rotational", "the number with its unit, rpm"),
    ("let x = rpm * 2 rpm", "AL105", "rpm * 2 rpm", "rpm multiplied by rpm has no unit", "divide by a number of the"),
    ("let x = rpm / 2 psi", "AL105", "rpm / 2 psi", "rpm divided by psi has no unit", "multiply and divide by plain"),
    ("let x = ratio / 2 psi", "AL105", "ratio / 2 psi", "a plain number divided by psi has no unit", "plain numbers"),
    # temperatures
    ("let x = oil_temp + cht[1]", "AL105", "oil_temp + cht[1]", "two temperatures have no sum", "average of an array"),
    ("let x = 5 F - oil_temp", "AL105", "5 F - oil_temp", "cannot be taken from a difference", "temperature first"),
    (
        "let x = spread of cht - oil_temp",
        "AL105",
        "spread of cht - oil_temp",
        "a temperature cannot be taken from a difference",
        "write the temperature first",
    ),
    ("let x = 2 * oil_temp", "AL105", "2 * oil_temp", "a multiple of a temperature means nothing", "/ 1 C"),
    ("let x = oil_temp / 2", "AL105", "oil_temp / 2", "a multiple of a temperature means nothing", "the difference"),
    ("let x = oil_temp * 50 %", "AL105", "oil_temp * 50 %", "a multiple of a temperature means nothing", "/ 1 C"),
    ("let x = (oil_temp - 32 F) * 2", "AL105", "(oil_temp - 32 F) * 2", "a multiple of a temperature", "difference to"),
    # arrays
    ("let x = spread of rpm", "AL113", "rpm", "spread is of an array, and rpm is one value", "such as cht[4]"),
    ("let x = highest of cht[1]", "AL113", "cht[1]", "highest is of an array, and cht[1] is one value", "cht[4]"),
    ("let x = cht - two", "AL113", "cht - two", "one side has 4 elements and the other 2", "of the same length"),
    # rise and fall
    (NO_RANGE, "AL112", NO_RANGE, "x needs a range: a rise has no sensor that would limit it", "from 0 to 100 rpm"),
    ("let x = fall of ratio per s", "AL112", "let x = fall of ratio per s", "a fall has no sensor", ", from 0 to 100"),
    (
        "let x = rise of rpm per rpm, from 0 to 5",
        "AL105",
        "rpm",
        "a rise is per time, and rpm is a rot",
        "per s, per min",
    ),
    ("let x = rise of rpm per sec, from 0 to 5", "AL110", "sec", "sec is not a unit", "did you mean s?"),
    ("let x = rise of rpm per s, from 5 to 0 rpm", "AL112", "5 to 0 rpm", RANGE, "lower end first"),
    ("let x = rise of rpm per s, from 5 to 5 rpm", "AL112", "5 to 5 rpm", RANGE, "lower end first"),
    ("let x = rise of rpm per s, from 0 to 5 psi", "AL105", "5 psi", "x is a rotational speed in rpm", "(rpm)"),
    (
        "let x = 2 * fall of rpm per s, from 0 to 5",
        "AL112",
        "fall of rpm per s",
        "a fall stands alone in its `let`, with a range",
        "let NAME = fall of rpm per s, from 0 to ...",
    ),
    # curve
    (
        "curve x over cht: 1 -> 2",
        "AL113",
        "cht",
        "cht has 4 elements, and a curve is over one value",
        "cht[1], or a let",
    ),
    ("curve x over rmp: 1 -> 2", "AL104", "rmp", "there is no quantity rmp", "did you mean rpm?"),
    ("curve x over rpm: 1 -> 2 inHgg", "AL110", "inHgg", "inHgg is not a unit", "did you mean inHg?"),
    (
        "curve x over rpm: 1 -> 2, 3 -> 4 psi",
        "AL105",
        "4 psi",
        "x is a plain number, and 4 psi is a pressure",
        "without",
    ),
    ("curve x over rpm: 1 -> 2 psi, 3 -> 4 V", "AL105", "4 V", "x is a pressure in psi, and 4 V is a voltage", "psi"),
    ("curve x over rpm: 1 -> 2, 3 psi -> 4", "AL105", "3 psi", "rpm is a rotational speed in rpm, and 3 psi", "(rpm)"),
    ("curve x over rpm: 1 -> 2 psi, otherwise 4 V", "AL105", "4 V", "x is a pressure in psi, and 4 V is", "psi"),
    (
        "curve x over rpm: 3 -> 2, 2 -> 4",
        "AL112",
        "2",
        "the points of x must rise: 2 rpm comes after 3 rpm",
        "in order",
    ),
    (
        "curve x over rpm: 3 -> 2, 3 rpm -> 4",
        "AL112",
        "3 rpm",
        "3 rpm comes after 3 rpm",
        "for a step write two points",
    ),
    ("curve x over oil_temp: 90 F -> 2, 20 C -> 4", "AL112", "20 C", "68 F comes after 90 F", "each value once"),
    # ends of regions
    ("rpm above map is red", "AL113", "map", "map is a quantity, and the end of a region is", "let NAME = map"),
    ("rpm above running is red", "AL113", "running", "running is a condition, and the end of a region", "a number"),
    ("rpm above nothing is red", "AL104", "nothing", "there is no curve or let nothing", "declare a curve"),
    ("let limits = rpm\nrpm above limit_s is red", "AL104", "limit_s", "there is no curve or let limit_s", "limits?"),
    (
        "let x = map\nrpm above x is red",
        "AL105",
        "x",
        "rpm is a rotational speed, and x is a pressure",
        "of its own kind",
    ),
    (
        "let x = spread of cht\ncht above x is red",
        "AL105",
        "x",
        "cht is a temperature, and x is a difference of temperatures",
        "of its own kind",
    ),
    (
        "let x = spread of cht\nlet y = highest of cht\nx above y is red",
        "AL105",
        "y",
        "x is a difference of temperatures, and y is a temperature",
        "of its own kind",
    ),
    (
        "let x = cht - 5 F\noil_temp above x is red",
        "AL113",
        "x",
        "x has 4 elements, and oil_temp has one value",
        "let NAME = highest of x",
    ),
    (
        "let x = cht - 5 F\ntwo above x is red",
        "AL113",
        "x",
        "x has 4 elements, and two has 2",
        "compare with one value",
    ),
    # names
    ("let rpm = map", "AL106", "rpm", "declared already, in osier.profile line 3", "another name"),
    ("let x = rpm\nlet x = rpm", "AL106", "x", f"declared already, in t.alert line {FIRST}", "another name"),
    ("let x = rpm\ncurve x over rpm: 1 -> 2", "AL106", "x", f"declared already, in t.alert line {FIRST}", "another"),
    ("let Half = rpm / 2", "AL102", "Half", "names are lower case", "write half"),
    ("let spread = rpm", "AL102", "spread", "spread is a word of the language", "spread_1"),
    ('let x = cht\nwhen x above 5 then warning "A"', "AL113", "x", "x has 4 elements: of which is this said?", "any x"),
    ("let x = rpm\nx[1] above 5 is red", "AL113", "x[1]", "x has one value", "write x without [1]"),
    (
        "let x = spread of cht\nx above 5 psi is red",
        "AL105",
        "5 psi",
        "x is a temperature in F, and 5 psi is a",
        "F, C, K",
    ),
]


@pytest.mark.parametrize(("text", "code", "underlined", "message", "advice"), SLIPS, ids=[s[0] for s in SLIPS])
def test_slip(rules: Rules, text: str, code: str, underlined: str, message: str, advice: str) -> None:
    loaded = rules(MORE + text)
    [found] = loaded.findings
    lines = text.split("\n")
    assert (found.code.code, found.path) == (code, "t.alert")
    assert found.where is not None
    assert (found.where.text, found.where.line) == (underlined, FIRST + len(lines) - 1)
    places = [one.start() for one in re.finditer(rf"(?<!\w){re.escape(underlined)}(?!\w)", lines[-1])]
    # What is wrong with a name is said where it is declared, all else where it is used.
    assert found.where.column - 1 == places[0 if "itself" in message or "declared" in message else -1]
    assert message in found.message
    assert advice in " ".join(found.advice)
    assert found.advice
    assert loaded.ruleset is None


@pytest.mark.parametrize(
    ("text", "circle"),
    [
        ("let x = y\nlet y = x", "x -> y -> x"),
        ("let x = y\nlet y = z\nlet z = x", "x -> y -> z -> x"),
        ("let x = y\nlet y = z\nlet z = y", "y -> z -> y"),
        ("let x = spread of y\ncurve z over x: 1 -> 2\nlet y = cht - z", "x -> y -> z -> x"),
        ("let x = rise of y per s, from 0 to 5\nlet y = x", "x -> y -> x"),
    ],
)
def test_circle_is_said_once_and_using_it_is_no_second_mistake(rules: Rules, text: str, circle: str) -> None:
    [found] = rules(f"{text}\nx above 5 is red\nrpm above y is red").findings
    assert (found.code.code, found.where and found.where.text) == ("AL112", circle.split()[0])
    assert found.message == f"derived quantities read each other in a circle: {circle}"


@pytest.mark.parametrize(
    "broken", ["let x = rpm * rpm", "let x = rmp", "curve x over cht: 1 -> 2", "let x = 5", NO_RANGE]
)
def test_using_what_could_not_be_computed_is_no_second_mistake(rules: Rules, broken: str) -> None:
    uses = (
        "let y = 2 * x\nlet z = y + x\nx above 5 is red\nrpm above x is red\ncurve c over z: 1 -> 2\nmap above c is red"
    )
    found = rules(f"{MORE}{broken}\n{uses}\n").findings
    assert [f.where.line for f in found if f.where] == [FIRST]


def test_two_slips_in_two_lets_are_both_said(rules: Rules) -> None:
    found = rules("let x = rpm * rpm\nlet y = 2 * oil_temp\nlet z = x + y").findings
    assert [(f.code.code, f.where.line) for f in found if f.where] == [("AL112", 3), ("AL105", 4)]


def test_rates_of_two_units_of_time_do_not_mix(rules: Rules) -> None:
    text = "quantity t from 0 to 50 C\nlet a = rise of t per min, from 0 to 200 F\n"
    text += "let b = rise of t per s, from 0 to 20 F\n"
    assert [f.message for f in rules(text + "let c = a + b\na above b is red").findings] == [
        "one of these is per min and the other per s",
        "a is a rate per min, and b is a rate per s",
    ]


@pytest.mark.parametrize("forwards", [True, False])
def test_towers_of_lets_end_somewhere(rules: Rules, forwards: bool) -> None:
    names = [f"let x{i} = {f'x{i - 1}' if i else 'q'}" for i in range(400)]
    lines = names if forwards else list(reversed(names))
    loaded = rules("\n".join(["quantity q from 0 to 5", *lines, "x399 above 3 is red"]))
    assert loaded.ruleset is None
    assert all("more than 30 levels deep" in f.message for f in loaded.findings)
