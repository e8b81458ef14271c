"""The scenarios that ship with the tool: as said on the vetted rules, and different where a mistake was put in."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from alertlang.api import load, run_scenario
from alertlang.results.scenario import ScenarioReport
from alertlang.text.resources import examples_dir

BRAMBLE = examples_dir() / "02-bramble"
SCENARIOS = sorted(examples_dir().rglob("*.scenario"))


def on(scenario: str, mistake: str) -> ScenarioReport:
    return run_scenario(BRAMBLE / f"{scenario}.scenario", rules=load(BRAMBLE / "mistakes" / f"{mistake}.alert"))


def test_there_are_three() -> None:
    assert [path.stem for path in SCENARIOS] == ["cruise", "oil-pressure", "warm-up"]
    for path in SCENARIOS:
        assert path.read_text(encoding="utf-8").startswith(f'scenario "{path.stem}" version ')


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_scenario_is_as_said(path: Path) -> None:
    report = run_scenario(path)
    assert report.findings == ()
    assert report.difference is None
    assert report.expectations >= 7


@pytest.mark.parametrize(
    ("scenario", "mistake", "time", "label"),
    [
        ("warm-up", "unguarded-limit", 10, "cold_engine"),
        ("warm-up", "lost-guard", 600, "cold_engine"),
        ("oil-pressure", "late-alert", 133, "oil_pressure_alert"),
    ],
)
def test_a_mistake_is_seen(scenario: str, mistake: str, time: int, label: str) -> None:
    found = on(scenario, mistake).difference
    assert found is not None
    assert found.time == Fraction(time)
    assert label in {reason.label for reason in found.reasons}


def test_one_case_is_not_all_cases() -> None:
    """What no scenario looks at is left to the proof."""
    assert on("oil-pressure", "missing-alert").as_said
