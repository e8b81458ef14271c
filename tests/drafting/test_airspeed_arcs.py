"""The draft of each shipped airframe has the arcs of 14 CFR 23.1545(b), edge for edge.

The rule and the speeds, as read in the documents, stand in tests/outside/test_airspeed_arcs.py. The gauge is read by
the reference evaluator in steps of half a knot. The Cessna 150M's profile has no range for its white arc.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from alertlang.api import draft, loads
from alertlang.meaning.instant import Instant, State
from alertlang.model.ruleset import RuleSet
from tests.outside.test_airspeed_arcs import AIRFRAMES, FOUR

HALVES = [Fraction(number, 2) for number in range(401)]


def dial(rules: RuleSet, switches: dict[str, str]) -> list[str]:
    """The colour at every half knot; those that are not told are as when parked."""
    readings = {name: quantity.low for name, quantity in rules.quantities.items() if not quantity.is_computed}
    positions = {name: switch.positions[0] for name, switch in rules.switches.items()} | switches
    found = []
    for value in HALVES:
        colour = Instant(rules, State({**readings, "airspeed": value}, positions)).colour("airspeed", None)
        found.append("unmarked" if colour is None else colour.word)
    return found


def wanted(value: Fraction, low: int, calm: str, high: int, red: int) -> str:
    """The worse colour has the edge; yellow from `high` on, and only above it."""
    if value > red:
        return "red"
    if high < red and value >= high:
        return "yellow"
    return calm if low <= value <= high else "unmarked"


@pytest.mark.parametrize("name", AIRFRAMES)
def test_arcs_of_a_draft(name: str) -> None:
    speeds = AIRFRAMES[name]
    rules = loads(draft((name,)).text).model
    assert dial(rules, speeds.clean) == [wanted(v, speeds.vs1, "green", speeds.vno, speeds.vne) for v in HALVES]
    assert dial(rules, speeds.landing) == [wanted(v, speeds.vs0, "white", speeds.vfe, speeds.vfe) for v in HALVES]


def test_the_aircraft_without_a_flap_range() -> None:
    rules = loads(draft((FOUR,)).text).model
    assert dial(rules, {"flaps": "up"}) == [wanted(v, 47, "green", 107, 141) for v in HALVES]
    out = dial(rules, {"flaps": "extended"})
    assert [v for v, colour in zip(HALVES, out, strict=True) if colour == "red"] == [v for v in HALVES if v > 85]
    # The handbook's page has white from 42 to 85 kt; the profile says it in a remark alone.
    assert "white" not in out
