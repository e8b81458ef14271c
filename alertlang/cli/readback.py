"""`alertlang readback`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from alertlang import __version__
from alertlang.cli.common import Output, OutputFormat, SearchPath, WorkLimit, read, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.output.style import write
from alertlang.output.text import finding_lines
from alertlang.text.write_file import reason, write_whole


def command(
    record: Annotated[Path, typer.Argument(metavar="SHEET", help="The .csv of the sheet as it was filled in.")],
    file: Annotated[str, typer.Argument(metavar="RULES", help="The rule set that the box is to hold (.alert).")],
    output: Output = OutputFormat.TEXT,
    rebuild: Annotated[
        Path | None,
        typer.Option(
            "--rebuild", metavar="FILE", help="Write what the box holds as a rule set (.alert).", show_default=False
        ),
    ] = None,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Also if the sheet is of other rules; then by meaning alone.")
    ] = False,
    work_limit: WorkLimit = None,
    path: SearchPath = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Holds the installer's record of what the box now holds against the rules, line by line and by meaning.
    Ends with code 1 if anything differs or was not confirmed."""
    if rebuild is not None and rebuild.suffix.lower() != ".alert":
        raise typer.BadParameter("its name must end with .alert", param_hint="--rebuild")
    loaded = read(file, path or ())
    if loaded.ruleset is None:
        for one in loaded.findings:
            write(finding_lines(one, width()), sys.stderr)
        raise typer.Exit(2)
    if loaded.ruleset.origin.kind != "rules":
        sys.stderr.write(f"alertlang: {file} is a profile, which shows nothing: name a rule set (.alert)\n")
        raise typer.Exit(2)
    try:
        data = record.read_bytes()
    except OSError as problem:
        sys.stderr.write(f"alertlang: {record} cannot be read: {reason(problem)}\n")
        raise typer.Exit(2) from None
    from alertlang.keying.csv_file import RecordError, read_record
    from alertlang.keying.readback import read_back
    from alertlang.library.identity import content_digest
    from alertlang.logic.solver import WORK_LIMIT, solver_version
    from alertlang.output.readback import readback_json, readback_lines

    try:
        found = read_back(
            loaded.ruleset,
            read_record(data),
            digest=content_digest(loaded.ruleset),
            record=str(record),
            anyway=anyway,
            work_limit=work_limit or WORK_LIMIT,
        )
    except RecordError as problem:
        sys.stderr.write(f"alertlang: {record}: {problem}: {problem.advice}\n")
        raise typer.Exit(2) from None
    if rebuild is not None and found.text is not None:
        try:
            write_whole(rebuild, found.text.encode("utf-8"))
        except OSError as problem:
            sys.stderr.write(f"alertlang: {rebuild} cannot be written: {reason(problem)}\n")
            raise typer.Exit(2) from None
    if output is OutputFormat.JSON:
        sys.stdout.write(readback_json(found.result, __version__, solver_version()) + "\n")
    else:
        write(readback_lines(found.result, width()))
        if rebuild is not None:
            done = "no rules could be made, so it was not written" if found.text is None else "written"
            typer.echo(f"{rebuild}: {done}")
    raise typer.Exit(0 if found.result.good else 1)
