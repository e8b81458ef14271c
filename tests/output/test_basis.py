"""What answers rest on is said beside them: assumptions, exceptions, and numbers that nobody read in a document."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.api import cards, load, loads
from alertlang.cli.app import app
from alertlang.documents.card import as_html
from alertlang.documents.html import page
from alertlang.documents.pilot_card import pilot_card
from alertlang.documents.report import report_data
from alertlang.documents.sheet_paper import sheet_data
from alertlang.keying.lines import sheet_of
from alertlang.model.files import shipped_profiles
from alertlang.model.grades import numbers_by_grade
from alertlang.output.basis import names_of, weak_numbers
from alertlang.output.text import report_lines

WEAK = """rules "weak" version 1
source BOOK "Sheet 738, page 12"
source COPY second hand "somebody's copy"
source RECALL from memory
source SHOP common practice
quantity rpm "Engine 4" from 0 to 3500 rpm, step 10 rpm, source BOOK   # 99 in a comment
quantity cht[4] from 0 to 600 F, source COPY
quantity spare from 0 to 9 V
curve top over rpm: 0 rpm -> 400 F, 3500 rpm -> 500 F
standing: assume rpm at least 100 rpm, source RECALL
redline: limit rpm at most 2750 rpm except for 5 min, needs warning within 2 s, source BOOK, source SHOP "note 6"
heads: limit cht at most top, needs caution, source COPY
rpm at most 2750 rpm is green
rpm above 2750 rpm is red with warning "OVERSPEED"
cht at most top is green
cht above top is red with caution "CHT {n} HOT"
low: prove rpm below 100 rpm is red
high: prove rpm above 2750 rpm is red
"""
# rpm: 0, 3500, 10; the array: 0 and 600; the curve, by the limit that reads it: four; 100; the redline, as weak as its
# weaker source: 2750, 5, 2. heads writes no number itself.
NUMBERS = {"document": 3, "second hand": 6, "common practice": 3, "from memory": 1}
SAID = "rests on 6 second-hand numbers and 1 number from memory: check them against the documents before use"


def test_numbers_are_counted_by_the_grade_of_the_weakest_source() -> None:
    assert numbers_by_grade(loads(WEAK).model) == NUMBERS
    assert weak_numbers(NUMBERS) == SAID
    assert weak_numbers({"document": 12, "common practice": 3}) == ""
    one = "rests on 1 number from memory: check it against the documents before use"
    assert weak_numbers({"from memory": 1}) == one


@pytest.mark.parametrize("path", shipped_profiles().values(), ids=str)
def test_every_number_of_a_shipped_profile_has_a_grade(path: Path) -> None:
    assert sum(numbers_by_grade(load(path).model).values()) > 0


def test_the_last_lines_of_check_and_prove_and_the_json_say_it(tmp_path: Path) -> None:
    file = tmp_path / "weak.alert"
    file.write_text(WEAK, encoding="utf-8")
    for command in ("check", "prove"):
        said = CliRunner().invoke(app, [command, str(file)], env={"COLUMNS": "80"}).output
        assert SAID in " ".join(said.split())
    told = json.loads(CliRunner().invoke(app, ["check", str(file), "--output", "json"]).stdout)
    assert (told["numbers"], told["assumptions"]) == (NUMBERS, ["standing"])
    assert "6 second-hand numbers" in CliRunner().invoke(app, ["check", str(file), "--output", "github"]).stdout


def test_every_paper_says_it() -> None:
    model = loads(WEAK).model
    report = report_data(model, tool="t", solver="s", digest="d")
    assert SAID in page("report.html.j2", {**report, "gauges": [], "maps": []})
    assert SAID in page("sheet.html.j2", sheet_data(model, sheet_of(model, digest="d"), tool="t"))
    assert SAID in pilot_card(model, digest="d", tool="t").weak
    assert SAID in as_html(cards(loads(WEAK)))


def test_what_is_proved_names_its_assumptions_on_its_line() -> None:
    text = WEAK.replace("below 100 rpm is red", "below 100 rpm is never red").replace("high: ", "accept nothing-here: ")
    text = text.replace("accept nothing-here: prove rpm above 2750 rpm is red\n", "")
    text = text.replace("low: prove rpm below 100 rpm is never red", "safe: prove rpm at least 0 rpm is at least green")
    text = text.replace("rpm at most 2750 rpm is green", "rpm from 100 to 2750 rpm is green")
    report = loads(text).check()
    lines = ["".join(part for _, part in line) for line in report_lines(report, "z3 4", 200)]
    assert "proved    safe, assuming standing" in lines
    summed = next(line for line in lines if line.startswith("rules "))
    assert "1 of 1 claim proved, 1 of them assuming standing" in summed
    assert summed.endswith("questions to z3), assuming standing")
    data = report_data(loads(text).model, tool="t", solver="s", digest="d")
    assert "1 of them assuming standing" in data["counts"]
    assert data["checked"].endswith("assuming standing.")
    assert data["claims"][0]["leans"] == "assuming standing"


def test_many_names_are_counted() -> None:
    assert [names_of("abc"[:n]) for n in (1, 2, 3)] == ["a", "a and b", "a, b and c"]
    assert names_of("abcdefgh") == "a, b, c, d, e, f and 2 more"
