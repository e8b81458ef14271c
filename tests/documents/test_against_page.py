"""The page of two rule sets over one run: every alert that is not the same is on it, drawn and listed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang import api
from alertlang.cli.app import app
from alertlang.documents.against_page import against_page

HEAD = 'rules "r" version 1\nquantity x from 0 to 9\nquantity y from 0 to 9\nx at most 9 is green\n'
ONE = HEAD + 'x above 5 is red with warning "HOT <b>"\nwhen y above 5 then caution "ODD"\n'
OTHER = HEAD + 'x above 5 is yellow with warning "HOT <b>" after 1 s\nwhen y above 5 then advisory "ODD"\n'


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "log.csv"
    path.write_text("time,x,y\n0,0,0\n1,9,0\n2,9,9\n3,9,9\n4,0,0\n5,8,0\n6,0,0\n", encoding="utf-8")
    return path


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page.replace("<wbr>", "")))


def bars(page: str) -> int:
    return len(re.findall(r'style="[^"]*stroke-width: 0.6[^"]*"', page))


def test_every_alert_that_is_not_the_same_is_drawn_and_listed(log: Path) -> None:
    found = api.replay_against(api.loads(ONE), api.loads(OTHER), log)
    assert sorted(change.kind for change in found.alerts) == ["later", "lost", "lost", "new"]
    page = against_page(found, tool="alertlang")
    text = text_of(page)
    assert "1 new, 2 lost, 1 later." in text
    assert "later by 1 s 0:01 to 0:04, 3 s (rows 2 to 4; x_2) 0:02 to 0:04, 2 s (rows 3 to 4; x_2)" in text
    assert "ODD caution lost 0:02 to 0:04, 2 s (rows 3 to 4; alert_1) not up" in text
    assert "ODD advisory new not up 0:02 to 0:04" in text
    # Two of one pair, and one for each of the others.
    assert bars(page) == 5
    assert "x red yellow 0:01 0:04 3 s 9 9" in text
    assert "<b>HOT <b></b>" not in page
    assert "HOT &lt;b&gt;" in page


def test_the_same_is_said_of_this_log_alone(log: Path) -> None:
    rules = api.loads(ONE)
    page = against_page(api.replay_against(rules, rules, log), tool="alertlang")
    assert "No difference on this log , which says nothing of any other." in text_of(page)
    assert "<svg" not in page
    assert "http" not in re.sub(r"http://www\.w3\.org/\S+|http://purl\.org/\S+", "", page)


def test_what_is_doubtful_stands_first(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_text("time,x,y\n0,0,0\n1,9,\n2,9,9\n3,9,9\n", encoding="utf-8")
    page = text_of(against_page(api.replay_against(api.loads(ONE), api.loads(OTHER), log), tool="alertlang"))
    assert page.index("Look at this first often-failed (y)") < page.index("Alerts over time")
    assert "The log is not to be trusted for often-failed:y." in page


def test_on_the_command_line(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(log.parent)
    Path("one.alert").write_text(ONE, encoding="utf-8")
    Path("other.alert").write_text(OTHER, encoding="utf-8")
    result = CliRunner().invoke(app, ["replay", "one.alert", "log.csv", "--against", "other.alert", "-o", "a.html"])
    assert result.exit_code == 1
    assert "wrote a.html" in result.stderr
    made = Path("a.html").read_text(encoding="utf-8")
    assert api.against_page(api.load("one.alert"), api.load("other.alert"), "log.csv").data.decode() in made
