"""set-clear-overlap: every pair of regions, and what else a condition may be made of."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest

import alertlang.api as api
from alertlang.checks import set_clear_overlap
from alertlang.findings.finding import Finding, WitnessReading
from alertlang.model import ruleset as m
from tests.helpers.cells import inside
from tests.helpers.one_check import HEAD, by_itself, found, mended

# The numbers of the regions, some of them the ends of the sensor; and every value that can tell two regions apart.
NUMBERS = (0, 1, 3, 4)
VALUES = tuple(Fraction(n, 2) for n in range(0, 9))
REGIONS = [f"{kind} {n}" for kind in ("below", "above", "at most", "at least") for n in NUMBERS] + [
    f"{kind} {low} to {high}" for kind in ("from", "outside") for low, high in product(NUMBERS, NUMBERS) if low < high
]


def condition_of(text: str) -> tuple[m.RuleSet, m.Region, m.Region]:
    ruleset = api.loads(HEAD + text).model
    condition = ruleset.conditions["c"]
    assert isinstance(condition.formula, m.Compare)
    assert isinstance(condition.until, m.Compare)
    return ruleset, condition.formula.region, condition.until.region


@pytest.mark.alike
@pytest.mark.parametrize("sets", REGIONS)
def test_every_pair_of_regions(sets: str) -> None:
    for clear in REGIONS:
        text = f"quantity x from 0 to 4\ncondition c means x {sets} until x {clear}\n"
        ruleset, setting, clearing = condition_of(text)
        shared = [v for v in VALUES if inside(setting, v) and inside(clearing, v)]
        findings = by_itself(set_clear_overlap, ruleset)
        assert bool(findings) == bool(shared), text
        for one in findings:
            assert one.witness is not None
            if len(shared) == len(VALUES):
                continue
            fact = one.witness["x"]
            assert isinstance(fact, WitnessReading)
            assert inside(setting, fact.value)
            assert inside(clearing, fact.value)
            check_mended(text, one, setting, clearing)


def check_mended(text: str, one: Finding, setting: m.Region, clearing: m.Region) -> None:
    """The narrowed clear part overlaps no more and clears just where the other did: setting wins anyway."""
    if one.suggestion is None:
        return
    after, _, narrowed = condition_of(mended(text, one))
    assert by_itself(set_clear_overlap, after) == []
    for value in VALUES:
        assert inside(narrowed, value) == (inside(clearing, value) and not inside(setting, value)), text


def test_a_shared_end_is_one_point() -> None:
    [one] = found(set_clear_overlap, "quantity x from 0 to 4\ncondition c means x at most 2 until x at least 2\n")
    assert one.message == "the set part and the clear part of c can hold together, x at exactly 2"
    assert one.suggestion is not None
    assert one.suggestion.text == "condition c means x at most 2 until x above 2"


def test_an_assumption_may_keep_them_apart() -> None:
    text = "quantity x from 0 to 4\ncondition c means x below 3 until x above 1\n"
    assert len(found(set_clear_overlap, text)) == 1
    assert found(set_clear_overlap, text + "assume x outside 1 to 3\n") == []


def test_parts_about_different_things() -> None:
    text = "quantity x from 0 to 4\nswitch key out, in\ncondition c means x below 1 until key is in\n"
    [one] = found(set_clear_overlap, text)
    assert one.message.endswith("can hold together, x below 1 whenever key is in")
    assert found(set_clear_overlap, text.replace("until key is in", "until key is in and x at least 1")) == []


def test_delays_change_nothing() -> None:
    text = "quantity x from 0 to 4\ncondition c means x below {} until x above 2, set after 5 s, cleared after 10 s\n"
    assert len(found(set_clear_overlap, text.format(3))) == 1
    assert found(set_clear_overlap, text.format(2)) == []


def test_a_condition_on_a_condition_with_a_memory() -> None:
    """Between its two parts `a` may be either, so it can set `b` where 2 also clears it."""
    text = "quantity x from 0 to 4\ncondition a means x below 1 until x above 3\ncondition b means a until x above {}\n"
    [one] = found(set_clear_overlap, text.format(2))
    assert one.statements == ("b",)
    assert one.witness is not None
    assert one.witness["a"] is True
    assert found(set_clear_overlap, text.format(3)) == []


def test_timed_parts() -> None:
    text = "quantity x from 0 to 4\ncondition c means x above 3 for at least 5 s until x {}\n"
    assert len(found(set_clear_overlap, text.format("above 2"))) == 1
    assert found(set_clear_overlap, text.format("above 3 for less than 5 s")) == []
    assert len(found(set_clear_overlap, text.format("above 3 for at least 4 s"))) == 1


def test_arrays() -> None:
    text = "quantity cht[3] from 0 to 500 F\ncondition hot means {} cht above 440 F until {} cht below 450 F\n"
    for sets, clears in product(("any", "every"), repeat=2):
        case = text.format(sets, clears)
        [one] = found(set_clear_overlap, case)
        if "every" in (sets, clears):
            assert found(set_clear_overlap, mended(case, one)) == []
        else:
            assert one.suggestion is None
    apart = text.replace("450", "430")
    assert found(set_clear_overlap, apart.format("any", "every")) == []
    # One cylinder may be hot while another is cold.
    assert len(found(set_clear_overlap, apart.format("any", "any"))) == 1
    assert found(
        set_clear_overlap, "quantity cht[3] from 0 to 500 F\ncondition c means cht[1] above 1 until cht[2] above 1\n"
    )


def test_a_derived_quantity() -> None:
    text = "quantity cht[2] from 0 to 500 F\nlet apart = spread of cht\n"
    text += "condition uneven means apart above 50 until apart below {}\n"
    assert found(set_clear_overlap, text.format(40)) == []
    [one] = found(set_clear_overlap, text.format(60))
    assert "apart between 50 and 60 F" in one.message
    assert found(set_clear_overlap, mended(text.format(60), one)) == []


def test_a_bound_that_moves() -> None:
    text = (
        "quantity rpm from 0 to 3000 rpm\nquantity boost from 0 to 40 inHg\n"
        "curve most over rpm: 0 rpm -> 20 inHg, 3000 rpm -> 30 inHg\n"
        "condition high means boost above most until boost {}\n"
    )
    assert found(set_clear_overlap, text.format("at most most")) == []
    assert found(set_clear_overlap, text.format("below 20")) == []
    [one] = found(set_clear_overlap, text.format("below 25"))
    assert one.suggestion is None


def test_failed_sensors() -> None:
    text = "quantity x from 0 to 4\ncondition blind means x failed or x below 1 until x above 2{}\n"
    assert found(set_clear_overlap, text.format("")) == []
    [one] = found(set_clear_overlap, text.format(" or x failed"))
    assert one.witness is not None
    assert one.witness["x failed"] is True
