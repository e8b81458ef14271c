"""Every region is told in words that can be pasted, and holds the numbers that they say."""

from __future__ import annotations

from fractions import Fraction

import pytest

from alertlang.api import UnreadableError, loads
from alertlang.model import ruleset as m

HEAD = """rules "words" version 1
quantity p from 0 to 20 psi
"""
# Of 3, 4, 5, 6, 7, 8, 9 those that are in it.
HOLDS = {
    "below 4 psi": "3",
    "at most 4 psi": "34",
    "above 8 psi": "9",
    "at least 8 psi": "89",
    "from 4 to 8 psi": "45678",
    "from 4 to below 8 psi": "4567",
    "above 4 to 8 psi": "5678",
    "above 4 to below 8 psi": "567",
    "outside 4 to 8 psi": "39",
    "below 4 or above 8 psi": "39",
    "below 4 or at least 8 psi": "389",
    "at most 4 or above 8 psi": "349",
    "at most 4 or at least 8 psi": "3489",
    "at or below 4 or at or above 8 psi": "3489",
    "from 4 psi to below 8 psi": "4567",
    "below 4 psi or above 8 psi": "39",
    "from 5 to 5 psi": "5",
    "outside 5 to 5 psi": "346789",
    "at most 5 or above 5 psi": "3456789",
}


def region(words: str) -> m.Region:
    return loads(f"{HEAD}p {words} is red\n").model.bands[0].region


@pytest.mark.parametrize("words", HOLDS)
def test_it_holds_what_it_says(words: str) -> None:
    found = region(words)
    held = {number for number in range(3, 10) if found.values.contains(Fraction(number))}
    assert held == {int(digit) for digit in HOLDS[words]}
    assert {number for number in range(3, 10) if found.complement().values.contains(Fraction(number))} == {
        *range(3, 10)
    } - held
    unit = loads(HEAD).model.quantities["p"].unit
    for one in (found, found.complement()):
        said = one.in_words(unit)
        assert said == "above 5 psi to 5 psi" if one.values.is_empty else region(said) == one, said


@pytest.mark.parametrize(
    ("words", "message", "way_out"),
    [
        ("from 5 to below 5 psi", "nothing is from 5 psi to below 5 psi", "perhaps at least 5 psi is meant"),
        ("above 5 to 5 psi", "nothing is above 5 psi to 5 psi", "perhaps at most 5 psi is meant"),
        ("above 5 to below 5 psi", "nothing is above 5 psi to below 5 psi", "perhaps from 5 psi to 5 psi is meant"),
        ("above 8 to below 4 psi", "the range runs down", "write the lower end first: above 4 psi to below 8 psi"),
        ("below 8 or above 4 psi", "the range runs down", "write the lower end first: outside 4 psi to 8 psi"),
        ("from 4 psi to below 8", "", ""),
    ],
)
def test_what_holds_nothing_is_refused(words: str, message: str, way_out: str) -> None:
    if not message:
        assert region(words) == region("from 4 to below 8 psi")
        return
    with pytest.raises(UnreadableError) as refused:
        loads(f"{HEAD}p {words} is red\n")
    finding = refused.value.findings[0]
    assert message in finding.message
    assert finding.advice == (way_out,)


def test_the_other_side_of_a_region_is_not_the_or_of_conditions() -> None:
    """`or` goes with the region where another one follows, and with the conditions where a name does."""
    text = (
        f"{HEAD}switch s off, on\nwhen p below 4 or above 8 psi or p from 5 to 6 psi or s is on then p above 0 is red\n"
    )
    (rule,) = loads(text).model.bands
    assert isinstance(rule.when, m.Or)
    assert [type(part) for part in rule.when.parts] == [m.Compare, m.Compare, m.SwitchIs]
