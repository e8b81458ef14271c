"""What the commands share: reading what is named on the command line, and how they end."""

from __future__ import annotations

import os
import re
import shutil
import sys
from collections.abc import Iterable
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, NoReturn

import typer

from alertlang.api.rules import (
    Display,
    Finding,
    NameOrFileError,
    Report,
    Rules,
    Severity,
    UnreadableError,
    load,
    load_display,
    loads,
)
from alertlang.output.style import write
from alertlang.output.text import finding_lines

STANDARD_INPUT = "<standard input>"


class OutputFormat(StrEnum):
    TEXT = "text"
    JSON = "json"


class CheckFormat(StrEnum):
    """What a check can be said in: some formats have no room for anything else."""

    TEXT = "text"
    JSON = "json"
    SARIF = "sarif"
    GITHUB = "github"


class FailOn(StrEnum):
    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"
    NEVER = "never"


OUT = "-o/--out FILE"


def renamed(old: str, new: str = OUT) -> Any:
    """An option that has another name now: hidden, and refused with the new name. Its value is none."""

    def refuse(given: str | None) -> None:
        if given is not None:
            raise typer.BadParameter(f"it is called {new} now", param_hint=old)

    return typer.Option(old, hidden=True, callback=refuse)


Files = Annotated[
    list[str], typer.Argument(metavar="FILE", help="Rule files (.alert) or profiles; - reads standard input.")
]
SearchPath = Annotated[
    list[Path] | None,
    typer.Option("--path", help="A folder to look in for what a file uses. May be given again.", show_default=False),
]
ForDisplay = Annotated[
    str | None,
    typer.Option(
        "--for",
        metavar="DISPLAY",
        help="Also check whether this display can hold the rules: a shipped one by name, or a .display file.",
        show_default=False,
    ),
]
Output = Annotated[OutputFormat, typer.Option("--output", help="How to say it.")]
CheckOutput = Annotated[
    CheckFormat,
    typer.Option("--output", help="How to say it. sarif: one log for all files; github: commands for a build there."),
]
Fail = Annotated[FailOn, typer.Option("--fail-on", help="End with code 1 from this severity on.")]
Today = Annotated[
    str | None,
    typer.Option("--today", help="Today's date (YYYY-MM-DD), to end exceptions that have an end.", show_default=False),
]
WorkLimit = Annotated[
    int | None,
    typer.Option(
        "--work-limit",
        min=1,
        help="Work the solver may spend on one question, in its own measure. What it cannot decide is an error.",
        show_default=False,
    ),
]
BaselineFile = Annotated[
    Path | None,
    typer.Option(
        "--baseline",
        metavar="FILE",
        help="Findings in this file are known and do not count. Claims are never in it, nor is what was not decided.",
        show_default=False,
    ),
]
WriteBaseline = Annotated[
    Path | None,
    typer.Option(
        "--write-baseline",
        metavar="FILE",
        help="Write all that is found in the files named to a baseline. --baseline is not read then.",
        show_default=False,
    ),
]
Fix = Annotated[
    bool,
    typer.Option(
        "--fix",
        help="Write proposals into the files, each only if it mends its finding in the whole and takes nothing away. "
        "Shows what was changed.",
    ),
]
Diff = Annotated[bool, typer.Option("--diff", help="Show what --fix would change, and change nothing.")]


def read(name: str, search: Iterable[Path]) -> Rules:
    """The rules of a name on the command line. UnreadableError if they cannot be read."""
    if name == "-":
        return loads(sys.stdin.buffer.read(), name=STANDARD_INPUT, search=search)
    return load(name, shown=name, search=search)


def usable(name: str, search: Iterable[Path], otherwise: str = "") -> Rules:
    """The same; what cannot be read is told, with what was not done for it, and ends the command with code 2."""
    try:
        return read(name, search)
    except UnreadableError as problem:
        unreadable(problem.findings)
        if otherwise:
            sys.stderr.write(f"alertlang: {name} could not be read, and {otherwise}\n")
        raise typer.Exit(2) from None


def unreadable(findings: Iterable[Finding], *, apart: bool = True) -> None:
    """Says what cannot be read; `apart`: with an empty line after each."""
    for one in findings:
        write([*finding_lines(one, width()), *([[]] if apart else [])], sys.stderr)


def read_display(name: str) -> Display:
    """The display of a name on the command line: a shipped one, or a file. What is wrong with it goes to standard
    error, and the command ends with code 2."""
    try:
        return load_display(name)
    except NameOrFileError as problem:
        raise typer.BadParameter(str(problem), param_hint="DISPLAY") from None
    except UnreadableError as problem:
        unreadable(problem.findings, apart=False)
        raise typer.Exit(2) from None


def stop(why: object) -> NoReturn:
    """Says why the command can do nothing, and ends it with code 2."""
    sys.stderr.write(f"alertlang: {why}\n")
    raise typer.Exit(2)


def usable_date(text: str | None) -> str | None:
    """A date as it was given; a usage error if it is none."""
    from datetime import date

    if text is None:
        return None
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
        try:
            date.fromisoformat(text)
        except ValueError:
            pass
        else:
            return text
    raise typer.BadParameter(f"{text!r} is not a date: write it as 2027-06-30", param_hint="--today")


def width() -> int:
    """Columns to fill: those of the terminal, 100 at most; 80 where there is none."""
    if not sys.stdout.isatty():
        return 80
    return max(60, min(100, shutil.get_terminal_size((80, 24)).columns))


def exit_code(reports: Iterable[Report], fail_on: FailOn) -> int:
    """2 if something could not be read, else 1 if something is as bad as `fail_on`, else 0."""
    listed = list(reports)
    if any(not report.readable for report in listed):
        return 2
    if fail_on is FailOn.NEVER:
        return 0
    threshold = Severity[fail_on.name]
    found = [report.worst() for report in listed]
    return 1 if any(worst is not None and worst >= threshold for worst in found) else 0


def cores() -> int:
    """Those this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
