"""The stepper against the definitions of its words, asked of whole recordings; and what must make no difference."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Any, TypeVar

import pytest
from hypothesis import HealthCheck, Phase, find, given, settings
from hypothesis import strategies as st
from hypothesis.errors import NoSuchExample

from alertlang.meaning.readings import Sample
from alertlang.model import expression as e
from alertlang.model import ruleset as m
from tests.helpers.over_time import History
from tests.helpers.timed import load, stepped, timed_rulesets, traces

Change = Callable[[m.RuleSet], m.RuleSet]
Filter = Callable[[Sequence[Sample]], Sequence[Sample]]

HAIR = Fraction(1, 1000)

Statement = TypeVar("Statement", m.Condition, m.Range, m.Band, m.Alert)

SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large]


read = lru_cache(maxsize=4)(load)


@dataclass(frozen=True)
class Run:
    """A rule set and a recording."""

    text: str
    samples: tuple[Sample, ...]

    @property
    def rules(self) -> m.RuleSet:
        return read(self.text)


@st.composite
def runs(draw: st.DrawFn) -> Run:
    text = draw(timed_rulesets())
    return Run(text, draw(traces(read(text))))


@settings(max_examples=300, suppress_health_check=SLOW)
@given(runs())
def test_the_stepper_is_what_the_definitions_say(run: Run) -> None:
    assert stepped(run.rules, run.samples) == History(run.rules, run.samples).shown()


@settings(max_examples=60, suppress_health_check=SLOW)
@given(runs(), st.data())
def test_the_order_of_statements_makes_no_difference(run: Run, data: st.DataObject) -> None:
    header, *body = run.text.splitlines()
    shuffled = load("\n".join([header, *data.draw(st.permutations(body)), ""]))
    assert stepped(shuffled, run.samples) == stepped(run.rules, run.samples)


@settings(max_examples=60, suppress_health_check=SLOW)
@given(runs(), st.integers(-50, 50))
def test_when_the_clock_starts_makes_no_difference(run: Run, later: int) -> None:
    samples = [replace(one, time=one.time + later) for one in run.samples]
    shown = [replace(one, time=one.time - later) for one in stepped(run.rules, samples)]
    assert shown == stepped(run.rules, run.samples)


# ---- the comparison can tell: for every word there are runs that show something else without it


def in_rules(**changes: Any) -> Change:
    def change(rules: m.RuleSet) -> m.RuleSet:
        return replace(
            rules,
            bands=tuple(replace(one, **changes) for one in rules.bands),
            alerts=tuple(replace(one, **changes) for one in rules.alerts),
        )

    return change


def in_conditions(**changes: Any) -> Change:
    def change(rules: m.RuleSet) -> m.RuleSet:
        return replace(rules, conditions={name: replace(c, **changes) for name, c in rules.conditions.items()})

    return change


def without_deadband(rules: m.RuleSet) -> m.RuleSet:
    return replace(rules, quantities={name: replace(q, deadband=None) for name, q in rules.quantities.items()})


def without_exception(rules: m.RuleSet) -> m.RuleSet:
    return replace(rules, ranges=tuple(replace(one, except_for=None) for one in rules.ranges))


def in_formulas(change: Callable[[m.Formula], m.Formula]) -> Change:
    """Every part of every formula changed, from the inside out."""

    def changed(formula: m.Formula) -> m.Formula:
        match formula:
            case m.Held() | m.Not():
                formula = replace(formula, part=changed(formula.part))
            case m.And() | m.Or():
                formula = replace(formula, parts=tuple(changed(part) for part in formula.parts))
        return change(formula)

    def changed_if_any(formula: m.Formula | None) -> m.Formula | None:
        return None if formula is None else changed(formula)

    def change_rules(rules: m.RuleSet) -> m.RuleSet:
        conditions = {
            name: replace(c, formula=changed(c.formula), until=changed_if_any(c.until))
            for name, c in rules.conditions.items()
        }
        bands = (replace(o, when=changed_if_any(o.when), unless=changed_if_any(o.unless)) for o in rules.bands)
        alerts = (replace(o, when=changed(o.when), unless=changed_if_any(o.unless)) for o in rules.alerts)
        return replace(rules, conditions=conditions, bands=tuple(bands), alerts=tuple(alerts))

    return change_rules


def unheld(formula: m.Formula) -> m.Formula:
    return formula.part if isinstance(formula, m.Held) else formula


def never_failed(formula: m.Formula) -> m.Formula:
    """`failed` as what is never true."""
    return m.Or((), formula.span) if isinstance(formula, m.Compare) and formula.region.is_failed else formula


def with_longer_times(formula: m.Formula) -> m.Formula:
    return replace(formula, duration=formula.duration + HAIR) if isinstance(formula, m.Held) else formula


def still(region: m.Region) -> m.Region:
    first, second = region.first, region.second
    return replace(
        region,
        first=first.low if isinstance(first, m.Moving) else first,
        second=second.low if isinstance(second, m.Moving) else second,
    )


def with_ends_that_stand_still(rules: m.RuleSet) -> m.RuleSet:
    return replace(rules, bands=tuple(replace(one, region=still(one.region)) for one in rules.bands))


def with_failed_bands_of_no_value(rules: m.RuleSet) -> m.RuleSet:
    def region(one: m.Region) -> m.Region:
        empty = m.Region(m.RegionKind.WITHIN, Fraction(1), Fraction(0), span=one.span)
        return empty if one.is_failed else one

    return replace(rules, bands=tuple(replace(one, region=region(one.region)) for one in rules.bands))


def without_trends(rules: m.RuleSet) -> m.RuleSet:
    """A rise or fall that is the reading itself."""

    def changed(quantity: m.Quantity) -> m.Quantity:
        if not isinstance(quantity.derived, e.Trend):
            return quantity
        return replace(quantity, derived=e.ReadingOf(quantity.derived.quantity, quantity.derived.index))

    return replace(rules, quantities={name: changed(q) for name, q in rules.quantities.items()})


WITHOUT = {
    "for more than": in_rules(held=None),
    "in total": in_rules(in_total=False),
    "after": in_rules(after=None),
    "latched": in_rules(latched=False),
    "unless": in_rules(unless=None),
    "until": in_conditions(until=None),
    "set after": in_conditions(set_after=None),
    "cleared after": in_conditions(cleared_after=None),
    "for at least": in_formulas(unheld),
    "deadband": without_deadband,
    "except for": without_exception,
    "a moving end": with_ends_that_stand_still,
    "is failed": with_failed_bands_of_no_value,
    "failed": in_formulas(never_failed),
    "rise": without_trends,
}


def noticed(rules: Change = lambda rules: rules, samples: Filter = lambda samples: samples) -> bool:
    """Whether some run shows something else when its rules or its samples are changed; the first of 4,000 drawn."""

    def differs(run: Run) -> bool:
        return stepped(rules(run.rules), samples(run.samples)) != History(run.rules, run.samples).shown()

    try:
        find(
            runs(),
            differs,
            settings=settings(
                max_examples=4000,
                phases=[Phase.generate],
                derandomize=True,
                database=None,
                suppress_health_check=SLOW,
            ),
        )
    except NoSuchExample:
        return False
    return True


# Few runs go by a deadband.
SELDOM = {"deadband"}


@pytest.mark.alike
@pytest.mark.parametrize(
    "word", [pytest.param(word, marks=[pytest.mark.thorough] if word in SELDOM else []) for word in WITHOUT]
)
def test_a_word_that_were_overlooked_would_be_noticed(word: str) -> None:
    assert noticed(rules=WITHOUT[word])


def test_a_press_that_were_overlooked_would_be_noticed() -> None:
    assert noticed(samples=lambda samples: [replace(one, acknowledge=False) for one in samples])


def moved(field: str, by: Fraction) -> Change:
    """One kind of time a hair longer or shorter, in every statement and condition that has it."""

    def one(statement: Statement) -> Statement:
        time = getattr(statement, field, None)
        return statement if time is None else replace(statement, **{field: time + by})

    def change(rules: m.RuleSet) -> m.RuleSet:
        return replace(
            rules,
            conditions={name: one(condition) for name, condition in rules.conditions.items()},
            ranges=tuple(map(one, rules.ranges)),
            bands=tuple(map(one, rules.bands)),
            alerts=tuple(map(one, rules.alerts)),
        )

    return change


# `at least` is up to the instant itself, `more than` is not.
EDGES = {
    "after": moved("after", HAIR),
    "set after": moved("set_after", HAIR),
    "cleared after": moved("cleared_after", HAIR),
    "for at least": in_formulas(with_longer_times),
    "for more than": moved("held", -HAIR),
    "except for": moved("except_for", -HAIR),
}


@pytest.mark.alike
@pytest.mark.parametrize("word", EDGES)
def test_the_instant_at_which_a_time_ends_is_tried(word: str) -> None:
    assert noticed(rules=EDGES[word])
