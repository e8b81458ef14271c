"""What a document is made of: no paper of rules with open errors, and none of a profile."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.cli.app import app

HEAD = """rules "tiny" version 1
source NOTE common practice
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
limit rpm at most 2700 rpm, needs warning, source NOTE
rpm at most 2700 rpm is green
"""
CLEAN = HEAD + 'rpm above 2700 rpm is red with warning "OVERSPEED"\n'
# The limit has no red and no alert above 2800 rpm, and the claim is not so.
UNCLEAN = (
    HEAD
    + """rpm from 2700 rpm to 2800 rpm is yellow
rpm above 2800 rpm is unmarked
loud: prove rpm above 2700 rpm raises warning
"""
)
PROFILE = 'profile "engine" version 1\nquantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm\n'
PAPERS = (("sheet", "s.html"), ("sheet", "s.pdf"), ("sheet", "s.csv"), ("cards", "c.csv"), ("pilot-card", "p.pdf"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in (("clean.alert", CLEAN), ("unclean.alert", UNCLEAN), ("engine.profile", PROFILE)):
        (tmp_path / name).write_text(text)
    return tmp_path


@pytest.mark.parametrize(("command", "name"), PAPERS)
def test_no_paper_is_made_of_rules_with_open_errors(folder: Path, command: str, name: str) -> None:
    rules = folder / "unclean.alert"
    result = CliRunner().invoke(app, [command, str(rules), "-o", str(folder / name)])
    assert result.exit_code == 1
    assert "errors are open\n" in result.stderr
    assert "  1 claim is refuted\n" in result.stderr
    assert f"alertlang check {rules} says more\n" in result.stderr
    assert not (folder / name).exists()
    assert CliRunner().invoke(app, [command, str(folder / "clean.alert"), "-o", str(folder / name)]).exit_code == 0
    assert (folder / name).exists()


def test_no_card_in_the_terminal_either(folder: Path) -> None:
    result = CliRunner().invoke(app, ["cards", str(folder / "unclean.alert")])
    assert (result.exit_code, result.stdout) == (1, "")


def test_errors_that_are_accepted_are_not_open(folder: Path) -> None:
    text = HEAD + "rpm above 2700 rpm is red\n"
    rules = folder / "accepted.alert"
    rules.write_text(text.replace("limit rpm", "top: limit rpm"))
    assert CliRunner().invoke(app, ["pilot-card", str(rules), "-o", str(folder / "p.pdf")]).exit_code == 1
    rules.write_text(rules.read_text() + 'accept missing-alert on top because "seen at a glance"\n')
    assert CliRunner().invoke(app, ["pilot-card", str(rules), "-o", str(folder / "p.pdf")]).exit_code == 0


@pytest.mark.parametrize("name", ["r.html", "r.pdf"])
def test_a_review_record_of_unclean_rules_says_so_and_ends_with_1(folder: Path, name: str) -> None:
    said = []
    for rules, code in (("clean", 0), ("unclean", 1)):
        result = CliRunner().invoke(app, ["report", str(folder / f"{rules}.alert"), "-o", str(folder / name)])
        assert result.exit_code == code
        said.append((folder / name).read_bytes())
    if name.endswith(".html"):
        assert b"NOT CHECKED CLEAN" not in said[0]
        assert b"1 claim is refuted. Not for installation." in said[1]


@pytest.mark.parametrize(
    "arguments",
    [
        ["sheet", "FILE", "-o", "s.csv"],
        ["cards", "FILE"],
        ["pilot-card", "FILE", "-o", "p.pdf"],
        ["report", "FILE", "-o", "r.html"],
        ["fit", "FILE", "small-box"],
        ["show", "FILE"],
    ],
)
def test_a_profile_is_refused(folder: Path, arguments: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(folder)
    result = CliRunner().invoke(app, [one.replace("FILE", "engine.profile") for one in arguments])
    assert result.exit_code == 2
    assert "engine.profile is a profile, which shows nothing: name a rule set (.alert)" in result.stderr


DERIVED = (
    CLEAN
    + """quantity left from 0 to 30 gal, step 1 gal
quantity right from 0 to 30 gal, step 1 gal
switch flaps up, down
let difference = left - right
difference below 10 gal is green
difference at least 10 gal is yellow
"""
)


@pytest.fixture
def derived(folder: Path) -> str:
    (folder / "derived.alert").write_text(DERIVED)
    return str(folder / "derived.alert")


def test_a_switch_on_a_map_is_told_how_it_is_held(derived: str) -> None:
    result = CliRunner().invoke(app, ["show", derived, "rpm", "flaps"])
    assert result.exit_code == 2
    assert 'flaps is a switch: hold it still in a map with --at "flaps up"' in result.stderr


def test_what_is_worked_out_is_named_as_not_drawn(derived: str, folder: Path) -> None:
    result = CliRunner().invoke(app, ["show", derived, "difference"])
    assert result.exit_code == 2
    assert "difference is worked out from left, right and is not drawn" in result.stderr
    said = CliRunner().invoke(app, ["show", derived]).stdout
    assert "not drawn, for they are worked out from other readings: difference\n" in said
    assert "not drawn" not in CliRunner().invoke(app, ["show", str(folder / "clean.alert")]).stdout
    for rules, named in ((derived, True), (str(folder / "clean.alert"), False)):
        assert CliRunner().invoke(app, ["report", rules, "-o", str(folder / "r.html")]).exit_code == 0
        text = (folder / "r.html").read_text()
        assert ("<b>Not drawn:</b> difference is worked out from left, right" in text) is named
    assert CliRunner().invoke(app, ["report", derived, "-o", str(folder / "r.pdf")]).exit_code == 0
