"""What the commands share: reading what is named on the command line, and how they end."""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Iterable
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from alertlang.findings.codes import Severity
from alertlang.model.display import Display, LoadedDisplay, load_display
from alertlang.model.files import shipped_displays, shown_path
from alertlang.model.load import Loaded, load_any, load_ruleset, parse_any, parse_ruleset
from alertlang.output.style import write
from alertlang.output.text import finding_lines
from alertlang.results.report import Report
from alertlang.text.suggest import nearest


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


def read(name: str, search: Iterable[Path]) -> Loaded:
    """The file of a name on the command line."""
    folders = tuple(search)
    if name == "-":
        return parse_ruleset(sys.stdin.buffer.read(), shown="<standard input>", folder=Path(), search=folders)
    return load_ruleset(Path(name), shown=name, search=folders)


def read_any(name: str, search: Iterable[Path]) -> Loaded | LoadedDisplay:
    """The same where a display may be named, too."""
    folders = tuple(search)
    if name == "-":
        return parse_any(sys.stdin.buffer.read(), shown="<standard input>", folder=Path(), search=folders)
    return load_any(Path(name), shown=name, search=folders)


def read_display(name: str) -> Display:
    """The display of a name on the command line: a shipped one, or a file. What is wrong with it goes to standard
    error, and the command ends with code 2."""
    shipped = shipped_displays()
    found = shipped.get(name) if not Path(name).exists() else None
    if found is None and not Path(name).exists() and Path(name).suffix != ".display":
        close = nearest(name, list(shipped))
        meant = f"did you mean {close}?" if close else f"shipped are {', '.join(shipped)}; or name a .display file"
        raise typer.BadParameter(f"there is no display {name}: {meant}", param_hint="DISPLAY")
    loaded = load_display(found or Path(name), shown=name if found is None else shown_path(found))
    if loaded.display is None:
        for one in loaded.findings:
            write(finding_lines(one, width()), sys.stderr)
        raise typer.Exit(2)
    return loaded.display


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
