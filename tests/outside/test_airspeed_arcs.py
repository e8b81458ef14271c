"""The arcs that follow from the speeds of each shipped airframe, against 14 CFR 23.1545(b) edge for edge.

Source of the rule: 14 CFR 23.1545(b), read in the edition of the 1960s. In own words: (1) a red line at VNE; (2) a
yellow arc from VNO to the red line; (3) a green arc from VS1 (gear and flaps up) to VNO; (4) a white arc from VS0 to
VFE, flaps fully out; (5) on twins a red line at VMC and a blue one at the best rate of climb on one engine, VYSE.
23.1545(c): where VNE or VNO varies with altitude, the limits through the whole range must be shown.

The speeds below stand here a second time, as read in the documents that each profile names: they are not taken from
the profiles. What a profile asks of the gauge is evaluated value by value, in steps of half a knot.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

import pytest

from alertlang.api import load, loads
from alertlang.checks.standards.speeds import told
from alertlang.meaning.instant import Instant, State
from alertlang.model.files import shipped_profiles
from alertlang.model.ruleset import RuleSet

SHIPPED = shipped_profiles()
HALF = Fraction(1, 2)
Arc = tuple[Fraction, Fraction] | None


@dataclass(frozen=True, slots=True)
class Speeds:
    """In knots. `clean` and `landing`: the switches with gear and flaps up, and with flaps fully out."""

    vne: int
    vno: int
    vs1: int
    vs0: int
    vfe: int
    clean: dict[str, str]
    landing: dict[str, str]


_UP, _OUT = {"flaps": "up"}, {"flaps": "landing"}
AIRFRAMES = {
    "diamond-da40-ng": Speeds(172, 130, 64, 60, 98, _UP, _OUT),
    "beechcraft-v35b": Speeds(
        196, 167, 64, 52, 123, {**_UP, "gear": "up", "serials": "late"},
        {"flaps": "extended", "gear": "down", "serials": "late"},
    ),
    "beechcraft-a36tc": Speeds(203, 165, 67, 57, 123, {**_UP, "gear": "up"}, {**_OUT, "gear": "down"}),
    "cessna-a185f": Speeds(182, 148, 56, 49, 96, _UP, {"flaps": "extended"}),
}  # fmt: skip
TURBINE = "cessna-208b"  # has VMO in place of VNE and VNO, and no published stall speeds
FOUR = "cessna-150m"  # VS0 is a remark there: white, like green, is not one of the four kinds of statement
each = pytest.mark.parametrize("name", AIRFRAMES)


def asked(rules: RuleSet, airspeed: Fraction, switches: dict[str, str], altitude: int = 0) -> set[str]:
    """The colours that the statements ask for; two at a shared edge. All switches not given are as when parked."""
    readings = {name: quantity.low for name, quantity in rules.quantities.items() if not quantity.is_computed}
    if "altitude" in readings:
        readings["altitude"] = Fraction(altitude)
    positions = {name: switch.positions[0] for name, switch in rules.switches.items()} | switches
    at = Instant(rules, State({**readings, "airspeed": airspeed}, positions))
    ranges = rules.ranges_by_quantity["airspeed"]
    found = {
        "yellow" if one.kind == "precaution" else "green"
        for one in ranges
        if one.kind in {"precaution", "normal"} and at.is_in(one, None)
    }
    return found | {"red" for one in ranges if one.kind == "limit" and at.violates(one, None)}


def arcs(rules: RuleSet, switches: dict[str, str], altitude: int = 0) -> dict[str, Arc]:
    """From where to where each colour is asked for where none is asked for that is worse, to half a knot."""
    worse = {"red": set[str](), "yellow": {"red"}, "green": {"red", "yellow"}}
    values = [HALF * number for number in range(501)]
    colours = {value: asked(rules, value, switches, altitude) for value in values}
    found: dict[str, Arc] = {}
    for colour, over in worse.items():
        # At the upper edge of green the yellow begins: the edge belongs to both.
        inside = [v for v in values if colour in colours[v] and not colours[v] & over]
        shared = [v for v in values if colour in colours[v] and colours[v] & over and v - HALF in inside]
        inside += shared
        assert inside == [v for v in values if inside and inside[0] <= v <= inside[-1]], "an arc is in one piece"
        found[colour] = (inside[0], inside[-1]) if inside else None
    return found


def expected(green: tuple[int, int] | None, yellow: tuple[int, int] | None, red_above: int) -> dict[str, Arc]:
    """Red begins just above its line: half a knot on, in these steps."""
    return {
        "green": None if green is None else (Fraction(green[0]), Fraction(green[1])),
        "yellow": None if yellow is None else (Fraction(yellow[0]), Fraction(yellow[1])),
        "red": (red_above + HALF, Fraction(250)),
    }


def text_of(name: str) -> str:
    return SHIPPED[name].read_text(encoding="utf-8")


# ---- (b)(1) to (b)(4)


@each
def test_red_yellow_and_green(name: str) -> None:
    speeds = AIRFRAMES[name]
    found = arcs(load(SHIPPED[name]).model, speeds.clean)
    assert found == expected((speeds.vs1, speeds.vno), (speeds.vno, speeds.vne), speeds.vne)


@each
def test_white(name: str) -> None:
    """The normal range with the flaps fully out; above it red."""
    speeds = AIRFRAMES[name]
    found = arcs(load(SHIPPED[name]).model, speeds.landing)
    assert (found["green"], found["red"]) == (
        (Fraction(speeds.vs0), Fraction(speeds.vfe)),
        (speeds.vfe + HALF, Fraction(250)),
    )


def test_the_aircraft_of_the_handbook_page() -> None:
    """Read on one page: white 42 to 85 kt, green 47 to 107 kt, yellow 107 to 141 kt, red 141 kt."""
    rules = load(SHIPPED[FOUR]).model
    found = arcs(rules, {"flaps": "up"})
    assert (found["green"], found["yellow"]) == (
        (Fraction(47), Fraction(107)),
        (Fraction(107), Fraction(141)),
    )
    # The profile's sensor ends at 200 kt; what lies beyond is a failed reading.
    assert found["red"] is not None
    assert found["red"][0] == 141 + HALF
    extended = arcs(rules, {"flaps": "extended"})
    assert extended["red"] is not None
    assert extended["red"][0] == 85 + HALF
    assert "white arc, from 42 kt (stall with flaps) up to here" in text_of(FOUR)


def test_no_arcs_where_the_speeds_are_not_published() -> None:
    found = arcs(load(SHIPPED[TURBINE]).model, {"flaps": "up"})
    assert found == expected(None, None, 175)


def test_every_shipped_airframe_is_looked_at() -> None:
    shipped = {name for name, path in SHIPPED.items() if path.parent.name == "airframes"}
    assert shipped == {*AIRFRAMES, FOUR, TURBINE}


@each
def test_the_speeds_are_told_by_their_labels(name: str) -> None:
    speeds = AIRFRAMES[name]
    assert {one.speed.name: one.value for one in told(load(SHIPPED[name]).model, "airspeed")} == {
        "VNE": speeds.vne,
        "VNO": speeds.vno,
        "VS1": speeds.vs1,
        "VS0": speeds.vs0,
        "VFE": speeds.vfe,
    }


@each
def test_arcs_painted_from_the_speeds_are_clean_under_the_rule(name: str) -> None:
    """Painted with the numbers above over the profile, the pack of the rule finds nothing; one knot off it does."""
    speeds = AIRFRAMES[name]
    clean = " and ".join(f"{switch} is {position}" for switch, position in speeds.clean.items() if switch != "serials")
    full = f"flaps is {speeds.landing['flaps']}"

    def found(white: int) -> list[str]:
        bands = f"""rules "painted" version 1
use profile "{name}"
follow "14 CFR 23.1545"
airspeed above {speeds.vne} kt is red
airspeed from {speeds.vno} to {speeds.vne} kt is yellow
when {clean} then airspeed from {speeds.vs1} to {speeds.vno} kt is green
when {full} then airspeed from {white} to {speeds.vfe} kt is white
"""
        findings = loads(bands).check().findings
        return [one.message for one in findings if one.code.name == "wrong-airspeed-arc"]

    assert found(speeds.vs0) == []
    assert found(speeds.vs0 + 1) != []


@each
def test_one_knot_off_is_another_arc(name: str) -> None:
    """Each of the five speeds in turn, changed in the text of the profile, changes an arc."""
    speeds = AIRFRAMES[name]
    rules = load(SHIPPED[name]).model
    before = arcs(rules, speeds.clean), arcs(rules, speeds.landing)
    lines = {
        "never_exceed": speeds.vne,
        "smooth_air": speeds.vno,
        "airspeed_normal": speeds.vs1,
        "flap_limit": speeds.vfe,
        "flap_range": speeds.vs0,
    }
    for label, value in lines.items():
        text, count = re.subn(rf"(?m)^({label}: [^:]*?)\b{value}\b", rf"\g<1>{value - 1}", text_of(name), count=1)
        assert count == 1, label
        changed = loads(text).model
        assert (arcs(changed, speeds.clean), arcs(changed, speeds.landing)) != before, label


# ---- (b)(5)


# No shipped profile is of a twin; the speeds of this one are invented.
VMC, VYSE = 71, 92
TWIN = f"""profile "twin" version 1
source INVENTED common practice
quantity airspeed "Airspeed" from 0 to 250 kt, source INVENTED
switch wheels "Weight on wheels" on_ground, in_air
switch engine_out "An engine has stopped" no, yes
condition single_engine means engine_out is yes and wheels is in_air, source INVENTED
vmc: when single_engine limit airspeed at least {VMC} kt, needs warning, source INVENTED
vyse: when single_engine precaution airspeed below {VYSE} kt, source INVENTED
"""


def test_red_line_at_vmc_and_blue_line_at_vyse() -> None:
    """Red below the one, and from there to the other yellow, while one engine has stopped in flight."""
    rules = loads(TWIN).model
    flying = {"wheels": "in_air"}
    single = {**flying, "engine_out": "yes"}
    for number in range(2 * 110):
        value = HALF * number
        colours = asked(rules, value, single)
        assert ("red" in colours) == (value < VMC), value
        assert ("yellow" in colours) == (value < VYSE), value
        assert not asked(rules, value, flying) & {"red", "yellow"}
        assert not asked(rules, value, {**single, "wheels": "on_ground"}) & {"red", "yellow"}


# ---- (c): speeds that fall with altitude


HIGH = "beechcraft-a36tc"


@pytest.mark.parametrize("altitude", [0, 8000, 16000, 17000, 20000, 22500, 25000, 30000])
def test_vne_and_vno_fall_with_altitude(altitude: int) -> None:
    """203 kt less 4 kt, and 165 kt less 3 kt, for each 1000 ft above 16000 ft."""
    above = Fraction(max(0, altitude - 16000), 1000)
    vne, vno = 203 - 4 * above, 165 - 3 * above
    rules = load(SHIPPED[HIGH]).model
    clean = AIRFRAMES[HIGH].clean
    assert "red" not in asked(rules, vne, clean, altitude)
    assert "red" in asked(rules, vne + Fraction(1, 1000), clean, altitude)
    assert asked(rules, vno, clean, altitude) == {"green", "yellow"}
    assert asked(rules, vno - Fraction(1, 1000), clean, altitude) == {"green"}


@pytest.mark.parametrize(("altitude", "most"), [(0, 152), (20000, 152), (20001, 137), (30000, 137)])
@pytest.mark.parametrize("out", [{"flaps": "approach", "gear": "up"}, {"flaps": "up", "gear": "down"}])
def test_flaps_and_gear_above_20000_ft(altitude: int, most: int, out: dict[str, str]) -> None:
    rules = load(SHIPPED[HIGH]).model
    assert "red" not in asked(rules, Fraction(most), out, altitude)
    assert "red" in asked(rules, most + Fraction(1, 1000), out, altitude)
