"""Comparison of rule sets that ask for failures, held against every state with any sensors failed, counted out.

Every number is compared with 2, so that one value below and one above stand for all; without clocks one sample of the
stepper says what each side shows.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from pathlib import Path

import pytest

from alertlang.comparison import Comparison, Direction, compare
from alertlang.meaning.readings import Sample
from alertlang.model import ruleset as m
from alertlang.model.load import parse_ruleset
from tests.helpers.told import Subject, differences, is_told

HEAD = """rules "pair" version 1
quantity a from 0 to 4
quantity b from 0 to 4
quantity cyl[2] from 0 to 4
switch s y, z
let hottest = highest of cyl
curve top over a: 0 -> 0, 4 -> 4{}
"""
SENSORS = ("a", "b", "cyl[1]", "cyl[2]")
VALUES = (Fraction(1), Fraction(3), None)
WORDS = (
    ("failed", "above 2"),
    ("above", "at most"),
    ("any", "every"),
    ("cyl[1]", "cyl[2]"),
    ("is red", "is yellow"),
    ("warning", "caution"),
    ("or", "and"),
    ("is y", "is z"),
    (", otherwise 3", ""),
)


def atom(chance: random.Random) -> str:
    name = chance.choice(("a", "b", "any cyl", "every cyl", "cyl[1]", "hottest", "top", "s"))
    if name == "s":
        return f"s is {chance.choice('yz')}"
    return f"{name} {chance.choice(('above 2', 'at most 2', 'failed', 'failed'))}"


def formula(chance: random.Random) -> str:
    if chance.randrange(2):
        return f"{atom(chance)} {chance.choice(('or', 'and'))} {chance.choice(('', 'not '))}({atom(chance)})"
    return atom(chance)


def text(chance: random.Random) -> str:
    lines = [f"condition c means {formula(chance)}"]
    for number in range(chance.randint(1, 4)):
        name = chance.choice(("a", "b", "cyl", "cyl[1]", "hottest", "top"))
        region = chance.choice(("above 2", "at most 2", "at least 0", "failed"))
        when = chance.choice(("", "when c then ", "when not c then ", f"when {formula(chance)} then "))
        alert = chance.choice(("", f' with {chance.choice(("warning", "caution"))} "B{number}"'))
        colour = chance.choice(("red", "yellow", "green"))
        lines.append(f"b{number}: {when}{name} {region} is {colour}{alert}")
    if chance.randrange(2):
        lines.append(f'a0: when {formula(chance)} then {chance.choice(("warning", "caution"))} "A"')
    return HEAD.format(chance.choice(("", ", otherwise 3"))) + "\n".join(lines) + "\n"


def changed(chance: random.Random, text: str) -> str:
    """The same with one word of one line changed to its opposite, or with a line left out."""
    lines = text.splitlines()
    place = chance.randrange(6, len(lines))
    if place > 7 and not chance.randrange(4):
        return "\n".join(lines[:place] + lines[place + 1 :]) + "\n"
    for old, new in chance.sample([*WORDS, *((new, old) for old, new in WORDS if new)], 2 * len(WORDS) - 1):
        if re.search(rf"(?<!\w){re.escape(old)}(?!\w)", lines[place]):
            lines[place] = re.sub(rf"(?<!\w){re.escape(old)}(?!\w)", new, lines[place], count=1)
            break
    return "\n".join(lines) + "\n"


def read(text: str) -> m.RuleSet | None:
    return parse_ruleset(text.encode(), shown="pair.alert", folder=Path(".")).ruleset


def counted(first: m.RuleSet, second: m.RuleSet) -> set[tuple[Subject, Direction]]:
    """What differs in some state, with any sensors failed."""
    found: set[tuple[Subject, Direction]] = set()
    for values, position in product(product(VALUES, repeat=len(SENSORS)), ("y", "z")):
        told = {name: value for name, value in zip(SENSORS, values, strict=True) if value is not None}
        found |= differences(first, second, [Sample(Fraction(0), told, {"s": position})])
    return found


def invented(found: Comparison, seen: set[tuple[Subject, Direction]]) -> Iterator[str]:
    """What is told and is nowhere."""
    for one in found.changes:
        if one.kind in {"colour", "alert", "failure"} and not any(
            way is one.direction and name.split("[")[0] == one.subject.split("[")[0] for (_, name), way in seen
        ):
            yield one.message


@pytest.mark.alike
@pytest.mark.parametrize("first", range(0, 40, 10))
def test_differences_are_those_that_counting_finds(seed: int, first: int) -> None:
    differing = 0
    for number in range(first, first + 10):
        chance = random.Random(f"{seed} {number}")
        before = text(chance)
        after = changed(chance, before)
        one, other = read(before), read(after)
        assert one is not None, before
        if other is None:
            # A curve without `otherwise` where the element of an array was.
            continue
        found, seen = compare(one, other), counted(one, other)
        differing += bool(seen)
        assert not any(change.undecided for change in found.changes)
        assert [key for key, way in seen if not is_told(found, key, way)] == [], (before, after)
        assert list(invented(found, seen)) == [], (before, after)
        assert found.less_strict or all(way is not Direction.LESS for _, way in seen), (before, after)
    assert differing > 2


FIRST = HEAD.format("") + 'condition c means a above 2 or a failed\nb0: when c then b above 2 is red with warning "B"\n'


@pytest.mark.parametrize(
    ("old", "new", "way"),
    [
        ("or a failed", "", Direction.LESS),
        ("or a failed", "or b failed", Direction.LESS),
        ("a above 2 or a failed", "not (a at most 2)", None),
        ("-> 4\n", "-> 4, otherwise 3\n", None),
        ("b above 2 is red", "top failed is red", Direction.LESS),
    ],
)
def test_a_word_about_a_failure(old: str, new: str, way: Direction | None) -> None:
    one, other = read(FIRST), read(FIRST.replace(old, new))
    assert one is not None
    assert other is not None
    found, seen = compare(one, other), counted(one, other)
    assert {change.direction for change in found.changes if change.kind in {"colour", "alert", "failure"}} == {
        w for _, w in seen
    }
    assert (way is None) is (seen == set())
    assert way is None or found.less_strict


RISE = """rules "pair" version 1
quantity temp from -4 to 4 C
let climb = rise of temp per s, from -8 to 8 C
a: when {} failed then caution "A"
"""


@pytest.mark.parametrize(("old", "new", "way"), [("climb", "temp", Direction.LESS), ("temp", "climb", Direction.MORE)])
def test_a_rise_has_failed_before_its_reading_has(old: str, new: str, way: Direction) -> None:
    """At the first sample, and at the one after a gap."""
    first, second = read(RISE.format(old)), read(RISE.format(new))
    assert first is not None
    assert second is not None
    assert way in {one.direction for one in compare(first, second).changes}
