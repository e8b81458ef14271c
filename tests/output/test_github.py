"""`check --output github`: workflow commands.

Source: the page "Workflow commands for GitHub Actions" for their form, and for the escapes `command.ts` of the package
@actions/core: `%`, CR and LF in a message, in a property `:` and `,` too.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.cli.app import app

HEAD = 'rules "case" version 1\nsource S common practice\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
MANY = (
    HEAD
    + """rpm below 2000 is
  green
rpm above 2100 is yellow with warning "100% :, ::error::"
condition fast means rpm above 2000
wrong: prove rpm above 2200 is red
empty: prove when rpm below 0 then rpm above 2200 is red
"""
)
COMMAND = re.compile(r"::(error|warning|notice) ([^:]*)::(.*)", re.DOTALL)


@pytest.fixture(autouse=True)
def in_tmp(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def unescaped(text: str, *, in_property: bool) -> str:
    """As the runner does it: `%25` last, else `%250A` would become a line end."""
    pairs = [("%0D", "\r"), ("%0A", "\n"), *([("%3A", ":"), ("%2C", ",")] if in_property else []), ("%25", "%")]
    for escape, letter in pairs:
        text = text.replace(escape, letter)
    return text


def commands(text: str) -> list[tuple[str, dict[str, str], str]]:
    found = []
    for line in text.split("\n")[:-1]:
        match = COMMAND.fullmatch(line)
        if match is None:
            assert re.fullmatch(r"alertlang: [a-z0-9 ,;]*", line), line
            continue
        parts = [part.partition("=") for part in match[2].split(",")]
        properties = {key: unescaped(value, in_property=True) for key, _, value in parts}
        found.append((match[1], properties, unescaped(match[3], in_property=False)))
    return found


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(app, ["check", *words, "--no-config"])
    return result.exit_code, result.stdout


def test_one_command_for_each_finding_and_failed_claim() -> None:
    Path("a.alert").write_text(MANY, encoding="utf-8")
    code, text = run("a.alert", "--output", "github")
    assert code == 1
    found = commands(text)
    report = json.loads(run("a.alert", "--output", "json")[1])
    words = {"error": "error", "warning": "warning", "note": "notice"}
    wanted = [(words[f["severity"]], f"{f['code']} {f['name']}", f["where"]["line"]) for f in report["findings"]]
    wanted += [("error", "refuted claim wrong", 8), ("warning", "vacuous claim empty", 9)]
    assert [(command, p["title"], int(p["line"])) for command, p, _ in found] == wanted
    for (_, properties, message), one in zip(found, report["findings"], strict=False):
        assert properties["file"] == "a.alert"
        assert message.startswith(one["message"])
    assert text.endswith("\nalertlang: 2 errors, 1 warning, 1 note, 0 accepted, 0 known; 0 of 2 claims proved\n")


def test_places_end_where_they_end() -> None:
    Path("a.alert").write_text(MANY, encoding="utf-8")
    found = {p["title"]: p for _, p, _ in commands(run("a.alert", "--output", "github")[1])}
    gap = found["AL201 gap"]
    # Over two lines there is no end column: it would be taken for one of the first line.
    assert (gap["line"], gap["endLine"]) == ("4", "5")
    assert "endColumn" not in gap
    unused = found["AL403 unused"]
    assert (unused["line"], unused["endLine"], unused["col"], unused["endColumn"]) == ("7", "7", "1", "36")


def test_nothing_in_a_file_can_be_a_command(in_tmp: Path) -> None:
    name = "x,\n::error::y:%0A.alert"
    Path(name).write_text(MANY, encoding="utf-8")
    code, text = run(name, "a\n::stop-commands::b.alert", "--output", "github")
    assert code == 2
    files = {properties["file"] for _, properties, _ in commands(text)}
    assert files == {name, "a\n::stop-commands::b.alert"}
    assert '100% :, ::error::"' in " ".join(message for _, _, message in commands(text))
    assert text.count("\nalertlang: a file could not be read and was not checked\n") == 1


def test_nothing_in_a_file_steers_a_terminal(in_tmp: Path) -> None:
    """In a comment, a text or the name of a file; in text and as commands."""
    name = "x\x1b[2J\u202eb.alert"
    text = MANY + '# \x1b]0;title\x07 \x9b31m\naccept gap on rpm because "so\x1b[31m"\nrpm above \x1b[1m is red\n'
    Path(name).write_text(text, encoding="utf-8")
    for words in (["--output", "github"], ["--output", "text"], []):
        _, said = run(name, "no\n\x1b[2Jne.alert", *words)
        assert not set(said) & {chr(one) for one in (*range(10), *range(11, 32), 127, *range(128, 160), 0x202E)}, words
        assert "\\x1b[2J" in said
        assert "\n\\x1b[2Jne" not in said, "no name begins a line"


def test_what_was_accepted_is_a_notice() -> None:
    text = MANY + 'accept gap on rpm because "100%: seen"\n'
    Path("a.alert").write_text(text, encoding="utf-8")
    found = commands(run("a.alert", "--output", "github")[1])
    [accepted] = [one for one in found if one[1]["title"] == "AL201 gap (accepted)"]
    assert accepted[0] == "notice"
    assert accepted[2].endswith("\naccepted: 100%: seen")


def test_absolute_paths_are_told_from_the_working_folder(in_tmp: Path) -> None:
    Path("a.alert").write_text(MANY, encoding="utf-8")
    _, text = run(str(in_tmp / "a.alert"), "--output", "github")
    assert {properties["file"] for _, properties, _ in commands(text)} == {"a.alert"}
    assert str(in_tmp) not in text


def test_known_findings_are_counted_and_not_shown() -> None:
    Path("a.alert").write_text(MANY, encoding="utf-8")
    run("a.alert", "--write-baseline", "known.json")
    code, text = run("a.alert", "--baseline", "known.json", "--output", "github")
    assert code == 1, "a claim is refuted"
    titles = [properties["title"] for _, properties, _ in commands(text)]
    assert titles == ["refuted claim wrong", "vacuous claim empty", "alertlang"]
    assert "0 accepted, 4 known;" in text
