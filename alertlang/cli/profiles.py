"""`alertlang profiles list | show | check`."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from alertlang.api.rules import NameOrFileError, Report, Rules, UnreadableError, load, solver_version
from alertlang.api.shop import find_profile, profile_names, profile_sheet
from alertlang.cli import completion
from alertlang.cli.common import Fail, FailOn, Output, OutputFormat, SearchPath, exit_code, say, stop, unreadable, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.output.profile import MIX, compared, sheet_lines, status_mix
from alertlang.output.style import Line, wrapped, write
from alertlang.output.text import caution_lines, report_lines, table_lines

app = typer.Typer(help="The profiles that ship with the tool, and your own.", no_args_is_help=True)


@app.command("list")
def list_profiles() -> None:
    """The shipped profiles by name, each with how many of its numbers have which grade."""
    rows: list[tuple[str, ...]] = []
    for name, path in profile_names().items():
        try:
            sheet = profile_sheet(_load(name, []))
        except UnreadableError:
            rows.append((path.parent.name, name, *("",) * len(MIX), "", ""))
            continue
        about = sheet.about[0] if sheet.about else ""
        rows.append((path.parent.name, name, *status_mix(sheet), about, compared(sheet)))
    widths = tuple(max(len(row[at]) for row in rows) + 2 for at in range(2)) + tuple(
        max(len(row[at]) for row in rows) + 1 for at in range(2, 2 + len(MIX))
    )
    # What a profile is about stands under its name, whole: beside it there would be no room, and a cut text says less.
    lines: list[Line] = []
    for *cells, about, found in rows:
        lines += table_lines([tuple(cells)], widths)
        for text in (about, found):
            lines += wrapped("dim", text, width(), "    ", "    ")
    write(lines)
    write([[], *wrapped("dim", f"Numbers by grade: {', '.join(MIX)}.", width())])


@app.command("show")
def show(
    name: Annotated[
        str,
        typer.Argument(help="A shipped profile by name, or a .profile file.", autocompletion=completion.profile_names),
    ],
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Everything a profile says, with the source and status of every number."""
    try:
        sheet = profile_sheet(_load(name, path or []))
    except UnreadableError as problem:
        unreadable(problem.findings, apart=False)
        raise typer.Exit(2) from None
    say(sheet, output, lambda: [*sheet_lines(sheet, width()), *caution_lines(width())])


@app.command("check")
def check(
    names: Annotated[
        list[str] | None,
        typer.Argument(
            help="Profiles by name or file; none: all shipped ones.",
            show_default=False,
            autocompletion=completion.profile_names,
        ),
    ] = None,
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
    fail_on: Fail = FailOn.ERROR,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Check profiles by themselves: sensors that end before their limits, contexts that can never hold, and so on."""
    reports = []
    for name in names or list(profile_names()):
        report = _report(name, path or [])
        reports.append(report)
        say(report, output, partial(report_lines, report, solver_version(), width()))
    if output is OutputFormat.TEXT:
        write(caution_lines(width()))
    raise typer.Exit(exit_code(reports, fail_on))


def _file(name: str, search: list[Path]) -> tuple[Path, str | None]:
    try:
        return find_profile(name, search=search)
    except NameOrFileError as problem:
        stop(problem)


def _load(name: str, search: list[Path]) -> Rules:
    path, shown = _file(name, search)
    return load(path, shown=shown, search=search)


def _report(name: str, search: list[Path]) -> Report:
    path, shown = _file(name, search)
    try:
        return load(path, shown=shown, search=search).check()
    except UnreadableError as problem:
        if problem.report is None:
            raise
        return problem.report
