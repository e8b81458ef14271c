"""One dead sensor, against the stepper: what is found really happens, and what happens in small sets is found.

The sets are small enough to try their states one by one: readings of 0 to 3 cut between whole numbers, so that whole
numbers stand for all. A history is one state for long and then another one; the sensor is dead from the second on, or
all the while.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import product

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.findings.finding import Finding, WitnessReading
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import ruleset as m

HEAD = (
    'rules "dead" version 1\nsource NOTE common practice\n'
    "quantity a from 0 to 3\nquantity b from 0 to 3\nquantity c[2] from 0 to 2\n"
)
LET = "let top = highest of c\n"
CURVES = ("curve end over b: 0 -> 0.5, 3 -> 2.5\n", "curve end over b: 0 -> 0.5, 3 -> 2.5, otherwise 0.5\n")
LONG, STEP = Fraction(24), Fraction(1, 2)
SLOW = settings(
    max_examples=25,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
State = Mapping[str, Fraction]


class _Maker:
    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.conditions: list[str] = []

    def one_of(self, *some: str) -> str:
        return self.draw(st.sampled_from(some))

    def maybe(self, percent: int, text: str) -> str:
        return text if self.draw(st.integers(0, 99)) < percent else ""

    def atom(self) -> str:
        side = f"{self.one_of('above', 'at most')} {self.one_of('0.5', '1.5')}"
        kinds = (f"b {side}", f"any c {side}", f"every c {side}", f"c[2] {side}", f"top {side}")
        failed = ("b failed", "any c failed", "c[2] failed")
        return self.one_of(*kinds, *kinds, *failed, *self.conditions, *self.conditions)

    def formula(self) -> str:
        kind = self.one_of("atom", "atom", "not", "and", "or", "or")
        if kind == "atom":
            return self.atom()
        if kind == "not":
            return f"not ({self.atom()})"
        return f"({self.atom()}) {kind} ({self.atom()})"

    def condition(self, name: str) -> str:
        text = f"condition {name} means {self.formula()}"
        text += self.maybe(25, f" until {self.formula()}")
        text += self.maybe(30, f", set after {self.one_of('1 s', '3 s')}")
        return text + self.maybe(30, f", cleared after {self.one_of('1 s', '3 s')}") + "\n"

    def red(self, label: str, subject: str) -> str:
        end = self.one_of("0.5", "1.5", "1.5", "end") if subject == "a" else self.one_of("0.5", "1.5")
        when = self.maybe(85, f"when {self.formula()} then ")
        held = self.maybe(20, f" for more than {self.one_of('1 s', '4 s')}")
        after = self.maybe(30, f" after {self.one_of('1 s', '5 s')}")
        text = f'{label}: {when}{subject} above {end}{held} is red with warning "{label.upper()}"{after}'
        return text + self.maybe(15, f" unless {self.formula()}") + "\n"


@st.composite
def guarded_sets(draw: st.DrawFn) -> str:
    """A limit on `a` or `c[1]` with one to four red bands that guard it."""
    make = _Maker(draw)
    text = HEAD + LET + make.one_of(*CURVES)
    for name in ("k", "m")[: draw(st.integers(0, 2))]:
        text += make.condition(name)
        make.conditions.append(name)
    subject = make.one_of("a", "a", "c[1]")
    when = make.maybe(60, f"when {make.formula()} ")
    text += f"low: {when}limit {subject} at most 1.5, needs warning within 2 s, source NOTE\n"
    return text + "".join(make.red(f"r{n}", subject) for n in range(draw(st.integers(1, 4))))


# ---- the stepper


def states(rules: m.RuleSet) -> list[dict[str, Fraction]]:
    names = {"a": 3, "b": 3, "c[1]": 2, "c[2]": 2}
    return [
        {name: Fraction(value) for name, value in zip(names, values, strict=True)}
        for values in product(*(range(top + 1) for top in names.values()))
    ]


def run(
    rules: m.RuleSet, before: State | None, state: State, dead: str | None, always: bool
) -> Iterator[tuple[Fraction, Shown]]:
    """What is shown from the moment on in which a state begins, with the time since."""
    stepper = Stepper(rules)
    time = Fraction(0)
    if before is not None:
        while time < LONG:
            told = {n: v for n, v in before.items() if not (always and n == dead)}
            stepper.step(Sample(time, told, {}))
            time += STEP
    since = time
    while time <= since + LONG:
        told = {n: v for n, v in state.items() if n != dead}
        yield time - since, stepper.step(Sample(time, told, {}))
        time += STEP


def times(
    rules: m.RuleSet, before: State | None, state: State, dead: str | None, always: bool
) -> tuple[Fraction | None, Fraction | None]:
    """When red and when a warning is there to stay; none: never."""
    one = rules.ranges[0]
    index = one.index
    red: Fraction | None = None
    told: Fraction | None = None
    for time, shown in run(rules, before, state, dead, always):
        is_red = shown.colours[one.quantity, index] is m.Colour.RED
        is_told = any(place[1] == index for place in shown.alerts)
        red = (time if red is None else red) if is_red else None
        told = (time if told is None else told) if is_told else None
    return red, told


def broken(rules: m.RuleSet, state: State) -> bool:
    one = rules.ranges[0]
    shown = Stepper(rules).step(Sample(Fraction(0), dict(state), {}))
    return shown.violated[one.label, one.index]


def own(rules: m.RuleSet) -> str:
    return m.variable(rules.ranges[0].quantity, rules.ranges[0].index)


def late(time: Fraction | None, allowed: Fraction) -> bool:
    return time is None or time > allowed


# ---- what is found happens


def shows(rules: m.RuleSet, finding: Finding, dead: str) -> bool:
    """Some history leads to the state of a finding, with the sensor dead, and red or the warning is late or missing."""
    witness = finding.witness or {}
    given = {name: fact.value for name, fact in witness.items() if isinstance(fact, WitnessReading) and name != "top"}
    fills = [s for s in states(rules) if all(s[n] == 0 for n in s if n in given)]
    for fill in fills:
        state = {**fill, **{n: v for n, v in given.items() if n in fill}}
        for before in (None, *states(rules)[::5], *states(rules)):
            for always in (False, True):
                red, told = times(rules, before, state, dead, always)
                if late(red, Fraction(2)) or late(told, Fraction(2)):
                    return True
    return False


@SLOW
@given(guarded_sets())
def test_what_is_found_happens(text: str) -> None:
    rules = loads(text).model
    findings = [f for f in loads(text).check().findings if f.code.name == "lost-guard"]
    for one in findings:
        told = (one.witness or {}).items()
        [dead] = [name.removesuffix(" failed") for name, fact in told if name.endswith(" failed") and fact]
        assert dead != own(rules)
        if one.reaction is not None:
            assert one.reaction.worst > one.reaction.allowed == 2
        assert shows(rules, one, dead), f"{text}\n{one.message}\n{one.witness}"


# ---- what happens is found


@SLOW
@given(guarded_sets(), st.data())
def test_what_happens_is_found(text: str, data: st.DataObject) -> None:
    rules = loads(text).model
    found = loads(text).check().findings
    assert not any(f.undecided for f in found)
    if any(f.limit == "low" and f.code.name in {"unguarded-limit", "missing-alert", "late-alert"} for f in found):
        # What is late or missing with every sensor working is told there.
        return
    told_of = {
        name.removesuffix(" failed")
        for f in found
        if f.code.name == "lost-guard"
        for name, fact in (f.witness or {}).items()
        if name.endswith(" failed") and fact is True
    }
    everything = states(rules)
    befores = [None, *data.draw(st.lists(st.sampled_from(everything), max_size=3))]
    for state in everything:
        if not broken(rules, state):
            continue
        for before in befores:
            if before is not None and broken(rules, before):
                continue
            working = times(rules, before, state, None, False)
            for dead in ("a", "b", "c[1]", "c[2]"):
                if dead == own(rules) or _is_told(told_of, dead):
                    continue
                for always in (False, True):
                    blind = times(rules, before, state, dead, always)
                    for with_it, without in zip(working, blind, strict=True):
                        # In time with the sensor, and late without it.
                        happens = not late(with_it, Fraction(2)) and late(without, Fraction(2))
                        assert not happens, f"{text}\n{before} {state} {dead}: {with_it}, {without}"


def _is_told(told_of: set[str], dead: str) -> bool:
    """Of elements that are all alike one stands for all."""
    return dead in told_of or (dead.startswith("c[") and any(one.startswith("c[") for one in told_of))
