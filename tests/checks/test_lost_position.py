"""A switch on one wire: which positions it cannot tell, held against all ways of asking for them."""

from __future__ import annotations

from pathlib import Path

import pytest

from alertlang.api import load, loads
from alertlang.findings.finding import Finding

HEAD = """rules "t" version 1
source NOTE common practice
quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt
switch flaps up, takeoff, landing
switch canopy shut, open
airspeed at least 0 is green
"""
WIRE = 'input flaps labelled "FLAPS", wired to ground when up\n'
PANEL = Path(__file__).parents[2] / "examples/02-bramble/bramble-panel.alert"


def found(text: str) -> list[Finding]:
    return [one for one in loads(HEAD + text).check().findings if one.code.name == "lost-position"]


@pytest.mark.parametrize(
    ("formula", "lost"),
    [
        ("flaps is landing", ["landing"]),
        ("flaps is not landing", ["landing"]),
        ("flaps is landing and airspeed above 50", ["landing"]),
        ("not (flaps is takeoff or airspeed above 50)", ["takeoff"]),
        ("flaps is takeoff and not flaps is landing", ["takeoff", "landing"]),
        ("flaps is landing for at least 2 s", ["landing"]),
        # What the one wire tells.
        ("flaps is up", []),
        ("flaps is not up", []),
        ("flaps is takeoff or flaps is landing", []),
        ("airspeed above 50 or flaps is takeoff or flaps is landing", []),
        ("flaps is not takeoff and flaps is not landing", []),
        ("canopy is open", []),
    ],
)
def test_which_positions_are_lost(formula: str, lost: list[str]) -> None:
    told = found(WIRE + f'when {formula} then caution "FLAPS"\n')
    assert [one.message.partition("read ")[2] for one in told] == ([" and ".join(lost)] if lost else [])
    assert all(one.severity.word == "warning" for one in told)


@pytest.mark.parametrize(
    "statement",
    [
        "condition down means flaps is landing",
        "when flaps is landing limit airspeed at most 100 kt, source NOTE",
        "assume when flaps is landing then airspeed below 100",
        "when flaps is landing then airspeed above 150 is yellow",
        "airspeed above 150 is yellow unless flaps is landing",
        "prove when flaps is landing then airspeed above 0 is green",
    ],
)
def test_whoever_reads_it(statement: str) -> None:
    assert len(found(WIRE + statement + "\n")) == 1


def test_more_wires_or_two_positions_lose_nothing() -> None:
    reads = 'when flaps is landing then caution "FLAPS"\n'
    assert not found(reads)
    assert not found(reads + 'input flaps labelled "FLAPS"\n')
    assert not found(reads + 'input flaps labelled "FLAPS", wired to supply when landing\n')
    assert not found(
        'when canopy is open then caution "CANOPY"\ninput canopy labelled "CANOPY", wired to ground when shut\n'
    )
    assert not [one for one in load(PANEL).check().findings if one.code.name == "lost-position"]


def test_it_can_be_accepted_on_the_switch() -> None:
    text = WIRE + 'when flaps is landing then caution "FLAPS"\naccept lost-position on flaps because "two wires"\n'
    [one] = found(text)
    assert one.accepted == "two wires"


def test_it_is_proved_only_where_there_was_something_to_look_at() -> None:
    proved = [[p.check for p in loads(HEAD + text).check().proved] for text in (WIRE, "")]
    assert ["lost-position" in one for one in proved] == [True, False]
