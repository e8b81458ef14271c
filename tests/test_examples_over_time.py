"""The second example, sample by sample: what its delays and its care for dead probes come to.

Source of what is expected: the times and values that stand in the example's own files.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import pytest

from alertlang.api import Rules, load
from alertlang.meaning.stepper import Sample, Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.model.ruleset import Colour
from alertlang.text.resources import examples_dir
from tests.helpers import bramble_log

EXAMPLES = examples_dir() / "02-bramble"
SOUND = {"rpm": 2000, "oil_pressure": 45, "oil_temp": 190}

# So many seconds, and what reads otherwise in them; none: a dead probe.
Leg = tuple[int, Mapping[str, int | None]]


def rules(name: str) -> Rules:
    [path] = EXAMPLES.rglob(f"{name}.alert")
    return load(path)


def flight(model: m.RuleSet, *legs: Leg) -> list[Shown]:
    """What is shown at every second of some legs, one after the other, on a sound engine."""
    rest = {m.variable(q.name, i): q.low for q in model.quantities.values() if q.derived is None for i in q.indexes}
    positions = {switch.name: switch.positions[0] for switch in model.switches.values()}
    stepper = Stepper(model)
    shown: list[Shown] = []
    for seconds, changes in legs:
        told = {**SOUND, **changes}
        read = {name: Fraction(value) for name, value in told.items() if value is not None}
        there = {name: value for name, value in rest.items() if name not in told} | read
        for _ in range(seconds):
            shown.append(stepper.step(Sample(Fraction(len(shown)), there, positions)))
    return shown


def first_up(shown: list[Shown], label: str) -> int | None:
    """The second at which an alert is first up."""
    return next((n for n, one in enumerate(shown) if (label, None) in one.alerts), None)


@pytest.mark.parametrize(("name", "delay"), [("bramble", 3), ("late-alert", 10)])
def test_when_the_oil_warning_comes(name: str, delay: int) -> None:
    shown = flight(rules(name).model, (60, {}), (20, {"oil_pressure": 5}))
    assert shown[59].colours["oil_pressure", None] is Colour.GREEN
    assert {one.colours["oil_pressure", None] for one in shown[60:]} == {Colour.RED}, "the colour waits for nothing"
    assert first_up(shown, "oil_pressure_alert") == 60 + delay


def test_the_oil_warning_does_not_need_the_tachometer() -> None:
    shown = flight(rules("bramble").model, (60, {}), (20, {"oil_pressure": 5, "rpm": None}))
    assert first_up(shown, "oil_pressure_alert") == 63


@pytest.mark.parametrize(("name", "colour"), [("bramble", Colour.RED), ("lost-guard", Colour.GREEN)])
def test_what_a_dead_oil_probe_does_to_the_warm_up_rule(name: str, colour: Colour) -> None:
    shown = flight(rules(name).model, (60, {}), (20, {"oil_temp": None}))
    assert shown[59].colours["rpm", None] is Colour.GREEN
    assert shown[-1].colours["rpm", None] is colour


def test_cold_comes_5_s_late_and_goes_10_s_after_80_f() -> None:
    legs = [(60, {}), (20, {"oil_temp": 70}), (60, {"oil_temp": 78}), (30, {"oil_temp": 90})]
    cold = [one.conditions["cold"] for one in flight(rules("bramble").model, *legs)]
    assert [n for n in range(1, len(cold)) if cold[n] is not cold[n - 1]] == [65, 150]


def test_full_speed_turns_red_after_more_than_5_minutes() -> None:
    shown = flight(rules("bramble").model, (60, {}), (310, {"rpm": 2700}))
    red = [n for n, one in enumerate(shown) if one.colours["rpm", None] is Colour.RED]
    assert red[0] == first_up(shown, "full_speed_over") == 361


def test_the_overspeed_warning_stays_when_the_overspeed_is_over() -> None:
    shown = flight(rules("bramble").model, (60, {}), (1, {"rpm": 2900}), (60, {}))
    assert shown[-1].colours["rpm", None] is Colour.GREEN
    assert ("overspeed", None) in shown[-1].alerts


def test_the_recorded_run_is_the_one_its_recipe_makes() -> None:
    folder = bramble_log.FOLDER
    assert (folder / "first-flight.csv").read_text(encoding="utf-8") == bramble_log.log()
    assert (folder / "recorder.toml").read_text(encoding="utf-8") == bramble_log.MAP
