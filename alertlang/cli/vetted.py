"""What a document is made of: a rule set, and for papers that leave the house one without open errors."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from alertlang.cli.common import read, width
from alertlang.output.style import write
from alertlang.output.text import finding_lines

# What is not asked for is not imported.
if TYPE_CHECKING:
    from alertlang.model.ruleset import RuleSet


def rule_set(file: str, search: Iterable[Path]) -> RuleSet:
    """The rule set of a name on the command line. What cannot be read, and a profile, which by itself shows nothing,
    ends the command with code 2."""
    loaded = read(file, search)
    if loaded.ruleset is None:
        for one in loaded.findings:
            write([*finding_lines(one, width()), []], sys.stderr)
        raise typer.Exit(2)
    if loaded.ruleset.origin.kind != "rules":
        sys.stderr.write(f"alertlang: {file} is a profile, which shows nothing: name a rule set (.alert)\n")
        raise typer.Exit(2)
    return loaded.ruleset


def clean_rule_set(file: str, search: Iterable[Path], paper: str) -> RuleSet:
    """The same for a `paper` by which somebody installs, tests or flies: with open errors none is made, and the command
    ends with code 1."""
    ruleset = rule_set(file, search)
    from alertlang.checks.run import run

    counts = run(ruleset).open_errors
    if counts:
        sys.stderr.write(f"alertlang: no {paper} is made of {file}, which is not checked clean:\n")
        for line in counts:
            sys.stderr.write(f"  {line}\n")
        sys.stderr.write(f"alertlang check {file} says more\n")
        raise typer.Exit(1)
    return ruleset
