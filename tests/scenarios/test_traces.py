"""Scenarios written from random recordings: what the stepper shows is expected, and nothing else passes.

Source: the reference stepper, which runs the samples themselves; the scenario has only their text.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model import ruleset as m
from alertlang.scenarios import scenario as s
from alertlang.scenarios.load import LoadedScenario, parse_scenario_text
from alertlang.scenarios.run import is_so, run, samples
from tests.helpers.as_scenario import expectations, flipped, inputs, text_of
from tests.helpers.timed import load, stepped, timed_rulesets, traces

heavy = settings(
    max_examples=120,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)


def read(text: str, rules: m.RuleSet) -> s.Scenario:
    loaded = parse_scenario_text(text.encode(), shown="trace.scenario", folder=Path("."), rules=rules)
    assert loaded.scenario is not None, (text, said(loaded))
    return loaded.scenario


def said(loaded: LoadedScenario) -> list[str]:
    return [f"{one.code.code} {one.message}" for one in loaded.findings]


@heavy
@given(st.data(), timed_rulesets())
def test_what_the_stepper_shows_is_as_said(data: st.DataObject, text: str) -> None:
    rules = load(text)
    trace = data.draw(traces(rules))
    shown = stepped(rules, trace)
    lines = [(a.time, inputs(rules, a), expectations(rules, b)) for a, b in zip(trace, shown, strict=True)]
    # Far apart: the lines themselves are the only samples.
    scenario = read(text_of(lines, "1000 s"), rules)
    assert [one.time for one in samples(scenario)] == [one.time for one in trace]
    assert run(scenario) == (None, len(trace))


@heavy
@given(st.data(), timed_rulesets())
def test_the_first_difference_is_the_one_that_was_put_in(data: st.DataObject, text: str) -> None:
    rules = load(text)
    trace = data.draw(traces(rules))
    shown = stepped(rules, trace)
    lines = [(a.time, inputs(rules, a), expectations(rules, b)) for a, b in zip(trace, shown, strict=True)]
    places = [(i, j) for i, (*_, some) in enumerate(lines) for j, one in enumerate(some) if one != "quiet"]
    wrong = sorted(data.draw(st.sets(st.sampled_from(places), min_size=1, max_size=2)))
    for i, j in wrong:
        lines[i][2][j] = flipped(lines[i][2][j])
    found, count = run(read(text_of(lines, "1000 s"), rules))
    i, j = wrong[0]
    assert found is not None
    assert (found.time, found.since, found.expected) == (trace[i].time, trace[i].time, lines[i][2][j])
    # Header and spacing stand above the lines.
    assert (found.where.line, found.where.text, count) == (i + 3, lines[i][2][j], i + 1)
    assert found.message
    # Only a gauge that no statement gives any of two colours has nothing to say for itself.
    assert found.reasons or "shows no colour" in found.message
    for reason in found.reasons:
        assert reason.says
        assert "None" not in reason.says


@heavy
@given(st.data(), timed_rulesets())
def test_what_nothing_expected_depends_on_makes_no_difference(data: st.DataObject, text: str) -> None:
    """The first line may leave it out, so it must not matter."""
    rules = load(text)
    trace = data.draw(traces(rules))
    first = read(
        text_of([(trace[0].time, inputs(rules, trace[0]), expectations(rules, stepped(rules, trace)[0]))], "1 s"), rules
    )
    what = data.draw(st.sampled_from([one.what for one in first.expected]))
    sensors, switches = s.needs(rules, (what,))
    without = [
        Sample(
            one.time,
            {name: value for name, value in one.readings.items() if name.split("[")[0] in sensors},
            {name: position for name, position in one.positions.items() if name in switches},
            one.acknowledge,
        )
        for one in trace
    ]
    for one, other in zip(stepped(rules, trace), stepped(rules, without), strict=True):
        assert is_so(what, one) is is_so(what, other)


@heavy
@given(st.data(), timed_rulesets(rules=(1, 3)))
def test_between_lines_every_value_is_as_it_was_given(data: st.DataObject, text: str) -> None:
    """Samples in between, run by hand."""
    rules = load(text)
    trace = data.draw(traces(rules, longest=6, acknowledge=False))
    spacing = data.draw(st.sampled_from([Fraction(1, 3), Fraction(1, 2), Fraction(2)]))
    times = {one.time for one in trace}
    times |= {spacing * k for k in range(int(trace[-1].time / spacing) + 1)}
    stepper = Stepper(rules)
    lines = []
    for time in sorted(times):
        last = max((one for one in trace if one.time <= time), key=lambda one: one.time)
        shown = stepper.step(Sample(time, last.readings, last.positions))
        lines.append((time, inputs(rules, last) if last.time == time else [], expectations(rules, shown)))
    written = text_of(lines, "1000 s")
    sparse = text_of([line for line in lines if line[0] in {one.time for one in trace}], f"{spacing} s")
    assert run(read(written, rules))[0] is None
    found = list(samples(read(sparse, rules)))
    assert [one.time for one in found] == sorted(times)
    assert run(read(sparse, rules)) == (None, len(times))


def test_a_difference_is_seen_at_all() -> None:
    """The two properties above would pass if nothing were ever compared."""
    rules = load('rules "t" version 1\nquantity rpm from 0 to 10 rpm\nrpm above 5 is red\n')
    scenario = read(text_of([(Fraction(0), ["rpm 6"], ["rpm blank"])], "1 s"), rules)
    with pytest.raises(AssertionError):
        assert run(scenario)[0] is None
