"""The commands are listed by who uses them, and one thing has one option in all of them.

`--output FORMAT` is how something is printed, `-o/--out` where something is written.
"""

from __future__ import annotations

import subprocess
import sys

import pytest
import typer
from typer.testing import CliRunner

from alertlang.cli.app import app
from alertlang.text.resources import examples_dir

GROUPS = ("For the designer, who writes rules:", "For the reviewer:", "For the shop:", "For recorded runs:")


def test_help_lists_the_commands_by_who_uses_them() -> None:
    """Plain text of 80 columns, each command once."""
    program = [sys.executable, "-m", "alertlang", "--help"]
    said = subprocess.run(program, cwd=examples_dir().parent, capture_output=True, text=True, check=True).stdout
    lines = said.splitlines()
    assert tuple(line for line in lines if line.startswith("For ")) == GROUPS
    assert max(map(len, lines)) <= 80
    assert said.isascii()
    below = lines[lines.index(GROUPS[0]) :]
    listed = [line.split()[0] for line in below if line.startswith("  ")]
    assert sorted(listed) == sorted(typer.main.get_command(app).commands)  # type: ignore[attr-defined]
    assert {line.index(line.split()[1]) for line in below if line.startswith("  ")} == {14}


@pytest.mark.parametrize(
    ("words", "old", "new"),
    [
        ("cards rules.alert", "--target", "-o/--out FILE"),
        ("report rules.alert", "--target", "-o/--out FILE"),
        ("sheet rules.alert", "--target", "-o/--out FILE"),
        ("pilot-card rules.alert", "--target", "-o/--out FILE"),
        ("show rules.alert rpm", "--picture", "-o/--out FILE"),
        ("tune label rules.alert log.csv", "--picture", "-o/--out FILE"),
        ("draft continental-o-200-a", "--output", "-o/--out FILE"),
        ("columns log.csv --rules rules.alert", "--output", "-o/--out FILE"),
        ("replay rules.alert log.csv", "--page", "-o/--out FILE"),
        ("readback sheet.csv rules.alert", "--rebuild", "-o/--out FILE"),
        ("fleet rules.alert logs", "--results", "-o/--out FOLDER"),
        ("prove rules.alert", "--certificate", "--evidence FILE"),
    ],
)
def test_an_old_name_is_refused_with_the_new_one(words: str, old: str, new: str) -> None:
    result = CliRunner().invoke(app, [*words.split(), old, "file.html"])
    assert result.exit_code == 2
    assert f"Invalid value for {old}: it is called {new} now" in result.stderr
    assert f"{old} " not in CliRunner().invoke(app, [words.split()[0], "--help"]).stdout.replace("--output <", "")


def test_one_name_for_one_thing() -> None:
    """Whatever is printed in several ways says so with --output, whatever is written goes to -o/--out."""
    writing = 0
    for command in typer.main.get_command(app).commands.values():  # type: ignore[attr-defined]
        for option in command.params:
            if not getattr(option, "hidden", False) and {"-o", "--out"} & set(option.opts):
                assert option.opts == ["-o", "--out"], command.name
                writing += 1
        lines = CliRunner().invoke(app, [command.name, "--help"]).stdout.splitlines()
        printed = [line.split()[1] for line in lines if line.split()[:1] == ["--output"]]
        assert all(one.startswith("<text|json") for one in printed), command.name
    assert writing == 11
