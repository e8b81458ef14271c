"""What the cells of a switch are proposed to mean, on what ground, and what is left in doubt or asked.

Source: the documented behaviour (grammar/LOGS.md); the words of on and off are those of the trade at large.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.logs.propose_switch import propose_switch
from alertlang.logs.wanted import WantedSwitch

FLAPS = WantedSwitch("flaps", "Flaps", ("up", "takeoff", "landing"))
DOOR = WantedSwitch("door", "Cabin door", ("closed", "open"))
PUMP = WantedSwitch("pump", None, ("off", "on"))
GEAR = WantedSwitch("gear", None, ("down", "up"))


@pytest.mark.parametrize(
    ("switch", "column", "texts", "positions", "doubt"),
    [
        (FLAPS, "Flaps", ["up", "LANDING"], {"up": "up", "LANDING": "landing"}, None),
        (FLAPS, "Flaps", ["UP", "T/O", "LDG"], {"UP": "up", "T/O": "takeoff", "LDG": "landing"}, None),
        (FLAPS, "Flaps", ["0", "2"], {"0": "up", "1": "takeoff", "2": "landing"}, "in the order of the rules"),
        (FLAPS, "Flaps", ["up", "half"], {"up": "up"}, "nothing says what half stands for"),
        (FLAPS, "Flaps", ["0", "3"], {}, None),
        (FLAPS, "Flaps", ["10", "30"], {}, None),
        (FLAPS, "Flaps", ["", ""], {}, None),
        (FLAPS, "Flaps", [str(n) for n in range(40)], {}, None),
        (PUMP, "Pump", ["0", "1"], {"0": "off", "1": "on"}, None),
        (PUMP, "Pump", ["0.0", "1.00"], {"0.0": "off", "1.00": "on"}, None),
        (PUMP, "Pump", ["TRUE", "FALSE"], {"TRUE": "on", "FALSE": "off"}, None),
        (DOOR, "Door open", ["0", "1"], {"0": "closed", "1": "open"}, None),
        (DOOR, "DoorClosed", ["No", "Yes"], {"No": "open", "Yes": "closed"}, None),
        (DOOR, "Door", ["0", "1"], {"0": "closed", "1": "open"}, "on is taken for open"),
        (DOOR, "Door", ["", "OPEN", "OPEN"], {"OPEN": "open", "": "closed"}, "an empty cell is taken for closed"),
        (GEAR, "Gear", ["0", "1"], {"0": "down", "1": "up"}, "on is taken for up"),
    ],
)
def test_what_is_proposed(
    switch: WantedSwitch, column: str, texts: list[str], positions: dict[str, str], doubt: str | None
) -> None:
    found = propose_switch(switch, column, texts)
    assert (dict(found.positions), found.on_change) == (positions, False)
    assert (found.doubt is None) if doubt is None else (doubt in (found.doubt or ""))


@pytest.mark.parametrize(
    ("texts", "on_change"),
    [
        (["up", *[""] * 9, "landing", *[""] * 9], True),
        (["up", *[""] * 9], True),
        # The same again and again, every row, and not from the first row on: nothing says so.
        (["up", *[""] * 9, "up", *[""] * 9], False),
        (["up", "", "landing", ""], False),
        (["", *[""] * 9, "landing", *[""] * 9], False),
    ],
)
def test_what_is_written_on_change_alone_is_told_from_what_is_missing(texts: list[str], on_change: bool) -> None:
    assert propose_switch(FLAPS, "Flaps", texts).on_change is on_change


words = st.sampled_from(["", "0", "1", "2", "on", "OFF", "true", "open", "Closed", "up", "x", "---", "takeoff", "7"])


@given(st.sampled_from([FLAPS, DOOR, PUMP, GEAR]), st.sampled_from(["", "Door", "Door open", "up"]), st.lists(words))
def test_a_mapping_has_a_cell_that_it_is_for(switch: WantedSwitch, column: str, texts: list[str]) -> None:
    """And what is written and has no place in it is a doubt."""
    found = propose_switch(switch, column, texts)
    written = {text for text in texts if text}
    if found.positions:
        assert written & set(found.positions)
        assert set(found.positions.values()) <= set(switch.positions)
        assert written <= set(found.positions) or found.doubt is not None
