"""gap and transient-gap together against every history there is: no blank gauge is missed, and none is made up."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import HealthCheck, Phase, event, given, settings
from hypothesis import strategies as st

import alertlang.api as api
from alertlang.findings.finding import Finding, Positions, Reach, Region, WitnessReading
from alertlang.model.snapshot import UNSETTLED
from tests.helpers.every_history import Moment, every_moment

HEAD = 'rules "osier" version 1\nquantity a from 0 to 10 rpm\nswitch s y, z\n'
INPUTS = [({"a": Fraction(a)}, {"s": s}) for a, s in product((3, 6, 8), ("y", "z"))]
GAPS = {"gap", "hairline-gap", "transient-gap"}


class Maker:
    """Draws a rule set that blanks the gauge of `a` now and then."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.conditions: list[str] = []

    def one_of(self, *some: str) -> str:
        return self.draw(st.sampled_from(some))

    def maybe(self, percent: int, text: str) -> str:
        return text if self.draw(st.integers(0, 99)) < percent else ""

    def delay(self) -> str:
        return self.one_of("3 s", "5 s")

    def atom(self) -> str:
        return self.one_of("s is z", "s is z", "s is not z", "a at least 6 rpm", "a below 6 rpm", "a above 6 rpm")

    def formula(self) -> str:
        part = self.one_of(self.atom(), *self.conditions, *self.conditions, *self.conditions)
        return self.one_of(part, part, f"not ({part})", f"({part}) and {self.atom()}", f"({part}) or {self.atom()}")

    def delays(self) -> str:
        return self.maybe(70, f", set after {self.delay()}") + self.maybe(40, f", cleared after {self.delay()}")

    def condition(self, name: str) -> str:
        until = self.maybe(40, f" until {self.atom()}")
        return f"condition {name} means {self.formula()}{until}{self.delays()}"

    def band(self, held: str) -> str:
        region = self.one_of("below 6 rpm", "at least 6 rpm", "at least 0 rpm", "at least 0 rpm", "above 6 rpm")
        when = self.maybe(75, f"when {self.formula()} then ")
        return (
            f"{when}a {region}{held} is {self.one_of('green', 'yellow')}{self.maybe(20, f' unless {self.formula()}')}"
        )


@st.composite
def rule_sets(draw: st.DrawFn) -> str:
    """One or two conditions, also on each other, and two or three bands, also timed ones."""
    make = Maker(draw)
    lines = []
    for number in range(draw(st.integers(1, 2))):
        lines.append(make.condition(f"k{number}"))
        make.conditions.append(f"k{number}")
    lines += [make.band(make.maybe(35, f" for more than {make.delay()}")) for _ in range(draw(st.integers(2, 3)))]
    return HEAD + "".join(f"{line}\n" for line in lines)


@st.composite
def sets_on_one_formula(draw: st.DrawFn) -> str:
    """Conditions with other delays on one and the same formula, and bands without a clock: here nothing may be told
    that no history shows."""
    make = Maker(draw)
    formula = make.atom() + make.maybe(30, f" until {make.atom()}")
    lines = []
    for number in range(draw(st.integers(2, 3))):
        lines.append(f"condition k{number} means {formula}{make.delays()}")
        make.conditions.append(f"k{number}")
    lines += [make.band("") for _ in range(draw(st.integers(2, 3)))]
    return HEAD + "".join(f"{line}\n" for line in lines)


def holds_there(region: Region, moment: Moment) -> bool:
    """The readings and positions of a moment lie in a region."""
    for name, part in region.items():
        if isinstance(part, Reach) and not part.interval.contains(moment.readings[name]):
            return False
        if isinstance(part, Positions) and moment.positions[name] not in part.names:
            return False
    return True


def is_seen(one: Finding, moments: list[Moment]) -> bool:
    """Some history shows the gauge blank where a witness says so, its delayed conditions as the witness has them."""
    assert one.witness is not None
    readings = {n: f.value for n, f in one.witness.items() if isinstance(f, WitnessReading)}
    positions = {n: f for n, f in one.witness.items() if isinstance(f, str)}
    told = {n.split(UNSETTLED)[0]: f for n, f in one.witness.items() if isinstance(f, bool) and UNSETTLED in n}
    side = (readings["a"] > 6) - (readings["a"] < 6)
    cell = {"a": {-1: Fraction(3), 0: Fraction(6), 1: Fraction(8)}[side]}
    return any(
        moment.shown.colours["a", None] is None
        and moment.readings == cell
        and all(moment.positions[name] == position for name, position in positions.items())
        and all(moment.shown.conditions[name] is value for name, value in told.items())
        for moment in moments
    )


def check(text: str, *, exact: bool) -> set[str]:
    rules = api.loads(text)
    report = rules.check()
    assert not any(one.undecided for one in report.findings)
    gaps = [one for one in report.findings if one.code.name in GAPS and one.quantity == "a"]
    moments = list(every_moment(rules.model, INPUTS))
    for moment in moments:
        if moment.shown.colours["a", None] is None:
            told = any(one.region is not None and holds_there(one.region, moment) for one in gaps)
            assert told, ("blank, and no finding says so", moment.readings, moment.positions, moment.shown.conditions)
    dead = {one.statements[0] for one in report.findings if one.code.name == "unreachable-band"}
    for band in rules.model.bands:
        shows = any(m.shown.applies[band.label, None] and m.shown.colours["a", None] is band.colour for m in moments)
        assert not (shows and band.label in dead), f"{band.label} shows"
        assert shows or band.label in dead or not exact, f"{band.label} never shows"
    for one in gaps:
        if exact and one.code.name == "transient-gap":
            assert is_seen(one, moments), ("no history is blank there", one.message, one.witness)
    return {one.code.name for one in gaps}


SLOW = settings(
    max_examples=40, deadline=None, phases=[Phase.explicit, Phase.generate], suppress_health_check=list(HealthCheck)
)


@SLOW
@given(rule_sets())
def test_whatever_goes_blank_is_told(text: str) -> None:
    """The solver knows less of how clocks that run at once are tied than the stepper, so that it may tell more."""
    for name in check(text, exact=False):
        event(name)


@SLOW
@given(sets_on_one_formula())
def test_conditions_on_one_formula_blank_nothing_but_what_is_told(text: str) -> None:
    for name in check(text, exact=True):
        event(name)


CASES = {
    "hidden-by-a-timed-band": (
        "condition k0 means s is z, set after 2 s\na below 6 rpm is green\nwhen k0 then a at least 0 rpm is yellow\n"
        "when s is y then a at least 0 rpm is yellow\nheld: a at least 6 rpm for more than 3 s is red\n",
        {"transient-gap"},
    ),
    "one-that-is-set-later-implies-the-other": (
        "condition k1 means s is z, set after 2 s\ncondition k2 means s is z, set after 5 s\n"
        "when k1 then a at least 0 rpm is green\nwhen not k2 then a at least 0 rpm is green\n",
        set(),
    ),
    "also-by-another-name": (
        "condition z means s is z\ncondition k1 means z, set after 2 s\ncondition k2 means s is z, set after 5 s\n"
        "when k1 then a at least 0 rpm is green\nwhen not k2 then a at least 0 rpm is green\n",
        set(),
    ),
    "not-if-it-is-cleared-later": (
        "condition k1 means s is z, set after 2 s\ncondition k2 means s is z, set after 5 s, cleared after 2 s\n"
        "when k1 then a at least 0 rpm is green\nwhen not k2 then a at least 0 rpm is green\n",
        {"transient-gap"},
    ),
    "the-same-memory-twice": (
        "condition k1 means a above 6 rpm until a below 6 rpm\ncondition k2 means a above 6 rpm until a below 6 rpm\n"
        "when k1 then a at least 0 rpm is green\nwhen not k2 then a at least 0 rpm is green\n",
        set(),
    ),
    "never-true-is-not-still-true": (
        "condition k1 means s is z and s is y, cleared after 2 s\nwhen not k1 then a at least 0 rpm is green\n",
        set(),
    ),
    "until-a-time-has-elapsed": (
        "a below 6 rpm is green\nheld: a at least 6 rpm for more than 3 s is red\n",
        {"gap"},
    ),
    "until-a-time-has-elapsed-in-a-delayed-context": (
        "condition k0 means s is z, set after 2 s\na below 6 rpm is green\n"
        "when k0 then a at least 6 rpm for more than 3 s is red\n",
        {"gap"},
    ),
    "until-a-condition-has-held": (
        "condition k0 means s is z, set after 2 s\nwhen k0 for at least 5 s then a at least 0 rpm is green\n"
        "when not k0 then a at least 0 rpm is yellow\n",
        {"gap"},
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_gaps_of(name: str) -> None:
    text, codes = CASES[name]
    assert check(HEAD + text, exact=True) == codes


def test_what_comes_up_only_until_conditions_settle_is_not_dead() -> None:
    text = (
        "condition up means s is z\ncondition lately means up, cleared after 3 s\na at least 0 rpm is green\n"
        'when lately and not up then advisory "SOON"\nwhen lately and not up then a at least 6 rpm is yellow\n'
        'when lately and not up then caution "TOO LONG" after 3 s\n'
        "when lately and not up then a above 8 rpm for more than 3 s is red\n"
    )
    findings = api.loads(HEAD + text).check().findings
    found = {
        (one.code.name, one.statements[0]) for one in findings if one.code.name in {"dead-alert", "unreachable-band"}
    }
    # Nor is what waits longer: that it cannot have waited before, here, is more than is looked at.
    assert found == set()
