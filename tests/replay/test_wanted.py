"""What the rules want of a recording: where a reading is when all is well."""

from __future__ import annotations

import pytest

import alertlang
from alertlang.replay.wanted import wanted_of


@pytest.mark.parametrize(
    ("bands", "sensible"),
    [
        ("rpm at most 0 rpm is green\nrpm from 600 to 2700 rpm is green\n", ((0, 0), (600, 2700))),
        ("rpm at least 3500 rpm is green\n", ((3500, 3500),)),
        ("rpm above 3600 rpm is green\n", ((0, 3500),)),
        ("rpm above 2700 rpm is red\n", ((0, 3500),)),
    ],
)
def test_what_is_green_is_sensible_be_it_one_number(bands: str, sensible: tuple[tuple[float, float], ...]) -> None:
    ruleset = alertlang.loads(f'rules "a" version 1\nquantity rpm from 0 to 3500 rpm\n{bands}').model
    [reading] = wanted_of(ruleset).readings
    assert reading.sensible == sensible
