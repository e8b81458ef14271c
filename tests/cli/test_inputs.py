"""What the commands read: standard input, folders to search, and the date.

Source: the documented command line and the order of search in the language reference.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app

HEAD = 'rules "case" version 1\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
CLEAN = HEAD + "rpm from 0 to 3500 is green\n"
GAP = HEAD + "rpm below 2000 is green\nrpm above 2000 is yellow\n"
PROFILE = 'profile "motor" version 4\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
USER = 'rules "case" version 1\nuse profile "motor"\nrpm from 0 to 3500 is green\n'


def run(*words: str, stdin: str | bytes | None = None) -> Result:
    return CliRunner().invoke(app, list(words), input=stdin)


# ---- standard input


def test_a_dash_reads_standard_input() -> None:
    result = run("check", "-", stdin=GAP)
    assert result.exit_code == 1
    assert "<standard input>:3:1: error AL201 gap" in result.stdout
    assert run("check", "-", stdin=CLEAN).exit_code == 0
    assert run("prove", "-", stdin=CLEAN + "prove rpm above 2000 is green\n").stdout.startswith("proved    prove_1\n")


def test_standard_input_uses_files_of_the_working_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "motor.profile").write_text(PROFILE, encoding="utf-8")
    assert run("check", "-", stdin=USER).exit_code == 2
    monkeypatch.chdir(tmp_path)
    assert run("check", "-", stdin=USER).exit_code == 0


@pytest.mark.parametrize(
    ("data", "code"),
    [(b"\xff\xfe\x00", "AL101"), (b"", "AL109"), (b'rules "case" version 1\n\x00', "AL1"), (b"\n\n# only\n", "AL109")],
)
def test_standard_input_that_is_no_rules(data: bytes, code: str) -> None:
    result = run("check", "-", stdin=data)
    assert result.exit_code == 2
    assert f" {code}" in result.stdout
    assert "<standard input>" in result.stdout


def test_line_ends_of_other_systems_are_read() -> None:
    assert run("check", "-", stdin=CLEAN.replace("\n", "\r\n").encode()).exit_code == 0
    result = run("check", "-", stdin=GAP.replace("\n", "\r\n").encode())
    assert "<standard input>:3:1: error AL201 gap" in result.stdout


# ---- folders to search


@pytest.mark.parametrize("command", [("check",), ("prove",)])
def test_path_adds_a_folder(tmp_path: Path, command: tuple[str, ...]) -> None:
    (tmp_path / "one").mkdir()
    (tmp_path / "two").mkdir()
    (tmp_path / "two" / "motor.profile").write_text(PROFILE, encoding="utf-8")
    case = tmp_path / "case.alert"
    case.write_text(USER, encoding="utf-8")
    missing = run(*command, str(case))
    assert missing.exit_code == 2
    assert "AL107 missing-file" in missing.stdout
    paths = ("--path", str(tmp_path / "one"), "--path", str(tmp_path / "two"))
    assert run(*command, str(case), *paths).exit_code == 0
    # A folder that is not there is none, as for a compiler.
    assert run(*command, str(case), "--path", str(tmp_path / "three"), *paths).exit_code == 0


def test_the_file_beside_comes_before_the_path(tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "motor.profile").write_text(PROFILE.replace("3500", "2000"), encoding="utf-8")
    (tmp_path / "motor.profile").write_text(PROFILE, encoding="utf-8")
    case = tmp_path / "case.alert"
    case.write_text(USER, encoding="utf-8")
    # With the other profile, 3500 rpm would lie beyond the sensor.
    assert run("check", str(case), "--path", str(tmp_path / "other")).exit_code == 0


def test_path_for_profiles(tmp_path: Path) -> None:
    (tmp_path / "motor.profile").write_text(PROFILE, encoding="utf-8")
    assert "motor version 4" in run("profiles", "show", "motor", "--path", str(tmp_path)).stdout
    assert run("profiles", "check", "motor", "--path", str(tmp_path)).exit_code == 0


# ---- the date

ACCEPTED = GAP + 'accept gap on rpm because "shown elsewhere" until 2027-06-30\n'


@pytest.mark.parametrize(
    ("date", "end", "note"),
    [
        (None, 0, "the exception ends on 2027-06-30; give --today to have that looked at"),
        ("2027-06-29", 0, None),
        ("2027-06-30", 0, None),
        ("2027-07-01", 1, "the exception ended on 2027-06-30, so what it accepted counts again"),
    ],
)
def test_an_exception_ends_after_its_date(date: str | None, end: int, note: str | None) -> None:
    words = ("--today", date) if date else ()
    result = run("check", "-", *words, stdin=ACCEPTED)
    said = " ".join(result.stdout.split())
    assert result.exit_code == end
    assert ("AL201 gap (accepted)" in said) is (end == 0)
    assert "AL201 gap" in said
    assert ("AL406" in said) is (note is not None)
    assert note is None or note in said


def test_an_exception_without_a_date_does_not_end() -> None:
    text = GAP + 'accept gap on rpm because "shown elsewhere"\n'
    result = run("check", "-", "--today", "9999-12-31", stdin=text)
    assert result.exit_code == 0
    assert "AL406" not in result.stdout
    assert "1 accepted" in result.stdout


def test_an_exception_that_accepts_nothing_is_noted() -> None:
    result = run("check", "-", stdin=CLEAN + 'accept gap on rpm because "shown elsewhere"\n')
    assert result.exit_code == 0
    assert "note AL406 stale-acceptance" in result.stdout
