"""Random pairs, held against every state there is, counted out."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from alertlang.comparison import Comparison, Direction, compare
from alertlang.model import ruleset as m
from alertlang.model.load import parse_ruleset
from tests.helpers.generate import HEAD, rule_sets
from tests.helpers.oracle import Oracle
from tests.helpers.shown import box_of, check_region, check_witness, state_of

SETTINGS = settings(
    deadline=None,
    max_examples=60,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
Value = m.Colour | m.Level | None


class Pair(Oracle):
    """One side over the cells of both."""

    def __init__(self, rules: m.RuleSet, other: m.RuleSet) -> None:
        self.other = other
        super().__init__(rules)

    def _points(self, quantity: m.Quantity) -> list[Fraction]:
        mine, self.rules = self.rules, self.other
        more = super()._points(self.rules.quantities[quantity.name])
        self.rules = mine
        return sorted({*super()._points(quantity), *more})

    def colour(self, quantity: str, index: int | None) -> dict[Value, int]:
        """The states in which a gauge shows each colour."""
        return self._worst([(b.colour, self.applies(b, index)) for b in self.bands(quantity)])

    def level(self, text: str) -> dict[Value, int]:
        """The states in which a text is up at each level."""
        found: list[tuple[Value, int]] = []
        for rule in self.rules.rules:
            if rule.alert is None:
                continue
            if isinstance(rule, m.Alert):
                found += [(rule.alert.level, self.context(rule))] if rule.alert.text == text else []
                continue
            for index in self.elements(rule.quantity, rule.index):
                if text == rule.alert.text.replace("{n}", str(index)):
                    found.append((rule.alert.level, self.applies(rule, index)))
        return self._worst(found)

    def _worst(self, parts: list[tuple[Value, int]]) -> dict[Value, int]:
        left = self.all
        found: dict[Value, int] = {}
        for value in sorted({v for v, _ in parts if v is not None}, reverse=True):
            found[value] = left & self.any_of(states for v, states in parts if v == value)
            left &= ~found[value]
        return {**found, None: left}


def rank(value: Value) -> int:
    if value is None:
        return -1
    return {0: 0, 1: 1, 2: 1, 3: 1, 4: 2, 5: 3}[int(value)] if isinstance(value, m.Colour) else int(value)


def way(one: Value, other: Value) -> Direction:
    if rank(one) == rank(other):
        return Direction.OTHER
    return Direction.LESS if rank(other) < rank(one) else Direction.MORE


def read(text: str) -> m.RuleSet | None:
    return parse_ruleset(text.encode(), shown="pair.alert", folder=Path(".")).ruleset


@st.composite
def pairs(draw: st.DrawFn) -> tuple[str, str]:
    """A rule set, and the same with one or two of its statements left out, doubled in another form or changed."""
    lines = [one.text for one in draw(rule_sets(bands=(1, 6))).statements]
    other = list(lines)
    for _ in range(draw(st.integers(1, 2))):
        rules = [i for i, line in enumerate(other) if " is " in line or " then " in line]
        rules = [i for i in rules if not line_is_fixed(other[i])]
        if not rules:
            break
        i = draw(st.sampled_from(rules))
        what = draw(st.sampled_from(("drop", "colour", "edge", "number", "level")))
        match what:
            case "drop":
                other[i] = ""
            case "colour":
                other[i] = swap(other[i], "is red", "is yellow")
            case "edge":
                other[i] = swap(swap(other[i], "at most", "below"), "at least", "above")
            case "number":
                other[i] = swap(swap(other[i], " 20 ", " 30 "), " 10", " 20")
            case "level":
                other[i] = swap(other[i], "caution", "warning")
    return HEAD + "\n".join(lines) + "\n", HEAD + "\n".join(other) + "\n"


def swap(line: str, one: str, other: str) -> str:
    return line.replace(other, one) if other in line else line.replace(one, other)


def line_is_fixed(line: str) -> bool:
    """Claims, limits and declarations stay as they are; so do exceptions."""
    return any(word in line.split('"')[0].split() for word in ("assume", "condition", "prove", "limit", "accept"))


def check(found: Comparison, first: m.RuleSet, second: m.RuleSet) -> None:
    mine, theirs = Pair(first, second), Pair(second, first)
    assert (mine.points, mine.count) == (theirs.points, theirs.count)
    wanted: dict[tuple[str, str], tuple[dict[Value, int], dict[Value, int]]] = {}
    for quantity in first.quantities.values():
        for index in quantity.indexes:
            name: str = m.variable(quantity.name, index)
            wanted["colour", name] = (mine.colour(quantity.name, index), theirs.colour(quantity.name, index))
    texts = set()
    for rules in (first, second):
        for rule in rules.rules:
            if rule.alert is not None:
                indexes = rules.quantities[rule.quantity].indexes if isinstance(rule, m.Band) else (None,)
                texts |= {rule.alert.text.replace("{n}", str(i)) for i in indexes}
    for text in texts:
        wanted["alert", text] = (mine.level(text), theirs.level(text))
    for (kind, name), (one, other) in wanted.items():
        short: str = name.split("[")[0]
        reported = [c for c in found.changes if c.kind == kind and c.subject in {name, short}]
        assert not any(c.undecided for c in found.changes)
        by_way = dict.fromkeys(Direction, 0)
        for x, states in one.items():
            for y, more in other.items():
                if x != y:
                    by_way[way(x, y)] |= states & more & mine.possible
        if kind == "alert" and name not in {c.subject for c in found.changes}:
            # Elements that are treated alike are asked about once.
            alike = any(c.kind == "alert" and c.subject.replace("1", "2") == name for c in found.changes)
            assert alike or not any(by_way.values()), (name, by_way)
            continue
        for direction, states in by_way.items():
            assert bool(states) == any(c.direction is direction for c in reported), (name, direction)
        for change in reported:
            if change.subject != name and not name.endswith("[1]"):
                continue
            pair_states = 0
            for x, states in one.items():
                for y, more in other.items():
                    if (word(x), word(y)) == (change.before, change.after):
                        pair_states |= states & more
                    if kind == "colour" and (said(x), said(y)) == (change.before, change.after):
                        pair_states |= states & more
            assert change.witness is not None
            assert change.region is not None
            check_region(mine, change.region, pair_states)
            assert state_of(mine, change.witness) & mine.possible
            assert box_of(mine, change.region) & state_of(mine, change.witness)
            check_witness(mine, change.witness, change.region, pair_states)


def word(value: Value) -> str:
    return "no alert" if value is None else value.word


def said(value: Value) -> str:
    return "blank" if value is None else value.word


@SETTINGS
@given(pairs())
def test_differences_are_those_that_counting_finds(pair: tuple[str, str]) -> None:
    first, second = read(pair[0]), read(pair[1])
    assume(first is not None and second is not None)
    assert first is not None
    assert second is not None
    found = compare(first, second)
    if not Pair(first, second).possible:
        # Nothing is proved of states that there are not.
        assert found.same == (not found.undecided)
        return
    if any(c.kind == "text" for c in found.changes):
        return
    check(found, first, second)
    less = any(c.direction is Direction.LESS for c in found.changes)
    assert found.less_strict == less


@SETTINGS
@given(rule_sets())
def test_a_rule_set_is_the_same_as_itself(text: object) -> None:
    rules = read(text.text)  # type: ignore[attr-defined]
    assert rules is not None
    assert compare(rules, rules).same
