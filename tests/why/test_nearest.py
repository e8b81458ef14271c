"""The nearest change of one input, held against trying every value of a fine grid with the stepper from the start."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import expression as e
from alertlang.model import ruleset as m
from alertlang.results.why import NearestChange
from alertlang.why.moment import PlainRun
from alertlang.why.nearest import Nearest
from alertlang.why.piecewise import at, constant, extreme, less, through, zeros
from alertlang.why.subject import (
    Subject,
    alert_places,
    alert_subject,
    gauge_subject,
    gauges_of,
    joined,
    needs,
)
from tests.helpers.timed import load, timed_rulesets, traces

HEAD = 'rules "r" version 1\nsource NOTE common practice\n'
F = Fraction


def changes(text: str, *rows: str, subject: str | None = None, times: Sequence[int] = ()) -> dict[str, NearestChange]:
    """Of samples a second apart, each written `x 3, flaps up`."""
    ruleset = load(HEAD + text)
    samples = []
    for second, row in enumerate(rows):
        words = [pair.split() for pair in row.split(", ")]
        readings = {name: F(value) for name, value in words if name not in ruleset.switches and value != "failed"}
        positions = {name: value for name, value in words if name in ruleset.switches}
        samples.append(Sample(F(times[second] if times else second), readings, positions))
    moment = PlainRun(ruleset, samples).at(len(samples) - 1)
    subjects = [gauge_subject(ruleset, *gauge) for gauge in gauges_of(ruleset) if subject in {None, gauge[0]}]
    subjects += [alert_subject(ruleset, a) for _, _, a in alert_places(ruleset) if subject in {None, a.text}]
    found = Nearest(moment).changes(joined(subjects))
    return {f"{change.input} {change.position}" if change.position else change.input: change for change in found}


def reach(change: NearestChange) -> tuple[object, ...]:
    assert change.reach is not None
    interval = change.reach.interval
    return interval.low, interval.low_included, interval.high, interval.high_included


def test_the_edge_and_how_far_it_is() -> None:
    found = changes(
        "quantity x from 0 to 9, step 1\nx at most 5 is green\nhot: x above 5 is red\nx above 8 is yellow\n", "x 3"
    )
    assert reach(found["x"]) == (5, False, 9, True)
    assert (found["x"].by, found["x"].shows, found["x"].up, found["x"].to_end) == (F(2), "x red", True, True)
    # On the sensor's step, as near as there is one.
    assert found["x"].tried is not None
    assert found["x"].tried.value == 6  # type: ignore[union-attr]
    assert found["x failed"].shows == "x no colour"


def test_the_nearer_of_two_sides() -> None:
    text = "quantity x from 0 to 9\nx from 2 to 6 is green\nx below 2 is yellow\nx above 6 is red\n"
    assert changes(text, "x 3")["x"].shows == "x yellow"
    assert changes(text, "x 5")["x"].shows == "x red"
    assert reach(changes(text, "x 3")["x"]) == (0, True, 2, False)


def test_at_the_edge_itself_the_smallest_change_is_none_at_all() -> None:
    found = changes("quantity x from 0 to 9\nx at most 5 is green\nx above 5 is red\n", "x 5")
    assert found["x"].by == 0
    assert reach(found["x"])[:2] == (5, False)


def test_positions_and_a_failed_switch() -> None:
    text = (
        'quantity x from 0 to 9\nswitch flaps up, down, full\nwhen flaps is not up and x above 3 then warning "FAST"\n'
    )
    found = changes(text, "x 5, flaps up")
    assert set(found) == {"flaps down", "flaps full"}
    assert found["flaps down"].shows == 'warning "FAST"'
    assert changes(text, "x 5")["flaps full"].shows == 'warning "FAST"'


def test_what_is_worked_out_moves_the_edge() -> None:
    text = (
        "quantity x from 0 to 9\nquantity y from 0 to 9\ncurve top over y: 0 -> 2, 4 -> 6, 9 -> 6\n"
        "x at most top is green\nx above top is red\n"
    )
    found = changes(text, "x 5, y 4")
    assert reach(found["x"])[:2] == (6, False)
    assert reach(found["y"]) == (0, True, 3, False)
    text = 'quantity cht[3] from 0 to 9\nlet apart = spread of cht\nwhen apart above 4 then caution "UNEVEN"\n'
    found = changes(text, "cht[1] 3, cht[2] 5, cht[3] 4")
    assert reach(found["cht[2]"])[:2] == (7, False)
    assert reach(found["cht[1]"]) == (0, True, 1, False)
    assert found["cht[1]"].by == 2


def test_the_deadband_keeps_what_is_there() -> None:
    text = "quantity x from 0 to 9, deadband 2\nhot: x above 5 is red\nx at most 9 is green\n"
    assert reach(changes(text, "x 6", "x 6")["x"]) == (0, True, 3, True)
    assert reach(changes(text, "x 2", "x 2")["x"]) == (5, False, 9, True)


def test_clocks_stand_as_they_are() -> None:
    text = 'quantity x from 0 to 9\nwhen x above 5 then warning "HOT" after 2 s\n'
    # It would have to have been hot before.
    assert changes(text, "x 1", "x 1", "x 1") == {}
    assert reach(changes(text, "x 7", "x 7", "x 7")["x"]) == (0, True, 5, True)


def test_a_failed_reading_says_where_it_would_change_something() -> None:
    found = changes("quantity x from 0 to 9\nx above 5 is red\n", "x failed")
    assert reach(found["x"]) == (5, False, 9, True)
    assert found["x"].by is None


# ---- functions of a reading


def test_lines() -> None:
    there = ((F(0), F(0)), (F(10), F(10)))
    flat = constant(F(4), F(0), F(10))
    highest = extreme((there, flat), max)
    assert [at(highest, F(x)) for x in (0, 4, 7)] == [4, 4, 7]
    assert zeros(less(there, flat)) == [4]
    assert zeros(less(highest, flat)) == [0, 4]
    curve = e.CurveOver("x", None, ((F(2), F(0)), (F(6), F(8)), (F(8), F(0))), None)
    assert [at(through(curve, there), F(x)) for x in (0, 2, 4, 6, 7, 10)] == [0, 0, 4, 8, 4, 0]


# ---- any rules, any state


@settings(
    max_examples=60,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
@given(st.data())
def test_no_nearer_value_changes_anything(data: st.DataObject) -> None:
    text = data.draw(timed_rulesets(limits=(0, 1), assumptions=(0, 0)))
    # A rise or fall stays as it was, which no run from the start would show.
    assume("climb" not in text and "sinking" not in text)
    ruleset = load(text)
    samples = data.draw(traces(ruleset, longest=5))
    moment = PlainRun(ruleset, samples).at(len(samples) - 1)
    subjects = [gauge_subject(ruleset, *gauge) for gauge in gauges_of(ruleset)]
    subjects += [alert_subject(ruleset, alert) for _, _, alert in alert_places(ruleset)]
    assume(subjects)
    subject = data.draw(st.sampled_from([joined(subjects), *subjects]))
    found = Nearest(moment).changes(subject)
    told = {(change.input, change.position): change for change in found}
    here = subject.sees(moment.shown)

    def tried(name: str, value: Fraction | str | None) -> tuple[object, ...]:
        return subject.sees(from_the_start(ruleset, samples, name, value))

    sensors, switches = needs(ruleset, subject.statements)
    for name in ruleset.switches:
        now = moment.look.readings.positions.get(name)
        for position in ruleset.switches[name].positions:
            if position != now:
                assert ((name, position) in told) is (tried(name, position) != here)
                assert (name, position) not in told or name in switches
    for quantity in ruleset.quantities.values():
        for index in quantity.indexes if quantity.derived is None else ():
            name = m.variable(quantity.name, index)
            value = moment.look.readings.values[name]
            if value is not None:
                assert ((name, "failed") in told) is (tried(name, None) != here)
            change = told.get((name, None))
            assert change is None or quantity.name in sensors
            held_against_a_grid(subject, quantity, value, change, here, name, tried)


def held_against_a_grid(
    subject: Subject,
    quantity: m.Quantity,
    value: Fraction | None,
    change: NearestChange | None,
    here: object,
    name: str,
    tried: object,
) -> None:
    assert callable(tried)
    grid = {quantity.low + (quantity.high - quantity.low) * k / 40 for k in range(41)}
    if change is None:
        assert all(tried(name, x) == here for x in grid)
        return
    assert change.reach is not None
    interval = change.reach.interval
    low, high = interval.bounds
    near = grid | {
        low,
        high,
        (low + high) / 2,
        low + F(1, 1000),
        high - F(1, 1000),
        low - F(1, 1000),
        high + F(1, 1000),
    }
    inside = [x for x in near if quantity.low <= x <= quantity.high]
    assert change.tried is not None
    seen = tried(name, change.tried.value)  # type: ignore[union-attr]
    assert seen != here
    assert interval.contains(change.tried.value)  # type: ignore[union-attr]
    for x in inside:
        if interval.contains(x):
            assert tried(name, x) == seen
        elif value is not None and change.by is not None and abs(x - value) < change.by:
            assert tried(name, x) == here, x


def from_the_start(ruleset: m.RuleSet, samples: Sequence[Sample], name: str, value: Fraction | str | None) -> Shown:
    """The whole run, with another value at its last sample."""
    last = samples[-1]
    if name in ruleset.switches:
        positions = {key: where for key, where in last.positions.items() if key != name}
        last = replace(last, positions=positions | ({name: value} if isinstance(value, str) else {}))
    else:
        readings = {key: number for key, number in last.readings.items() if key != name}
        last = replace(last, readings=readings | ({name: value} if isinstance(value, Fraction) else {}))
    stepper = Stepper(ruleset)
    return [stepper.step(sample) for sample in (*samples[:-1], last)][-1]


@pytest.mark.parametrize("value", ["1", "5"])
def test_a_reading_with_nothing_to_decide_is_left_out(value: str) -> None:
    text = "quantity x from 0 to 9\nquantity y from 0 to 9\nx above 5 is red\ny above 3 is red\n"
    assert "y" not in changes(text, f"x {value}, y {value}", subject="x")
