"""What the commands share: reading what is named on the command line, and how they end."""

from __future__ import annotations

import os
import re
import shutil
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, NoReturn, Protocol, TextIO

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
from alertlang.output.style import Line, write
from alertlang.output.text import finding_lines
from alertlang.text.suggest import nearest
from alertlang.text.visible import visible
from alertlang.text.write_file import reason, refusal
from alertlang.text.write_file import save as save_file

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


class Paper(StrEnum):
    A4 = "a4"
    LETTER = "letter"

    @property
    def size(self) -> str:
        """What the typesetter calls it."""
        return "us-letter" if self is Paper.LETTER else "a4"


OUT = "-o/--out FILE"


def option(names: str, metavar: str | None, words: str, **more: Any) -> Any:
    """An option that may be left out, and then is nothing that could be shown."""
    return typer.Option(*names.split("/"), metavar=metavar, help=words, show_default=False, **more)


def out(words: str) -> Any:
    """The file that is written."""
    return option("-o/--out", "FILE", words)


def renamed(old: str, new: str = OUT) -> Any:
    """An option that has another name now: hidden, and refused with the new name. Its value is none."""

    def refuse(given: str | None) -> None:
        if given is not None:
            raise typer.BadParameter(f"it is called {new} now", param_hint=old)

    return typer.Option(old, hidden=True, callback=refuse)


Files = Annotated[
    list[str], typer.Argument(metavar="FILE", help="Rule files (.alert) or profiles; - reads standard input.")
]
RuleFile = Annotated[str, typer.Argument(metavar="FILE", help="A rule file (.alert); - reads standard input.")]
RulesFile = Annotated[str, typer.Argument(metavar="RULES", help="The rule file (.alert); - reads standard input.")]
Logs = Annotated[list[Path], typer.Argument(metavar="LOG", help="Recorded runs: CSV (also compressed) or Parquet.")]
SearchPath = Annotated[
    list[Path] | None, option("--path", None, "A folder to look in for what a file uses. May be given again.")
]
ForDisplay = Annotated[
    str | None,
    option(
        "--for",
        "DISPLAY",
        "Also check whether this display can hold the rules: a shipped one by name, or a .display file.",
    ),
]
Everything = Annotated[bool, typer.Option("--all", help="Tell everything, not the first screen alone.")]
Yardsticks = Annotated[
    bool, typer.Option("--metrics", help="Tell how much the rules nag, held against what was published for plants.")
]
Force = Annotated[
    bool,
    typer.Option("--force", help="Replace a file that is there, also one that was changed or that another tool made."),
]
PaperSize = Annotated[Paper, typer.Option("--paper", help="The size of a sheet of paper.")]
At = Annotated[str | None, option("--at", "TIME", "A moment of the log: 871s, 14.5min, 14:32:05 by its clock.")]
AlertAt = Annotated[
    str | None,
    option(
        "--alert", "NUMBER|TEXT", "Where an alert came up: by its number in the order of time, or the first of a text."
    ),
]
MarkAt = Annotated[int | None, option("--mark", "NUMBER", "At a mark of the pilot's, by its number.")]
Segment = Annotated[int | None, option("--segment", "NUMBER", "Of a log in which time runs backwards.")]
MapFile = Annotated[
    Path | None,
    option(
        "--map", "MAP", "Which column feeds which quantity (TOML). Without it columns named like quantities are taken."
    ),
]
AcceptLog = Annotated[
    list[str] | None,
    option(
        "--accept-log",
        "NAME",
        "A problem of the log that was looked at, and does not end with code 3: its kind, or kind:column. "
        "May be given again.",
    ),
]
Output = Annotated[OutputFormat, typer.Option("--output", help="How to say it.")]
CheckOutput = Annotated[
    CheckFormat,
    typer.Option("--output", help="How to say it. sarif: one log for all files; github: commands for a build there."),
]
Fail = Annotated[FailOn, typer.Option("--fail-on", help="End with code 1 from this severity on.")]
Today = Annotated[str | None, option("--today", None, "Today's date (YYYY-MM-DD), to end exceptions that have an end.")]
WorkLimit = Annotated[
    int | None,
    option(
        "--work-limit",
        None,
        "Work the solver may spend on one question, in its own measure. What it cannot decide is an error.",
        min=1,
    ),
]
BaselineFile = Annotated[
    Path | None,
    option(
        "--baseline",
        "FILE",
        "Findings in this file are known and do not count. Claims are never in it, nor is what was not decided.",
    ),
]
WriteBaseline = Annotated[
    Path | None,
    option(
        "--write-baseline",
        "FILE",
        "Write all that is found in the files named to a baseline. --baseline is not read then.",
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
            complain(f"{name} could not be read, and {otherwise}")
        raise typer.Exit(2) from None


def unreadable(findings: Iterable[Finding], *, apart: bool = True) -> None:
    """Says what cannot be read; `apart`: with an empty line after each."""
    for finding in findings:
        write([*finding_lines(finding, width()), *([[]] if apart else [])], sys.stderr)


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
    complain(why)
    raise typer.Exit(2)


def complain(why: object) -> None:
    """A message on standard error, on one line whatever names stand in it."""
    sys.stderr.write(f"alertlang: {visible(str(why))}\n")


def done(what: str, stream: TextIO | None = None) -> None:
    """Says that something was written, on one line."""
    (stream or sys.stdout).write(f"{visible(what)}\n")


def writable(path: Path | None, *, force: bool) -> None:
    """Ends the command with code 2 if a file that is asked for could not be written, or would take the place of one
    that is not to be replaced: to be asked before long work."""
    why = None if path is None else refusal(path, force=force)
    if why is not None:
        stop(f"{path} cannot be written: {why}")


def save(path: Path, data: bytes, *, force: bool) -> None:
    """Writes a file, all of it or nothing, and over nothing that somebody may want (`write_file`); a message and code 2
    if that cannot be done."""
    why = not_saved(path, data, force=force)
    if why is not None:
        stop(f"{path} cannot be written: {why}")


def not_saved(path: Path, data: bytes, *, force: bool, room: str | None = None) -> str | None:
    """The same; why it was not done, if that is so."""
    try:
        save_file(path, data, force=force, room=room)
    except OSError as problem:
        return reason(problem)
    return None


def ending(path: Path, *known: str, option: str = "-o") -> str:
    """How the name of a file to write ends, without the full stop; a usage error if that is no `known` ending."""
    found = path.suffix.lower().removeprefix(".")
    if found not in known:
        *others, last = (f".{text}" for text in known)
        listed = f"{', '.join(others)} or {last}" if others else last
        raise typer.BadParameter(f"its name must end with {listed}", param_hint=option)
    return found


class InJson(Protocol):
    def to_json(self) -> str: ...


def say(found: InJson, output: OutputFormat, lines: Callable[[], Iterable[Line]]) -> None:
    """A result in the format that was asked for."""
    if output is OutputFormat.JSON:
        sys.stdout.write(found.to_json() + "\n")
    else:
        write(lines())


# Seconds of work after which a terminal is told how far it is.
_LONG = 2.0


@contextmanager
def progress(what: str = "") -> Iterator[Callable[[str, float], None] | None]:
    """Says how far long work is, in words and as a share from 0 to 1, with the time left, on a line of a terminal
    that is written over; none where there is no terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(20),
        TextColumn("{task.fields[words]}", markup=False),
    )
    bar = Progress(*columns, TimeRemainingColumn(), console=Console(stderr=True), transient=True, refresh_per_second=4)
    task = bar.add_task(visible(what), total=1.0, words="")
    begin = time.monotonic() + _LONG

    def tell(words: str, share: float) -> None:
        bar.update(task, completed=share, words=words)
        if time.monotonic() > begin:
            bar.start()

    try:
        yield tell
    finally:
        bar.stop()


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


def accepted_log(names: list[str]) -> tuple[str, ...]:
    """Names of problems; a usage error for what no log is distrusted for."""
    from alertlang.api.runs import DISTRUST

    for kind in (name.partition(":")[0] for name in names):
        if kind not in DISTRUST:
            close = nearest(kind, DISTRUST)
            hint = f"did you mean {close}?" if close else f"there are {', '.join(DISTRUST)}"
            raise typer.BadParameter(f"no log is distrusted for {kind}: {hint}", param_hint="--accept-log")
    return tuple(names)


def one_moment(at: str | None, alert: str | None, mark: int | None) -> None:
    """A usage error unless one of them says which moment of a log is meant."""
    if sum(one is not None for one in (at, alert, mark)) != 1:
        raise typer.BadParameter("say one of --at, --alert and --mark")


def number_or_text(text: str | None) -> int | str | None:
    """An alert by its number, or by its text."""
    return int(text) if text is not None and text.isascii() and text.isdecimal() else text


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
