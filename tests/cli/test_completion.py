"""Shell completion, asked as the scripts of the shells ask.

Source: the scripts that `--show-completion` prints: bash gives its words in COMP_WORDS and COMP_CWORD, zsh in
_TYPER_COMPLETE_ARGS.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from alertlang.findings.codes import BY_NAME, CODES
from alertlang.model.files import shipped_profiles


def ask(environment: dict[str, str], cwd: Path, *words: str) -> subprocess.CompletedProcess[str]:
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("COMP_", "_TYPER", "_ALERTLANG"))}
    return subprocess.run(
        [sys.executable, "-m", "alertlang", *words],
        env={**kept, "HOME": str(cwd), **environment},
        cwd=cwd,
        capture_output=True,
        text=True,
        check=False,
    )


def bash(line: str, cwd: Path) -> list[str]:
    """What bash would be offered for the last word of a line."""
    words = line.split(" ")
    done = ask({"_ALERTLANG_COMPLETE": "complete_bash", "COMP_WORDS": line, "COMP_CWORD": str(len(words) - 1)}, cwd)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout.split()


@pytest.mark.thorough
def test_names_of_checks(tmp_path: Path) -> None:
    assert bash("alertlang explain unu", tmp_path) == ["unused"]
    assert bash("alertlang explain AL30", tmp_path) == sorted(code for code in CODES if code.startswith("AL30"))
    assert set(BY_NAME) < set(bash("alertlang explain ", tmp_path))
    assert bash("alertlang explain zz", tmp_path) == []


@pytest.mark.thorough
def test_words_of_the_language_and_the_trade(tmp_path: Path) -> None:
    assert bash("alertlang explain unl", tmp_path) == ["unless", "unlit-alert"]
    assert bash("alertlang explain unm", tmp_path) == ["unmarked", "unmarked-limit", "unmarked-precaution"]
    assert bash("alertlang explain except", tmp_path) == ["except", "except-for"]
    assert bash("alertlang explain hyst", tmp_path) == ["hysteresis"]


@pytest.mark.alike
@pytest.mark.parametrize("command", ["show", "check"])
def test_names_of_profiles(tmp_path: Path, command: str) -> None:
    assert bash(f"alertlang profiles {command} ", tmp_path) == list(shipped_profiles())
    [one] = bash(f"alertlang profiles {command} austro", tmp_path)
    assert one == "austro-ae300"


def test_commands_and_options(tmp_path: Path) -> None:
    assert {"check", "prove", "explain"} <= set(bash("alertlang ", tmp_path))
    assert bash("alertlang check --write", tmp_path) == ["--write-baseline"]
    assert bash("alertlang check --output s", tmp_path) == ["sarif"]


def test_files_are_left_to_the_shell(tmp_path: Path) -> None:
    """No answer of ours: with `-o default` bash goes on with files, and zsh is told so."""
    (tmp_path / "case.alert").touch()
    assert bash("alertlang check ca", tmp_path) == []
    script = ask({"_ALERTLANG_COMPLETE": "source_bash"}, tmp_path).stdout
    assert "complete -o default " in script
    zsh = {"_ALERTLANG_COMPLETE": "complete_zsh", "_TYPER_COMPLETE_ARGS": "alertlang check ca"}
    assert ask(zsh, tmp_path).stdout == "_files\n"


def test_a_broken_config_does_not_speak(tmp_path: Path) -> None:
    (tmp_path / "pyproject.toml").write_text("[tool.alertlang]\nzebra = 1\n", encoding="utf-8")
    assert bash("alertlang check --fix", tmp_path) == ["--fix"]


@pytest.mark.alike
@pytest.mark.parametrize(
    "environment",
    [
        {"_ALERTLANG_COMPLETE": "complete_bash"},
        {"_ALERTLANG_COMPLETE": "complete_bash", "COMP_WORDS": "alertlang explain", "COMP_CWORD": "x"},
        {"_ALERTLANG_COMPLETE": "complete_bash", "COMP_WORDS": 'alertlang check "', "COMP_CWORD": "9"},
        {"_ALERTLANG_COMPLETE": "complete_nosuch"},
        {"_ALERTLANG_COMPLETE": "nonsense"},
    ],
)
def test_it_fails_quietly(tmp_path: Path, environment: dict[str, str]) -> None:
    done = ask(environment, tmp_path)
    assert done.stdout.strip() == ""
    assert "Traceback" not in done.stderr
    assert "fault of the tool" not in done.stderr
    assert len(done.stderr.splitlines()) <= 1


def test_nothing_is_written_unless_asked(tmp_path: Path) -> None:
    bash("alertlang explain un", tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash on this machine")
def test_the_script_of_bash_works(tmp_path: Path) -> None:
    """The script that is printed, run by bash itself."""
    program = tmp_path / "bin" / "alertlang"
    program.parent.mkdir()
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m alertlang "$@"\n', encoding="utf-8")
    program.chmod(0o755)
    script = ask({"_ALERTLANG_COMPLETE": "source_bash"}, tmp_path).stdout
    assert "_alertlang_completion" in script
    test = f"""{script}
COMP_WORDS=(alertlang explain unr); COMP_CWORD=2
_alertlang_completion {program} unr explain
printf '%s\\n' "${{COMPREPLY[@]}}"
"""
    done = subprocess.run(
        ["bash", "--norc", "-c", test],
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
    )
    assert done.stdout.split() == ["unreachable-band", "unreadable-file"]
