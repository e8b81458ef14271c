"""The shipped airframes, electrical and fuel systems and displays: clean, sourced, and with the figures published.

Sources of the figures, each read in a checklist file that cites the document (so second hand throughout):

- Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, Rev. 3;
- V35, V35A, V35B Pilot's Operating Handbook, 3400 lb; A36TC, P/N 36-590003-3, 3650 lb;
- A185F owner's manual, 1975, 3350 lb; 208B Pilot's Operating Handbook.

The systems and the displays are common practice and say so.
"""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise, product
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.api import Rules, load, profile_sheet
from alertlang.cli.app import app
from alertlang.meaning.instant import Instant, State
from alertlang.model.display import load_display
from alertlang.model.files import shipped_displays, shipped_profiles
from alertlang.model.labels import qualified
from alertlang.model.load import parse_ruleset
from alertlang.model.ruleset import Colour, Condition, Moving, Quantity, Range

SHIPPED = shipped_profiles()


def folder(name: str) -> list[str]:
    return [profile for profile, path in SHIPPED.items() if path.parent.name == name]


AIRFRAMES, SYSTEMS, ENGINES = folder("airframes"), folder("systems"), folder("engines")
ELECTRICAL = [name for name in SYSTEMS if name.startswith("electrical")]
FUEL = [name for name in SYSTEMS if name.startswith("fuel")]
DISPLAYS = shipped_displays()
each = pytest.mark.parametrize("name", [*AIRFRAMES, *SYSTEMS])

# By label: the kind, the lower and the upper end in knots or the curve that is there, and the `when`.
Row = tuple[str, str | int | None, str | int | None, str]
LIGHT = "air is rough and (weight at most 1080 kg or weight failed)"
MEDIUM = "air is rough and weight above 1080 kg and weight at most 1180 kg"
HEAVY = "air is rough and weight above 1180 kg"
LOW, HIGH = "altitude at most 16000 ft", "altitude above 16000 ft or altitude failed"
ABOVE_20, ABOVE_24 = "(altitude above 20000 ft or altitude failed)", "(altitude above 24000 ft or altitude failed)"
CLEAN = "flaps is up and gear is up"
PUBLISHED: dict[str, dict[str, Row]] = {
    "diamond-da40-ng": {
        "never_exceed": ("limit", None, 172, ""),
        "smooth_air": ("precaution", 130, 172, ""),
        "airspeed_normal": ("normal", 64, 130, "flaps is up and air is smooth"),  # VS1 at 1200 kg
        "flaps_takeoff": ("limit", None, 110, "flaps is takeoff"),
        "flap_limit": ("limit", None, 98, "flaps is landing"),
        "flap_range": ("normal", 60, 98, "flaps is landing"),  # VS0 at 1310 kg; 59 kt at 1200 kg
        "manoeuvring_light": ("precaution", 101, 130, LIGHT),
        "manoeuvring_medium": ("precaution", 108, 130, MEDIUM),
        "manoeuvring_heavy": ("precaution", 113, 130, HEAVY),
        "rough_normal_light": ("normal", 64, 101, f"flaps is up and {LIGHT}"),
        "rough_normal_medium": ("normal", 64, 108, f"flaps is up and {MEDIUM}"),
        "rough_normal_heavy": ("normal", 64, 113, f"flaps is up and {HEAVY}"),
    },
    "beechcraft-v35b": {
        "never_exceed": ("limit", None, 196, ""),
        "smooth_air": ("precaution", 167, 196, ""),
        "airspeed_normal": ("normal", 64, 167, f"{CLEAN} and air is smooth"),
        "flap_limit": ("limit", None, 123, "flaps is extended"),
        "early_flaps": ("limit", None, 117, "flaps is extended and serials is early"),
        "flap_range": ("normal", 52, 123, "flaps is extended"),
        "gear_limit": ("limit", None, 154, "gear is not up"),
        "early_gear": ("limit", None, 145, "gear is not up and serials is early"),
        "manoeuvring": ("precaution", 134, 167, "air is rough"),
        "rough_normal": ("normal", 64, 134, f"{CLEAN} and air is rough"),
    },
    "beechcraft-a36tc": {
        "never_exceed": ("limit", None, 203, ""),
        "never_exceed_high": ("limit", None, "vne_at_altitude", ""),
        "smooth_air": ("precaution", 165, 203, LOW),
        "smooth_air_high": ("precaution", "vno_at_altitude", "vne_at_altitude", HIGH),
        "airspeed_normal": ("normal", 67, 165, f"{CLEAN} and air is smooth and {LOW}"),
        "normal_high": ("normal", 67, "vno_at_altitude", f"{CLEAN} and air is smooth and ({HIGH})"),
        "ceiling": ("limit", None, 25000, ""),  # ft
        "flaps_approach": ("limit", None, 152, "flaps is approach"),
        "flaps_approach_high": ("limit", None, 137, f"flaps is approach and {ABOVE_20}"),
        "flap_limit": ("limit", None, 123, "flaps is landing"),
        "flap_range": ("normal", 57, 123, "flaps is landing"),
        "gear_limit": ("limit", None, 152, "gear is not up"),
        "gear_limit_high": ("limit", None, 137, f"gear is not up and {ABOVE_20}"),
        "manoeuvring": ("precaution", 139, 165, "air is rough"),
        "rough_normal": ("normal", 67, 139, f"{CLEAN} and air is rough and altitude at most 24000 ft"),
        "rough_normal_high": ("normal", 67, 123, f"{CLEAN} and air is rough and {ABOVE_24}"),
    },
    "cessna-a185f": {
        "never_exceed": ("limit", None, 182, ""),
        "smooth_air": ("precaution", 148, 182, ""),
        "airspeed_normal": ("normal", 56, 148, "flaps is up and air is smooth"),
        "flap_limit": ("limit", None, 96, "flaps is extended"),
        "flap_range": ("normal", 49, 96, "flaps is extended"),
        "manoeuvring": ("precaution", 117, 148, "air is rough"),
        "rough_normal": ("normal", 56, 117, "flaps is up and air is rough"),
    },
    "cessna-208b": {
        "vmo": ("limit", None, 175, ""),
        "flaps_to_10": ("limit", None, 175, "flaps is to_10"),
        "flaps_to_20": ("limit", None, 150, "flaps is to_20"),
        "flap_limit": ("limit", None, 125, "flaps is full"),
        "manoeuvring": ("precaution", "manoeuvring_speed", 175, "air is rough"),
    },
    "cessna-150m": {
        "never_exceed": ("limit", None, 141, ""),
        "smooth_air": ("precaution", 107, 141, ""),
        "flap_limit": ("limit", None, 85, "flaps is not up"),
        "airspeed_normal": ("normal", 47, 107, "flaps is up"),
    },
}
# What a curve gives at a value of what it is over.
CURVES = [
    ("beechcraft-a36tc", "vne_at_altitude", "altitude", {0: 203, 16000: 203, 17000: 199, 26000: 163, 30000: 147}),
    ("beechcraft-a36tc", "vno_at_altitude", "altitude", {0: 165, 16000: 165, 17000: 162, 26000: 135, 30000: 123}),
    ("cessna-208b", "manoeuvring_speed", "weight", {4000: 100, 5000: 112, 6250: 125, 7500: 137, 8750: 148, 9500: 148}),
]


def profile(name: str) -> Rules:
    return load(SHIPPED[name])


def row(one: Range) -> Row:
    """A range as the table has it; its `when` as it is written."""
    low, high = {
        "at_most": (None, one.region.first),
        "below": (None, one.region.first),
        "at_least": (one.region.first, None),
        "within": (one.region.first, one.region.second),
    }[one.region.kind]

    def end(bound: object) -> str | int | None:
        if bound is None or isinstance(bound, Moving):
            return None if bound is None else bound.quantity
        return int(bound) if isinstance(bound, Fraction) and bound.denominator == 1 else str(bound)

    written = " ".join(one.span.text.split())
    when = re.search(rf"\bwhen (.*?)(?: then)? {one.kind} airspeed", written)
    return one.kind, end(low), end(high), "" if when is None else when[1]


# ---- airframes


@pytest.mark.parametrize("name", PUBLISHED)
def test_speeds_are_those_published(name: str) -> None:
    """Both ways: every figure is there, under its label, and nothing else is."""
    assert {one.label: row(one) for one in profile(name).model.ranges} == PUBLISHED[name]


def test_every_airframe_has_its_figures_here() -> None:
    assert set(PUBLISHED) == set(AIRFRAMES)


@pytest.mark.parametrize(("name", "curve", "over", "points"), CURVES)
def test_curves_give_the_published_speeds(name: str, curve: str, over: str, points: dict[int, int]) -> None:
    model = profile(name).model
    for at, speed in points.items():
        given = {quantity.name: quantity.low for quantity in model.quantities.values() if not quantity.is_computed}
        instant = Instant(model, State({**given, over: Fraction(at)}, {}))
        assert instant.reading(curve, None) == speed, at


@pytest.mark.parametrize(("name", "curve", "over", "points"), [one for one in CURVES if one[2] == "weight"])
def test_a_straight_line_over_weight_is_on_the_safe_side(
    name: str, curve: str, over: str, points: dict[int, int]
) -> None:
    """Manoeuvring speed goes with the square root of weight: squared, the line lies below that of the root."""
    model = profile(name).model
    given = {quantity.name: quantity.low for quantity in model.quantities.values() if not quantity.is_computed}
    for (light, slow), (heavy, fast) in pairwise(points.items()):
        for at in range(light, heavy, 50):
            speed = Instant(model, State({**given, over: Fraction(at)}, {})).reading(curve, None)
            square = slow**2 + Fraction(at - light, heavy - light) * (fast**2 - slow**2)
            assert speed**2 <= square


def test_no_manoeuvring_speed_is_carried_down_to_a_lower_weight() -> None:
    model = profile("cessna-208b").model
    given = {quantity.name: quantity.low for quantity in model.quantities.values() if not quantity.is_computed}
    speeds = [
        Instant(model, State({**given, "weight": Fraction(at)}, {})).reading("manoeuvring_speed", None)
        for at in range(4000, 8751, 50)
    ]
    assert all(lower < higher for lower, higher in pairwise(speeds))


def test_everything_but_one_handbook_is_second_hand() -> None:
    """A figure nobody read in the document itself is marked, whatever stands beside it."""
    for name in AIRFRAMES:
        for one in profile(name).model.ranges:
            statuses = {source.status for source in one.sources}
            if name == "cessna-150m":
                assert statuses == {"document"}
            else:
                assert "second hand" in statuses
                assert "document" not in statuses


def test_what_the_copy_does_not_say_is_from_memory() -> None:
    model = profile("cessna-208b").model
    unsure = {one.label for one in model.ranges if "from memory" in {source.status for source in one.sources}}
    assert unsure == {"manoeuvring"}
    assert {s.status for s in model.quantities["manoeuvring_speed"].sources} == {
        "second hand",
        "from memory",
        "common practice",
    }
    for name in set(AIRFRAMES) - {"cessna-208b"}:
        assert not {s for _, s in profile(name).model.sources if s.status == "from memory"}, name


# ---- all


@each
def test_no_finding_at_all(name: str) -> None:
    """But where the arcs of the source are at less than the maximum weight, which must be said."""
    found = [one.code.name for one in profile(name).check().findings]
    assert found == (["arc-weight"] if name == "diamond-da40-ng" else [])


@each
def test_every_number_has_a_source_and_a_status(name: str) -> None:
    model = profile(name).model
    measured = (q for q in model.quantities.values() if q.derived is None)
    stated: list[Range | Condition | Quantity] = [*model.ranges, *model.conditions.values(), *measured]
    assert stated
    for one in stated:
        assert one.sources, one.span.text
        assert all(source.status for source in one.sources)
    for entry in profile_sheet(Rules(model)).entries:
        assert entry.status is not None or entry.kind in {"switch", "let", "engine"}, entry.text


@pytest.mark.parametrize("name", SYSTEMS)
def test_systems_are_common_practice(name: str) -> None:
    """No document stands behind any number, and the profile says so where it says what it is."""
    model = profile(name).model
    assert {source.status for _, source in model.sources} == {"common practice"}
    assert model.about[0].endswith("no number here has a source")


# ---- displays


def test_three_displays_are_shipped() -> None:
    assert set(DISPLAYS) == {"small-box", "medium-box", "large-box"}


@pytest.mark.parametrize("name", DISPLAYS)
def test_a_display_says_everything_and_says_that_it_has_no_source(name: str) -> None:
    loaded = load_display(DISPLAYS[name])
    assert loaded.findings == ()
    box = loaded.display
    assert box is not None
    assert box.name == name
    said = (box.bands_per_quantity, box.contexts, box.timers, box.text_length, box.scan, box.colours)
    assert None not in said
    assert {Colour.RED, Colour.YELLOW, Colour.GREEN, Colour.WHITE} <= set(box.colours)
    assert {source.status for source in box.sources} == {"common practice"}
    assert "no number has a source" in box.about[0]


def test_a_larger_display_holds_what_a_smaller_one_does() -> None:
    boxes = [load_display(DISPLAYS[f"{size}-box"]).display for size in ("small", "medium", "large")]
    for smaller, larger in pairwise(boxes):
        assert smaller is not None
        assert larger is not None
        assert set(smaller.colours) <= set(larger.colours)
        for field in ("bands_per_quantity", "contexts", "timers", "text_length"):
            assert getattr(smaller, field) < getattr(larger, field)
        assert smaller.scan is not None
        assert larger.scan is not None
        assert larger.scan < smaller.scan


@pytest.mark.parametrize("name", DISPLAYS)
def test_check_reads_a_display(name: str) -> None:
    result = CliRunner().invoke(app, ["check", str(DISPLAYS[name])])
    assert result.exit_code == 0, result.output
    assert f'display "{name}" version 1: read' in result.stdout


def test_no_file_uses_a_shipped_display() -> None:
    text = b'rules "x" version 1\nuse profile "small-box"\n'
    [found] = parse_ruleset(text, shown="x.alert", folder=Path("/nowhere")).findings
    assert found.message == "there is no small-box.profile"
    assert found.advice[0] == "small-box.display is a display, and no file uses a display"


# ---- together


def together(*names: str, more: str = "", folder: Path = Path()) -> list[str]:
    """What is said of a rule set that uses these profiles."""
    text = "\n".join(['rules "x" version 1', *(f'use profile "{name}"' for name in names), more])
    loaded = parse_ruleset(text.encode(), shown="x.alert", folder=folder)
    assert (loaded.ruleset is None) == any(one.severity.name == "ERROR" for one in loaded.findings)
    return [one.message for one in loaded.findings]


def bus(engine: str) -> list[str]:
    """The electrical systems that an engine profile fits: the one with its bus voltage, or any if it has none."""
    volts = profile(engine).model.quantities.get("volts")
    if volts is None:
        return ELECTRICAL
    return ["electrical-28v" if volts.high > 20 else "electrical-14v"]


@pytest.mark.alike
@pytest.mark.parametrize("engine", ENGINES)
def test_any_engine_any_airframe_one_bus_one_fuel_system(engine: str, share: int) -> None:
    """They load together without a word: no name means two things, and what two of them declare agrees."""
    for airframe, electrical, fuel in list(product(AIRFRAMES, bus(engine), FUEL))[:: 2 * share - 1]:
        assert together(engine, airframe, electrical, fuel, folder=Path("/nowhere")) == [], (airframe, electrical, fuel)


def test_two_buses_do_not_fit() -> None:
    """The range of one quantity cannot be two."""
    assert together("electrical-14v", "electrical-28v") != []


# ---- one label in two profiles


def _write(folder: Path, name: str, text: str) -> None:
    (folder / f"{name}.profile").write_text(
        f'profile "{name}" version 1\nsource T common practice\nquantity {text}, source T\n', encoding="utf-8"
    )


@pytest.fixture
def two(tmp_path: Path) -> Path:
    _write(tmp_path, "bus-28v", "volts from 0 to 40 V, source T\nlow: limit volts at least 24 V")
    _write(tmp_path, "2nd.oil", "oil from 0 to 100 psi, source T\nlow: limit oil at least 10 psi")
    _write(tmp_path, "alone", "rpm from 0 to 3500 rpm, source T\nfast: limit rpm at most 2700 rpm")
    return tmp_path


def labels(folder: Path, *names: str, more: str = "") -> set[str]:
    text = "\n".join(['rules "x" version 1', *(f'use profile "{name}"' for name in names), more])
    loaded = parse_ruleset(text.encode(), shown="x.alert", folder=folder)
    assert loaded.ruleset is not None, loaded.findings
    return {one.label for one in loaded.ruleset.ranges}


def test_a_label_of_two_profiles_has_the_name_of_its_profile_before_it(two: Path) -> None:
    found = {"bus_28v_low", "profile_2nd_oil_low", "fast"}
    assert labels(two, "bus-28v", "2nd.oil", "alone") == labels(two, "2nd.oil", "alone", "bus-28v") == found
    assert (qualified("low", "bus-28v"), qualified("low", "2nd.oil")) == ("bus_28v_low", "profile_2nd_oil_low")
    assert labels(two, "bus-28v", "alone") == {"low", "fast"}


def test_the_plain_label_names_neither_of_them(two: Path) -> None:
    """An exception written for the one must not cover the other because a second profile came in."""
    accept = 'accept unguarded-limit on low because "seen"'
    assert together("bus-28v", more=accept, folder=two) == []
    assert together("bus-28v", "2nd.oil", more=accept, folder=two) == ["nothing is called low"]
    longer = 'accept unguarded-limit on bus_28v_low because "seen"'
    assert together("bus-28v", "2nd.oil", more=longer, folder=two) == []


def test_a_label_twice_in_one_file_stays_a_mistake(two: Path) -> None:
    path = two / "bus-28v.profile"
    path.write_text(path.read_text(encoding="utf-8") + "low: limit volts at least 23 V, source T\n", encoding="utf-8")
    for names in (["bus-28v"], ["bus-28v", "2nd.oil"]):
        [said] = together(*names, folder=two)
        assert said.startswith("the label low is taken already, in ")
    _write(two, "bus_28v", "amps from 0 to 40 A, source T\nlow: limit amps at most 24 A")
    path.unlink()
    _write(two, "bus-28v", "volts from 0 to 40 V, source T\nlow: limit volts at least 24 V")
    # Two names that come to the same words: nothing is guessed.
    [said] = together("bus-28v", "bus_28v", folder=two)
    assert said.startswith("the label bus_28v_low is taken already, in ")


def test_a_label_of_rules_and_of_a_profile_stays_a_mistake(two: Path) -> None:
    [said] = together("bus-28v", more="low: volts below 24 V is red", folder=two)
    assert said.startswith("the label low is taken already, in ")
