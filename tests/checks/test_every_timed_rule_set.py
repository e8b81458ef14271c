"""No rule set makes a check disagree with the reference: every witness that is shown was confirmed, or this fails."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings

import alertlang
from alertlang.findings.finding import Finding
from tests.helpers.timed import timed_rulesets

HEAD = 'rules "osier" version 1\nsource NOTE common practice\n'


@settings(
    max_examples=120,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(timed_rulesets())
def test_every_check_ends_well(text: str) -> None:
    report = alertlang.loads(text).check()
    assert report.readable
    assert not any(one.undecided for one in report.findings)
    assert all(one.region is not None for one in report.findings if one.witness is not None)


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(
            "quantity speed from 0 to 10 rpm, deadband 2 rpm\n"
            'a1: when ((speed at least 4 rpm) for less than 2 s) for more than 1 s then caution "A1" latched\n'
            'b2: speed from 4 rpm to 6 rpm for more than 2 s in total is unmarked with caution "B2"\n',
            id="kept-by-its-deadband-and-elapsed",
        ),
        pytest.param(
            "switch pump off, low, high\nquantity temp from -4 to 4 C\n"
            "condition c1 means ((pump is high) for at least 1 s) for at least 1.5 s until temp at most -1 C\n"
            'b1: when (c1) for at least 1.5 s then temp at most 1 C is red with warning "B1"\n',
            id="a-switch-that-only-an-open-truth-reads",
        ),
        pytest.param(
            "quantity cyl[2] from 0 to 6\nswitch pump off, high\nlet mean = average of cyl\n"
            "b1: cyl[1] from mean to 6 is unmarked\n"
            "l1: when pump is high then avoid cyl at least 3, needs warning, source NOTE\n",
            id="an-end-that-the-question-leaves-open",
        ),
    ],
)
def test_what_once_went_wrong(text: str) -> None:
    found: tuple[Finding, ...] = alertlang.loads(HEAD + text).check().findings
    assert any(one.code.name == "gap" and one.witness is not None for one in found)


# What `make fuzz` drew and what ended with a fault of the tool.
DRAWN = sorted((Path(__file__).parent.parent / "corpus" / "drawn").glob("*.alert"))


@pytest.mark.parametrize("path", DRAWN, ids=lambda path: path.stem)
def test_what_was_drawn_ends_well(path: Path) -> None:
    assert alertlang.load(path).check().readable
