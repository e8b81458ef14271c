"""Commands and display files: `check` reads them, the others say that they are none of theirs.

Source: the section on displays of the language reference, and the documented exit codes.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app

GOOD = """\
display "small-panel" version 3
allows 8 bands per quantity, 6 contexts, 4 timers
text up to 12 characters
scan every 0.2 s
colours red, yellow, green, white
"""
BAD = GOOD.replace("4 timers", "0 timers")
RULES = 'rules "case" version 1\nquantity rpm from 0 to 3500 rpm, step 10 rpm\nrpm from 0 to 3500 is green\n'
READ = 'display "small-panel" version 3: read; nothing in it is checked by itself'


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    for name, text in (("small-panel.display", GOOD), ("bad.display", BAD), ("case.alert", RULES)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def run(*words: str, stdin: str | None = None) -> Result:
    return CliRunner().invoke(app, list(words), input=stdin)


@pytest.mark.usefixtures("folder")
def test_check_reads_it() -> None:
    result = run("check", "small-panel.display")
    assert result.exit_code == 0
    assert result.stdout.splitlines()[0] == READ
    assert "0 errors" not in result.stdout, "nothing was checked"
    assert run("check", "-", stdin=GOOD).stdout == result.stdout
    assert run("check", "--fail-on", "note", "small-panel.display").exit_code == 0


@pytest.mark.usefixtures("folder")
def test_check_says_what_is_wrong_in_it() -> None:
    result = run("check", "bad.display")
    assert result.exit_code == 2
    assert "bad.display:2:42: error AL112 bad-value" in result.stdout
    assert "bad.display: not checked: 1 error in reading it" in result.stdout
    assert "read; nothing" not in result.stdout


@pytest.mark.usefixtures("folder")
def test_it_stands_beside_rules_and_changes_nothing_for_them() -> None:
    alone = run("check", "case.alert")
    both = run("check", "small-panel.display", "case.alert")
    assert (alone.exit_code, both.exit_code) == (0, 0)
    assert both.stdout == READ + "\n" + alone.stdout
    assert run("check", "bad.display", "case.alert").exit_code == 2


@pytest.mark.usefixtures("folder")
def test_json_keeps_its_shape() -> None:
    rules = json.loads(run("check", "--output", "json", "case.alert").stdout)
    for name, codes in (("small-panel.display", []), ("bad.display", ["AL112"])):
        data = json.loads(run("check", "--output", "json", name).stdout)
        assert list(data) == list(rules)
        assert data["rules"] == {"name": "small-panel", "version": 3, "path": name}
        assert (data["profiles"], data["claims"], data["proved"]) == ([], [], [])
        assert [one["code"] for one in data["findings"]] == codes


@pytest.mark.usefixtures("folder")
def test_the_formats_for_a_build() -> None:
    assert run("check", "--output", "github", "small-panel.display").stdout == (
        "alertlang: a display was read; nothing in it is checked by itself\n"
    )
    assert "::error file=bad.display,line=2" in run("check", "--output", "github", "bad.display").stdout
    log = json.loads(run("check", "--output", "sarif", "small-panel.display", "bad.display").stdout)["runs"][0]
    assert [one["ruleId"] for one in log["results"]] == ["AL112"]


def test_fix_leaves_it_alone(folder: Path) -> None:
    for words in (["--fix"], ["--diff"]):
        result = run("check", *words, "small-panel.display")
        assert result.exit_code == 0
        assert "small-panel.display: nothing to mend" in result.stdout
        assert READ in result.stdout
    assert (folder / "small-panel.display").read_text(encoding="utf-8") == GOOD


def test_a_baseline_has_nothing_of_it(folder: Path) -> None:
    assert run("check", "--write-baseline", "known.json", "small-panel.display").exit_code == 0
    assert json.loads((folder / "known.json").read_text(encoding="utf-8"))["findings"] == []
    assert run("check", "--baseline", "known.json", "small-panel.display").exit_code == 0


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize("words", [("prove",), ("profiles", "check"), ("profiles", "show")])
def test_other_commands_say_that_it_is_none_of_theirs(words: tuple[str, ...]) -> None:
    result = run(*words, "./small-panel.display")
    assert result.exit_code == 2
    assert "AL113 wrong-kind" in result.output
    assert '"small-panel" is a display' in result.output
    assert "Traceback" not in result.output


def test_format_lays_it_out(folder: Path) -> None:
    path = folder / "small-panel.display"
    assert run("format", "--check", path.name).exit_code == 0
    path.write_text(
        GOOD.replace(
            "bands per quantity, 6 contexts, 4 timers", "band per quantity  , 1 contexts,1 timers # all"
        ).replace("yellow", "amber"),
        encoding="utf-8",
    )
    assert run("format", path.name).exit_code == 0
    once = path.read_text(encoding="utf-8")
    assert once == GOOD.replace("6 contexts, 4 timers", "1 context, 1 timer  # all")
    assert run("format", "--check", path.name).exit_code == 0


def test_evidence_is_not_written_over_one(folder: Path) -> None:
    result = run("prove", "case.alert", "--evidence", "small-panel.display")
    assert result.exit_code == 2
    assert (folder / "small-panel.display").read_text(encoding="utf-8") == GOOD
