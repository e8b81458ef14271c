"""`alertlang draft`: exit codes, and places where nothing can be written."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.api import draft, loads
from alertlang.cli.app import app

RUN = CliRunner()
HEAD = 'profile "odd" version 1\nsource HAND "Handbook, page 1"\n'
# A normal range past a limit: no draft can keep both without a word.
ODD = (
    HEAD + 'quantity x "X" from 0 to 100\nlimit x at most 50, needs warning, source HAND\n'
    "normal x from 40 to 60, source HAND\n"
)
MOVING = (
    HEAD + 'quantity x "X" from 0 to 100\nquantity w "W" from 0 to 10\nquantity y[2] "Y" from 0 to 100\n'
    "curve low over w: 0 -> 10, 10 -> 20\ncurve high over w: 0 -> 60, 10 -> 80\n"
)


def test_findings_left_are_told_and_exit_1(tmp_path: Path) -> None:
    path = tmp_path / "odd.profile"
    path.write_text(ODD)
    made = draft((str(path),))
    assert made.text
    assert made.findings, "the profile contradicts itself"
    result = RUN.invoke(app, ["draft", str(path), "--out", str(tmp_path / "odd.alert")])
    assert result.exit_code == 1
    assert "the draft is not clean" in result.output
    assert (tmp_path / "odd.alert").read_text().startswith('rules "odd"')


def test_a_file_where_a_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    result = RUN.invoke(app, ["draft", "cessna-150m", "--out", str(tmp_path / "file" / "a.alert")])
    assert result.exit_code == 2
    assert "cannot be written: there is no folder" in result.output
    assert (tmp_path / "file").read_text() == "mine"


@pytest.mark.parametrize("problem", [PermissionError(13, "Permission denied"), OSError(30, "Read-only file system")])
def test_a_folder_that_is_read_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, problem: OSError) -> None:
    def refuse(*_: object) -> None:
        raise problem

    monkeypatch.setattr(os, "replace", refuse)
    result = RUN.invoke(app, ["draft", "cessna-150m", "--out", str(tmp_path / "a.alert")])
    assert result.exit_code == 2
    assert f"cannot be written: {problem.strerror}".lower() in result.output.lower()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("kind", ["limit", "avoid"])
@pytest.mark.parametrize("name", ["x", "y"])
def test_a_red_stretch_between_moving_ends_is_guarded_when_they_fail(tmp_path: Path, kind: str, name: str) -> None:
    path = tmp_path / "moving.profile"
    path.write_text(MOVING + f"{kind} {name} from low to high, needs warning, source HAND\n")
    made = draft((str(path),))
    report = loads(made.text, folder=tmp_path).check()
    found = {f.code.name for f in report.findings if f.accepted is None and f.severity.word != "note"}
    assert not found & {"lost-guard", "unguarded-limit", "gap", "conflict"}, made.text
