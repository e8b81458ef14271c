"""The review record says what was found and proved, what guards each limit, and from where each number comes."""

from __future__ import annotations

import io
import re
from fractions import Fraction
from pathlib import Path

import pypdf
import pytest
from typer.testing import CliRunner

from alertlang.api import load, loads
from alertlang.checks.context import Context
from alertlang.checks.limits_table import limits_table
from alertlang.checks.run import run
from alertlang.cli.app import app
from alertlang.documents.html import page
from alertlang.documents.report import report_data
from alertlang.output.text import CAUTION
from alertlang.text.resources import examples_dir
from tests.helpers.browser import dom

BRAMBLE = examples_dir() / "02-bramble" / "bramble.alert"
FIRST = examples_dir() / "01-first-rules" / "first.alert"
MISTAKES = examples_dir() / "02-bramble" / "mistakes"


def written(source: Path, target: Path, *more: str, code: int = 0) -> str:
    result = CliRunner().invoke(app, ["report", str(source), "-o", str(target), *more])
    assert result.exit_code == code, result.stderr
    if target.suffix == ".pdf":
        return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pypdf.PdfReader(target).pages))
    # Where a long word may break is nothing that it says.
    return target.read_text(encoding="utf-8").replace("<wbr>", "")


def test_limits_name_what_guards_them_and_how_soon() -> None:
    ruleset = loads(
        'rules "g" version 1\nsource S common practice\n'
        "quantity rpm from 0 to 3000 rpm\nquantity oil_temp from 0 to 300 F\n"
        "condition cold means oil_temp below 100 F, set after 3 s\n"
        "redline: limit rpm at most 2700 rpm, needs warning within 10 s, source S\n"
        "warm_up: when oil_temp below 100 F limit rpm at most 1200 rpm, needs caution within 10 s, source S\n"
        "half: limit oil_temp at most 250 F, needs caution, source S\n"
        "rpm at most 2700 rpm is green\n"
        'fast: rpm above 2700 rpm is red with warning "OVER" after 4 s\n'
        'cold_red: when cold then rpm above 1200 rpm is red with caution "COLD" after 2 s\n'
        "oil_temp at most 250 F is green\n"
        'hot: when rpm above 1000 rpm then oil_temp above 250 F is red with caution "HOT"\n'
        "oil_yellow: oil_temp above 250 F is yellow\n"
    ).model
    lines = {line.one.label: line for line in limits_table(Context(ruleset), run(ruleset).findings)}
    redline, warm_up, half = lines["redline"], lines["warm_up"], lines["half"]
    assert redline.red.labels == ("fast", "cold_red")
    assert (redline.red.everywhere, redline.red.worst) == (True, Fraction(0))
    assert redline.alert is not None
    assert (redline.alert.labels, redline.alert.worst) == (("fast",), Fraction(4))
    # 3 s until it counts as cold, and 2 s more until the alert; above 2700 rpm another red is there at once.
    assert warm_up.alert is not None
    assert (warm_up.red.worst, warm_up.alert.worst) == (Fraction(3), Fraction(5))
    assert (warm_up.red.everywhere, warm_up.against) == (True, ("lost-guard",))
    assert (half.red.labels, half.red.everywhere) == (("hot",), False)
    assert set(half.against) >= {"unguarded-limit", "missing-alert"}


def test_a_vetted_rule_set(tmp_path: Path) -> None:
    page = written(BRAMBLE, tmp_path / "report.html")
    ruleset = load(BRAMBLE).model
    for one in ruleset.ranges:
        if one.kind in {"limit", "avoid"}:
            assert f"<b>{one.label}</b>" in page
    assert page.count("<td><b>proved</b></td>") == len(ruleset.claims)
    assert "NOT everywhere" not in page
    assert "None is open." in page
    assert "it may be over before anybody looks" in page
    assert CAUTION.split("'")[0] in page
    assert page.count("<svg") == 11
    for origin in ruleset.origins:
        assert origin.sha256 in page
    links = re.findall(r"""(?:href|src)\s*=\s*["']([^"']*)""", page) + re.findall(r"url\(([^)]*)\)", page)
    assert all(link.strip("\"'").startswith("#") for link in links)


@pytest.mark.alike
@pytest.mark.parametrize("name", ["unguarded-limit", "late-alert", "conflict"])
def test_what_is_wrong_stands_in_it(name: str, tmp_path: Path) -> None:
    mistake = MISTAKES / f"{name}.alert"
    page = written(mistake, tmp_path / "report.html", "--path", str(BRAMBLE.parent), code=1)
    assert "NOT CHECKED CLEAN: " in page
    found = re.findall(r"<b>AL\d+ ([a-z-]+)</b>", page)
    assert mistake.stem in found
    if mistake.stem == "unguarded-limit":
        assert "NOT everywhere" in page
        assert ">AL301<" in page


@pytest.mark.thorough
def test_on_paper(tmp_path: Path) -> None:
    for source, paper, size in ((BRAMBLE, "a4", (595, 842)), (FIRST, "letter", (612, 792))):
        text = written(source, tmp_path / "report.pdf", "--paper", paper)
        rules = load(source)
        operating = ("Operating maps", "cold or blind") if source is BRAMBLE else ()
        for words in (f"Review record: {rules.name}, version 1", "Limits, and what guards them", *operating):
            assert words in text
        # The typesetter may break a name after an underscore.
        plain = text.replace("\u200b", "").replace(" ", "")
        assert all(f"{one.label}" in plain for one in rules.model.claims)
        box = pypdf.PdfReader(io.BytesIO((tmp_path / "report.pdf").read_bytes())).pages[0].mediabox
        assert (round(box.width), round(box.height)) == size


def test_it_is_the_same_each_time(tmp_path: Path) -> None:
    for ending in ("html", "pdf"):
        first, second = tmp_path / f"a.{ending}", tmp_path / f"b.{ending}"
        written(FIRST, first)
        written(FIRST, second)
        assert first.read_bytes() == second.read_bytes()


def test_a_browser_shows_it(chromium: str, tmp_path: Path) -> None:
    written(BRAMBLE, tmp_path / "report.html")
    made = dom(chromium, tmp_path / "report.html", tmp_path / "profile")
    assert made.count("<figure") == 11
    assert made.rstrip().endswith("</html>")


def test_what_was_not_decided_is_no_pass() -> None:
    data = report_data(load(BRAMBLE).model, tool="t", solver="s", digest="d", work_limit=1)
    assert not all(one["verdict"] == "proved" for one in data["claims"])
    assert "not decided" in " ".join(one["red"] for one in data["limits"])


def test_text_that_looks_like_markup(tmp_path: Path) -> None:
    source = tmp_path / "x.alert"
    source.write_text(
        'rules "x" version 1\nabout "#set page(fill: red) <script>alert(1)</script> *_`$"\n'
        "quantity rpm from 0 to 9 rpm\nrpm at least 0 rpm is green\n",
        encoding="utf-8",
    )
    page = written(source, tmp_path / "x.html")
    assert "<script>" not in page
    text = written(source, tmp_path / "x.pdf")
    assert "#set page(fill: red) <script>alert(1)</script> *_`$" in text


def test_what_cannot_be_done(tmp_path: Path) -> None:
    for arguments in (
        [str(BRAMBLE), "-o", str(tmp_path / "report.doc")],
        [str(BRAMBLE), "-o", str(tmp_path / "no" / "report.html")],
        [str(tmp_path / "none.alert"), "-o", str(tmp_path / "report.html")],
        [str(BRAMBLE), "-o", str(tmp_path / "report.html"), "--library", str(tmp_path)],
    ):
        assert CliRunner().invoke(app, ["report", *arguments]).exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_a_gauge_with_many_contexts_is_drawn_in_parts_no_higher_than_a_page() -> None:
    positions = [f"p{n}" for n in range(12)]
    source = 'rules "r" version 1\nquantity t from 0 to 500 F\n' + f"switch knob {', '.join(positions)}\n"
    source += "".join(f"when knob is {one} then t above {200 + 10 * n} F is red\n" for n, one in enumerate(positions))
    data = report_data(loads(source).model, tool="t", solver="s", digest="d")
    assert "<h2>Limits, and what guards them</h2>\n<p>None is stated.</p>" in page(
        "report.html.j2", {**data, "gauges": [], "maps": []}
    )
    parts = [one["svg"] for one in data["gauges"]]
    assert len(parts) == 2
    assert "T (F)" in parts[0] or "t (F)" in parts[0]
    assert "continued" not in parts[0]
    assert "continued" in parts[1]
    assert all(str(200 + 10 * n) in "".join(parts) for n in range(len(positions)))
    for part in parts:
        width, high = (float(n) for n in re.findall(r'(?:width|height)="([0-9.]+)pt"', part)[:2])
        # 178 mm of A4 and 262 mm of it are used; Letter is 247 mm high there at 184 mm.
        assert high / width < 247 / 184


def test_a_picture_of_many_timed_bands_is_no_higher_than_a_page() -> None:
    positions = [f"p{n}" for n in range(9)]
    source = 'rules "r" version 1\nquantity t from 0 to 500 F\n' + f"switch knob {', '.join(positions)}\n"
    for n, one in enumerate(positions):
        source += f"when knob is {one} then t above {200 + 10 * n} F for more than {n + 1} s is yellow\n"
        source += f"when knob is {one} then t above {300 + 10 * n} F for more than {n + 1} min is red\n"
        source += f"when knob is {one} then t above {400 + 9 * n} F is red\n"
    drawn = [one["svg"] for one in report_data(loads(source).model, tool="t", solver="s", digest="d")["gauges"]]
    assert len(drawn) > 1
    for part in drawn:
        width, high = (float(n) for n in re.findall(r'(?:width|height)="([0-9.]+)pt"', part)[:2])
        assert high / width < 247 / 184


def test_timed_bands_are_named_in_the_report() -> None:
    data = report_data(load(BRAMBLE).model, tool="t", solver="s", digest="d")
    rpm = next(one["svg"] for one in data["gauges"] if one["name"] == "rpm")
    assert "above 2600 rpm to 2800 rpm: yellow, red after 5 min" in rpm
    drawn = next(one for one in data["maps"] if one["name"] == "rpm over oil_temp")
    assert "yellow, red after 5 min" in drawn["svg"]
    assert "Striped: at once, and what it becomes if it stays so (yellow, red after 5 min)" in drawn["caption"]
