"""`alertlang draft`: what it writes, and what it refuses."""

from __future__ import annotations

from pathlib import Path

from typer.testing import CliRunner

from alertlang.api import draft
from alertlang.cli.app import app

RUN = CliRunner()
EMPTY = 'profile "empty" version 1\n'
TWO = (
    'profile "two" version 1\nsource HAND "Handbook, page 1"\nquantity rpm "Engine speed" from 0 to 3000 rpm\n'
    "top: limit rpm at most 2500 rpm, needs warning, source HAND\n"
)


def test_on_the_screen() -> None:
    result = RUN.invoke(app, ["draft", "cessna-150m"])
    assert result.exit_code == 0
    assert result.stdout == draft(("cessna-150m",)).text


def test_into_a_file_that_is_not_there_yet(tmp_path: Path) -> None:
    target = tmp_path / "mine.alert"
    assert RUN.invoke(app, ["draft", "cessna-150m", "--out", str(target)]).exit_code == 0
    assert target.read_text().startswith('rules "mine" version 1\n')
    target.write_text("mine")
    result = RUN.invoke(app, ["draft", "cessna-150m", "--out", str(target)])
    assert (result.exit_code, target.read_text()) == (2, "mine")
    assert "--force" in result.output
    assert RUN.invoke(app, ["draft", "cessna-150m", "--out", str(target), "--force"]).exit_code == 0
    assert target.read_text() != "mine"


def test_no_such_folder(tmp_path: Path) -> None:
    result = RUN.invoke(app, ["draft", "cessna-150m", "--out", str(tmp_path / "none" / "a.alert")])
    assert result.exit_code == 2
    assert "cannot be written: there is no folder" in result.output


def test_no_such_profile() -> None:
    result = RUN.invoke(app, ["draft", "cessna-150n"])
    assert result.exit_code == 2
    assert "cessna-150m" in result.output


def test_two_profiles_that_declare_a_quantity_differently() -> None:
    result = RUN.invoke(app, ["draft", "electrical-14v", "electrical-28v"])
    assert result.exit_code == 2
    assert "volts" in result.output


def test_a_profile_without_limits_is_drafted_empty(tmp_path: Path) -> None:
    path = tmp_path / "empty.profile"
    path.write_text(EMPTY)
    result = RUN.invoke(app, ["draft", str(path)])
    assert result.exit_code == 0
    assert 'use profile "empty"' in result.stdout


def test_what_nothing_says_becomes_a_question(tmp_path: Path) -> None:
    path = tmp_path / "two.profile"
    path.write_text(TWO)
    result = RUN.invoke(app, ["draft", str(path)])
    assert "# Question: rpm at most 2500 rpm" in result.stdout
    assert "rpm at most 2500 rpm is unmarked" in result.stdout
    assert "top: Handbook, page 1 [document]" in result.stdout
