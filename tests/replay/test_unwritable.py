"""A place that cannot be written is said before the work, with the reason; nothing is left half written."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.cli.app import app
from alertlang.text.write_file import refusal

RULES = 'rules "r" version 1\nquantity rpm from 0 to 3000 rpm\nfast: rpm above 2700 rpm is red with warning "FAST"\n'


@pytest.fixture
def place(tmp_path: Path) -> Path:
    (tmp_path / "r.alert").write_text(RULES, encoding="utf-8")
    (tmp_path / "log.csv").write_text("time,rpm\n0,1000\n1,2800\n2,1000\n", encoding="utf-8")
    (tmp_path / "folder.html").mkdir()
    (tmp_path / "folder.svg").mkdir()
    (tmp_path / "kept.html").write_text("kept", encoding="utf-8")
    (tmp_path / "kept.html").chmod(0o444)
    return tmp_path


@pytest.mark.parametrize(
    ("target", "why"),
    [
        ("no/page.html", "there is no folder {place}/no"),
        ("folder.html", "it is a folder"),
        ("kept.html", "it may not be written"),
    ],
)
def test_a_page_is_refused_before_the_log_is_read(
    target: str, why: str, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object, **__: object) -> None:
        raise AssertionError("the log was gone through")

    monkeypatch.setattr("alertlang.replay.run.replay", never)
    before = sorted(place.rglob("*"))
    words = ["replay", str(place / "r.alert"), str(place / "log.csv"), "--out", str(place / target)]
    done = CliRunner().invoke(app, words)
    assert done.exit_code == 2
    assert done.stderr == f"alertlang: {place / target} cannot be written: {why.format(place=place)}\n"
    assert done.stdout == ""
    assert sorted(place.rglob("*")) == before
    assert (place / "kept.html").read_text(encoding="utf-8") == "kept"


def test_what_was_found_is_told_if_the_page_fails_in_the_end(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    words = ["replay", str(place / "r.alert"), str(place / "log.csv"), "--out", str(place / "page.html")]
    done = CliRunner().invoke(app, words)
    assert done.exit_code == 2
    assert "page.html cannot be written: no space left on device" in done.stderr
    assert "FAST" in done.stdout
    assert not (place / "page.html").exists()


@pytest.mark.parametrize(
    "words",
    [
        ["tune", "fast", "r.alert", "log.csv", "-o", "folder.svg"],
        ["columns", "log.csv", "--rules", "r.alert", "--out", "folder.html"],
    ],
)
def test_other_commands_refuse_it_too(words: list[str], place: Path) -> None:
    full = [str(place / one) if (place / one).exists() else one for one in words]
    done = CliRunner().invoke(app, full)
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.endswith("cannot be written: it is a folder\n")


def test_asking_leaves_nothing(tmp_path: Path) -> None:
    assert refusal(tmp_path / "new.html") is None
    assert list(tmp_path.iterdir()) == []
