"""Small random rule sets as text, built from trees, so that every one of them can be read.

Few numbers, so that edges coincide; numbers between the steps, so that hairlines occur; numbers in another unit and
beyond the sensor now and then. `Text.statements` keeps apart which quantities each statement is about.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, TypeVar

from hypothesis import strategies as st

from tests.helpers.regions import DRAWN, two_sided

HEAD = 'rules "generated" version 1\nsource NOTE common practice\n'


@dataclass(frozen=True)
class Pool:
    """A quantity to draw, with the numbers that statements about it are made of, each as value and text."""

    name: str
    declaration: str
    numbers: tuple[tuple[Fraction, str], ...]


def _numbers(unit: str, *texts: str) -> tuple[tuple[Fraction, str], ...]:
    found = []
    for text in texts:
        if text.endswith(" F"):
            found.append(((Fraction(text[:-2]) - 32) * Fraction(5, 9), text))
        else:
            found.append((Fraction(text), f"{text} {unit}".strip()))
    return tuple(found)


POOLS = (
    Pool("rpm", "from 0 to 40 rpm, step 10 rpm", _numbers("rpm", "0", "9", "10", "20", "21", "25", "29.5", "40", "45")),
    Pool("rpm", "from 0 to 40 rpm", _numbers("rpm", "0", "10", "20", "30", "-5")),
    Pool("temp", "from -20 to 20 C, step 4 C", _numbers("C", "-20", "-10", "0", "33 F", "50 F", "10", "20", "9")),
    Pool("volts", "from 1 to 7, step 0.5, accuracy 0.75", _numbers("", "1", "2.25", "2.4", "3", "3.5", "5", "7", "8")),
)
ARRAYS = (
    Pool("cht", "[2] from 0 to 6, step 2", _numbers("", "0", "1", "2", "2.5", "3", "4", "6")),
    Pool("egt", "[2] from 10 to 50 C", _numbers("C", "10", "20", "75 F", "30", "45")),
)
SWITCHES = {"canopy": ("shut", "open"), "flaps": ("up", "half", "down")}
COLOURS = ("red", "red", "yellow", "yellow", "green", "green", "white", "blue", "unmarked")
LEVELS = ("warning", "caution", "advisory")

# A tree of a formula: an atom in words, or an operator over trees.
Tree = str | tuple[Any, ...]

T = TypeVar("T")


def render(tree: Tree) -> str:
    if isinstance(tree, str):
        return tree
    operator, *parts = tree
    if operator == "not":
        return f"not ({render(parts[0])})"
    return "(" + f" {operator} ".join(render(part) for part in parts) + ")"


@dataclass(frozen=True)
class Statement:
    """`about`: the quantities, switches and conditions it names."""

    text: str
    about: frozenset[str]


@dataclass(frozen=True)
class Text:
    statements: tuple[Statement, ...]

    @property
    def text(self) -> str:
        return HEAD + "".join(f"{one.text}\n" for one in self.statements)


class _Maker:
    """Draws the parts of one rule set."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.statements: list[Statement] = []
        self.pools: dict[str, Pool] = {}
        self.switches: list[str] = []
        self.conditions: list[str] = []

    def add(self, text: str) -> None:
        words = re.findall(r"\w+", text)
        names = {*self.pools, *self.switches, *self.conditions}
        self.statements.append(Statement(text, frozenset(names.intersection(words))))

    def one_of(self, *some: T) -> T:
        return self.draw(st.sampled_from(some))

    def chance(self, percent: int) -> bool:
        return self.draw(st.integers(0, 99)) < percent

    def is_array(self, name: str) -> bool:
        return self.pools[name].declaration.startswith("[")

    def region(self, pool: Pool) -> str:
        kind = self.one_of("below", "above", "at most", "at least", "two", "two", "two")
        numbers = st.sampled_from(pool.numbers)
        if kind != "two":
            return f"{kind} {self.draw(numbers)[1]}"
        low, high = sorted((self.draw(numbers), self.draw(numbers)))
        return two_sided(self.one_of(*DRAWN), low[1], high[1])

    def subject(self, names: list[str]) -> tuple[str, Pool]:
        name = self.draw(st.sampled_from(names))
        element = f"[{self.one_of(1, 2)}]" if self.is_array(name) and self.chance(30) else ""
        return name + element, self.pools[name]

    def atom(self, conditions: list[str]) -> str:
        kinds = ["reading", "reading", *(["switch"] * 2 if self.switches else []), *(["name"] if conditions else [])]
        kind = self.draw(st.sampled_from(kinds))
        if kind == "name":
            return self.draw(st.sampled_from(conditions))
        if kind == "switch":
            switch = self.draw(st.sampled_from(self.switches))
            return f"{switch} is {self.one_of('', 'not ')}{self.one_of(*SWITCHES[switch])}"
        name = self.draw(st.sampled_from(sorted(self.pools)))
        region = self.region(self.pools[name])
        if self.is_array(name):
            which = self.one_of("any {}", "every {}", "{}[1]", "{}[2]")
            return f"{which.format(name)} {region}"
        return f"{name} {region}"

    def formula(self, conditions: list[str] | None = None) -> str:
        known = self.conditions if conditions is None else conditions
        return render(self._tree(known, self.one_of(0, 0, 1, 2)))

    def _tree(self, conditions: list[str], depth: int) -> Tree:
        if depth == 0:
            return self.atom(conditions)
        operator = self.one_of("not", "and", "or")
        parts = [self._tree(conditions, depth - 1) for _ in range(1 if operator == "not" else 2)]
        return (operator, *parts)

    def when(self, percent: int, ending: str = " then ") -> str:
        return f"when {self.formula()}{ending}" if self.chance(percent) else ""

    def unless(self, percent: int) -> str:
        return f" unless {self.formula()}" if self.chance(percent) else ""


@st.composite
def rule_sets(draw: st.DrawFn, *, assumptions: tuple[int, int] = (0, 2), bands: tuple[int, int] = (0, 6)) -> Text:
    """At most three quantities, two switches, two conditions, a handful of rules: under 20,000 states that differ."""
    make = _Maker(draw)
    array = make.chance(35)
    chosen = draw(st.lists(st.sampled_from(POOLS), min_size=1, max_size=2, unique_by=lambda pool: pool.name))
    if array:
        chosen = [*chosen[:1], draw(st.sampled_from(ARRAYS))]
    elif len(chosen) == 2 and make.chance(15):
        left = [pool for pool in POOLS if pool.name not in {p.name for p in chosen}]
        chosen.append(draw(st.sampled_from(left)))
    for pool in chosen:
        # With three readings and both switches 13 * 13 * 13 * 6 states differ.
        some = draw(st.lists(st.sampled_from(pool.numbers), min_size=2, max_size=5, unique=True))
        make.pools[pool.name] = Pool(pool.name, pool.declaration, tuple(some))
    make.switches = [name for name in SWITCHES if make.chance(40)]
    for pool in chosen:
        blank = "" if pool.declaration.startswith("[") else " "
        make.add(f"quantity {pool.name}{blank}{pool.declaration}")
    for switch in make.switches:
        make.add(f"switch {switch} {', '.join(SWITCHES[switch])}")
    for number in range(draw(st.integers(0, 2))):
        text = f"condition c{number + 1} means {make.formula(list(make.conditions))}"
        make.conditions.append(f"c{number + 1}")
        make.add(text)
    names = sorted(make.pools)
    for number in range(draw(st.integers(*assumptions)) if assumptions[0] or make.chance(60) else 0):
        make.add(f"s{number + 1}: assume {make.when(70)}{make.formula()}")
    for number in range(draw(st.integers(*bands))):
        subject, pool = make.subject(names)
        alert = f' with {make.one_of(*LEVELS)} "B{number + 1}"' if make.chance(40) else ""
        text = f"{subject} {make.region(pool)} is {make.one_of(*COLOURS)}{alert}{make.unless(25)}"
        make.add(f"b{number + 1}: {make.when(40)}{text}")
    for number in range(draw(st.integers(0, 2))):
        make.add(f'a{number + 1}: when {make.formula()} then {make.one_of(*LEVELS)} "A{number + 1}"{make.unless(25)}')
    for number in range(draw(st.integers(0, 3))):
        subject, pool = make.subject(names)
        kind = make.one_of("limit", "limit", "limit", "avoid", "precaution", "normal")
        needs = f", needs {make.one_of(*LEVELS)}" if kind in {"limit", "avoid"} and make.chance(60) else ""
        make.add(f"l{number + 1}: {make.when(40)}{kind} {subject} {make.region(pool)}{needs}, source NOTE")
    for number in range(draw(st.integers(0, 2))):
        make.add(f"p{number + 1}: prove {make.when(50)}{_claim(make, names)}")
    return Text(tuple(make.statements))


def _claim(make: _Maker, names: list[str]) -> str:
    kind = make.one_of("is", "is at least", "is never", "raises", "any", "quiet")
    if kind == "quiet":
        return "quiet"
    if kind == "any":
        return f"raises {make.one_of(*LEVELS)}"
    subject, pool = make.subject(names)
    said = f"raises {make.one_of(*LEVELS)}" if kind == "raises" else f"{kind} {make.one_of(*COLOURS)}"
    return f"{subject} {make.region(pool)} {said}"
