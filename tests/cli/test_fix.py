"""`check --fix` and `check --diff`: what is shown, what is written, and how it ends."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli import fix as cli_fix
from alertlang.cli.app import app
from alertlang.fixing import Fixed
from alertlang.text.resources import profiles_dir

HEAD = 'rules "case" version 1\nsource S common practice\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
GAP = HEAD + "rpm below 2000 is green\nrpm above 2100 is red\n"
ADDED = "rpm from 2000 to 2100 rpm is yellow\n"
UNUSED = "condition fast means rpm above 2000\n"


@pytest.fixture(autouse=True)
def in_tmp(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*words: str, stdin: str | None = None) -> Result:
    return CliRunner().invoke(app, ["check", *words, "--no-config"], input=stdin)


def untouched(name: str) -> tuple[int, int, int, int]:
    """What changes if a file is written; when it was last read does not count."""
    found = os.stat(name)
    return found.st_ino, found.st_mtime_ns, found.st_size, found.st_mode


def said(result: Result) -> str:
    return " ".join(result.stdout.split())


def write(text: str, name: str = "case.alert") -> str:
    Path(name).write_bytes(text.encode())
    return name


def test_fix_writes_and_shows() -> None:
    result = run("--fix", write(GAP))
    assert result.exit_code == 0
    assert Path("case.alert").read_text("utf-8") == GAP + ADDED
    assert result.stdout.startswith(
        "--- case.alert\n+++ case.alert\n@@ -3,3 +3,4 @@\n quantity rpm from 0 to 3500 rpm, step 10 rpm\n"
        f" rpm below 2000 is green\n rpm above 2100 is red\n+{ADDED}\ncase.alert: 1 suggestion written in\n\n"
    )
    assert 'rules "case" version 1: 0 errors' in said(result)
    assert [one.name for one in Path().iterdir()] == ["case.alert"]


@pytest.mark.parametrize("words", [("--diff",), ("--fix", "--diff")])
def test_diff_shows_and_does_not_write(words: tuple[str, ...]) -> None:
    before = untouched(write(GAP))
    result = run(*words, "case.alert")
    assert result.exit_code == 1, "the file is as it was, and so is its verdict"
    assert untouched("case.alert") == before
    assert result.stdout.startswith("--- case.alert\n+++ case.alert\n@@ ")
    assert "case.alert: 1 suggestion to write in nothing was written; with the above in the file" in said(result)
    assert 'rules "case" version 1: 0 errors' in said(result)


@pytest.mark.skipif(shutil.which("patch") is None, reason="no patch on this machine")
@pytest.mark.parametrize("text", [GAP, GAP.rstrip("\n"), "# first\n" + GAP + "# last"])
def test_the_difference_can_be_applied(text: str) -> None:
    write(text)
    result = run("--diff", "case.alert")
    shown = result.stdout.split("\n\ncase.alert: ")[0] + "\n"
    subprocess.run(["patch", "-s", "-p0"], input=shown.encode(), check=True, cwd=".")
    patched = Path("case.alert").read_bytes()
    write(text)
    run("--fix", "case.alert")
    assert Path("case.alert").read_bytes() == patched != text.encode()


def test_what_remains_is_told_and_decides() -> None:
    text = GAP + UNUSED + "prove rpm above 2050 is never yellow\n"
    result = run("--fix", write(text))
    assert result.exit_code == 1
    assert Path("case.alert").read_text("utf-8") == text
    assert "case.alert: 0 suggestions written in case.alert:4: AL201 gap is left: the claim prove_1 would be" in said(
        result
    )
    assert "case.alert:4:1: error AL201 gap" in result.stdout
    assert "AL403 unused" in result.stdout
    assert run("--fix", write(GAP + UNUSED), "--fail-on", "note").exit_code == 1


def test_nothing_to_fix() -> None:
    before = untouched(write(HEAD + "rpm from 0 to 3500 is green\n"))
    assert run("--fix", "case.alert").stdout.startswith("case.alert: nothing to mend\n")
    assert untouched("case.alert") == before
    result = run("--fix", write(HEAD + "rpm from 0 to 3500 is green\n" + UNUSED))
    assert result.stdout.startswith("case.alert: no finding has a suggestion to write in\n")


def test_several_files_each_for_itself() -> None:
    write(GAP, "a.alert")
    write(GAP, "b.alert")
    result = run("--fix", "a.alert", "absent.alert", "b.alert")
    assert result.exit_code == 2
    assert "absent.alert: error AL101 unreadable-file" in result.stdout
    assert {Path(name).read_text("utf-8") for name in ("a.alert", "b.alert")} == {GAP + ADDED}


def test_an_unreadable_file_stays() -> None:
    result = run("--fix", write(GAP + "rpm is high\n"))
    assert result.exit_code == 2
    assert "not checked: 1 error in reading it" in said(result)
    assert Path("case.alert").read_text("utf-8") == GAP + "rpm is high\n"


@pytest.mark.parametrize("output", ["json", "sarif", "github"])
def test_other_formats_keep_standard_output_to_themselves(output: str) -> None:
    result = run("--fix", write(GAP), "--output", output)
    assert result.exit_code == 0
    assert "+++ case.alert" in result.stderr
    assert "+++" not in result.stdout
    assert result.stdout == run("case.alert", "--output", output).stdout


# ---- what is refused


@pytest.mark.parametrize("option", ["--fix", "--diff"])
def test_standard_input_has_no_file(option: str) -> None:
    result = run(option, "-", stdin=GAP)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "standard input has no file to write to" in " ".join(result.stderr.split())


def test_a_baseline_is_of_what_stands_in_the_file() -> None:
    assert run("--diff", write(GAP), "--write-baseline", "known.json").exit_code == 2
    assert not Path("known.json").exists()
    assert run("--fix", "case.alert", "--write-baseline", "known.json").exit_code == 0
    assert json.loads(Path("known.json").read_text("utf-8"))["findings"] == []


def test_diff_counts_what_is_known_of_the_file_as_it_is() -> None:
    run(write(GAP), "--write-baseline", "known.json")
    assert run("--diff", "case.alert", "--baseline", "known.json").exit_code == 0


def test_a_shipped_profile_is_not_changed() -> None:
    path = next(iter(sorted(profiles_dir().rglob("*.profile"))))
    before = path.read_bytes()
    result = run("--fix", str(path))
    assert result.exit_code == 2
    assert "it ships with the tool" in result.stderr
    assert path.read_bytes() == before


def test_a_read_only_file_stays() -> None:
    Path(write(GAP)).chmod(0o444)
    result = run("--fix", "case.alert")
    assert result.exit_code == 2
    assert (
        result.stderr
        == "alertlang: case.alert: it could not be written (it may not be written); nothing was written to it\n"
    )
    assert Path("case.alert").read_text("utf-8") == GAP


def test_a_file_that_changed_meanwhile_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    ours = cli_fix.fixed

    def slow(*words: object) -> Fixed | None:
        result = ours(*words)  # type: ignore[arg-type]
        write(GAP + UNUSED)
        return result

    monkeypatch.setattr(cli_fix, "fixed", slow)
    result = run("--fix", write(GAP))
    assert result.exit_code == 2
    assert "it was changed by something else in the meantime" in result.stderr
    assert Path("case.alert").read_text("utf-8") == GAP + UNUSED


def test_a_pipe_is_read_once(in_tmp: Path) -> None:
    os.mkfifo("pipe.alert")
    writer = subprocess.Popen(["sh", "-c", "cat > pipe.alert"], stdin=subprocess.PIPE)
    assert writer.stdin is not None
    writer.stdin.write(GAP.encode())
    writer.stdin.close()
    result = run("--fix", "pipe.alert")
    writer.wait(timeout=20)
    assert "AL201 gap" in result.stdout
    assert Path("pipe.alert").is_fifo()
