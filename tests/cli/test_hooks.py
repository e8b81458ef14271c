"""`.pre-commit-hooks.yaml`: it can be read, and what it names runs.

Source for the keys: the page "Creating new hooks" of pre-commit.
"""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
import yaml

from alertlang.text.resources import examples_dir

KEYS = {"id", "name", "description", "entry", "language", "files"}


@pytest.fixture(scope="module")
def hooks(checkout: Path) -> dict[str, dict[str, Any]]:
    listed = yaml.safe_load((checkout / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert all(set(hook) == KEYS for hook in listed)
    return {hook["id"]: hook for hook in listed}


def run(hook: dict[str, Any], *files: str, cwd: Path) -> int:
    """The entry as it stands, by way of the module: the script need not be on the path."""
    program, *words = shlex.split(hook["entry"])
    assert program == "alertlang"
    command = [sys.executable, "-m", program, *words, *files]
    return subprocess.run(command, cwd=cwd, capture_output=True, check=False).returncode


def test_there_are_two_and_python_can_install_them(hooks: dict[str, dict[str, Any]], checkout: Path) -> None:
    assert list(hooks) == ["alertlang-check", "alertlang-format"]
    assert {hook["language"] for hook in hooks.values()} == {"python"}
    project = tomllib.loads((checkout / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert "alertlang" in project["scripts"]


@pytest.mark.parametrize("name", ["alertlang-check", "alertlang-format"])
def test_it_is_for_our_files(hooks: dict[str, dict[str, Any]], name: str) -> None:
    pattern = re.compile(hooks[name]["files"])
    assert all(pattern.search(path) for path in ("a.alert", "x/y/b.profile", "c.display"))
    assert not any(pattern.search(path) for path in ("a.alerts", "alert", "a.alert.orig", "b.profile.md"))


def test_check_runs(hooks: dict[str, dict[str, Any]], tmp_path: Path) -> None:
    first = examples_dir() / "01-first-rules"
    assert run(hooks["alertlang-check"], str(first / "first.alert"), cwd=tmp_path) == 0
    assert run(hooks["alertlang-check"], str(first / "first-mistake.alert"), cwd=tmp_path) == 1


def test_format_runs_and_writes(hooks: dict[str, dict[str, Any]], tmp_path: Path) -> None:
    path = tmp_path / "first.alert"
    shutil.copy(examples_dir() / "01-first-rules" / "first.alert", path)
    assert run(hooks["alertlang-format"], path.name, cwd=tmp_path) == 0
    once = path.read_text(encoding="utf-8")
    path.write_text(once.replace(" is green", "    is green"), encoding="utf-8")
    assert run(hooks["alertlang-format"], path.name, cwd=tmp_path) == 0
    assert path.read_text(encoding="utf-8") == once
