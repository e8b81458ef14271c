"""No output option of any command overwrites what somebody may want, and none follows a link."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.cli.app import app
from tests.helpers.writing_commands import BRAMBLE, MAP, SMALL
from tests.helpers.writing_commands import LOG as FLIGHT

LOG = [FLIGHT, "--map", MAP]
COMMANDS = {
    "show": (["show", "small.alert", "rpm", "-o"], "a.svg"),
    "show-pdf": (["show", "small.alert", "rpm", "-o"], "a.pdf"),
    "show-png": (["show", "small.alert", "rpm", "-o"], "a.png"),
    "report": (["report", "small.alert", "-o"], "a.html"),
    "sheet": (["sheet", "small.alert", "-o"], "a.csv"),
    "sheet-page": (["sheet", "small.alert", "-o"], "a.html"),
    "cards": (["cards", "small.alert", "-o"], "a.csv"),
    "cards-page": (["cards", "small.alert", "-o"], "a.html"),
    "pilot-card": (["pilot-card", "small.alert", "-o"], "a.pdf"),
    "draft": (["draft", "electrical-14v", "-o"], "a.alert"),
    "columns": (["columns", LOG[0], "--rules", str(BRAMBLE / "bramble.alert"), "-o"], "a.toml"),
    "replay": (["replay", str(BRAMBLE / "bramble.alert"), *LOG, "-o"], "a.html"),
    "evidence": (["prove", "small.alert", "--evidence"], "a.smt2"),
    "baseline": (["check", "small.alert", "--write-baseline"], "a.json"),
    "readback": (["readback", "sheet.csv", "small.alert", "-o"], "b.alert"),
}
HAS_ROOM = {name for name, (_, file) in COMMANDS.items() if not file.endswith((".csv", ".png"))}


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(app, words)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, " ".join(result.output.split())


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("small.alert").write_text(SMALL, encoding="utf-8")


def prepared(name: str) -> tuple[list[str], Path]:
    words, file = COMMANDS[name]
    if name == "readback":
        assert run("sheet", "small.alert", "-o", "sheet.csv")[0] == 0
    return words, Path(file)


@pytest.mark.alike
@pytest.mark.parametrize("name", COMMANDS)
def test_what_somebody_wrote_stays(name: str) -> None:
    words, path = prepared(name)
    path.write_text("mine\n", encoding="utf-8")
    code, said = run(*words, str(path))
    assert (code, path.read_text(encoding="utf-8")) == (2, "mine\n"), said
    assert "--force" in said
    assert run(*words, str(path), "--force")[0] in {0, 1}
    made = path.read_bytes()
    assert made != b"mine\n"
    # Made by the tool and not touched since: made again without being asked.
    assert run(*words, str(path))[0] in {0, 1}
    assert path.read_bytes() == made, "the same input gives the same bytes"
    # Touched, by as little as there is.
    path.write_bytes(made[:-1] + b" " + made[-1:] if made.endswith(b"\n") else made + b" ")
    touched = path.read_bytes()
    assert (run(*words, str(path))[0], path.read_bytes()) == (2, touched)


@pytest.mark.parametrize("name", sorted(HAS_ROOM - {"draft", "columns", "replay"}))
def test_what_the_tool_wrote_is_replaced_by_what_it_writes_now(name: str) -> None:
    words, path = prepared(name)
    assert run(*words, str(path))[0] in {0, 1}
    made = path.read_bytes()
    text = SMALL.replace("2700", "2690").replace("fast", "quick")
    if name == "baseline":
        text = text.replace("at most 2690", "at most 2600")
    Path("small.alert").write_text(text, encoding="utf-8")
    if name == "readback":
        assert run("sheet", "small.alert", "-o", "sheet.csv", "--force")[0] == 0
    assert run(*words, str(path))[0] in {0, 1}
    assert path.read_bytes() != made


@pytest.mark.parametrize("name", COMMANDS)
def test_no_link_is_followed(name: str) -> None:
    words, path = prepared(name)
    other = Path(f"other{path.suffix}")
    shutil.copy("small.alert", other)
    path.symlink_to(other)
    for more in ([], ["--force"]):
        code, said = run(*words, str(path), *more)
        assert (code, "is a link to" in said) == (2, True), said
    assert other.read_text(encoding="utf-8") == SMALL
    assert path.is_symlink()


def test_a_baseline_does_not_take_the_place_of_rules() -> None:
    shutil.copy("small.alert", "other.alert")
    for more in ([], ["--output", "json"]):
        code, _ = run("check", "--write-baseline", "other.alert", "small.alert", *more)
        assert (code, Path("other.alert").read_text(encoding="utf-8")) == (2, SMALL)


def test_a_name_that_would_be_a_line_of_its_own() -> None:
    path = "a\n::error::b\x1b[2J.html"
    code, said = run("report", "small.alert", "-o", path)
    assert (code, "wrote a\\n::error::b\\x1b[2J.html" in said) == (0, True), said
    Path(path).write_text("mine", encoding="utf-8")
    result = CliRunner().invoke(app, ["report", "small.alert", "-o", path])
    assert result.exit_code == 2
    assert "\x1b" not in result.output
    assert result.output.count("\n") == 1
