"""Random rule sets with everything that readings, failures and the clock can do to one another, drawn from one seed.

`whole(chance)` gives a text that can be read: two sensors or three, arrays, `let` and `curve` on them (lets of lets,
ends that cross, `otherwise`, rates), conditions with memory and delays, assumptions on any of these, bands and alerts
with every word of the clock, limits and ranges, claims with failures. Few numbers and times, so that they coincide.
`features(rules)` says what of this a rule set has. `smaller(text, fails)` leaves out what a failure does not need.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from alertlang.model import ruleset as m
from alertlang.model.expression import CurveOver
from alertlang.model.load import parse_ruleset
from tests.helpers.regions import DRAWN, two_sided

HEAD = 'rules "whole" version 1\nsource NOTE common practice\n'


@dataclass(frozen=True)
class Name:
    """Something to compare: ways to declare it, numbers to compare it with, other names that may be its bounds."""

    ways: tuple[str, ...]
    numbers: tuple[str, ...]
    bounds: tuple[str, ...] = ()
    is_array: bool = False


_RPM = ("0 rpm", "2 rpm", "4 rpm", "6 rpm", "10 rpm")
NAMES = {
    "speed": Name(
        ("quantity speed from 0 to 10 rpm", "quantity speed from 0 to 10 rpm, deadband 2 rpm"),
        _RPM,
        ("low_end", "high_end", "top", "excess", "need"),
    ),
    "temp": Name(
        ("quantity temp from -4 to 4 C", "quantity temp from -4 to 4 C, deadband 1 C"),
        ("-4 C", "-2 C", "0 C", "33.8 F", "2 C", "4 C"),
        ("frost",),
    ),
    "cyl": Name(
        ("quantity cyl[2] from 0 to 6", "quantity cyl[2] from 0 to 6, deadband 1"),
        ("0", "1", "2", "3", "5", "6"),
        ("hottest", "mean", "rest"),
        True,
    ),
    "excess": Name(("let excess = speed - 4 rpm",), ("-4 rpm", "0 rpm", "2 rpm"), ("top", "need")),
    "twice": Name(("let twice = excess + speed",), ("-4 rpm", "0 rpm", "8 rpm"), ("top", "excess")),
    "hottest": Name(("let hottest = highest of cyl", "let hottest = lowest of cyl"), ("1", "3", "5"), ("mean",)),
    "mean": Name(("let mean = average of cyl",), ("1", "3", "4"), ("hottest",)),
    "margin": Name(("let margin = hottest - mean",), ("0", "0.5", "1")),
    "uneven": Name(("let uneven = spread of cyl",), ("0", "1", "3")),
    "apart": Name(("let apart = deviation of cyl",), ("-1", "0", "0.5"), (), True),
    "rest": Name(("let rest = 6 - cyl",), ("0", "2", "3"), ("mean",), True),
    "climb": Name(("let climb = rise of temp per s, from -8 to 8 C",), ("-1 C", "0 C", "1 C")),
    "sinking": Name(("let sinking = fall of cyl per min, from -720 to 720",), ("-60", "0", "60"), (), True),
    "top": Name(
        (
            "curve top over temp: -2 C -> 2 rpm, 2 C -> 8 rpm",
            "curve top over temp: -2 C -> 2 rpm, 0 C -> 6 rpm, 4 C -> 4 rpm, otherwise 4 rpm",
        ),
        ("3 rpm", "4 rpm", "8 rpm"),
        ("excess",),
    ),
    "low_end": Name(("curve low_end over temp: -4 C -> 2 rpm, 4 C -> 8 rpm",), ("4 rpm",), ("high_end",)),
    "high_end": Name(
        (
            "curve high_end over temp: -4 C -> 8 rpm, 4 C -> 4 rpm",
            "curve high_end over temp: -4 C -> 8 rpm, 4 C -> 4 rpm, otherwise 6 rpm",
        ),
        ("6 rpm",),
        ("low_end",),
    ),
    "need": Name(
        (
            "curve need over cyl[1]: 0 -> 0 rpm, 6 -> 10 rpm, otherwise 4 rpm",
            "curve need over cyl[2]: 0 -> 8 rpm, 6 -> 2 rpm",
        ),
        ("4 rpm", "6 rpm"),
    ),
    "frost": Name(("curve frost over speed: 0 rpm -> 28.4 F, 8 rpm -> 35.6 F",), ("0 C",)),
}
SWITCHES = {"pump": ("off", "low", "high"), "gear": ("up", "down")}
DURATIONS = ("1 s", "2 s", "2 s", "3 s")
COLOURS = ("red", "red", "yellow", "green", "green", "white", "unmarked")
LEVELS = ("warning", "caution", "advisory")


def load(text: str) -> m.RuleSet | None:
    """The rule set of a text; none if it has errors."""
    return parse_ruleset(text.encode(), shown="whole.alert", folder=Path(".")).ruleset


def whole(chance: random.Random) -> str:
    """The text of a rule set, which can be read without an error."""
    return _Writer(chance).write()


class _Writer:
    def __init__(self, chance: random.Random) -> None:
        self.random = chance
        self.conditions: list[str] = []
        sensors = chance.sample(("speed", "temp", "cyl"), chance.choice((1, 2, 2, 3)))
        derived = [name for name in NAMES if name not in {"speed", "temp", "cyl"}]
        # What the statements of this set are about: few, so that they meet.
        self.subjects = [*sensors, *chance.sample(derived, chance.choice((0, 1, 1, 2, 3)))]

    def of(self, *some: str) -> str:
        return self.random.choice(some)

    def maybe(self, percent: int, text: Callable[[], str]) -> str:
        return text() if self.random.randrange(100) < percent else ""

    def time(self) -> str:
        return self.of(*DURATIONS)

    # ---- parts

    def region(self, name: str) -> str:
        one = NAMES[name]

        def end() -> str:
            return self.maybe(35 if one.bounds else 0, lambda: self.of(*one.bounds)) or self.of(*one.numbers)

        kind = self.of("below", "above", "at most", "at least", "two", "two", "two")
        if kind != "two":
            return f"{kind} {end()}"
        first, second = end(), end()
        if first in one.numbers and second in one.numbers:
            first, second = sorted((first, second), key=one.numbers.index)
        return two_sided(self.of(*DRAWN), first, second)

    def atom(self) -> str:
        kind = self.of("reading", "reading", "reading", "switch", "failed", *["condition"] * bool(self.conditions) * 2)
        if kind == "condition":
            return self.of(*self.conditions)
        if kind == "switch":
            switch = self.of(*SWITCHES)
            return f"{switch} is {self.of('', 'not ')}{self.of(*SWITCHES[switch])}"
        name = self.of(*self.subjects)
        said = "failed" if kind == "failed" else self.region(name)
        which = self.of("any {}", "every {}", "{}[1]", "{}[2]") if NAMES[name].is_array else "{}"
        return f"{which.format(name)} {said}"

    def formula(self, depth: int | None = None) -> str:
        depth = self.random.choice((0, 0, 1, 1, 2)) if depth is None else depth
        if depth == 0:
            return self.atom()
        kind = self.of("not", "and", "and", "or", "or", "held")
        part = f"({self.formula(depth - 1)})"
        if kind == "not":
            return f"not {part}"
        if kind == "held":
            return f"{part} {self.of('for at least', 'for less than')} {self.time()}"
        return f"{part} {kind} ({self.formula(depth - 1)})"

    def when(self, percent: int, ending: str = " then ") -> str:
        return self.maybe(percent, lambda: f"when {self.formula()}{ending}")

    def unless(self) -> str:
        return self.maybe(20, lambda: f" unless {self.formula()}")

    def held(self) -> str:
        total = " in total" if self.random.randrange(4) == 0 else ""
        return self.maybe(35, lambda: f" for more than {self.time()}{total}")

    def tail(self) -> str:
        return self.maybe(30, lambda: f" after {self.time()}") + self.maybe(25, lambda: " latched")

    def element(self, name: str) -> str:
        return self.maybe(25, lambda: f"[{self.of('1', '2')}]") if NAMES[name].is_array else ""

    # ---- statements

    def condition(self, name: str) -> str:
        text = f"condition {name} means {self.formula()}{self.maybe(35, lambda: f' until {self.formula()}')}"
        text += self.maybe(35, lambda: f", set after {self.time()}")
        return text + self.maybe(35, lambda: f", cleared after {self.time()}")

    def band(self, label: str) -> str:
        name = self.of(*self.subjects)
        region = self.maybe(10, lambda: "failed") or self.region(name)
        text = f"{label}: {self.when(45)}{name}{self.element(name)} {region}{self.held()} is {self.of(*COLOURS)}"
        text += self.maybe(50, lambda: f' with {self.of(*LEVELS)} "{label.upper()}"{self.tail()}')
        return text + self.unless()

    def alert(self, label: str) -> str:
        text = f"{label}: when ({self.formula()}){self.held()} then {self.of(*LEVELS)} "
        return f'{text}"{label.upper()}"{self.tail()}{self.unless()}'

    def range(self, label: str) -> str:
        kind, name = self.of("limit", "limit", "limit", "avoid", "precaution", "normal"), self.of(*self.subjects)
        text = f"{label}: {self.when(40)}{kind} {name}{self.element(name)} {self.region(name)}"
        if kind in {"limit", "avoid"}:
            text += self.maybe(30, lambda: f" except for {self.time()}")
            within = self.maybe(40, lambda: f" within {self.time()}")
            text += self.maybe(60, lambda: f", needs {self.of(*LEVELS)}{within}")
        return f"{text}, source NOTE"

    def claim(self, label: str) -> str:
        name = self.of(*self.subjects)
        place = f"{name}{self.element(name)} {self.region(name)}"
        within = self.maybe(30, lambda: f" within {self.time()}")
        colour, level = self.of(*COLOURS), self.of(*LEVELS)
        said = self.of(
            f"{place} is {colour}",
            f"{place} is at least {colour}",
            f"{place} is never {colour}",
            f"{place} raises {level}{within}",
            f"raises {level}{within}",
            "quiet",
        )
        return f"{label}: prove {self.when(60)}{said}"

    def write(self) -> str:
        some: list[str] = []

        def add(least: int, most: int, statement: Callable[[str], str], letter: str) -> None:
            some.extend(statement(f"{letter}{n + 1}") for n in range(self.random.randint(least, most)))

        for number in range(self.random.choice((0, 1, 1, 2))):
            some.append(self.condition(f"c{number + 1}"))
            self.conditions.append(f"c{number + 1}")
        add(0, self.random.choice((0, 1, 2)), lambda label: f"{label}: assume {self.when(35)}{self.formula()}", "s")
        for name in self.subjects:
            # Mostly a gauge shows something, so that what is wrong is wrong in one place.
            low = NAMES[name].numbers[0]
            some += [
                f"{name}_on: {name} {self.of('at least', 'at most', 'above')} {low} is green"
            ] * self.random.randint(0, 1)
        add(1, 4, self.band, "b")
        add(0, 2, self.alert, "a")
        add(0, 2, self.range, "l")
        add(0, 2, self.claim, "p")
        return HEAD + "".join(f"{line}\n" for line in (*self.declarations(some), *some))

    def declarations(self, statements: list[str]) -> list[str]:
        """All that statements name, and what that reads in turn, in the order in which it may be read."""
        ways = {name: self.of(*one.ways) for name, one in NAMES.items()}
        ways |= {name: f"switch {name} {', '.join(positions)}" for name, positions in SWITCHES.items()}
        needed: set[str] = set()
        pending = list(statements)
        while pending:
            for word in re.findall(r"[a-z]\w*", pending.pop()):
                if word in ways and word not in needed:
                    needed.add(word)
                    pending.append(ways[word])
        return [text for name, text in ways.items() if name in needed]


# ---- what there is in one


def features(rules: m.RuleSet) -> frozenset[str]:
    return frozenset(_features(rules))


def _features(rules: m.RuleSet) -> Iterator[str]:
    for one in rules.assumptions:
        read = rules.quantities_read(one.when, one.formula)
        yield "an assumption"
        if any(rules.quantities[name].derived is not None for name in read):
            yield "an assumption on a derived name"
        if remembers(rules, one.when, one.formula):
            yield "an assumption on what is remembered"
    for quantity in rules.quantities.values():
        if quantity.size is not None:
            yield "an array"
        if quantity.deadband is not None:
            yield "a deadband"
        if isinstance(quantity.derived, CurveOver):
            yield "a curve"
            if quantity.derived.otherwise is not None:
                yield "otherwise"
        if quantity.is_trend:
            yield "a rate"
    for formula in rules.formulas:
        for part in m.parts_of(formula):
            if isinstance(part, m.Compare) and part.region.is_failed:
                yield "failed"
                if part.size is not None or part.index is not None:
                    yield "failed of an element"
            if isinstance(part, m.Held):
                yield "for at least or for less than"
    regions = [one.region for one in rules.bands] + [one.region for one in rules.ranges]
    for formula in rules.formulas:
        regions += [p.region for p in m.parts_of(formula) if isinstance(p, m.Compare)]
    if any(region.second is not None and region.moves for region in regions):
        yield "ends that may cross"
    conditions = rules.conditions.values()
    if any(one.is_delayed for one in conditions):
        yield "a delayed condition"
        if any(rule.held is not None for rule in rules.rules):
            yield "a timed statement beside a delayed condition"
    if any(one.until is not None for one in conditions):
        yield "until"
    for rule in rules.rules:
        found = {"for more than": rule.held, "in total": rule.in_total, "after": rule.after, "latched": rule.latched}
        yield from (name for name, value in found.items() if value)
    for claim in rules.claims:
        yield "a claim"
        if rules.failures_read(claim.when):
            yield "a claim about a failure"
        if claim.within is not None:
            yield "a claim about a time"


def remembers(rules: m.RuleSet, *formulas: m.Formula | None) -> bool:
    """Whether formulas, conditions looked into, go by what was before."""
    names = rules.conditions_read(*formulas)
    given = [f for f in formulas if f is not None] + [part for name in names for part in rules.conditions[name].parts]
    return any(rules.conditions[name].until is not None or rules.conditions[name].is_delayed for name in names) or any(
        isinstance(part, m.Held) for formula in given for part in m.parts_of(formula)
    )


def smaller(text: str, fails: Callable[[str], bool]) -> str:
    """The text without the lines that a failure does not need; first several at once, then one by one."""
    lines = text.splitlines()
    size = max(1, (len(lines) - 2) // 2)
    while size:
        start = len(lines)
        while start > 1:
            start = max(1, start - size)
            without = lines[:start] + lines[start + size :]
            shorter = "\n".join(without) + "\n"
            if len(without) < len(lines) and load(shorter) is not None and fails(shorter):
                lines = without
        size //= 2
    return "\n".join(lines) + "\n"
