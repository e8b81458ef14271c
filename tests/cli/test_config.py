"""Settings from `pyproject.toml`: what they do, what wins, and that no mistake in them passes in silence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app

HEAD = 'rules "case" version 1\nsource S common practice\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
GAP = HEAD + "rpm below 2000 is green\nrpm above 2100 is red\n"
NOTE = HEAD + "rpm from 0 to 3500 is green\ncondition fast means rpm above 2000\n"
PROFILE = 'profile "motor" version 4\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
USER = 'rules "case" version 1\nuse profile "motor"\nrpm from 0 to 3500 is green\n'


@pytest.fixture(autouse=True)
def in_tmp(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two folders below the one with the settings."""
    (tmp_path / "top" / "a" / "b").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "top")
    return tmp_path / "top"


def run(*words: str) -> Result:
    return CliRunner().invoke(app, list(words))


def config(text: str, path: str = "pyproject.toml") -> None:
    Path(path).write_text(f"[tool.alertlang]\n{text}\n", encoding="utf-8")


def write(text: str, name: str = "case.alert") -> str:
    Path(name).write_text(text, encoding="utf-8")
    return name


# ---- what they do


def test_fail_on() -> None:
    name = write(NOTE)
    assert run("check", name).exit_code == 0
    config('fail-on = "note"')
    assert run("check", name).exit_code == 1
    config('fail-on = "never"')
    assert run("check", write(GAP)).exit_code == 0
    assert run("check", "--fail-on", "error", name).exit_code == 1, "the command line wins"
    assert run("check", "--no-config", name).exit_code == 1


@pytest.mark.parametrize("output", ["json", "sarif", "github", "text"])
def test_output(output: str) -> None:
    name = write(GAP)
    config(f'output = "{output}"')
    assert run("check", name).stdout == run("check", "--no-config", "--output", output, name).stdout
    assert run("check", name, "--output", "json").stdout.startswith('{"tool": ')


def test_path_is_seen_from_the_file(in_tmp: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Path("shared").mkdir()
    write(PROFILE, "shared/motor.profile")
    config('path = ["absent", "shared"]')
    monkeypatch.chdir(in_tmp / "a" / "b")
    assert run("check", write(USER)).exit_code == 0
    report = json.loads(run("check", "case.alert", "--output", "json").stdout)
    assert report["profiles"][0]["path"] == "../../shared/motor.profile"
    assert run("check", "--no-config", "case.alert").exit_code == 2
    # A list on the command line stands in its place.
    assert run("check", "--path", "elsewhere", "case.alert").exit_code == 2


def test_other_commands_take_what_they_have() -> None:
    Path("shared").mkdir()
    write(PROFILE, "shared/motor.profile")
    write('profile "user" version 1\nuse profile "motor"\n', "user.profile")
    config('path = ["shared"]\noutput = "sarif"\nfail-on = "note"')
    result = run("profiles", "check", "user.profile")
    assert result.exit_code == 0
    assert result.stdout.startswith('profile "user" version 1: 0 errors')
    assert run("profiles", "show", "user.profile").exit_code == 0
    assert run("profiles", "show", "user.profile", "--no-config").exit_code == 2


def test_work_limit() -> None:
    config("work-limit = 1")
    assert "undecided" in run("check", write(HEAD + "rpm from 0 to 3500 is green\nprove rpm above 5 is green\n")).stdout
    assert run("check", "case.alert", "--work-limit", "1000000").exit_code == 0


def test_baseline_is_seen_from_the_file(in_tmp: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    name = write(GAP)
    config('baseline = "known.json"')
    assert run("check", name).exit_code == 2, "it is asked for and not there"
    # Writing one does not need the old one.
    assert run("check", name, "--write-baseline", "known.json").exit_code == 0
    monkeypatch.chdir(in_tmp / "a")
    assert run("check", "../case.alert").exit_code == 0
    assert run("check", "../case.alert", "--no-config").exit_code == 1
    assert run("check", "../case.alert", "--baseline", "absent.json").exit_code == 2


# ---- which file


def test_the_nearest_file_with_a_table_counts(in_tmp: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    config('fail-on = "note"')
    monkeypatch.chdir(in_tmp / "a" / "b")
    name = write(NOTE)
    assert run("check", name).exit_code == 1
    # One that says nothing of us is passed over, even if it cannot be read as TOML.
    Path("pyproject.toml").write_text("[project]\nname = ", encoding="utf-8")
    assert run("check", name).exit_code == 1
    Path("../pyproject.toml").write_text('[project]\nname = "alertlang-rules"\n', encoding="utf-8")
    assert run("check", name).exit_code == 1
    config("", "../pyproject.toml")
    assert run("check", name).exit_code == 0, "an empty table is a table"


def test_the_folder_of_the_rules_does_not_matter(in_tmp: Path) -> None:
    config('fail-on = "note"', "a/pyproject.toml")
    assert run("check", write(NOTE, "a/case.alert")).exit_code == 0


# ---- mistakes

MISTAKES = {
    'fail-onn = "note"': "fail-onn is no setting: did you mean fail-on?",
    'fail_on = "note"': "fail_on is no setting: did you mean fail-on?",
    "zebra = 1": "zebra is no setting: there are path, fail-on, output, work-limit, baseline",
    'fail-on = "eror"': 'fail-on must be one of error, warning, note, never, not "eror"; did you mean error?',
    "fail-on = 3": "fail-on must be one of error, warning, note, never, not 3",
    'output = ["json"]': "output must be one of text, json, sarif, github",
    'path = "shared"': 'path must be a list of folders: write ["shared"]',
    "path = [1]": "path must be a list of folders",
    'path = [""]': "path must be a list of folders",
    "work-limit = true": "work-limit must be a whole number from 1, not true",
    "work-limit = 0": "work-limit must be a whole number from 1, not 0",
    "work-limit = 1.5": "work-limit must be a whole number from 1, not 1.5",
    "baseline = 1": "baseline must be the path of a file",
    'baseline = ""': "baseline must be the path of a file",
    'today = "2027-06-30"': "today cannot be set here: a day in a file is soon another day",
    "fix = true": "fix cannot be set here",
    'write-baseline = "x"': "write-baseline cannot be set here",
}


@pytest.mark.parametrize("text", MISTAKES)
def test_a_mistake_stops(text: str) -> None:
    write(GAP)
    config(text)
    result = run("check", "case.alert")
    assert result.exit_code == 2
    assert result.stdout == ""
    first, last = result.stderr.splitlines()
    assert first.startswith(f"alertlang: pyproject.toml: [tool.alertlang] {MISTAKES[text]}")
    assert last == "Mend it, or leave it alone with --no-config."
    assert run("check", "--no-config", "case.alert").exit_code == 1


def test_every_mistake_is_told() -> None:
    config("\n".join(["zebra = 1", "fail-on = 3", 'output = "json"']))
    result = run("check", write(GAP))
    assert result.exit_code == 2
    assert result.stderr.count("[tool.alertlang]") == 2


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"[tool.alertlang\n", "pyproject.toml: is not TOML: "),
        (b"[tool.alertlang]\nfail-on = 'a'\nfail-on = 'b'\n", "pyproject.toml: is not TOML: "),
        (b"# \xff\n[tool.alertlang]\n", "pyproject.toml: is not UTF-8"),
        (b"[tool]\nalertlang = 1\n", "pyproject.toml: tool.alertlang must be a table"),
    ],
)
def test_a_file_that_cannot_be_read_stops(data: bytes, said: str) -> None:
    Path("pyproject.toml").write_bytes(data)
    result = run("check", write(GAP))
    assert result.exit_code == 2
    assert result.stderr.startswith(f"alertlang: {said}")
    assert run("check", "--no-config", "case.alert").exit_code == 1


def test_a_folder_of_that_name_stops() -> None:
    Path("pyproject.toml").mkdir()
    result = run("check", write(GAP))
    assert result.exit_code == 2
    assert "pyproject.toml: cannot be read: is a directory" in result.stderr


def test_help_does_not_need_the_file() -> None:
    config("zebra = 1")
    assert run("check", "--help").exit_code == 0
    assert run("explain", "gap").exit_code == 0
