"""`alertlang explain`.

Source: the table of codes, of which every one must have its page.
"""

from __future__ import annotations

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app
from alertlang.findings.codes import CODES


def run(*words: str) -> Result:
    return CliRunner().invoke(app, ["explain", *words])


@pytest.mark.parametrize("code", CODES)
def test_every_code_and_name_has_its_page(code: str) -> None:
    entry = CODES[code]
    by_code = run(code)
    assert by_code.exit_code == 0
    assert by_code.stdout.startswith(f"{code} {entry.name} ({entry.severity.word})\n\n")
    assert "\nWhat it finds\n" in by_code.stdout
    assert "## " not in by_code.stdout
    for spelling in (code.lower(), entry.name, entry.name.upper()):
        assert run(spelling).stdout == by_code.stdout


def test_without_a_name_it_lists_all() -> None:
    result = run()
    assert result.exit_code == 0
    rows = [line.split(maxsplit=3) for line in result.stdout.splitlines()]
    assert [row[:3] for row in rows] == [[c.code, c.name, c.severity.word] for c in CODES.values()]
    assert all(len(row) == 4 for row in rows), "each with a line on what it is"


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("gpa", "did you mean gap?"),
        ("unguarded-limt", "did you mean unguarded-limit?"),
        ("unguarded_limit", "did you mean unguarded-limit?"),
        ("zzzzzz", "alertlang explain lists them all"),
        ("[psi]", "there is no check [psi]"),
    ],
)
def test_unknown_name_gets_the_nearest(name: str, hint: str) -> None:
    result = run(name)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert f"there is no check {name}: " in result.stderr
    assert hint in result.stderr


@pytest.mark.parametrize("name", ["AL190", "al190", "not-supported-yet"])
def test_a_code_of_the_past_says_what_became_of_it(name: str) -> None:
    result = run(name)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "AL190 not-supported-yet is not given any more: displays" in result.stderr


@pytest.mark.parametrize("code", CODES)
def test_prose_fits_the_terminal(code: str) -> None:
    """Only files and tables are shown as they are written."""
    prose = [line for line in run(code).stdout.splitlines() if not line.startswith(("    ", "|"))]
    assert max(map(len, prose)) <= 80
