"""Every shipped profile: it is clean, every number in it has a source, and the numbers are those published.

Sources of the figures, as far as a profile names them as documents:

- Teledyne Continental IOF-240 Series Maintenance Manual, Table 2-1, page 2-22, Change 2, 1 December 2007;
- Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, page 2-9, Rev. 1, 15 March 2011;
- Cessna 150M Pilot's Operating Handbook, 1976 model, sections 2 and 7.

Each figure below was read in an online reprint of the page named, but for the one marked "from memory". The rest of
each profile is common practice and says so.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.api import Rules, load, profile_sheet
from alertlang.cli.app import app
from alertlang.model.files import shipped_profiles
from alertlang.model.ruleset import Range
from alertlang.units.number import parse_number
from alertlang.units.unit import UNITS, convert

SHIPPED = shipped_profiles()
each = pytest.mark.parametrize("name", SHIPPED)

MM, AFM, POH, ARCS, RECALL = "MM", "AFM", "POH", "ARCS", "RECALL"

# quantity, kind, least, most, unit, source: a limit names what is allowed, a precaution or normal range what is in it.
Figure = tuple[str, str, str | None, str | None, str, str]

PUBLISHED: dict[str, list[Figure]] = {
    "continental-iof-240-b": [
        ("cht", "limit", None, "460", "F", MM),
        ("cht", "normal", "360", "420", "F", MM),  # in cruise
        ("cht", "precaution", None, "240", "F", MM),  # minimum for takeoff
        ("oil_pressure", "normal", "30", "60", "psi", MM),  # with oil at 100 to 240 F
        ("oil_pressure", "limit", None, "100", "psi", MM),  # with cold oil
        ("oil_pressure", "limit", "10", None, "psi", MM),  # at idle, 700 rpm, oil at 200 F or below
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
        ("rpm", "precaution", "2100", "2300", "rpm", AFM),
        ("rpm", "normal", "0", "2100", "rpm", AFM),
        ("load", "normal", "0", "92", "%", AFM),
        ("load", "precaution", "92", "100", "%", AFM),
        ("oil_pressure", "limit", "0.9", None, "bar", AFM),
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
DOCUMENTS = {
    MM: ("document", "Teledyne Continental IOF-240 Series Maintenance Manual, Table 2-1, page 2-22, Change 2"),
    AFM: ("document", "Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, page 2-9, Rev. 1, 15 March 2011"),
    POH: ("document", "Cessna 150M Pilot's Operating Handbook, 1976 model, Section 2"),
    ARCS: ("document", "Cessna 150M Pilot's Operating Handbook, 1976 model, Section 7, airspeed indicator"),
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
    assert profile(name).check().findings == ()


def test_profiles_check_is_clean() -> None:
    said = " ".join(shown("check", "--fail-on", "note").split())
    assert said.count(": 0 errors, 0 warnings, 0 notes;") == len(SHIPPED)


@each
def test_every_number_has_a_source(name: str) -> None:
    model = profile(name).model
    for one in (*model.ranges, *model.quantities.values(), *model.conditions.values(), *model.assumptions):
        assert one.sources, one.span.text


@each
def test_every_source_is_cited(name: str) -> None:
    model = profile(name).model
    cited = {
        s.name for one in (*model.ranges, *model.quantities.values(), *model.conditions.values()) for s in one.sources
    }
    assert {source.name for _, source in model.sources} == cited


@each
def test_it_says_what_it_is_about(name: str) -> None:
    assert profile(name).model.about


def test_list_names_every_profile() -> None:
    listed = [line.split()[:2] for line in shown("list").splitlines()]
    assert listed == [[path.parent.name, name] for name, path in SHIPPED.items()]


# ---- the figures


def figure(one: Range) -> tuple[str, str, Fraction | None, Fraction | None]:
    low, high = {
        "at_most": (None, one.region.first),
        "below": (None, one.region.first),
        "at_least": (one.region.first, None),
        "above": (one.region.first, None),
        "within": (one.region.first, one.region.second),
    }[one.region.kind]
    return one.quantity, one.kind, low, high


def in_own_unit(model: Rules, row: Figure) -> tuple[str, str, Fraction | None, Fraction | None]:
    quantity, kind, low, high, unit, _ = row

    def number(text: str | None) -> Fraction | None:
        return None if text is None else convert(parse_number(text), UNITS[unit], model.model.quantities[quantity].unit)

    return quantity, kind, number(low), number(high)


@each
def test_figures_are_those_published(name: str) -> None:
    """Both ways: every published figure is there with its source, and nothing else cites a document."""
    rules = profile(name)
    stated = {
        (*figure(one), source.name)
        for one in rules.model.ranges
        for source in one.sources
        if source.status != "common practice"
    }
    assert stated == {(*in_own_unit(rules, row), row[5]) for row in PUBLISHED[name]}


@each
def test_documents_are_named_in_full(name: str) -> None:
    for _, source in profile(name).model.sources:
        if source.status == "common practice":
            continue
        status, text = DOCUMENTS[source.name]
        assert source.status == status
        assert (source.text or "").startswith(text)


def test_every_shipped_profile_has_its_figures_here() -> None:
    assert set(PUBLISHED) == set(SHIPPED)


def test_the_windows_of_the_oil_pressure() -> None:
    """The published context of each: warm oil is 100 to 240 F, idle is 700 rpm with oil at 200 F or below."""
    model = profile("continental-iof-240-b").model
    by_label = {one.label: one for one in model.ranges}
    assert "oil_temp from 100 to 240 F" in model.conditions["oil_warm"].span.text
    assert "when running and oil_warm normal" in by_label["oil_pressure_normal"].span.text
    assert "when rpm at least 700 rpm and oil_temp at most 200 F" in by_label["oil_pressure_idle_limit"].span.text


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
    for entry in profile_sheet(profile(name).model).entries:
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
    assert "4 statements: 2 document, 1 second hand, 1 from memory." in said


def test_which_shipped_numbers_are_from_memory() -> None:
    weak = {
        (name, entry.label)
        for name in SHIPPED
        for entry in profile_sheet(profile(name).model).entries
        if entry.status in {"from memory", "second hand"}
    }
    assert weak == {("continental-iof-240-b", "rpm_limit")}
