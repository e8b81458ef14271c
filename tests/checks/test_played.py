"""Histories are played on what guards one limit alone: the stepper says of it what it says in the whole rule set."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from alertlang.checks.clocks import WatchedLimit, reds_of
from alertlang.checks.news import alerts_for
from alertlang.checks.played import concerned
from alertlang.meaning.stepper import Sample, Stepper
from alertlang.model import ruleset as m
from tests.helpers.agreeing import sensors, trace
from tests.helpers.whole import load, whole


def part_of(rules: m.RuleSet, sample: Sample) -> Sample:
    known = sensors(rules)
    return replace(
        sample,
        readings={name: value for name, value in sample.readings.items() if name in known},
        positions={name: at for name, at in sample.positions.items() if name in rules.switches},
    )


@pytest.mark.parametrize("number", range(40))
def test_a_part_is_stepped_as_in_the_whole(number: int, seed: int) -> None:
    chance = random.Random(f"{seed} {number}")
    rules = load(whole(chance))
    assert rules is not None
    samples = trace(rules, chance)
    in_whole = [stepper.step(sample) for stepper in [Stepper(rules)] for sample in samples]
    for one in rules.ranges:
        for alert, guards in ((False, reds_of(rules, one)), (True, alerts_for(rules, one))):
            if one.kind not in {"limit", "avoid"}:
                continue
            part = concerned(rules, WatchedLimit(one, None, guards, alert))
            stepper = Stepper(part)
            for sample, expected in zip(samples, in_whole, strict=True):
                shown = stepper.step(part_of(part, sample))
                labels = {rule.label for rule in guards}
                assert shown.applies == {place: on for place, on in expected.applies.items() if place[0] in labels}
                assert shown.alerts == {place: on for place, on in expected.alerts.items() if place[0] in labels}
                assert all(
                    broken is expected.violated[place] or one.except_for for place, broken in shown.violated.items()
                )
