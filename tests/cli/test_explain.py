"""`alertlang explain`.

Source: the table of codes, of which every one must have its page; LANGUAGE.md, which has the words.
"""

from __future__ import annotations

import re

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app
from alertlang.findings.codes import CODES, FAMILIES
from alertlang.syntax.language import words


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


def test_without_a_name_it_lists_all_by_topic() -> None:
    result = run()
    assert result.exit_code == 0
    rows = [line.split(maxsplit=3) for line in result.stdout.splitlines() if line.startswith("  AL")]
    assert sorted(row[:3] for row in rows) == sorted([c.code, c.name, c.severity.word] for c in CODES.values())
    assert all(len(row) == 4 for row in rows), "each with a line on what it is"
    families = [row[0][:3] for row in rows]
    assert families == sorted(families, key=list(FAMILIES).index), "the checks of a family stand together"
    titles = [line for line in result.stdout.splitlines() if line and not line.startswith(" ")]
    topics = dict.fromkeys(word.topic for word in words().values() if word.topic)
    assert titles == [*FAMILIES.values(), *topics]
    listed = result.stdout.partition("\n\nFiles\n")[2]
    names = {" ".join(name.split()) for name in re.sub(r"^\S.*", ",", listed, flags=re.MULTILINE).split(",")}
    assert names - {""} == {word.name for word in words().values() if word.topic}


def test_a_word_is_explained_in_any_spelling() -> None:
    told = run("except", "for")
    assert told.exit_code == 0
    assert told.stdout.startswith("except for (Time)\n")
    assert "a violation only when it has lasted *longer* than D" in " ".join(told.stdout.split())
    assert "limit rpm at most 2550 rpm except for 5 min" in told.stdout
    for spelling in (["except for"], ["except-for"], ["EXCEPT_FOR"], [" Except", "For"]):
        assert run(*spelling).stdout == told.stdout


@pytest.mark.parametrize(
    "name", ["often-failed", "mostly-failed", "empty-cell", "unknown-position", "held-cell", "hold"]
)
def test_what_empty_cells_lead_to_names_the_hold_that_mends_them(name: str) -> None:
    told = run(name)
    assert told.exit_code == 0
    assert 'hold = "until changed"' in told.stdout
    assert 'hold = "2 s"' in told.stdout


@pytest.mark.parametrize("name", ["map", "column map", "columns", "switches", "inputs", "mark", "heading", "hold"])
def test_the_keys_of_a_column_map_are_explained(name: str) -> None:
    told = run(name)
    assert told.exit_code == 0
    assert told.stdout.startswith(f"{name} (What stands in a column map)\n")
    assert "```" not in told.stdout


def test_a_section_is_explained_by_its_heading() -> None:
    assert run("memory and delay").stdout.startswith("memory and delay\n\n    condition NAME means A until B\n")


def test_a_check_comes_before_a_word_and_may_be_written_with_blanks() -> None:
    assert run("lost", "guard").stdout == run("lost-guard").stdout
    assert run("late", "alert").stdout.startswith("AL303 late-alert (error)")


@pytest.mark.parametrize("name", sorted(words()))
def test_what_is_said_of_a_word_fits_the_terminal(name: str) -> None:
    result = run(name)
    assert result.exit_code == 0
    assert max(len(line) for line in result.stdout.splitlines() if not line.startswith("    ")) <= 80
    assert "](" not in result.stdout


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("gpa", "did you mean gap?"),
        ("unguarded-limt", "did you mean unguarded-limit?"),
        ("unguarded_limit", "did you mean unguarded-limit?"),
        ("zzzzzz", "alertlang explain lists them all"),
        ("untill", "did you mean until?"),
        ("hysterisis", "did you mean hysteresis?"),
        ("exept for", "did you mean except for?"),
        ("[psi]", "there is no check [psi]"),
    ],
)
def test_unknown_name_gets_the_nearest(name: str, hint: str) -> None:
    result = run(name)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert f"there is no check {name} and no such word: " in result.stderr
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
