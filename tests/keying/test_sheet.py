"""The installer's sheet: every line on the page and on paper, edges in the unit of the display, the same each time."""

from __future__ import annotations

import io
import re
import time
from fractions import Fraction
from pathlib import Path

import pypdf
import pytest
from typer.testing import CliRunner

from alertlang.api import load, loads
from alertlang.cli.app import app
from alertlang.documents.html import page
from alertlang.documents.sheet_paper import WARNING, sheet_data
from alertlang.documents.typeset import PAPERS, typeset
from alertlang.keying.columns import COLUMNS, Sheet, SheetLine
from alertlang.keying.csv_file import read_record, sheet_csv
from alertlang.keying.lines import sheet_of
from alertlang.library.identity import content_digest
from alertlang.model import ruleset as m
from alertlang.output.text import CAUTION
from alertlang.text.resources import examples_dir
from tests.helpers.browser import dom, printed
from tests.keying.sheets import CROWDED, PANEL

BRAMBLE = examples_dir() / "02-bramble" / "bramble.alert"
TEXTS = {"bramble": BRAMBLE.read_text(encoding="utf-8"), "panel": PANEL, "crowded": CROWDED}


def rules(name: str) -> m.RuleSet:
    return loads(TEXTS[name], folder=BRAMBLE.parent).model


def sheet(ruleset: m.RuleSet) -> Sheet:
    return sheet_of(ruleset, digest=content_digest(ruleset))


def line_of(name: str, label: str) -> SheetLine:
    (found,) = [one for one in sheet(rules(name)).lines if one.get("name") == label]
    return found


def html(ruleset: m.RuleSet) -> str:
    return page("sheet.html.j2", sheet_data(ruleset, sheet(ruleset), tool="alertlang test"))


def test_gauges_stand_in_the_order_of_the_panel_and_every_statement_has_its_line() -> None:
    ruleset = rules("panel")
    lines = sheet(ruleset).lines
    assert [one.number for one in lines] == list(range(1, len(lines) + 1))
    assert [one.get("gauge") for one in lines if one.what == "gauge"] == ["cht", "apart", "oil_temp", "rpm"]
    assert [one.get("gauge") for one in lines if one.what in {"sensor", "computed"}][-1] == "redline"
    labels = {one.get("name") for one in lines if one.what in {"band", "alert"}}
    assert labels == {rule.label for rule in ruleset.rules}
    assert [one.get("text") for one in lines if one.what == "lamp"] == ["MASTER WARNING", "CHT"]


def test_what_only_claims_and_limits_read_is_not_keyed_in() -> None:
    names = {one.get("name") for one in sheet(rules("bramble")).lines}
    assert "cold" in names
    assert not names & {"in_cruise", "parked", "warm"}


def test_an_edge_that_is_no_step_of_the_display_is_rounded_towards_the_warning_and_flagged() -> None:
    # 75 F is 23.888... C, 225 F is 107.222... C.
    assert Fraction(75 - 32) * 5 / 9 < 24
    cold, normal, hot = (line_of("panel", name) for name in ("oil_temp_1", "oil_temp_2", "hot"))
    assert (cold.get("to"), cold.get("exact_to"), cold.get("unit")) == ("24", "75 F, rounded up", "C")
    assert (normal.get("from"), normal.get("to")) == ("24", "107")
    assert (hot.get("from"), hot.get("exact_from"), hot.get("from_included")) == ("107", "225 F, rounded down", "no")
    assert "ROUNDED" in hot.note
    # Held exactly: 101 C on a sensor in F.
    assert (line_of("panel", "cht_1").get("to"), line_of("panel", "cht_1").get("exact_to")) == ("101", "")
    outside = line_of("panel", "oil_temp_3")
    assert (outside.get("where"), outside.get("from"), outside.get("to")) == ("outside", "1", "137")


def test_two_calm_bands_that_meet_between_two_steps_still_meet() -> None:
    text = (
        'rules "r" version 1\nquantity t from 0 to 300 F\nt below 100 F is white\nt from 100 to 200 F is green\n'
        "t above 200 F is red\ngauge t, drawn as bar in C to 5\n"
    )
    white, green, red = [one for one in sheet(loads(text).model).lines if one.what == "band"]
    assert white.get("to") == green.get("from") == "35"
    assert green.get("to") == red.get("from") == "90"


def test_a_context_between_two_steps_is_put_to_the_designer() -> None:
    found = [one for one in sheet(rules("crowded")).lines if one.what == "condition"]
    said = "the display cannot hold cht 100 F: the designer changes the rule to 37 C or 38 C, then a new sheet"
    assert said in found[0].unsettled
    assert f"NOT A STEP: {said}" in found[0].note


def test_an_edge_of_two_bands_says_whose_it_is() -> None:
    assert line_of("bramble", "rpm_green").note == "the edge 2600 rpm is yellow where rpm_yellow applies too"
    assert line_of("bramble", "rpm_yellow").note == ""


def test_what_is_put_to_the_designer_stands_at_the_top() -> None:
    ruleset = rules("crowded")
    made = sheet(ruleset)
    data = sheet_data(ruleset, made, tool="t")
    asked = [line.number for line in made.lines if "the designer changes the rule" in line.note]
    assert len(asked) > 1
    assert data["unsettled"] == f"lines {', '.join(map(str, asked))}"
    assert f"In {data['unsettled']} a context asks for a value that the display cannot hold" in html(ruleset)
    assert sheet_data(rules("bramble"), sheet(rules("bramble")), tool="t")["unsettled"] == ""


def test_one_line_is_not_told_as_several() -> None:
    text = (
        'rules "r" version 1\nquantity t from 0 to 300 F\nt above 100 F is red\n'
        'when t below 50.5 F then caution "COLD"\ngauge t, drawn as bar in C to 1\n'
    )
    found = html(loads(text).model)
    assert "In line 5 a context asks" in found
    assert "In line 3 the display cannot hold the exact edge" in found


def values(name: str) -> dict[str, list[str]]:
    """What is keyed in, by the kind of line."""
    ruleset = rules(name)
    found: dict[str, list[str]] = {}
    for section in sheet_data(ruleset, sheet(ruleset), tool="t")["sections"]:
        for line in section["lines"]:
            found.setdefault(line["item"], []).append(line["value"])
    return found


def test_what_a_sensor_reads_stands_in_the_unit_of_the_display() -> None:
    # 0 F is -17.78 C, 500 F is exactly 260 C; 300 F is 148.89 C.
    cht, oil, rpm = values("panel")["sensor"]
    assert cht.startswith("reads from about -18 to 260 C (in the rules 0 to 500 F); 6 elements")
    assert oil == "reads from -40 to about 149 C (in the rules -40 to 300 F)"
    assert rpm == "reads from 0 to 3000 rpm"


def test_a_shared_edge_stands_in_the_unit_of_the_display() -> None:
    text = (
        'rules "r" version 1\nquantity t from 0 to 600 F\ncalm: t from 100 to 420 F is green\n'
        "warm: t at least 420 F is yellow\ngauge t, drawn as bar in C to 1\n"
    )
    (calm,) = [one for one in sheet(loads(text).model).lines if one.get("name") == "calm"]
    assert calm.get("to") == "215"
    assert "the edge 215 C is yellow where warm applies too" in calm.note


def test_a_lamp_of_several_is_lit_by_any_of_them() -> None:
    assert values("panel")["lamp"] == ['"MASTER WARNING" lit by any of: warning, hot', '"CHT" lit by caution']


def test_what_the_sheet_takes_for_known_is_said_on_it() -> None:
    text = " ".join(html(rules("panel")).split())
    assert "the worst first: red; yellow; green, white, blue; unmarked." in text
    assert "{n} in a text is the number of the element, e.g. CHT 1 for the first." in text
    plain = 'rules "r" version 1\nquantity t from 0 to 300 F\nt above 100 F is red\n'
    assert "{n}" not in html(loads(plain).model)


SIZES = {"a4": (595, 842), "us-letter": (612, 792)}


@pytest.mark.parametrize("paper", PAPERS)
def test_a_line_higher_than_a_page_is_not_cut_off(paper: str) -> None:
    points = ", ".join(f"{n * 10} rpm -> {100 + n} F" for n in range(300))
    text = (
        'rules "long" version 1\nquantity rpm from 0 to 3000 rpm\nquantity t from 0 to 500 F\n'
        f"curve redline over rpm: {points}\nt at most redline is green\nt above redline is red\n"
    )
    ruleset = loads(text).model
    (data,) = typeset("sheet.typ", "sheet", sheet_data(ruleset, sheet(ruleset), tool="t"), paper=paper)
    found = pypdf.PdfReader(io.BytesIO(data)).pages
    assert {(round(one.mediabox.width), round(one.mediabox.height)) for one in found} == {SIZES[paper]}
    whole = re.sub(r"\s+", " ", " ".join(one.extract_text() for one in found))
    # A line that stays together would run out of its page.
    assert sum("rpm -> " in one.extract_text() for one in found) == 3
    # Where a page ends its foot and the heading of the next stand between.
    torn = [n for n in range(300) if f"{n * 10} rpm -> {100 + n} F" not in whole]
    assert len(torn) < len(found)
    assert "2990 rpm -> 399 F" in whole
    assert "from redline (edge out)" in whole


def test_a_long_word_of_the_page_breaks_where_it_joins_its_parts() -> None:
    text = html(rules("crowded"))
    assert "alert_<wbr>0_<wbr>with_<wbr>a_<wbr>long_<wbr>label" in text
    # Who copies a name copies nothing else.
    assert "\u200b" not in text


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", TEXTS)
def test_the_paper_has_every_line_and_every_text(name: str, paper: str) -> None:
    ruleset = rules(name)
    made = sheet(ruleset)
    (data,) = typeset("sheet.typ", "sheet", sheet_data(ruleset, made, tool="alertlang test"), paper=paper)
    pages = [one.extract_text() for one in pypdf.PdfReader(io.BytesIO(data)).pages]
    whole = "\n".join(pages)
    numbers = [int(n) for n in re.findall(r"(?m)^(\d+)$|^(\d+) ", whole) for n in n if n]
    assert set(range(1, len(made.lines) + 1)) <= set(numbers)
    words = re.sub(r"[\s\u200b]+", "", whole)
    for rule in ruleset.rules:
        assert rule.label in words
        if rule.alert is not None:
            assert re.sub(r"\s", "", rule.alert.text) in words
    for text in (WARNING, CAUTION, made.mark, made.digest):
        assert re.sub(r"\s", "", text) in words
    assert all(made.mark in re.sub(r"\s+", " ", one) for one in pages)


@pytest.mark.parametrize("name", TEXTS)
def test_the_page_refers_to_nothing_outside_and_takes_no_text_for_markup(name: str) -> None:
    text = html(rules(name))
    links = re.findall(r"""(?:href|src|action)\s*=\s*["']([^"']*)""", text) + re.findall(r"url\(([^)]*)\)", text)
    assert all(link.strip("\"'").startswith("#") for link in links)
    assert "<script" not in text
    assert "@import" not in text
    if name == "crowded":
        assert "*_&lt;$&amp;" in text
        assert "*_<$" not in text


def test_a_browser_shows_every_line_and_prints_it(chromium: str, tmp_path: Path) -> None:
    ruleset = rules("crowded")
    file = tmp_path / "sheet.html"
    file.write_text(html(ruleset), encoding="utf-8")
    made = dom(chromium, file, tmp_path / "profile")
    count = len(sheet(ruleset).lines)
    assert re.findall(r'id="line-(\d+)"', made) == [str(n) for n in range(1, count + 1)]
    pages = pypdf.PdfReader(io.BytesIO(printed(chromium, file, tmp_path / "profile", tmp_path / "page.pdf"))).pages
    whole = re.sub(r"\s+", "", " ".join(one.extract_text() for one in pages))
    for rule in ruleset.rules:
        assert rule.label in whole


def test_the_file_holds_the_lines_and_a_formula_of_a_spreadsheet_is_none() -> None:
    ruleset = rules("panel")
    made = sheet(ruleset)
    data = sheet_csv(made)
    assert data.decode().splitlines()[0] == ",".join(COLUMNS)
    assert b",=" not in data
    assert b"'=SPREAD" in data
    for row, line in zip(read_record(data), made.lines, strict=True):
        assert (row.line, dict(row.cells), row.mark, row.confirmed) == (line.number, dict(line.cells), made.mark, "")


@pytest.mark.parametrize("text", ["1.50", "007", "1-2", "3E5", "12:30", "TRUE", "1/2", "-5", "+3", "=A1", "'A", "@x"])
def test_a_text_that_a_spreadsheet_would_spoil_is_marked_as_text(text: str) -> None:
    source = f'rules "r" version 1\nquantity t from 0 to 9 F\nt above 1.50 F is red with warning "{text}"\n'
    ruleset = loads(source).model
    data = sheet_csv(sheet(ruleset))
    assert f",'{text},".encode() in data
    # A number stays one.
    assert b",1.5," in data
    assert [row.cells.get("text") for row in read_record(data)][-1] == text


def test_a_blank_file_leads_nobody() -> None:
    rows = read_record(sheet_csv(sheet(rules("bramble")), blank=True))
    assert {name for row in rows for name in row.cells} == {"what", "gauge", "name"}


def test_it_is_the_same_each_time_and_soon_there() -> None:
    start = time.perf_counter()
    ruleset = load(BRAMBLE).model
    first = sheet_csv(sheet(ruleset)), html(ruleset)
    assert time.perf_counter() - start < 5
    assert first == (sheet_csv(sheet(load(BRAMBLE).model)), html(ruleset))


@pytest.mark.parametrize("ending", ["html", "pdf", "csv"])
def test_the_command_writes_it(tmp_path: Path, ending: str) -> None:
    target = tmp_path / f"sheet.{ending}"
    done = CliRunner().invoke(app, ["sheet", str(BRAMBLE), "-o", str(target), "--paper", "letter"])
    assert done.exit_code == 0, done.output
    assert target.stat().st_size > 1000


def test_the_command_says_what_it_cannot_do(tmp_path: Path) -> None:
    run = CliRunner().invoke
    assert run(app, ["sheet", str(BRAMBLE), "-o", str(tmp_path / "sheet.doc")]).exit_code == 2
    assert run(app, ["sheet", str(BRAMBLE), "-o", str(tmp_path / "s.pdf"), "--blank"]).exit_code == 2
    assert run(app, ["sheet", str(tmp_path / "no.alert"), "-o", str(tmp_path / "s.pdf")]).exit_code == 2
    assert run(app, ["sheet", str(BRAMBLE), "-o", str(tmp_path / "no" / "s.pdf")]).exit_code == 2
    assert list(tmp_path.iterdir()) == []


EXCLUDING = """rules "excluding" version 1
quantity ng "Ng" from 0 to 110 %, step 1 %
quantity tot "TOT" from 0 to 1000 C, step 1 C
quantity oil from 0 to 100 psi
condition running means ng at least 59 % or ng failed
ng at least 0 % is green
start: when not running then tot at most 810 C is green
run: when WHEN then tot from 738 to 810 C is yellow
"""


@pytest.mark.parametrize(
    ("when", "note"),
    [
        ("running", ""),
        ("ng at least 59 %", ""),
        ("ng failed", ""),
        ("oil above 20 psi", "the edge 810 C is yellow where run applies too"),
        # What one failed sensor can bring together is together there.
        ("not ng at least 80 %", "the edge 810 C is yellow where run applies too"),
        ("oil failed", "the edge 810 C is yellow where run applies too"),
    ],
)
def test_an_edge_has_only_neighbours_that_can_apply_there_too(when: str, note: str) -> None:
    made = sheet(loads(EXCLUDING.replace("WHEN", when)).model)
    (found,) = [one.note for one in made.lines if one.get("name") == "start"]
    assert found == note
