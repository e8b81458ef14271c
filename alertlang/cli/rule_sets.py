"""What a document is made of: a rule set, and for papers that leave the house one without open errors."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path

import typer

from alertlang.api.rules import Rules
from alertlang.cli.common import complain, done, stop, usable


def rule_set(file: str, search: Iterable[Path]) -> Rules:
    """The rule set of a name on the command line. What cannot be read, and a profile, which by itself shows nothing,
    ends the command with code 2."""
    rules = usable(file, search)
    if rules.kind != "rules":
        stop(f"{file} is a profile, which shows nothing: name a rule set (.alert)")
    return rules


def clean_rule_set(file: str, search: Iterable[Path], paper: str) -> Rules:
    """The same for a `paper` by which somebody installs, tests or flies: with open errors none is made, and the command
    ends with code 1."""
    rules = rule_set(file, search)
    counts = rules.open_errors
    if counts:
        complain(f"no {paper} is made of {file}, which is not checked clean:")
        for line in counts:
            done(f"  {line}", sys.stderr)
        done(f"alertlang check {file} says more", sys.stderr)
        raise typer.Exit(1)
    return rules
