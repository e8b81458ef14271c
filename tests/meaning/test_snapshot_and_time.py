"""The snapshot (evaluator and solver) against the stepper: the same where settled, never narrower where moving."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from alertlang.checks.context import Context
from alertlang.checks.unsettled import everything_open
from alertlang.logic.solver import Answer
from alertlang.logic.terms import AtValue, Flag, Term, both, conjunction, in_interval, negate
from alertlang.meaning.instant import Instant, State
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.units.interval import Interval
from tests.helpers.timed import load, timed_rulesets, traces

# Longer than all delays of a generated rule set one after the other.
LONG = 60
# Without shrinking: it would take minutes to make a small example smaller.
SLOW = settings(
    max_examples=80,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)


def sensors(rules: m.RuleSet) -> frozenset[str]:
    return frozenset(m.variable(q.name, i) for q in rules.quantities.values() if q.derived is None for i in q.indexes)


def readings(rules: m.RuleSet, sample: Sample, shown: Shown) -> tuple[dict[str, Fraction], dict[str, bool]]:
    """What there is at a sample: a value for every sensor (any, where it has failed) and every rise or fall; and which
    sensors have failed."""
    values: dict[str, Fraction] = {}
    failed: dict[str, bool] = {}
    for quantity in rules.quantities.values():
        for index in quantity.indexes:
            name = m.variable(quantity.name, index)
            value = shown.values[name]
            if quantity.derived is None:
                failed[s.failed_flag(name)] = value is None
            if not quantity.is_computed:
                values[name] = quantity.low if value is None else value
    return values, failed


def settled_flags(rules: m.RuleSet, state: State, mode: s.FaultModel) -> State:
    """Open truths as they are once everything has lasted for long: what holds has held, what was set stays."""
    flags = dict(state.flags)
    everything = [part for formula in rules.formulas for part in m.parts_of(formula) if isinstance(part, m.Held)]
    while True:
        instant = Instant(rules, State(state.readings, state.positions, flags), mode)
        found = dict(flags)
        for held in everything:
            found[s.held_flag(rules, held, mode)] = instant.holds(held.part)
        for rule in rules.rules:
            if rule.held is None:
                continue
            indexes = rules.quantities[rule.quantity].indexes if isinstance(rule, m.Band) else (None,)
            for index in indexes:
                found[s.elapsed_flag(rules, rule, index, mode)] = instant.applies(rule, index, eventually=True)
        if found == flags:
            return State(state.readings, state.positions, flags)
        flags = found


def exactly(context: Context, state: State) -> Term:
    """The solver's words for a state; an open truth that no question reads has no word."""
    known = context.encoder.names.flags
    return both(
        conjunction(in_interval(name, Interval.point(value)) for name, value in state.readings.items()),
        conjunction(AtValue(name, position) for name, position in state.positions.items()),
        conjunction(
            Flag(name) if holds else negate(Flag(name)) for name, holds in state.flags.items() if name in known
        ),
    )


def keeps(rules: m.RuleSet, state: State, one: m.Assumption) -> bool:
    """What there is keeps an assumption; not for sure, if its past decides."""
    names = rules.conditions_read(one.when, one.formula)
    formulas = [f for f in (one.when, one.formula, *(p for n in names for p in rules.conditions[n].parts)) if f]
    parts = [part for formula in formulas for part in m.parts_of(formula)]
    if any(
        isinstance(part, m.Held) or (isinstance(part, m.Compare) and part.region.is_failed) for part in parts
    ) or any(rules.conditions[n].until for n in names):
        return False
    there = Instant(rules, state)
    return not there.holds(one.when) or there.holds(one.formula)


def is_applied(instant: Instant, rule: m.Band | m.Alert, index: int | None) -> bool:
    return instant.applies(rule, index)


@SLOW
@given(st.data())
def test_a_settled_state_shows_the_same(data: st.DataObject) -> None:
    rules = load(data.draw(timed_rulesets()))
    one = data.draw(traces(rules, longest=1, acknowledge=False))[0]
    assume(len(one.positions) == len(rules.switches))
    stepper = Stepper(rules)
    for k in range(LONG):
        shown = stepper.step(replace(one, time=Fraction(k)))
    values, failed = readings(rules, one, shown)
    context = Context(rules)
    mode = s.FaultModel(may_fail=sensors(rules), suffix=" as told")
    encoder = context.encoder.in_mode(mode)
    # Between its two parts a condition with `until` is what its past made of it.
    past = {s.until_flag(rules, c.name, mode): shown.conditions[c.name] for c in rules.conditions.values() if c.until}
    state = settled_flags(rules, State(values, one.positions, {**failed, **past}), mode)
    instant = Instant(rules, state, mode)
    # A rise of 0 may lie outside the range that a `let` declares for it.
    assume(instant.is_possible())
    assert {name: instant.condition(name) for name in rules.conditions} == shown.conditions
    for (label, index), applies in shown.applies.items():
        rule = next(r for r in rules.rules if r.label == label)
        assert is_applied(instant, rule, index) == applies, (label, index)
        if rule.alert is not None:
            assert applies <= ((label, index) in shown.alerts) <= (applies or rule.latched)
        term = encoder.applies(rule, index)
        # After the term, which makes the names of what it leaves open.
        here = exactly(context, state)
        assert context.decider.is_satisfiable(both(here, term if applies else negate(term))) is Answer.YES, label
    # The state with every open truth fixed decides everything: nothing else is possible in it.
    for name, holds in shown.conditions.items():
        term = encoder.condition(name)
        fixed = exactly(context, state)
        if rules.conditions[name].until is None:
            assert context.decider.is_satisfiable(both(fixed, negate(term) if holds else term)) is Answer.NO, name
    for (quantity, index), colour in shown.colours.items():
        assert instant.colour(quantity, index) == colour


@SLOW
@given(st.data())
def test_whatever_happens_over_time_is_a_state_of_the_solver(data: st.DataObject) -> None:
    rules = load(data.draw(timed_rulesets()))
    samples = data.draw(traces(rules, longest=8, acknowledge=False))
    context = Context(rules)
    mode = s.FaultModel(unsettled=everything_open(rules), may_fail=sensors(rules), suffix=" meanwhile")
    encoder = context.encoder.in_mode(mode)
    stepper = Stepper(rules)
    for k, sample in enumerate(samples):
        shown = stepper.step(sample)
        if len(sample.positions) < len(rules.switches):
            # The snapshot knows no switch without a position.
            break
        values, failed = readings(rules, sample, shown)
        seen = [
            term if shown.applies[label, index] else negate(term)
            for label, index in shown.applies
            for rule in rules.rules
            if rule.label == label
            for term in [encoder.applies(rule, index)]
        ]
        there = State(values, sample.positions, failed)
        if not all(keeps(rules, there, one) for one in rules.assumptions):
            continue
        assert context.decider.is_satisfiable(both(exactly(context, there), *seen)) is Answer.YES, (k, shown)


@pytest.mark.parametrize("lost", [(), (1,), (2,), (1, 2)])
def test_any_and_every_element_failed(lost: tuple[int, ...]) -> None:
    rules = load(
        'rules "lost" version 1\nquantity c[2] from 0 to 9\n'
        "condition some means any c failed\ncondition all means every c failed\n"
    )
    readings = {f"c[{i}]": Fraction(5) for i in (1, 2)}
    flags = {s.failed_flag(f"c[{i}]"): i in lost for i in (1, 2)}
    instant = Instant(rules, State(readings, {}, flags), s.FaultModel(may_fail=frozenset(readings)))
    assert (instant.condition("some"), instant.condition("all")) == (len(lost) > 0, len(lost) == 2)
