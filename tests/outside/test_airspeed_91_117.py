"""A published speed rule whose borders are some strict and some not, over altitude and airspeed.

Source: 14 CFR 91.117 (read in an online reprint that was verified against the official text in June 2026). In own
words, indicated airspeeds:

(a) below 10,000 ft MSL: not more than 250 kt (288 mph);
(b) at or below 2,500 ft above the surface within 4 nautical miles of the primary airport of a Class C or Class D area:
    not more than 200 kt (230 mph).

So 10,000 ft itself is outside (a), 2,500 ft itself is inside (b), and 250 kt itself is legal. That 288 and 230 mph are
roundings follows from the definitions of the units (1 kt = 1852 m/h, 1 mph = 1609.344 m/h): 250 kt are 287.695 mph and
200 kt are 230.156 mph. What an authority or a clearance may lift is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import pytest

from alertlang.api import Rules, loads
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding, WitnessReading
from alertlang.meaning.instant import Instant, State
from alertlang.model.ruleset import Colour
from alertlang.results.report import ClaimResult, Verdict
from alertlang.units.unit import UNITS, convert

LIMITS = """rules "speeds" version 1
source RULE "14 CFR 91.117"

quantity altitude "Altitude above mean sea level" from 0 to 18000 ft, step 1 ft
quantity height "Height above the surface" from 0 to 18000 ft, step 1 ft
quantity airspeed "Indicated airspeed" from 0 to 350 kt, step 1 kt
switch area "Within 4 nm of the airport of a Class C or D area" outside, inside

low: when altitude below 10000 ft limit airspeed at most 250 kt, source RULE
near: when height at most 2500 ft and area is inside limit airspeed at most 200 kt, source RULE
"""
LOW_RED = "low_red: when altitude below 10000 ft then airspeed above 250 kt is red"
NEAR_RED = "near_red: when height at most 2500 ft and area is inside then airspeed above 200 kt is red"
GREEN = "airspeed from 0 to 350 kt is green"


def rules(low: str = LOW_RED, near: str = NEAR_RED, claim: str = "") -> Rules:
    return loads("\n".join((LIMITS, low, near, GREEN, claim)) + "\n", name="speeds.alert")


def serious(checked: Rules) -> list[Finding]:
    """What is found of the borders. That a dead altimeter takes a guard away is another matter (lost-guard)."""
    findings = checked.check().findings
    return [f for f in findings if f.severity >= Severity.WARNING and f.code.name != "lost-guard"]


def claimed(claim: str, **bands: str) -> ClaimResult:
    [result] = rules(claim=claim, **bands).prove()
    return result


def reading(witness: Mapping[str, object] | None, name: str) -> Fraction:
    assert witness is not None
    fact = witness[name]
    assert isinstance(fact, WitnessReading)
    return fact.value


# ---- the rule at its borders

POINTS = [
    # altitude, height, area, airspeed: broken by (a), by (b)
    (9999, 9000, "outside", 251, True, False),
    (9999, 9000, "outside", 250, False, False),
    (10000, 9000, "outside", 251, False, False),
    (10000, 9000, "outside", 350, False, False),
    (4000, 2500, "inside", 201, False, True),
    (4000, 2500, "inside", 200, False, False),
    (4000, 2501, "inside", 201, False, False),
    (4000, 2500, "outside", 201, False, False),
    (4000, 2500, "inside", 251, True, True),
    # High ground: outside (a) by altitude and inside (b) by height.
    (10000, 2500, "inside", 201, False, True),
]


@pytest.mark.parametrize(("altitude", "height", "area", "airspeed", "low", "near"), POINTS)
def test_borders(altitude: int, height: int, area: str, airspeed: int, low: bool, near: bool) -> None:
    model = rules().model
    readings = {"altitude": Fraction(altitude), "height": Fraction(height), "airspeed": Fraction(airspeed)}
    instant = Instant(model, State(readings, {"area": area}))
    assert {one.label: instant.violates(one, None) for one in model.ranges} == {"low": low, "near": near}
    assert instant.colour("airspeed", None) is (Colour.RED if low or near else Colour.GREEN)


def test_bands_with_the_same_borders_are_clean() -> None:
    assert serious(rules()) == []


@pytest.mark.parametrize(
    "claim",
    [
        "prove when altitude below 10000 ft then airspeed above 250 kt is red",
        "prove when altitude at least 10000 ft and height above 2500 ft then airspeed from 0 to 350 kt is never red",
        "prove when height at most 2500 ft and area is inside then airspeed above 200 kt is red",
        "prove when area is outside then airspeed at most 250 kt is never red",
        "prove airspeed at most 200 kt is green",
    ],
)
def test_what_the_rule_says_is_proved(claim: str) -> None:
    assert claimed(claim).verdict is Verdict.PROVED


# ---- a border one foot or one knot off, or of the wrong kind, has a witness at the border


def unguarded(limit: str, **bands: str) -> Finding:
    found = serious(rules(**bands))
    assert {(f.code.name, f.limit) for f in found} == {("unguarded-limit", limit)}
    return found[0]


def test_low_red_that_stops_at_9999_ft() -> None:
    found = unguarded("low", low=LOW_RED.replace("below 10000", "below 9999"))
    assert reading(found.witness, "altitude") == 9999
    assert reading(found.witness, "airspeed") > 250


def test_low_red_up_to_and_with_9999_ft_leaves_the_last_foot() -> None:
    """Between 9,999 and 10,000 ft the altimeter shows no whole foot, and the rule holds there all the same."""
    found = unguarded("low", low=LOW_RED.replace("below 10000", "at most 9999"))
    assert 9999 < reading(found.witness, "altitude") < 10000


def test_low_red_with_10000_ft_shows_red_where_the_rule_does_not_hold() -> None:
    claim = "prove when altitude at least 10000 ft and area is outside then airspeed from 0 to 350 kt is never red"
    result = claimed(claim, low=LOW_RED.replace("below 10000", "at most 10000"))
    assert result.verdict is Verdict.REFUTED
    assert reading(result.witness, "altitude") == 10000
    assert reading(result.witness, "airspeed") > 250


def test_low_red_that_begins_above_251_kt() -> None:
    found = unguarded("low", low=LOW_RED.replace("above 250", "above 251"))
    assert reading(found.witness, "airspeed") == 251


def test_low_red_that_begins_with_250_kt_calls_a_legal_speed_red() -> None:
    claim = "prove when area is outside then airspeed at most 250 kt is never red"
    result = claimed(claim, low=LOW_RED.replace("above 250", "at least 250"))
    assert result.verdict is Verdict.REFUTED
    assert reading(result.witness, "airspeed") == 250
    assert reading(result.witness, "altitude") < 10000


def test_near_red_that_leaves_2500_ft_out() -> None:
    found = unguarded("near", near=NEAR_RED.replace("at most 2500", "below 2500"))
    assert reading(found.witness, "height") == 2500
    assert found.witness is not None
    assert found.witness["area"] == "inside"
    assert reading(found.witness, "airspeed") > 200


def test_near_red_that_reaches_2501_ft_shows_red_where_the_rule_does_not_hold() -> None:
    claim = "prove when altitude at least 10000 ft and height above 2500 ft then airspeed from 0 to 350 kt is never red"
    result = claimed(claim, near=NEAR_RED.replace("at most 2500", "at most 2501"))
    assert result.verdict is Verdict.REFUTED
    assert 2500 < reading(result.witness, "height") <= 2501


def test_neither_part_stands_in_for_the_other() -> None:
    assert reading(unguarded("near", near="").witness, "airspeed") > 200
    assert reading(unguarded("low", low="").witness, "airspeed") > 250


# ---- 288 and 230 mph are roundings


def test_the_roundings_in_miles_per_hour() -> None:
    metres_per_hour = {"kt": Fraction(1852), "mph": Fraction("1609.344")}
    for knots, whole, thousandths in ((250, 288, "287.695"), (200, 230, "230.156")):
        exact = knots * metres_per_hour["kt"] / metres_per_hour["mph"]
        assert convert(Fraction(knots), UNITS["kt"], UNITS["mph"]) == exact
        assert round(exact) == whole != exact
        assert round(exact, 3) == Fraction(thousandths)


def test_288_mph_is_more_than_250_kt_so_red_from_there_comes_late() -> None:
    found = unguarded("low", low=LOW_RED.replace("250 kt", "288 mph"))
    assert 250 < reading(found.witness, "airspeed") <= Fraction(288) * Fraction("1609.344") / 1852


def test_230_mph_is_less_than_200_kt_so_red_from_there_is_stricter() -> None:
    near = NEAR_RED.replace("200 kt", "230 mph")
    assert serious(rules(near=near)) == []
    result = claimed("prove airspeed at most 200 kt is never red", near=near)
    assert result.verdict is Verdict.REFUTED
    assert Fraction(230) * Fraction("1609.344") / 1852 < reading(result.witness, "airspeed") <= 200
