"""wide-deadband: against distances counted on a grid, and against the stepper."""

from __future__ import annotations

from fractions import Fraction

import pytest

import alertlang.api as api
from alertlang.checks import wide_deadband
from alertlang.meaning.readings import Sample
from alertlang.model import ruleset as m
from tests.checks.test_set_clear_overlap import REGIONS
from tests.helpers.cells import inside
from tests.helpers.one_check import HEAD, by_itself, found
from tests.helpers.timed import stepped

# Fine enough for regions of whole numbers and the deadbands below.
GRID = tuple(Fraction(n, 8) for n in range(0, 33))


def stretches(hits: list[bool]) -> list[list[Fraction]]:
    """The values of each unbroken stretch of a region on the grid."""
    found_: list[list[Fraction]] = []
    for value, hit, before in zip(GRID, hits, [False, *hits], strict=False):
        if hit and not before:
            found_.append([])
        if hit:
            found_[-1].append(value)
    return found_


def goes_on_everywhere(ruleset: m.RuleSet, start: Fraction) -> bool:
    """By the stepper: once the band was entered, no reading ends it."""
    readings = [value for one in GRID for value in (start, one)]
    shown = stepped(ruleset, [Sample(Fraction(i), {"x": value}, {}) for i, value in enumerate(readings)])
    return all(one.colours["x", None] is m.Colour.GREEN for one in shown)


@pytest.mark.parametrize("deadband", [Fraction(1, 2), Fraction(1), Fraction(3, 2), Fraction(3)])
@pytest.mark.parametrize("region", REGIONS)
def test_every_region(region: str, deadband: Fraction) -> None:
    size = "1.5" if deadband == Fraction(3, 2) else str(float(deadband))
    text = f"quantity x from 0 to 4, deadband {size}\nx {region} is green\n"
    ruleset = api.loads(HEAD + text).model
    hits = [inside(ruleset.bands[0].region, value) for value in GRID]
    if all(hits) or not any(hits):
        assert by_itself(wide_deadband, ruleset) == []
        return
    # An end that is left out is one step of the grid away from the last value that is in.
    open_ends = region.split()[0] in {"below", "above", "outside"}

    def width(values: list[Fraction]) -> Fraction:
        ends = (values[0] > 0) + (values[-1] < 4)
        return values[-1] - values[0] + (Fraction(ends, 8) if open_ends else 0)

    narrow = any(width(values) <= deadband for values in stretches(hits))
    never = goes_on_everywhere(ruleset, next(value for value, hit in zip(GRID, hits, strict=True) if hit))
    messages = [one.message for one in by_itself(wide_deadband, ruleset)]
    if never:
        assert ["never ends" in message for message in messages] == [True], (text, messages)
    else:
        assert ["no more than the deadband" in message for message in messages] == [True] * narrow, (text, messages)


def test_two_stretches_the_narrow_one_is_told() -> None:
    [one] = found(wide_deadband, "quantity x from 0 to 100, deadband 5\nx outside 4 to 60 is yellow\n")
    assert one.message.startswith("the band below 4 is 4 wide, no more than the deadband of x, 5")


def test_no_deadband_and_no_band() -> None:
    assert found(wide_deadband, "quantity x from 0 to 4\nx from 1 to 1 is green\n") == []
    assert found(wide_deadband, "quantity x from 0 to 4, deadband 1\n") == []


def test_a_difference_of_temperatures_converts_without_offset() -> None:
    text = "quantity t from 0 to 100 C, deadband {} F\nt from 40 to 50 C is green\n"
    assert len(found(wide_deadband, text.format(18))) == 1
    assert found(wide_deadband, text.format("17.9")) == []


def test_one_element_of_an_array() -> None:
    text = "quantity cht[3] from 0 to 500 F, deadband 20 F\ncht from 100 to 400 is green\n"
    text += "cht[2] from 400 to 420 is yellow\n"
    [one] = found(wide_deadband, text)
    assert one.statements == ("cht_2",)


def test_a_bound_that_moves_counts_at_its_widest() -> None:
    text = (
        "quantity rpm from 0 to 3000 rpm\nquantity boost from 0 to 40 inHg, deadband {} inHg\n"
        "curve most over rpm: 0 rpm -> 20 inHg, 3000 rpm -> 30 inHg\nboost from most to 32 is yellow\n"
    )
    assert found(wide_deadband, text.format(11)) == []
    assert len(found(wide_deadband, text.format(12))) == 1


def test_it_is_told_where_no_state_is_possible() -> None:
    text = "quantity x from 0 to 100, deadband 5\nx below 4 is yellow\nassume x below 3\nassume x above 6\n"
    assert len(found(wide_deadband, text)) == 1
