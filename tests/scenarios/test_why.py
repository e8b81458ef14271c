"""What is said of a difference: which statement, which part of it, which time is not yet over."""

from __future__ import annotations

import pytest

from alertlang.findings.finding import WitnessReading
from tests.helpers.osier_scenarios import first, rules

# The scenario, the message, and for each reason: statement, whether it applies, what is said.
CASES: list[tuple[str, str, list[tuple[str, bool, str]]]] = [
    (
        'at 0 s: rpm 2600\nat 4.5 min -> caution "PWR TIME"',
        'caution "PWR TIME" must be up, and is not',
        [("power", False, "does not apply yet: for more than 5 min, 4 min 30 s so far")],
    ),
    (
        "at 0 s: rpm 2600, oil_temp 90 F\nat 5 min -> rpm yellow",
        "rpm must show yellow, and shows green",
        [
            ("rpm_1", True, "applies: rpm 2600 rpm is at most 2680 rpm"),
            ("power", False, "does not apply yet: for more than 5 min, 5 min so far"),
            ("fast", False, "does not apply: rpm 2600 rpm is not above 2600 rpm"),
        ],
    ),
    (
        'at 0 s: rpm 2650\nat 4 s: rpm 2000\nat 10 s: rpm 2650\nat 16 s -> advisory "FAST"',
        'advisory "FAST" must be up, and is not',
        [("fast", False, "does not apply yet: for more than 10 s in total, 10 s so far")],
    ),
    (
        'at 0 s: rpm 2800 -> warning "OVERSPEED" by 0.9 s',
        'warning "OVERSPEED" must be up, and is not',
        [("overspeed", False, "applies, and its alert comes after 1 s, 0.9 s so far")],
    ),
    (
        'at 0 s: rpm 2800\nat 3 s: rpm 2000 -> no warning "OVERSPEED"',
        'warning "OVERSPEED" must not be up, and is',
        [
            (
                "overspeed",
                True,
                "is latched, and its cause was not acknowledged; now it does not apply: rpm 2000 rpm is not above "
                "2680 rpm",
            )
        ],
    ),
    (
        "at 0 s: rpm 1300, oil_temp 60 F\nat 5 s: oil_temp 85 F\nat 9 s -> rpm green",
        "rpm must show green, and shows red",
        [
            (
                "cold_engine",
                True,
                "applies: cold still holds (cleared after 10 s, 4 s so far: oil_temp 85 F is above 80 F) and "
                "rpm 1300 rpm is above 1200 rpm",
            ),
            ("rpm_1", True, "applies: rpm 1300 rpm is at most 2680 rpm, and red goes before it"),
        ],
    ),
    (
        "at 0 s: rpm 1300, oil_temp 77 F -> rpm red",
        "rpm must show red, and shows green",
        [
            ("rpm_1", True, "applies: rpm 1300 rpm is at most 2680 rpm"),
            ("overspeed", False, "does not apply: rpm 1300 rpm is not above 2680 rpm"),
            (
                "cold_engine",
                False,
                "does not apply: cold does not hold (oil_temp 77 F is not below 75 F, and it was not set before) and "
                "oil_temp has not failed",
            ),
        ],
    ),
    (
        "at 0 s: rpm 1300, oil_temp 60 F\nat 1 s: oil_temp 77 F -> rpm green",
        "rpm must show green, and shows red",
        [
            (
                "cold_engine",
                True,
                "applies: cold holds (it was set, and is not cleared: oil_temp 77 F is not above 80 F) and "
                "rpm 1300 rpm is above 1200 rpm",
            ),
            ("rpm_1", True, "applies: rpm 1300 rpm is at most 2680 rpm, and red goes before it"),
        ],
    ),
    (
        "at 0 s: rpm 1300, oil_temp failed -> rpm white",
        "rpm must show white, and shows red; no statement ever makes it white",
        [("cold_engine", True, "applies: oil_temp has failed and rpm 1300 rpm is above 1200 rpm")],
    ),
    (
        "at 0 s: rpm 300, oil_pressure 5 -> oil_pressure red",
        "oil_pressure must show red, and shows no colour",
        [
            (
                "low_oil",
                False,
                "does not apply: `unless` holds: running does not hold (rpm 300 rpm is not above 400 rpm)",
            )
        ],
    ),
    (
        "at 0 s: rpm 500, oil_pressure 5\nat 1 s: oil_pressure 26.5 -> oil_pressure green",
        "oil_pressure must show green, and shows red",
        [
            ("low_oil", True, "applies: oil_pressure 26.5 psi is not below 25 psi, but its deadband keeps it"),
            (
                "oil_pressure_1",
                True,
                "applies: oil_pressure 26.5 psi is at least 25 psi, and red goes before it",
            ),
        ],
    ),
    (
        'at 0 s: rpm 500, canopy open -> caution "CANOPY" by 4 s',
        'caution "CANOPY" must be up, and is not',
        [("canopy_open", False, "does not apply: running has held for 4 s, not yet for 5 s")],
    ),
    (
        'at 0 s: rpm 500, canopy latched -> caution "CANOPY" by 6 s',
        'caution "CANOPY" must be up, and is not',
        [("canopy_open", False, "does not apply: canopy is latched, not open")],
    ),
    (
        "at 0 s: every cht 340 F -> settled by 4 s",
        "settled must hold, and does not",
        [("settled", False, "does not hold yet (set after 5 s, 4 s so far)")],
    ),
    (
        'at 0 s: every cht 340 F -> advisory "UNEVEN"',
        'advisory "UNEVEN" must be up, and is not',
        [
            (
                "uneven",
                False,
                "does not apply: no cht is above 350 F (340 F, 340 F, 340 F, 340 F)",
            )
        ],
    ),
    (
        "at 0 s: every cht 340 F, cht[2] 404 F -> every cht green",
        "cht[2] must show green, and shows red",
        [
            ("cht_hot[2]", True, "applies: cht[2] 404 F is above 400 F"),
            ("cht_1[2]", False, "does not apply: cht[2] 404 F is not at most 400 F"),
        ],
    ),
    (
        "at 0 s: rpm 500, oil_temp 90 F, oil_pressure 60, every cht 404 F, canopy latched, cht[1] 90 F -> quiet",
        'no caution and no warning may be up, and warning "CHT 2 HOT", warning "CHT 3 HOT" and warning "CHT 4 HOT" are',
        [(f"cht_hot[{i}]", True, f"applies: cht[{i}] 404 F is above 400 F") for i in (2, 3, 4)],
    ),
]


@pytest.mark.parametrize(("text", "message", "reasons"), CASES, ids=[case[0] for case in CASES])
def test_a_difference_is_explained(text: str, message: str, reasons: list[tuple[str, bool, str]]) -> None:
    found = first(text)
    assert found.message == message
    assert [(one.label, one.applies, one.says) for one in found.reasons] == reasons


def test_a_reason_points_at_its_statement() -> None:
    [reason] = first('at 0 s: rpm 2600\nat 4 min -> caution "PWR TIME"').reasons
    assert reason.where.source.path == "osier.alert"
    assert reason.where.text.startswith("power: rpm above 2550")


def test_the_values_that_matter_are_told_and_no_others() -> None:
    found = first("at 0 s: rpm 1300, oil_temp failed, oil_pressure 60, canopy open -> rpm green")
    assert [(name, value and value.value) for name, value in found.read.items() if not isinstance(value, str)] == [
        ("rpm", 1300),
        ("oil_temp", None),
    ]
    canopy = first('at 0 s: rpm 500, canopy failed -> caution "CANOPY"').read
    assert isinstance(canopy["rpm"], WitnessReading)
    assert canopy["canopy"] is None


def test_what_is_up_in_the_place_of_an_alert_is_told() -> None:
    found = first('at 0 s: rpm 2800, oil_temp 60 F -> warning "OVERSPEED"')
    assert found.message == 'warning "OVERSPEED" must be up, and is not (caution "ENGINE COLD" is)'


def test_nothing_is_said_of_alerts_on_what_was_not_given() -> None:
    """Without a value oil_temp counts as failed, and ENGINE COLD is up for no reason that the scenario gives."""
    found = first('at 0 s: rpm 2800 -> warning "OVERSPEED"')
    assert found.message == 'warning "OVERSPEED" must be up, and is not'


MORE = """\
rules "more" version 1
quantity rpm from 0 to 3500 rpm
quantity map from 0 to 40 inHg
quantity egt[3] from 0 to 900
switch gear up, down
curve top over rpm: 1000 rpm -> 20 inHg, 3000 rpm -> 30 inHg
condition short means gear is down for less than 10 s
condition both means gear is not up and rpm above 100 and map above 5
condition either means rpm above 100 or map above 5
condition none_left means every egt failed
condition lost means any egt failed
condition hot means every egt above 500
map above top is red
map at most top is green
rpm failed is yellow
when rpm above 3000 for more than 2 s and gear is up then warning "A"
"""


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("at 0 s: gear down -> short by 11 s", "does not hold (gear is down has held for 11 s, not less than 10 s)"),
        ("at 0 s: gear down -> not short", "holds (gear is down has held for 0 s, less than 10 s)"),
        ("at 0 s: gear up -> short", "does not hold (gear is up, not down)"),
        ("at 0 s: gear failed -> short", "does not hold (gear is at no known position, not down)"),
        (
            "at 0 s: gear up, rpm 50, map 9 -> both",
            "does not hold (gear is up and rpm 50 rpm is not above 100 rpm)",
        ),
        (
            "at 0 s: gear down, rpm 500, map 9 -> not both",
            "holds (gear is down and rpm 500 rpm is above 100 rpm and map 9 inHg is above 5 inHg)",
        ),
        ("at 0 s: rpm 50, map 9 -> not either", "holds (map 9 inHg is above 5 inHg)"),
        (
            "at 0 s: rpm 50, map failed -> either",
            "does not hold (rpm 50 rpm is not above 100 rpm and map has failed)",
        ),
        ("at 0 s: every egt failed -> not none_left", "holds (every egt has failed)"),
        ("at 0 s: every egt failed, egt[2] 5 -> none_left", "does not hold (egt[2] has not failed)"),
        ("at 0 s: every egt 5 -> lost", "does not hold (no egt has failed)"),
        ("at 0 s: every egt 5, egt[3] failed -> not lost", "holds (egt[3] has failed)"),
        ("at 0 s: every egt 600 -> not hot", "holds (every egt is above 500 (600, 600, 600))"),
        ("at 0 s: every egt 600, egt[2] 5 -> hot", "does not hold (egt[2] 5 is not above 500)"),
    ],
)
def test_formulas_in_words(text: str, says: str) -> None:
    [reason] = first(
        text, rules(MORE.replace('when rpm above 3000 for more than 2 s and gear is up then warning "A"\n', ""))
    ).reasons
    assert reason.says == says


def test_an_end_that_moves_is_told_with_its_value() -> None:
    more = rules(MORE[: MORE.index("when rpm")])
    found = first("at 0 s: rpm 2000, map 26 -> map green", more)
    assert [one.says for one in found.reasons] == [
        "applies: map 26 inHg is above top (top is 25 inHg)",
        "does not apply: map 26 inHg is not at most top (top is 25 inHg)",
    ]
    lost = first("at 0 s: rpm failed, map 26 -> map green", more)
    assert [one.says for one in lost.reasons] == ["does not apply: top has failed"]
    broken = first("at 0 s: rpm failed -> rpm red", more)
    assert [one.says for one in broken.reasons] == ["applies: rpm has failed"]


def test_of_many_statements_the_nearest_are_told() -> None:
    bands = "".join(
        f"when gear is {'down' if i < 6 else 'up'} then rpm from {i}00 to {i}50 is red\n" for i in range(1, 9)
    )
    many = rules(
        'rules "many" version 1\nquantity rpm from 0 to 3500 rpm\nswitch gear up, down\nrpm above 5 is green\n' + bands
    )
    found = first("at 0 s: rpm 2000, gear up -> rpm red", many)
    # What shows first, then those of which only one part does not hold.
    assert [one.label for one in found.reasons] == ["rpm_1", "rpm_7", "rpm_8", "rpm_9"]
    assert found.more == 5
