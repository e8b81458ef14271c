"""Lamps against a published table of an alarm's states, step by step, and two published rules of setting and clearing.

Source: OPC 10000-9 (OPC UA Part 9, Alarms and Conditions) release 1.05.03, Table B.1,
https://reference.opcfoundation.org/Core/Part9/v105/docs/B.1.2: an alarm that is acknowledged and then confirmed. What
confirms in that table is what resets a lamp of sequence M or R; a lamp of sequence A has nothing to confirm. Read off
the lamp: active, an alert is up; not acknowledged, it flashes fast and sounds; not confirmed, it has been acknowledged
and waits for its reset; retained, it is not off.

ReAlarmTime (an alarm that is up for too long counts as not acknowledged again) is not in the language, and neither is
shelving or suppression: their steps have nothing here to be held against.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown
from tests.helpers.timed import load, stepped

RULES = """rules "table" version 1
quantity current from 0 to 200 A
s: current above 30 A is red with warning "CURRENT"
lamp "IT" shows warning, sequence {sequence}, acknowledged by ack, reset by confirm
"""

# What happens; then Active, Acked, Confirmed, Retain, as the table has them.
TABLE = [
    ("initial", False, True, True, False),
    ("goes active", True, False, True, True),
    ("acknowledged", True, True, False, True),
    ("goes inactive", False, True, False, True),
    ("confirmed", False, True, True, False),
    ("goes active", True, False, True, True),
    ("goes inactive", False, False, True, True),
    ("acknowledged", False, True, False, True),
    ("confirmed", False, True, True, False),
]
BUTTONS = {"acknowledged": frozenset({"ack"}), "confirmed": frozenset({"confirm"})}


def run(sequence: str, *events: str) -> list[Shown]:
    """What is shown after each event, the button let go in between."""
    samples, value = [], 25
    for k, event in enumerate(events):
        value = {"goes active": 60, "goes inactive": 25}.get(event, value)
        pressed = BUTTONS.get(event, frozenset())
        samples.append(Sample(Fraction(2 * k), {"current": Fraction(value)}, {}, pressed=pressed))
        samples.append(Sample(Fraction(2 * k + 1), {"current": Fraction(value)}, {}))
    return stepped(load(RULES.format(sequence=sequence)), samples)[1::2]


def columns(shown: Shown) -> tuple[bool, bool, bool, bool]:
    """Active, Acked, Confirmed and Retain, as they can be seen and heard."""
    state = shown.lamps["IT"]
    unacknowledged = (state.light, state.sound) == ("flashing", "alarm")
    off = (state.light, state.sound) == ("off", "silent")
    return bool(shown.alerts), not unacknowledged, off or unacknowledged, not off


@pytest.mark.parametrize("sequence", ["M", "R"])
def test_step_by_step(sequence: str) -> None:
    shown = run(sequence, *(event for event, *_ in TABLE))
    assert [columns(one) for one in shown] == [tuple(row) for _, *row in TABLE]
    # All nine rows have this in common.
    assert all(retain is (active or not acked or not confirmed) for _, active, acked, confirmed, retain in TABLE)


@pytest.mark.parametrize("sequence", ["M", "R"])
@pytest.mark.parametrize("events", [["goes active"], ["goes active", "acknowledged"], ["goes active", "goes inactive"]])
def test_a_reset_too_early_has_no_effect(sequence: str, events: list[str]) -> None:
    """ "has no effect" on an alarm that is active, by the same part's text on Reset; it is allowed only when the alarm
    is inactive and acknowledged. https://reference.opcfoundation.org/search?q=Reset&scope=core"""
    *_, before, after = run(sequence, *events, "confirmed")
    assert after.lamps == before.lamps
    assert columns(after)[3]


# The instructions of a family of industrial controllers, read on one page (65) of their manual: a high alarm is set at
# `In >= HLimit` and cleared at `In < HLimit - Deadband`, a low one at `In <= LLimit` and `In > LLimit + Deadband`.
LIMIT, DEADBAND = 100, 10
SWINGS = [95, 99, 100, 95, 91, 89, 95, 99, 101, 100, 92, 89, 99, 100]


@pytest.mark.parametrize("word", ["at least", "at most"])
def test_set_at_the_limit_and_cleared_past_the_deadband(word: str) -> None:
    """But for the one value at which the two differ: a reading at exactly the limit less the deadband clears here, as
    the annex of OPC 10000-9 has it ("drops below the limit by the amount of the deadband"), and does not there."""
    text = f'rules "t" version 1\nquantity x from 0 to 200, deadband {DEADBAND}\nx {word} {LIMIT} is red\n'
    sign = 1 if word == "at least" else -1
    values = [LIMIT + sign * (value - LIMIT) for value in SWINGS]
    shown = stepped(load(text), [Sample(Fraction(k), {"x": Fraction(value)}, {}) for k, value in enumerate(values)])
    wanted, on = [], False
    for value in values:
        past = sign * (value - LIMIT)
        on = past >= 0 or (on and past >= -DEADBAND)
        wanted.append(on)
    assert [one.applies["x_1", None] for one in shown] == wanted
    assert {True, False} == set(wanted)

    edge = [LIMIT, LIMIT - sign * DEADBAND]
    last = stepped(load(text), [Sample(Fraction(k), {"x": Fraction(value)}, {}) for k, value in enumerate(edge)])[-1]
    assert not last.applies["x_1", None]
