"""On-delay, off-delay and deadband as a published standard describes them, step by step.

Source: OPC 10000-9 (OPC UA Part 9, Alarms and Conditions) release 1.05, annex B.1.5 "Example for On-Delay, Off Delay
and ReAlarmTime", https://reference.opcfoundation.org/Core/Part9/v105/docs/B.1.5, and Table B.1 in
https://reference.opcfoundation.org/Core/Part9/v105/docs/B.1.2. The words in quotes are the annex's; its figure B.4 was
not seen. They give no numbers: those below are invented, and each table says which sentence it follows.

In the language an on-delay is `after` on an alert or `set after` on a condition, an off-delay is `cleared after`,
and a deadband belongs to the quantity. The annex lets every limit of a quantity have a deadband of its own width; here
they have one width, and each limit still has its own memory. ReAlarmTime is not in the language.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import pytest

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown
from tests.helpers.timed import load, stepped

HEAD = """rules "annex" version 1
quantity current "Motor current" from 0 to 200 A
quantity level "Noisy signal" from 0 to 200 A, deadband 10 A
"""

# Time in seconds, value, whether it is an alarm.
Steps = Sequence[tuple[str, str, bool]]


def run(text: str, name: str, steps: Steps) -> list[Shown]:
    samples = [Sample(Fraction(time), {name: Fraction(value)}, {}) for time, value, _ in steps]
    return stepped(load(HEAD + text), samples)


def wanted(steps: Steps) -> list[bool]:
    return [active for *_, active in steps]


# ---- on-delay

# "a motor on start draws a large current, but quickly come back down. This is a normal motor current load, and should
# not be alarmed ... the momentary spike will not generate an alarm, since the value has to be above the alarm
# threshold for the duration of OnDelay."
SPIKE: Steps = [
    ("0", "0", False),
    ("1", "120", False),  # the motor starts
    ("2.9", "110", False),  # 1.9 s above the threshold
    ("2.95", "25", False),
    ("10", "25", False),
]
# "a sustained current load is a problem and should be alarmed"
SUSTAINED: Steps = [
    ("0", "25", False),
    ("1", "120", False),
    ("2", "70", False),
    ("2.999", "70", False),
    ("3", "70", True),  # above it for the duration of OnDelay
    ("60", "70", True),
    ("61", "30", False),  # at the threshold, no longer above it
]
# Two spikes with a dip between them: "for the duration".
BROKEN: Steps = [
    ("0", "60", False),
    ("1.5", "60", False),
    ("1.6", "25", False),
    ("1.7", "60", False),
    ("3.6", "60", False),
    ("3.7", "60", True),
]


@pytest.mark.parametrize("steps", [SPIKE, SUSTAINED, BROKEN], ids=["spike", "sustained", "broken"])
def test_on_delay(steps: Steps) -> None:
    shown = run('s: current above 30 A is red with warning "CURRENT" after 2 s\n', "current", steps)
    assert [("s", None) in one.alerts for one in shown] == wanted(steps)
    shown = run("condition overload means current above 30 A, set after 2 s\n", "current", steps)
    assert [one.conditions["overload"] for one in shown] == wanted(steps)


# ---- deadband

# "once it crosses an alarm limit will not return to norm unless it drops below the limit by the amount of the deadband
# specified ... the process value is jumping up and down around the limit, but the alarm just remains in the same ...
# state."
NOISE: Steps = [
    ("0", "95", False),  # within the deadband, and it has not crossed the limit yet
    ("1", "101", True),
    ("2", "97", True),
    ("3", "103", True),
    ("4", "91", True),
    ("5", "100", True),
    ("6", "90.001", True),
    ("7", "90", False),  # below the limit by the amount of the deadband
    ("8", "99", False),  # back in the deadband is not across the limit
    ("9", "101", True),
    ("10", "40", False),
]
LOW_NOISE: Steps = [
    ("0", "55", False),
    ("1", "49", True),
    ("2", "59.999", True),
    ("3", "48", True),
    ("4", "60", False),
    ("5", "51", False),
]


@pytest.mark.parametrize(("region", "steps"), [("above 100 A", NOISE), ("below 50 A", LOW_NOISE)], ids=["high", "low"])
def test_deadband(region: str, steps: Steps) -> None:
    shown = run(f's: level {region} is red with warning "LEVEL"\n', "level", steps)
    assert [("s", None) in one.alerts for one in shown] == wanted(steps)
    assert [one.applies["s", None] for one in shown] == wanted(steps)


def test_a_deadband_for_each_limit() -> None:
    """ "The Alarm can have a deadband for each limit (High vs HighHigh)": each has its own memory."""
    text = "high: level above 100 A is yellow\nhigh_high: level above 120 A is red\n"
    rows = [
        ("95", False, False),
        ("105", True, False),
        ("115", True, False),  # in the deadband of HighHigh, that has not been crossed
        ("121", True, True),
        ("115", True, True),
        ("110", True, False),
        ("95", True, False),
        ("90", False, False),
    ]
    shown = run(text, "level", [(str(k), value, False) for k, (value, *_) in enumerate(rows)])
    found = [(one.applies["high", None], one.applies["high_high", None]) for one in shown]
    assert found == [(high, high_high) for _, high, high_high in rows]


# ---- off-delay

# "much as the OnDelay, except it will keep a Value in alarm even if it drops below a limit, but only very briefly."
DIPS: Steps = [
    ("0", "25", False),
    ("1", "60", True),
    ("2", "25", True),
    ("3.9", "25", True),  # 1.9 s below it
    ("4", "60", True),
    ("5", "25", True),
    ("6.999", "25", True),
    ("7", "25", False),  # below it for the duration of OffDelay
    ("8", "60", True),
]


def test_off_delay() -> None:
    text = 'condition overload means current above 30 A, cleared after 2 s\ns: when overload then warning "CURRENT"\n'
    shown = run(text, "current", DIPS)
    assert [one.conditions["overload"] for one in shown] == wanted(DIPS)
    assert [("s", None) in one.alerts for one in shown] == wanted(DIPS)


def test_on_delay_and_off_delay_together() -> None:
    steps: Steps = [
        ("0", "60", False),
        ("2", "60", True),
        ("3", "25", True),
        ("4", "60", True),  # a dip of 1 s
        ("5", "25", True),
        ("7", "25", False),
        ("8", "60", False),
        ("9", "25", False),  # a spike of 1 s
        ("10", "60", False),
        ("12", "60", True),
    ]
    text = "condition overload means current above 30 A, set after 2 s, cleared after 2 s\n"
    assert [one.conditions["overload"] for one in run(text, "current", steps)] == wanted(steps)


# ---- acknowledgement

# Table B.1 without its steps for confirming (2 and 3 in one, 4; 7 and 8 in one): what happens, whether the alarm is
# active, and whether it is retained, "Retain" being true while it is active or not acknowledged.
TABLE = [
    ("initial", False, False),
    ("goes active", True, True),
    ("acknowledged", True, True),
    ("goes inactive", False, False),
    ("goes active", True, True),
    ("goes inactive", False, True),
    ("acknowledged", False, False),
]


def test_a_latched_alert_is_retained() -> None:
    samples = [
        Sample(Fraction(k), {"current": Fraction(60 if active else 25)}, {}, event == "acknowledged")
        for k, (event, active, _) in enumerate(TABLE)
    ]
    shown = stepped(load(HEAD + 's: current above 30 A is red with warning "CURRENT" latched\n'), samples)
    assert [one.applies["s", None] for one in shown] == [active for _, active, _ in TABLE]
    assert [("s", None) in one.alerts for one in shown] == [retain for *_, retain in TABLE]
