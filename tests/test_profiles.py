"""Every shipped profile: it is clean, every number in it has a source, and the numbers are those published.

Sources of the figures, as far as a profile names them as documents:

- Teledyne Continental IOF-240 Series Maintenance Manual, Table 2-1, page 2-22, Change 2, 1 December 2007;
- Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, page 2-9, Rev. 1, 15 March 2011;
- Cessna 150M Pilot's Operating Handbook, 1976 model, sections 2 and 7.

Each figure below was read in an online reprint of the page named; those of COPY and AC in a copy, the one of
RECALL nowhere. The rest of each profile is common practice and says so.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from typer.testing import CliRunner

from alertlang.api import Rules, load, profile_sheet
from alertlang.cli.app import app
from alertlang.model.files import shipped_profiles
from alertlang.model.ruleset import Assumption, Condition, ConditionIs, Level, Quantity, Range, Weights
from alertlang.units.number import parse_number
from alertlang.units.unit import UNITS, convert
from tests.helpers.figures.engines import ENGINES, STATUS

SHIPPED = shipped_profiles()
# The figures of other profiles are held by tests of their own.
HELD = [
    name for name, path in SHIPPED.items() if path.parent.name == "engines" or name in {"cessna-150m", "electrical-14v"}
]
held = pytest.mark.parametrize("name", HELD)
each = pytest.mark.parametrize("name", SHIPPED)

MM, AFM, POH, ARCS = "MM", "AFM", "POH", "ARCS"
COPY, AC, RECALL = "COPY", "AC", "RECALL"


class Figure(NamedTuple):
    """A limit names what is allowed, a precaution or normal range what is in it. Times in seconds: how long a limit may
    be broken, and how soon its alert must be up (0 where the limit does not say)."""

    quantity: str
    kind: str
    least: str | None
    most: str | None
    unit: str
    source: str
    except_for: int | str = 0
    within: int = 0


PUBLISHED: dict[str, list[Any]] = {
    **ENGINES,
    "continental-iof-240-b": [
        ("cht", "limit", None, "460", "F", MM),
        ("cht", "normal", "360", "420", "F", MM),  # in cruise
        ("cht", "precaution", None, "240", "F", MM),  # minimum for takeoff
        ("oil_pressure", "normal", "30", "60", "psi", MM),  # with oil at 100 to 240 F
        ("oil_pressure", "limit", None, "100", "psi", MM),  # with cold oil
        ("oil_pressure", "limit", "10", None, "psi", MM),  # at idle, 700 rpm, oil at 200 F or below
        ("oil_pressure", "limit", "10", None, "psi", AC, 0, 30),  # after a start: the time; 10 psi is that of MM
        ("oil_temp", "limit", None, "240", "F", MM),
        ("oil_temp", "precaution", None, "75", "F", MM),  # minimum for takeoff
        ("oil_temp", "normal", "170", "220", "F", MM),  # recommended in cruise
        ("rpm", "limit", None, "2800", "rpm", RECALL),  # at rated power, 125 hp
    ],
    "continental-iof-240-b-installation": [
        ("base_temp", "limit", None, "310", "F", MM),
        ("exhaust_back_pressure", "limit", None, "2.5", "inHg", MM),
    ],
    "austro-ae300": [
        ("rpm", "limit", None, "2300", "rpm", AFM),
        ("rpm", "limit", None, "2100", "rpm", COPY, 300),  # takeoff
        ("rpm", "limit", None, "2300", "rpm", COPY, 20),  # overspeed
        ("rpm", "limit", None, "2500", "rpm", COPY),  # overspeed
        ("rpm", "precaution", "2100", "2300", "rpm", AFM),
        ("rpm", "normal", "0", "2100", "rpm", AFM),
        ("load", "normal", "0", "92", "%", AFM),
        ("load", "precaution", "92", "100", "%", AFM),
        ("oil_pressure", "limit", "0.9", None, "bar", AFM),
        ("oil_pressure", "limit", "0.9", None, "bar", COPY, 0, 3),  # after a start
        ("oil_pressure", "precaution", "0.9", "2.5", "bar", AFM),
        ("oil_pressure", "normal", "2.5", "6.0", "bar", AFM),
        ("oil_pressure", "precaution", "6.0", "6.5", "bar", AFM),
        ("oil_pressure", "limit", None, "6.5", "bar", AFM),
        *(
            figure
            for quantity, numbers in {
                "oil_temp": ("-30", "50", "135", "140", "C"),
                "coolant_temp": ("-30", "60", "95", "105", "C"),
                "gearbox_temp": ("-30", "35", "115", "120", "C"),
                "fuel_temp": ("-25", "-20", "55", "60", "C"),
                "volts": ("24.1", "25", "30", "32", "V"),
            }.items()
            for figure in (
                (quantity, "limit", numbers[0], None, numbers[4], AFM),
                (quantity, "precaution", numbers[0], numbers[1], numbers[4], AFM),
                (quantity, "normal", numbers[1], numbers[2], numbers[4], AFM),
                (quantity, "precaution", numbers[2], numbers[3], numbers[4], AFM),
                (quantity, "limit", None, numbers[3], numbers[4], AFM),
            )
        ),
        ("amps", "normal", "0", "60", "A", AFM),
        ("amps", "precaution", "60", "70", "A", AFM),
        ("amps", "limit", None, "70", "A", AFM),
        ("fuel_quantity", "limit", "1", None, "gal", AFM),
        ("fuel_quantity", "normal", "1", "14", "gal", AFM),
    ],
    "cessna-150m": [
        ("airspeed", "limit", None, "141", "kt", POH),  # never exceed
        ("airspeed", "precaution", "107", "141", "kt", ARCS),
        ("airspeed", "normal", "47", "107", "kt", ARCS),
        ("airspeed", "limit", None, "85", "kt", ARCS),  # flaps extended
    ],
    # No document behind any of it.
    "electrical-14v": [],
}
FIGURES = {name: [Figure(*row) for row in rows] for name, rows in PUBLISHED.items()}
DOCUMENTS = {
    MM: ("document", "Teledyne Continental IOF-240 Series Maintenance Manual, Table 2-1, page 2-22, Change 2"),
    AFM: ("document", "Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, page 2-9, Rev. 1, 15 March 2011"),
    POH: ("document", "Cessna 150M Pilot's Operating Handbook, 1976 model, Section 2"),
    ARCS: ("document", "Cessna 150M Pilot's Operating Handbook, 1976 model, Section 7, airspeed indicator"),
    COPY: ("second hand", "a checklist file that cites the same manual, Doc. 6.01.15-E, Rev. 3"),
    AC: ("second hand", "an online reprint of the FAA's advisory circular text on starting, section 2-17"),
    RECALL: ("from memory", ""),
}


def profile(name: str) -> Rules:
    return load(SHIPPED[name])


def shown(*words: str) -> str:
    result = CliRunner().invoke(app, ["profiles", *words])
    assert result.exit_code == 0, result.output
    return result.stdout


# ---- every profile


@each
def test_file_name_is_header_name(name: str) -> None:
    assert profile(name).name == name == SHIPPED[name].stem
    assert profile(name).model.origin.kind == "profile"


@each
def test_no_finding_at_all(name: str) -> None:
    """But where the arcs of the source are at less than the maximum weight, which must be said."""
    found = [one.code.name for one in profile(name).check().findings]
    assert found == (["arc-weight"] if name == "diamond-da40-ng" else [])


def test_profiles_check_is_clean() -> None:
    said = " ".join(shown("check", "--fail-on", "warning").split())
    assert said.count(": 0 errors, 0 warnings, 0 notes;") == len(SHIPPED) - 1
    assert said.count(": 0 errors, 0 warnings, 1 note;") == 1


@each
def test_every_number_has_a_source(name: str) -> None:
    model = profile(name).model
    stated: list[Range | Quantity | Condition | Assumption] = [
        *model.ranges, *model.quantities.values(), *model.conditions.values(), *model.assumptions,
    ]  # fmt: skip
    for one in stated:
        # A sum of readings has no number of its own.
        assert one.sources or (one.span.text.startswith("let ") and not re.search(r"\b\d", one.span.text)), (
            one.span.text
        )


@each
def test_every_source_is_cited(name: str) -> None:
    model = profile(name).model
    statements: list[Range | Quantity | Condition | Weights] = [
        *model.ranges, *model.quantities.values(), *model.conditions.values(), *model.weights,
    ]  # fmt: skip
    cited = {s.name for one in statements for s in one.sources}
    assert {source.name for _, source in model.sources} == cited


@each
def test_it_says_what_it_is_about(name: str) -> None:
    assert profile(name).model.about


def test_list_names_every_profile() -> None:
    lines = shown("list").split("\n\n")[0].splitlines()
    # What is set in says more of the one above.
    listed = [line.split()[:2] for line in lines if not line.startswith(" ")]
    assert listed == [[path.parent.name, name] for name, path in SHIPPED.items()]


def test_the_readme_counts_them() -> None:
    """An engine and what its installation adds are one."""
    names: dict[str, list[str]] = {path.parent.name: [] for path in SHIPPED.values()}
    for name, path in SHIPPED.items():
        names[path.parent.name].append(name)
    engines = [name for name in names["engines"] if not name.endswith("-installation")]
    words = ("six", "seven", "sixteen", "seventeen", "eighteen", "nineteen")
    count = dict(zip((6, 7, 16, 17, 18, 19), words, strict=True))
    said = f"{count[len(engines)]} engines, {count[len(names['airframes'])]} airframes"
    root = Path(__file__).parents[1]
    assert said in (root / "README.md").read_text(encoding="utf-8")
    assert said in (root / "CHANGELOG.md").read_text(encoding="utf-8")


def test_list_counts_how_far_the_numbers_can_be_trusted() -> None:
    line = next(one for one in shown("list").splitlines() if "continental-o-200-a " in one)
    # 2750 rpm, 240 F, 10 and 100 psi; 10 psi and 30 s; from memory 2000, 2750, 525, 225, 100, 225, 30 and 60.
    assert line.split()[2:6] == ["4d", "2s", "24c", "8m"]


def test_profiles_beside_the_current_folder_are_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "profiles").mkdir()
    (tmp_path / "profiles" / "weak.profile").write_text(WEAK, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert shown("show", "weak") == shown("show", "profiles/weak.profile")
    assert 'profile "weak"' in shown("check", "weak", "--fail-on", "never")


# ---- the figures


Stated = tuple[str, str, Fraction | None, Fraction | None, Fraction, int]


def stated(one: Range) -> Stated:
    low, high = {
        "at_most": (None, one.region.first),
        "below": (None, one.region.first),
        "at_least": (one.region.first, None),
        "above": (one.region.first, None),
        "within": (one.region.first, one.region.second),
    }[one.region.kind]
    assert isinstance(low, Fraction | None)
    assert isinstance(high, Fraction | None)
    within = one.allowed if one.allowed_by == "`within`" else 0
    return one.quantity, one.kind, low, high, Fraction(one.except_for or 0), int(within)


def in_own_unit(model: Rules, row: Figure) -> Stated:
    def number(text: str | None) -> Fraction | None:
        unit = model.model.quantities[row.quantity].unit
        return None if text is None else convert(parse_number(text), UNITS[row.unit], unit)

    return row.quantity, row.kind, number(row.least), number(row.most), Fraction(row.except_for), row.within


@held
def test_figures_are_those_published(name: str) -> None:
    """Both ways: every published figure is there with its source, and nothing else cites a document."""
    rules = profile(name)
    found = {
        (*stated(one), source.name)
        for one in rules.model.ranges
        for source in one.sources
        if source.status != "common practice"
    }
    assert found == {(*in_own_unit(rules, row), row.source) for row in FIGURES[name]}


@held
def test_documents_are_named_in_full(name: str) -> None:
    for _, source in profile(name).model.sources:
        if source.status == "common practice":
            continue
        status, text = STATUS.get(name, {}).get(source.name) or DOCUMENTS[source.name]
        assert source.status == status
        assert (source.text or "").startswith(text)


def test_every_shipped_profile_has_its_figures_here() -> None:
    assert set(PUBLISHED) == set(HELD)


def test_the_windows_of_the_oil_pressure() -> None:
    """The published context of each: warm oil is 100 to 240 F, idle is 700 rpm with oil at 200 F or below."""
    model = profile("continental-iof-240-b").model
    by_label = {one.label: one for one in model.ranges}
    assert "oil_temp from 100 to 240 F" in model.conditions["oil_warm"].span.text
    assert "when running and oil_warm normal" in by_label["oil_pressure_normal"].span.text
    assert "when rpm at least 700 rpm and oil_temp at most 200 F" in by_label["oil_pressure_idle_limit"].span.text


def test_a_second_hand_time_makes_no_published_marking_weaker() -> None:
    """Red is marked above 2300 rpm and below 0.9 bar without a time; a copy gives 20 s and 3 s."""
    by_label = {one.label: one for one in profile("austro-ae300").model.ranges}
    assert (by_label["rpm_limit"].needs, by_label["rpm_limit"].except_for) == (Level.WARNING, None)
    assert by_label["oil_pressure_min"].except_for is None
    when = by_label["oil_pressure_min"].when
    assert isinstance(when, ConditionIs)
    assert when.name == "running"
    assert by_label["oil_pressure_min"].allowed < by_label["oil_pressure_start"].allowed == 3
    assert by_label["oil_pressure_start"].needs is Level.WARNING


def test_flap_speed_holds_with_flaps_out_only() -> None:
    by_label = {one.label: one for one in profile("cessna-150m").model.ranges}
    assert by_label["flap_limit"].when is not None
    assert by_label["never_exceed"].when is None


# ---- weak numbers are marked


@each
def test_weak_numbers_are_marked(name: str) -> None:
    """In `profiles show`: a letter before the statement, and words after it."""
    said = shown("show", name)
    mark = {"document": " ", "common practice": "c", "second hand": "2", "from memory": "m", None: " "}
    words = {"common practice": "common practice, no source", "second hand": "second hand, to be checked",
             "from memory": "from memory, to be confirmed"}  # fmt: skip
    statements = said.split("\nStatements\n")[1]
    for entry in profile_sheet(profile(name)).entries:
        first = entry.text.split(",")[0][:40]
        at = re.search(rf"^(.) {re.escape(first)}", statements, re.MULTILINE)
        assert at is not None, first
        assert at[1] == mark[entry.status], first
        if entry.status in words:
            following = " ".join(statements[at.end() :].split("\n      from: ")[1:][: len(entry.sources)])
            assert words[entry.status] in " ".join(following.split())


WEAK = """profile "weak" version 1
source FORUM second hand "a copy of a manual"
source RECALL from memory
source SHEET "limits sheet"
quantity rpm from 0 to 3500 rpm, source SHEET
fast: limit rpm at most 2800 rpm, source SHEET, source RECALL
slow: limit rpm at least 500 rpm, source SHEET, source FORUM
sure: normal rpm from 600 to 2500 rpm, source SHEET
"""


def test_the_weakest_source_decides(tmp_path: Path) -> None:
    path = tmp_path / "weak.profile"
    path.write_text(WEAK, encoding="utf-8")
    said = shown("show", str(path))
    assert "\nm fast: " in said
    assert "\n2 slow: " in said
    assert "\n  sure: " in said
    assert "from memory, to be confirmed" in said
    assert "second hand, to be checked against the document: a copy of a manual" in said.replace("\n            ", " ")
    assert "6 numbers: 4 document, 1 second hand, 1 from memory." in said


def test_which_shipped_numbers_are_from_memory() -> None:
    """In the first two engines, one by one; in the others by their figures, see below."""
    weak = {
        (name, entry.label)
        for name in HELD
        if name not in ENGINES
        for entry in profile_sheet(profile(name)).entries
        if entry.status in {"from memory", "second hand"}
    }
    assert weak == {
        ("continental-iof-240-b", "rpm_limit"),
        ("continental-iof-240-b", "oil_pressure_start"),
        ("austro-ae300", "rpm_takeoff_time"),
        ("austro-ae300", "rpm_overspeed"),
        ("austro-ae300", "rpm_max"),
        ("austro-ae300", "oil_pressure_start"),
    }


@pytest.mark.parametrize("name", ENGINES)
def test_a_figure_that_was_not_read_is_shipped_so(name: str) -> None:
    """Every figure second hand or from memory in the table: the sheet gives its statement no better a status."""
    model = profile(name).model
    status = {entry.label: entry.status for entry in profile_sheet(profile(name)).entries}
    weak = {
        (*in_own_unit(profile(name), row), words)
        for row in FIGURES[name]
        if (words := (STATUS[name].get(row.source) or DOCUMENTS[row.source])[0]) != "document"
    }
    shipped = {
        (*stated(one), source.status)
        for one in model.ranges
        for source in one.sources
        if source.status in {"second hand", "from memory"} and status[one.label] in {"second hand", "from memory"}
    }
    assert shipped == weak


# ---- what is derived, and times


DERIVED = """profile "derived" version 1
source COPY second hand "a copy of a manual"
source TRADE common practice
respond within 3 s
quantity airspeed from 0 to 250 kt, step 1 kt, deadband 2 kt, source TRADE
quantity altitude from 0 to 30000 ft, source TRADE
quantity cht[4] from 0 to 600 F, source TRADE
let uneven = spread of cht
let twice = uneven * 2
let cooling = fall of cht per min,   # as fast as a probe can tell
  from 0 to 400 F
curve top over altitude: 16000 ft -> 203 kt,
  30000 ft -> 147 kt, otherwise 147 kt
fast: limit airspeed at most top except for 20 s, needs warning within 5 s, source COPY "less #4"  # 4 kt
odd: limit twice at most 200 F, source TRADE
"""


def test_derived_values_and_times_are_shown(tmp_path: Path) -> None:
    path = tmp_path / "derived.profile"
    path.write_text(DERIVED, encoding="utf-8")
    said = shown("show", str(path))
    together = " ".join(said.split())
    assert "\n2 curve top over altitude:" in said
    assert (
        "curve top over altitude: 16000 ft -> 203 kt, 30000 ft -> 147 kt, otherwise 147 kt from: as fast: " in together
    )
    assert "\n2 fast: limit airspeed at most top except for 20 s, needs warning within 5 s" in said
    assert 'source COPY "less #4" from: second hand' in together
    assert "step 1 kt, deadband 2 kt, source TRADE from:" in together
    # What nothing reads has no source at all, and is not called good or bad.
    assert "\n  let cooling = fall of cht per min, from 0 to 400 F\n" in said
    assert "are due within 3 s (`respond within`)." in together


def test_what_a_limit_reads_by_way_of_another_value_has_its_source(tmp_path: Path) -> None:
    path = tmp_path / "derived.profile"
    path.write_text(DERIVED, encoding="utf-8")
    entries = {entry.label: entry for entry in profile_sheet(load(path)).entries}
    assert entries["uneven"].sources == entries["twice"].sources == ("as odd: common practice, no source",)
    assert (entries["uneven"].kind, entries["top"].kind, entries["cht"].kind) == ("let", "curve", "quantity")
    assert entries["top"].status == "second hand"
    assert entries["cooling"].status is None


def test_the_time_that_nobody_states_is_called_common_practice() -> None:
    assert "Where a limit says nothing else, red and its alert are due within 2 s (common practice, no source)." in (
        " ".join(shown("show", "electrical-14v").split())
    )


# ---- in which states


CONTEXTS = {
    "vedeneyev-m-14p": {
        "oil_pressure_glide": "running and throttle is idle and phase is glide",
        "oil_pressure_min": "running and (throttle is open or phase is not glide)",
        "oil_pressure_fall": "running and (throttle is open or phase is not glide)",
        "cht_glide": "phase is glide",
        "cht_takeoff": "phase is takeoff",
        "oil_temp_takeoff": "phase is takeoff",
        "cht_run_up": "phase is run_up",
    },
    "pratt-whitney-canada-pt6a-34": {
        "torque_limit": "prop_rpm above 2000 rpm and propeller is not reverse",
        "torque_reverse": "propeller is reverse",
        "itt_idle": "running and ng at most 55.5 %",
        "oil_pressure_window": "ng above 72 % and oil_temp from 60 to 70 C",
    },
    "pratt-whitney-canada-pt6a-68": {
        "oil_pressure_idle_ordinary": "at_idle and manoeuvres is not aerobatics",
        "oil_pressure_amber": "running and not at_idle",
        "oil_temp_flight": "aircraft is flying",
        "itt_start_time": "not running",
    },
    "pratt-whitney-canada-pt6a-67": {"torque_low_oil": "running and oil_pressure below 90 psi"},
    "pratt-whitney-canada-pt6a-21": {"ng_reverse": "propeller is reverse", "oil_pressure_low": "running"},
    "pratt-whitney-canada-pt6a-114a": {"prop_reverse": "propeller is reverse"},
    "technify-tae-125-02-99": {"oil_pressure_flight": "running and (aircraft is flying or rpm above 1400 rpm)"},
}


@pytest.mark.parametrize(("name", "label"), [(name, label) for name, some in CONTEXTS.items() for label in some])
def test_a_limit_holds_where_its_document_says(name: str, label: str) -> None:
    [one] = [one for one in profile(name).model.ranges if one.label == label]
    written = " ".join(one.span.text.split())
    found = re.search(rf"\bwhen (.*?)(?: then)? {one.kind} {one.quantity}\b", written)
    assert found is not None
    assert found[1] == CONTEXTS[name][label]
