"""Small sets in every pair, over every short recording: nothing that is told is invented, nothing that is shown untold.

So a side of the question that is wider than what can happen fails here too.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from itertools import product

import pytest

from alertlang.comparison import Direction, compare
from alertlang.meaning.readings import Sample
from alertlang.model import ruleset as m
from tests.helpers.timed import load
from tests.helpers.told import Subject, Value, check_histories, shown, values, way

PLAIN = "quantity x from 0 to 9\n"
STATEMENTS = {
    "clocks": (
        "b: x above 2 is red",
        "b: x above 5 is red",
        "b: x above 2 for more than 1 s is red",
        "b: x above 2 for more than 2 s is red",
        "b: x above 2 for more than 2 s in total is red",
        'b: x above 2 is red with warning "A"',
        'b: x above 2 is red with warning "A" after 2 s',
        'b: x above 2 is red with warning "A" latched',
        "b: x failed is red",
        "b: x above 5 for more than 1 s is red",
    ),
    "conditions": (
        'condition c means x above 2\na: when c then warning "A"',
        'condition c means x above 2 until x below 1\na: when c then warning "A"',
        'condition c means x above 5 until x below 1\na: when c then warning "A"',
        'condition c means x above 2, set after 2 s\na: when c then warning "A"',
        'condition c means x above 2, cleared after 2 s\na: when c then warning "A"',
        'condition c means x above 2 or x failed\na: when c then warning "A"',
        'condition c means not (x above 2)\na: when c then warning "A"',
        'a: when x above 2 for at least 1 s then warning "A"',
        'a: when x above 2 for at least 2 s then warning "A"',
        'a: when x above 2 for less than 2 s then warning "A"',
    ),
    "curves": (
        "curve t over y: 0 -> 2, 9 -> 2\nb: x above t is red",
        "curve t over y: 0 -> 2, 9 -> 2, otherwise 5\nb: x above t is red",
        "curve t over y: 0 -> 2, 9 -> 2, otherwise 2\nb: x above t is red",
        "curve t over y: 0 -> 2, 9 -> 5\nb: x above t is red",
        "b: when y failed then x above 2 is red",
        "b: x above 2 is red",
    ),
    "deadbands": (
        "b: x above 2 is red",
        "b: x above 3 is red",
        "b: x above 5 is red",
        "b: when y above 5 then x above 2 is red",
        "b: when y above 5 then x above 3 is red",
    ),
}
_HEADS = {
    "clocks": PLAIN,
    "conditions": PLAIN,
    "curves": f"{PLAIN}quantity y from 0 to 9\n",
    "deadbands": "quantity x from 0 to 9, deadband 2\nquantity y from 0 to 9\n",
}
_VALUES: dict[str, tuple[int | Fraction | None, ...]] = {
    "clocks": (0, 4, 7, None),
    "conditions": (0, 4, 7, None),
    "curves": (0, 4, 7, None),
    "deadbands": (0, Fraction(5, 2), 4, 7),
}


@cache
def rules_of(family: str, i: int) -> m.RuleSet:
    return load(f'rules "small" version 1\n{_HEADS[family]}{STATEMENTS[family][i]}\n')


@cache
def recordings(family: str) -> tuple[tuple[Sample, ...], ...]:
    """Four samples a second apart, or three of two readings."""
    some = _VALUES[family]
    if "quantity y" not in _HEADS[family]:
        states = [{} if v is None else {"x": Fraction(v)} for v in some]
        length = 4
    else:
        others = (Fraction(0), Fraction(9), None) if family == "curves" else (Fraction(0), Fraction(9))
        pairs = product([None if v is None else Fraction(v) for v in some], others)
        states = [{n: v for n, v in zip("xy", pair, strict=True) if v is not None} for pair in pairs]
        length = 3
    return tuple(
        tuple(Sample(Fraction(i), state, {}) for i, state in enumerate(one)) for one in product(states, repeat=length)
    )


@cache
def shows(family: str, i: int) -> tuple[tuple[dict[Subject, Value], ...], ...]:
    rules = rules_of(family, i)
    return tuple(tuple(values(rules, one) for one in shown(rules, samples)) for samples in recordings(family))


def found_by_trying(family: str, i: int, j: int) -> set[tuple[str, Direction]]:
    found: set[tuple[str, Direction]] = set()
    for mine, theirs in zip(shows(family, i), shows(family, j), strict=True):
        for one, other in zip(mine, theirs, strict=True):
            for kind, name in {*one, *other}:
                pair = one.get((kind, name)), other.get((kind, name))
                if pair[0] != pair[1]:
                    found.add((name, way(*pair)))
    return found


@pytest.mark.alike
@pytest.mark.parametrize("family", STATEMENTS)
def test_told_is_shown_and_shown_is_told(family: str) -> None:
    count = len(STATEMENTS[family])
    for i, j in product(range(count), repeat=2):
        first, second = rules_of(family, i), rules_of(family, j)
        found = compare(first, second)
        what = STATEMENTS[family][i], STATEMENTS[family][j], [(c.direction, c.message) for c in found.changes]
        assert not found.undecided, what
        assert found.same is (i == j), what
        check_histories(found, first, second)
        kinds = {"colour", "alert", "reaction", "timing", "failure"}
        told = {(c.subject, c.direction) for c in found.changes if c.kind in kinds}
        tried = found_by_trying(family, i, j)
        assert tried <= told, what
        # What is told of a subject beyond what was tried takes longer, or a press; its recording has been checked.
        for subject, direction in told - tried:
            assert any(c.history for c in found.changes if (c.subject, c.direction) == (subject, direction)), what
