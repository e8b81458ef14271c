"""Modified condition/decision coverage against worked examples.

Each decision's independence pairs and all its minimum sets, for unique-cause coverage as DO-178B defines it (every
condition shown to affect the outcome by varying it alone); sets by brute force over all subsets of rows; of the four
conditions the size, and one set, as published. Rows are written as T and F in the order of the conditions.
"""

from __future__ import annotations

import pytest

from alertlang.api import loads
from alertlang.groundtest.goals import goals
from alertlang.groundtest.mcdc import Row, masking, minimum_sets, rows, small_set, unique_cause


def row(text: str) -> Row:
    return tuple(letter == "T" for letter in text)


def written(found: frozenset[Row]) -> frozenset[str]:
    return frozenset("".join("T" if value else "F" for value in one) for one in found)


DECISIONS = {
    "A and (B or C)": (lambda r: r[0] and (r[1] or r[2]), 3),
    "(A or B) and C": (lambda r: (r[0] or r[1]) and r[2], 3),
    "A or (B and C)": (lambda r: r[0] or (r[1] and r[2]), 3),
    "A and B and C": (lambda r: all(r), 3),
    "A or B or C": (lambda r: any(r), 3),
    "A xor B": (lambda r: r[0] is not r[1], 2),
    "A and B": (lambda r: all(r), 2),
    "(A or B) and (C or D)": (lambda r: (r[0] or r[1]) and (r[2] or r[3]), 4),
}
PAIRS = {
    "A and (B or C)": ("1-5 2-6 3-7", "2-4", "3-4"),
    "(A or B) and C": ("3-7", "5-7", "1-2 3-4 5-6"),
    "A or (B and C)": ("2-6 3-7 4-8", "5-7", "5-6"),
    "A and B and C": ("1-5", "1-3", "1-2"),
    "A or B or C": ("4-8", "6-8", "7-8"),
    "A xor B": ("1-3 2-4", "1-2 3-4"),
    "A and B": ("1-3", "1-2"),
}
SETS = {
    "A and (B or C)": ["TTF TFT TFF FTF", "TTF TFT TFF FFT"],
    "(A or B) and C": ["TFT TFF FTT FFT", "TFT FTT FTF FFT"],
    "A or (B and C)": ["TTF FTT FTF FFT", "TFT FTT FTF FFT"],
    "A and B and C": ["TTT FTT TFT TTF"],
    "A or B or C": ["FFF TFF FTF FFT"],
    "A xor B": ["TT TF FT", "TT TF FF", "TT FT FF", "TF FT FF"],
    "A and B": ["TT TF FT"],
}


def pairs(name: str) -> list[tuple[tuple[Row, Row], ...]]:
    decision, count = DECISIONS[name]
    return [unique_cause(decision, rows(count), place) for place in range(count)]


@pytest.mark.parametrize("name", PAIRS)
def test_the_pairs_that_show_a_condition_alone(name: str) -> None:
    numbers = {one: place for place, one in enumerate(rows(DECISIONS[name][1]), 1)}
    said = tuple(
        " ".join("-".join(str(n) for n in sorted((numbers[one], numbers[other]))) for one, other in choices)
        for choices in pairs(name)
    )
    assert tuple(" ".join(sorted(one.split())) for one in said) == PAIRS[name]


@pytest.mark.parametrize("name", SETS)
def test_all_minimum_sets(name: str) -> None:
    found = {written(one) for one in minimum_sets(pairs(name), rows(DECISIONS[name][1]))}
    assert found == {frozenset(one.split()) for one in SETS[name]}


def test_four_conditions_need_five_rows() -> None:
    found = {written(one) for one in minimum_sets(pairs("(A or B) and (C or D)"), rows(4))}
    assert len(found) == 4
    assert {len(one) for one in found} == {5}
    assert frozenset(("TFTF", "TFFT", "TFFF", "FTTF", "FFTF")) in found
    # The published pair for A.
    assert (row("TFTF"), row("FFTF")) in pairs("(A or B) and (C or D)")[0]


@pytest.mark.parametrize("name", DECISIONS)
def test_the_set_that_is_taken_is_a_minimum_one(name: str) -> None:
    count = DECISIONS[name][1]
    chosen, smallest = small_set(pairs(name), rows(count))
    assert smallest
    assert frozenset(chosen) in minimum_sets(pairs(name), rows(count))


def test_where_two_conditions_are_coupled_masking_helps() -> None:
    decision, _ = DECISIONS["A and B"]
    possible = tuple(one for one in rows(2) if one != row("FT"))  # B needs A
    assert unique_cause(decision, possible, 0) == ()
    assert unique_cause(decision, possible, 1) == ((row("TT"), row("TF")),)
    assert masking(decision, possible, 0) == ()

    # (A and B) or (not A and C): B decides only with A, C only without.
    def either(one: Row) -> bool:
        return (one[0] and one[1]) or (not one[0] and one[2])

    some = tuple(one for one in rows(3) if one[1] is not one[2])
    assert unique_cause(either, some, 1) == ()
    assert masking(either, some, 1) == ((row("TTF"), row("TFT")),)


COUPLED = """rules "coupled" version 1
source NOTE common practice
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source NOTE
quantity oil_temp "Oil" from 0 to 300 F, step 1 F, source NOTE
rpm at most 3500 rpm is green
oil_temp at most 300 F is green
both_fast: when rpm above 2000 rpm and rpm above 2500 rpm then caution "FAST"
hot_or_fast: when oil_temp above 200 F and rpm above 2500 rpm then caution "HOT AND FAST"
"""


def test_numbers_that_are_coupled_make_pairs_impossible_and_that_is_proved() -> None:
    made = goals(loads(COUPLED).model)
    assert made.impossible == [
        "both_fast: rpm above 2000 rpm cannot decide with all others as they are; nor with others changing too"
    ]
    assert made.open == []
    # No vector is made up for it: the condition that is implied is true wherever the other one is.
    shown = [
        goal.what for goal in made.found if goal.what.startswith("both_fast") and goal.what.endswith((" yes", " no"))
    ]
    assert shown == [
        "both_fast: rpm above 2000 rpm yes, rpm above 2500 rpm yes",
        "both_fast: rpm above 2000 rpm yes, rpm above 2500 rpm no",
    ]
