"""Small random rule sets with every word of the clock, and random recordings to run them over.

`timed_rulesets()` draws the text of a rule set: about six rules with `for more than` (`in total` too), `after`,
`latched`, `unless`, an assumption, conditions with `until`, `set after` and `cleared after`, `for at least` and
`for less than`, deadbands, `failed`, limits with `except for`, arrays, bounds that are a `let` or a `curve`, and,
where they are asked for, lamps of every sequence. Every text can be read without an error: `load(text)` gives the
rule set.
`traces(ruleset)` draws samples for any rule set, its readings at the numbers that its statements name and its buttons
pressed; `stepped(ruleset, samples)` is what is shown. Few numbers and few durations, so that edges and instants
coincide.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

from hypothesis import strategies as st

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.model.load import parse_ruleset
from tests.helpers.regions import DRAWN, two_sided

HEAD = 'rules "timed" version 1\nsource NOTE common practice\n'


@dataclass(frozen=True)
class Gauge:
    """Something to compare: its name, numbers to compare it with, and derived quantities that may stand for them."""

    name: str
    numbers: tuple[str, ...]
    moving: tuple[str, ...] = ()
    size: int | None = None


GAUGES = (
    Gauge("speed", ("0 rpm", "2 rpm", "4 rpm", "6 rpm", "10 rpm"), ("top", "excess", "floor")),
    Gauge("temp", ("-4 C", "-2 C", "0 C", "33.8 F", "2 C", "4 C"), ("frost",)),
    Gauge("cyl", ("0", "1", "2", "3", "5", "6"), ("hottest", "mean", "rest"), 2),
    Gauge("excess", ("-4 rpm", "0 rpm", "2 rpm"), ("top",)),
    Gauge("hottest", ("1", "3", "5"), ("mean",)),
    Gauge("uneven", ("0", "1", "3")),
    Gauge("apart", ("-1", "0", "0.5", "1"), (), 2),
    Gauge("climb", ("-1 C", "0 C", "1 C", "2 C")),
    Gauge("sinking", ("-60", "0", "30", "60"), (), 2),
    Gauge("top", ("3 rpm", "4 rpm", "8 rpm"), ("excess",)),
    Gauge("floor", ("2 rpm", "4 rpm", "6 rpm"), ("top",)),
)
SWITCHES = {"pump": ("off", "low", "high")}
DURATIONS = ("1 s", "1.5 s", "2 s", "3 s")
COLOURS = ("red", "yellow", "green", "white", "unmarked")
LEVELS = ("warning", "caution", "advisory")

# What is declared, after what it reads; each of several ways is one to draw.
_DECLARATIONS = {
    "speed": ("quantity speed from 0 to 10 rpm", "quantity speed from 0 to 10 rpm, deadband 2 rpm"),
    "temp": ("quantity temp from -4 to 4 C", "quantity temp from -4 to 4 C, deadband 1 C"),
    "cyl": ("quantity cyl[2] from 0 to 6", "quantity cyl[2] from 0 to 6, deadband 1"),
    "pump": ("switch pump off, low, high",),
    "excess": ("let excess = speed - 4 rpm",),
    "hottest": ("let hottest = highest of cyl", "let hottest = lowest of cyl"),
    "mean": ("let mean = average of cyl",),
    "uneven": ("let uneven = spread of cyl",),
    "apart": ("let apart = deviation of cyl",),
    "rest": ("let rest = 6 - cyl",),
    "climb": ("let climb = rise of temp per s, from -2 to 2 C",),
    "sinking": ("let sinking = fall of cyl per min, from -60 to 90",),
    "frost": (
        "curve frost over speed: 0 rpm -> 28.4 F, 8 rpm -> 35.6 F",
        "curve frost over speed: 0 rpm -> 28.4 F, 8 rpm -> 35.6 F, otherwise 1 C",
    ),
    "top": (
        "curve top over temp: -2 C -> 2 rpm, 2 C -> 8 rpm",
        "curve top over temp: -2 C -> 2 rpm, 0 C -> 6 rpm, 4 C -> 4 rpm, otherwise 4 rpm",
    ),
    # It falls where the other rises: `from floor to top` holds nothing where it is cold.
    "floor": (
        "curve floor over temp: -2 C -> 6 rpm, 2 C -> 2 rpm",
        "curve floor over temp: -4 C -> 7 rpm, 2 C -> 2 rpm, otherwise 6 rpm",
    ),
}


def load(text: str) -> m.RuleSet:
    """The rule set that a text says."""
    loaded = parse_ruleset(text.encode(), shown="timed.alert", folder=Path("."))
    assert loaded.ruleset is not None, (text, [finding.message for finding in loaded.findings])
    return loaded.ruleset


def stepped(ruleset: m.RuleSet, samples: Sequence[Sample]) -> list[Shown]:
    """What the reference stepper shows at each sample."""
    stepper = Stepper(ruleset)
    return [stepper.step(sample) for sample in samples]


class _Maker:
    def __init__(self, draw: st.DrawFn, failures: bool) -> None:
        self.draw = draw
        self.failures = failures
        self.conditions: list[str] = []
        # What most statements are about, so that they meet.
        self.subjects = draw(st.lists(st.sampled_from((*GAUGES[:3], *GAUGES)), min_size=1, max_size=2))

    def one_of(self, *some: str) -> str:
        return self.draw(st.sampled_from(some))

    def chance(self, percent: int) -> bool:
        return self.draw(st.integers(0, 99)) < percent

    def maybe(self, percent: int, text: str) -> str:
        return text if self.chance(percent) else ""

    def gauge(self) -> Gauge:
        return self.draw(st.sampled_from(self.subjects if self.chance(75) else GAUGES))

    def duration(self) -> str:
        return self.one_of(*DURATIONS)

    def region(self, gauge: Gauge) -> str:
        def bound() -> str:
            if gauge.moving and self.chance(30):
                return self.one_of(*gauge.moving)
            return self.one_of(*gauge.numbers)

        kind = self.one_of("below", "above", "at most", "at least", "two", "two", "two")
        if kind != "two":
            return f"{kind} {bound()}"
        first, second = bound(), bound()
        if first in gauge.numbers and second in gauge.numbers:
            # The numbers stand in rising order.
            first, second = sorted((first, second), key=gauge.numbers.index)
        return two_sided(self.one_of(*DRAWN), first, second)

    def atom(self) -> str:
        kinds = ["compare"] * 4 + ["switch"] + ["failed"] * self.failures + ["name"] * 4 * bool(self.conditions)
        kind = self.one_of(*kinds)
        if kind == "name":
            return self.one_of(*self.conditions)
        if kind == "switch":
            switch = self.one_of(*SWITCHES)
            return f"{switch} is {self.one_of('', 'not ')}{self.one_of(*SWITCHES[switch])}"
        gauge = self.gauge()
        said = "failed" if kind == "failed" else self.region(gauge)
        if gauge.size is not None:
            return self.one_of("any {}", "every {}", "{}[1]", "{}[2]").format(gauge.name) + f" {said}"
        return f"{gauge.name} {said}"

    def formula(self, depth: int | None = None) -> str:
        if depth is None:
            depth = self.draw(st.sampled_from((0, 1, 1, 2)))
        if depth == 0:
            return self.atom()
        kind = self.one_of("not", "and", "or", "for at least", "for at least", "for less than")
        part = f"({self.formula(depth - 1)})"
        if kind == "not":
            return f"not {part}"
        if kind in {"and", "or"}:
            return f"{part} {kind} ({self.formula(depth - 1)})"
        return f"{part} {kind} {self.duration()}"

    def condition(self, name: str) -> str:
        text = f"condition {name} means {self.formula()}"
        text += self.maybe(50, f" until {self.formula()}")
        text += self.maybe(50, f", set after {self.duration()}")
        return text + self.maybe(50, f", cleared after {self.duration()}")

    def when(self, percent: int) -> str:
        return self.maybe(percent, f"when {self.formula()} then ")

    def held(self) -> str:
        return self.maybe(50, f" for more than {self.duration()}{self.maybe(35, ' in total')}")

    def tail(self) -> str:
        after = self.maybe(40, f" after {self.duration()}")
        return f"{after}{self.maybe(40, ' latched')}"

    def band(self, label: str) -> str:
        gauge = self.gauge()
        element = self.maybe(25, f"[{self.one_of('1', '2')}]") if gauge.size is not None else ""
        region = "failed" if self.failures and self.chance(12) else self.region(gauge)
        text = f"{label}: {self.when(40)}{gauge.name}{element} {region}{self.held()} is {self.one_of(*COLOURS)}"
        if self.chance(65):
            number = " {n}" if gauge.size is not None and self.chance(60) else ""
            text += f' with {self.one_of(*LEVELS)} "{label.upper()}{number}"{self.tail()}'
        return text + self.maybe(25, f" unless {self.formula()}")

    def alert(self, label: str) -> str:
        text = f"{label}: when ({self.formula()}){self.held()} then {self.one_of(*LEVELS)} "
        return f'{text}"{label.upper()}"{self.tail()}' + self.maybe(25, f" unless {self.formula()}")

    def limit(self, label: str) -> str:
        gauge = self.gauge()
        kind = self.one_of("limit", "limit", "avoid")
        text = f"{label}: {self.when(40)}{kind} {gauge.name} {self.region(gauge)}"
        text += self.maybe(50, f" except for {self.duration()}")
        within = self.maybe(50, f" within {self.duration()}")
        return text + self.maybe(70, f", needs {self.one_of(*LEVELS)}{within}") + ", source NOTE"

    def assumption(self, label: str) -> str:
        """Mostly of something worked out or remembered, and seldom so narrow that little is left."""
        if self.conditions and self.chance(30):
            said = self.one_of("", "not ") + self.one_of(*self.conditions)
        else:
            gauge = self.gauge() if self.chance(30) else self.draw(st.sampled_from(GAUGES[3:]))
            kind = self.one_of("at least", "at most", "above", "outside")
            numbers = gauge.numbers if kind == "at most" else gauge.numbers[::-1]
            said = f"{kind} {numbers[-1]}"
            if kind == "outside":
                said = f"outside {gauge.numbers[0]} to {gauge.numbers[-2 if len(gauge.numbers) > 2 else -1]}"
            said = f"{self.one_of('any', 'every') + ' ' if gauge.size is not None else ''}{gauge.name} {said}"
        return f"{label}: assume {self.when(60)}{said}"

    def lamp(self, text: str, labels: Sequence[str]) -> str:
        """Two lamps may share a button, and a button of one may be none of another."""
        shown = self.draw(st.lists(st.sampled_from((*LEVELS, *labels)), min_size=1, max_size=3, unique=True))
        sequence = self.one_of("A", "A without lock-in", "A without lock-in", "M", "M", "R", "R")
        words = f'lamp "{text}" shows {" and ".join(shown)}, sequence {sequence}'
        if sequence != "A without lock-in" or self.chance(70):
            words += f", acknowledged by {self.one_of('ack', 'ack', 'ack_too')}"
        if sequence in {"M", "R"}:
            words += f", reset by {self.one_of('rst', 'rst', 'rst_too')}"
        return words

    def declarations(self, statements: Sequence[str]) -> list[str]:
        """All that statements name, and what that reads in turn."""
        needed: list[str] = []
        ways = {name: self.one_of(*some) for name, some in _DECLARATIONS.items()}
        pending = list(statements)
        while pending:
            for word in re.findall(r"[a-z]\w*", pending.pop()):
                if word in ways and word not in needed:
                    needed.append(word)
                    pending.append(ways[word])
        return [text for name, text in ways.items() if name in needed]


@st.composite
def timed_rulesets(
    draw: st.DrawFn,
    *,
    rules: tuple[int, int] = (1, 6),
    conditions: tuple[int, int] = (0, 2),
    limits: tuple[int, int] = (0, 2),
    assumptions: tuple[int, int] = (0, 1),
    failures: bool = True,
    lamps: bool = False,
) -> str:
    """The text of a rule set: bands (b1, ...), alerts on their own (a2, ...), conditions (c1, ...), limits (l1, ...),
    assumptions (s1, ...).

    `rules` (bands and alerts together), `conditions`, `limits` and `assumptions`: at least and at most so many; what is
    drawn for recordings keeps no assumption. `failures` false: no statement says `failed`.
    `lamps`: one to three of them (W1, ...).
    """
    make = _Maker(draw, failures)
    statements: list[str] = []
    for number in range(draw(st.integers(*conditions))):
        statements.append(make.condition(f"c{number + 1}"))
        make.conditions.append(f"c{number + 1}")
    for number in range(draw(st.integers(*rules))):
        is_band = make.chance(70)
        statements.append(make.band(f"b{number + 1}") if is_band else make.alert(f"a{number + 1}"))
    statements += [make.limit(f"l{number + 1}") for number in range(draw(st.integers(*limits)))]
    statements += [make.assumption(f"s{number + 1}") for number in range(draw(st.integers(*assumptions)))]
    if lamps:
        labels = [text.split(":")[0] for text in statements if '"' in text]
        statements += [make.lamp(f"W{number + 1}", labels) for number in range(draw(st.integers(1, 3)))]
    return HEAD + "".join(f"{text}\n" for text in (*make.declarations(statements), *statements))


# ---- recordings

STEPS = tuple(Fraction(n, 2) for n in (1, 2, 2, 3, 4, 6))


def values_of(ruleset: m.RuleSet, quantity: m.Quantity) -> tuple[Fraction, ...]:
    """Readings that matter to a quantity with a sensor: the ends of its range, the numbers that statements compare it
    with, the same with the deadband added and taken away, and a value between each two of these."""
    about: list[m.Band | m.Range] = [*ruleset.bands, *ruleset.ranges]
    regions = [one.region for one in about if one.quantity == quantity.name]
    for formula in ruleset.formulas:
        compared = [part for part in m.parts_of(formula) if isinstance(part, m.Compare)]
        regions += [part.region for part in compared if part.quantity == quantity.name]
    numbers = {quantity.low, quantity.high, *(number for region in regions for number in region.numbers)}
    if quantity.deadband is not None:
        numbers |= {number + sign * quantity.deadband for number in numbers for sign in (-1, 1)}
    ordered = sorted(number for number in numbers if quantity.low <= number <= quantity.high)
    between = [(one + other) / 2 for one, other in pairwise(ordered)]
    return tuple(sorted({*ordered, *between}))


@st.composite
def traces(
    draw: st.DrawFn, ruleset: m.RuleSet, *, longest: int = 14, failures: bool = True, acknowledge: bool = True
) -> tuple[Sample, ...]:
    """Samples from time 0 on, unevenly spaced, that mostly stay as they were.

    `failures`: now and then a reading is missing or beyond its sensor, or a position unknown. `acknowledge`: now and
    then the button is pressed that acknowledges all, and each of the rule set's own.
    """
    sensors: dict[str, st.SearchStrategy[Fraction]] = {
        m.variable(quantity.name, index): st.sampled_from(values_of(ruleset, quantity))
        for quantity in ruleset.quantities.values()
        if quantity.derived is None
        for index in quantity.indexes
    }
    beyond = {name: ruleset.quantities[name.split("[")[0]].high + 1 for name in sensors}
    switches = {name: st.sampled_from(switch.positions) for name, switch in ruleset.switches.items()}
    now = Fraction(0)
    readings: dict[str, Fraction] = {}
    positions: dict[str, str] = {}
    found: list[Sample] = []
    changing = st.sampled_from((0, 0, 0, 1))
    losing = st.sampled_from((*[0] * 14, 1, 2)) if failures else st.just(0)
    for _ in range(draw(st.integers(1, longest))):
        for name, values in sensors.items():
            if name not in readings or draw(changing):
                readings[name] = draw(values)
        for name, places in switches.items():
            if name not in positions or draw(changing):
                positions[name] = draw(places)
        told, known = dict(readings), dict(positions)
        for name in readings:
            lost = draw(losing)
            if lost == 1:
                del told[name]
            elif lost:
                told[name] = beyond[name]
        for name in positions:
            if draw(losing):
                del known[name]
        all_held = acknowledge and draw(st.sampled_from((False,) * 4 + (True,)))
        held = frozenset(name for name in ruleset.buttons if acknowledge and draw(st.sampled_from((0, 0, 1))))
        found.append(Sample(now, told, known, all_held, held))
        now += draw(st.sampled_from(STEPS))
    return tuple(found)
