"""`alertlang readback`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from alertlang.api.rules import WORK_LIMIT, NameOrFileError, UnreadableError
from alertlang.cli.common import Output, OutputFormat, SearchPath, WorkLimit, read, renamed, stop, unreadable, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.output.style import write
from alertlang.text.write_file import reason, write_whole


def command(
    record: Annotated[Path, typer.Argument(metavar="SHEET", help="The .csv of the sheet as it was filled in.")],
    file: Annotated[str, typer.Argument(metavar="RULES", help="The rule set that the box is to hold (.alert).")],
    output: Output = OutputFormat.TEXT,
    rebuild: Annotated[
        Path | None,
        typer.Option(
            "-o", "--out", metavar="FILE", help="Write what the box holds as a rule set (.alert).", show_default=False
        ),
    ] = None,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Also if the sheet is of other rules; then by meaning alone.")
    ] = False,
    work_limit: WorkLimit = None,
    path: SearchPath = None,
    old_name: Annotated[str | None, renamed("--rebuild")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Holds the installer's record of what the box now holds against the rules, line by line and by meaning.
    Ends with code 1 if anything differs or was not confirmed."""
    if rebuild is not None and rebuild.suffix.lower() != ".alert":
        raise typer.BadParameter("its name must end with .alert", param_hint="-o")
    try:
        rules = read(file, path or ())
    except UnreadableError as problem:
        unreadable(problem.findings, apart=False)
        raise typer.Exit(2) from None
    if rules.kind != "rules":
        stop(f"{file} is a profile, which shows nothing: name a rule set (.alert)")
    from alertlang.api.papers import RecordError, held_rules
    from alertlang.output.readback import readback_lines

    try:
        found, text = held_rules(rules, record, anyway=anyway, work_limit=work_limit or WORK_LIMIT)
    except NameOrFileError as problem:
        stop(problem)
    except RecordError as problem:
        stop(f"{record}: {problem}: {problem.way_out}")
    if rebuild is not None and text is not None:
        try:
            write_whole(rebuild, text.encode("utf-8"))
        except OSError as problem:
            stop(f"{rebuild} cannot be written: {reason(problem)}")
    if output is OutputFormat.JSON:
        sys.stdout.write(found.to_json() + "\n")
    else:
        write(readback_lines(found, width()))
        if rebuild is not None:
            done = "no rules could be made, so it was not written" if text is None else "written"
            typer.echo(f"{rebuild}: {done}")
    raise typer.Exit(0 if found.good else 1)
