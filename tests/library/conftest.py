"""A small library: one rule set of an invented engine, a reviewer with a key."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app

PROFILE = """profile "tiny-engine" version 1
source BOOK "invented for this test"
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source BOOK
redline: limit rpm at most 2700 rpm, needs warning, source BOOK
"""
RULES = """rules "tiny" version 1
use profile "tiny-engine"
# a comment
ok: rpm at most 2500 rpm is green
high: rpm from 2500 to 2700 rpm is yellow
fast: rpm above 2700 rpm is red with warning "OVERSPEED"
loud: prove rpm above 2700 rpm raises warning within 1 s
"""

APPROVE = [
    *("approve", "tiny", "--key", "key.pem", "--reviewer", "chief inspector"),
    *("--date", "2024-01-02", "--version", "1"),
]

Run = Callable[..., Result]


def tree(root: Path) -> dict[str, str]:
    """Every file and folder under a folder, with the digest of its bytes."""
    return {
        path.relative_to(root).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else "folder"
        for path in sorted(root.rglob("*"))
    }


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """`alertlang library ...` in a folder with tiny.alert and its profile."""
    monkeypatch.chdir(tmp_path)
    Path("tiny.alert").write_text(RULES, encoding="utf-8")
    Path("tiny-engine.profile").write_text(PROFILE, encoding="utf-8")
    return lambda *words, stdin=None: CliRunner().invoke(app, ["library", *map(str, words)], input=stdin)


@pytest.fixture
def approved(run: Run) -> Run:
    """The same with the entry tiny added and approved."""
    for words in (
        ["add", "tiny.alert"],
        ["key", "new", "key.pem"],
        ["key", "trust", "key.pem.pub", "--reviewer", "chief inspector"],
        APPROVE,
    ):
        result = run(*words)
        assert result.exit_code == 0, result.output
    return run
