"""Advice that does not nag: what is shown without `follow`, and what is kept back.

Source of what is expected: the pages. One slip is told once; advice on a whole rule set is one note.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from alertlang.api import Rules, load, loads
from alertlang.checks.standards.missing_instrument import RULE as INSTRUMENTS
from alertlang.checks.standards.published import RULES
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.text.resources import examples_dir, profiles_dir

EXAMPLES = examples_dir()
VETTED = [EXAMPLES / "01-first-rules" / "first.alert", EXAMPLES / "02-bramble" / "bramble.alert"]

HEAD = """\
rules "quiet" version 1
source NOTE common practice
quantity rpm from 0 to 3500 rpm, step 10 rpm
"""


def advice(rules: Rules) -> list[Finding]:
    """All findings of the pack that nobody accepted."""
    return [f for f in rules.check().findings if f.code.code.startswith("AL6") and f.accepted is None]


def pack(text: str) -> list[Finding]:
    return [f for f in loads(text).check().findings if f.code.code.startswith("AL6")]


def says_only(text: str, name: str) -> bool:
    """Another check finds it, and the pack has nothing to add."""
    return name in {f.code.name for f in loads(text).check().findings} and pack(text) == []


# ---- what is shipped


@pytest.mark.parametrize("path", VETTED, ids=lambda path: path.stem)
def test_vetted_rules_get_no_advice(path: Path) -> None:
    assert advice(load(path)) == []


@pytest.mark.parametrize("path", sorted(profiles_dir().rglob("*.profile")), ids=lambda path: path.stem)
def test_shipped_profiles_get_no_advice(path: Path) -> None:
    """But the one whose arcs are at less than the maximum weight."""
    found = [one.code.name for one in advice(load(path))]
    assert found == (["arc-weight"] if path.stem == "diamond-da40-ng" else [])


@pytest.mark.parametrize("rule", RULES)
def test_vetted_rules_under_every_rule(rule: str, tmp_path: Path) -> None:
    """They follow none. What is found under each is what they do not state, and no marking."""
    for path in (EXAMPLES / "02-bramble").glob("*.profile"):
        (tmp_path / path.name).write_text(path.read_text("utf-8"), "utf-8")
    text = VETTED[1].read_text("utf-8") + f'follow "{rule}"\n'
    (tmp_path / "bramble.alert").write_text(text, "utf-8")
    said = {f.message.split(" (")[0] for f in advice(load(tmp_path / "bramble.alert"))}
    unstated = {
        "14 CFR 23.1545": {
            "no statement on airspeed tells VS0",
            # The invented airframe says no weight.
            "VS1 is told, and nothing says at which weight",
        },
        "14 CFR 91.205": {
            "no quantity is recognisable as an altimeter",
            "no quantity is recognisable as a magnetic direction indicator",
        },
        "14 CFR 27.1305": {
            "no quantity is recognisable as a fuel pressure gauge",
            "no quantity is recognisable as an oil quantity gauge",
            'no warning reads a low-fuel sensor of its own; "LOW FUEL"',
        },
        **{f"14 CFR {part}.1553": {"nothing says how much of fuel_quantity is unusable"} for part in (25, 27, 29)},
    }
    assert said == unstated.get(rule, set())


# ---- one slip is told once


def test_green_under_equal_red_is_a_conflict_and_no_advice() -> None:
    text = HEAD + "redline: limit rpm at most 2750, source NOTE\nrpm at most 2800 is green\nrpm above 2750 is red\n"
    assert says_only(text, "conflict")
    assert {f.severity for f in pack(text + 'follow "25.1549"\n')} == {Severity.ERROR}


def test_red_that_begins_late_is_an_unguarded_limit_and_no_advice() -> None:
    text = HEAD + "redline: limit rpm at most 2750, source NOTE\nrpm at most 2800 is green\nrpm above 2800 is red\n"
    assert says_only(text, "unguarded-limit")
    followed = pack(text + 'follow "25.1549"\n')
    assert {f.code.name for f in followed} == {"green-past-limit", "unmarked-limit"}


def test_a_green_precaution_is_said_by_the_check_on_precautions() -> None:
    text = (
        HEAD + "high: precaution rpm from 2500 to 2750, source NOTE\nrpm at most 2750 is green\nrpm above 2750 is red\n"
    )
    assert says_only(text, "unmarked-precaution")
    [one] = pack(text + 'follow "25.1549(c)"\n')
    assert (one.code.name, one.limit) == ("takeoff-not-yellow", "high")


def test_an_avoid_range_that_is_green_is_said_by_the_check_on_limits() -> None:
    text = HEAD + "buzz: avoid rpm from 2000 to 2150, source NOTE\nrpm at most 2750 is green\nrpm above 2750 is red\n"
    assert says_only(text, "unguarded-limit")
    [one] = pack(text + 'follow "27.1549(d)"\n')
    assert (one.code.name, one.limit) == ("restricted-not-red", "buzz")


def test_advice_on_something_else_stays_beside_an_error() -> None:
    text = HEAD + (
        "quantity oil_temp from 0 to 300 F, step 1 F\n"
        "redline: limit rpm at most 2750, source NOTE\nrpm at most 2700 is green\nrpm above 2700 is red\n"
        "oil_temp at most 200 is green\noil_temp above 210 is red\n"
    )
    assert "gap" in {f.code.name for f in loads(text).check().findings}
    assert [f.code.name for f in pack(text)] == ["unmarked-limit"]


# ---- one note for a whole rule set


LATCHED = HEAD + (
    "rpm at most 2750 is green\n"
    'top: rpm above 2750 is red with warning "OVERSPEED" latched\n'
    'far_top: when rpm above 3000 then warning "SHUT DOWN" latched\n'
)


def test_latched_alerts_are_one_note() -> None:
    [one] = pack(LATCHED)
    assert (one.code.name, one.severity, one.statements) == ("lingering-alert", Severity.NOTE, ("top", "far_top"))
    assert '"OVERSPEED" (top) and "SHUT DOWN" (far_top) stay up' in one.message


def test_latched_alerts_are_an_error_each_after_follow() -> None:
    followed = pack(LATCHED + 'follow "25.1322"\n')
    assert [(f.code.name, f.severity, f.statements) for f in followed] == [
        ("lingering-alert", Severity.ERROR, ("top",)),
        ("lingering-alert", Severity.ERROR, ("far_top",)),
    ]


def test_one_latched_alert_can_be_accepted_and_the_other_is_still_told() -> None:
    said = pack(LATCHED + 'accept lingering-alert on far_top because "too short to be seen"\n')
    assert [(f.statements, f.accepted is not None) for f in said] == [(("top",), False), (("far_top",), True)]


ENGINE = """\
rules "engine" version 1
engine piston, liquid cooled, altitude
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
rpm at most 2750 is green
rpm above 2750 is red
"""


def test_missing_engine_instruments_are_one_note() -> None:
    [one] = pack(ENGINE)
    assert (one.code.name, one.severity) == ("missing-instrument", Severity.NOTE)
    assert one.message.startswith(
        "no quantity is recognisable as an oil pressure gauge, a coolant temperature gauge, a manifold pressure gauge "
        "and a fuel quantity gauge (14 CFR 91.205(b)(5), 91.205(b)(6), 91.205(b)(8), 91.205(b)(9): "
    )


def test_without_an_engine_there_is_no_advice_on_instruments() -> None:
    assert pack(ENGINE.replace("engine piston, liquid cooled, altitude\n", "")) == []


def test_a_profile_by_itself_is_no_panel() -> None:
    text = ENGINE.replace('rules "engine"', 'profile "engine"').split("rpm at most")[0]
    assert pack(text) == []
    assert INSTRUMENTS


def test_two_senses_are_spoken_of_only_when_followed() -> None:
    text = HEAD + "rpm at most 2750 is green\nrpm above 2750 is red\n"
    assert pack(text) == []
    [one] = pack(text + 'follow "25.1322(c)(2)"\n')
    assert (one.code.name, one.severity) == ("one-sense", Severity.ERROR)
