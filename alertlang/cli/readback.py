"""`alertlang readback`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from alertlang.api.rules import WORK_LIMIT, NameOrFileError, UnreadableError
from alertlang.cli import common
from alertlang.cli.config import NoConfigOfPaths


def command(
    record: Annotated[Path, typer.Argument(metavar="SHEET", help="The .csv of the sheet as it was filled in.")],
    file: Annotated[str, typer.Argument(metavar="RULES", help="The rule set that the box is to hold (.alert).")],
    output: common.Output = common.OutputFormat.TEXT,
    rebuild: Annotated[Path | None, common.out("Write what the box holds as a rule set (.alert).")] = None,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Also if the sheet is of other rules; then by meaning alone.")
    ] = False,
    work_limit: common.WorkLimit = None,
    path: common.SearchPath = None,
    force: common.Force = False,
    old_name: Annotated[str | None, common.renamed("--rebuild")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Holds the installer's record of what the box now holds against the rules, line by line and by meaning.
    Ends with code 1 if anything differs or was not confirmed."""
    if rebuild is not None:
        common.ending(rebuild, "alert")
    try:
        rules = common.read(file, path or ())
    except UnreadableError as problem:
        common.unreadable(problem.findings, apart=False)
        raise typer.Exit(2) from None
    if rules.kind != "rules":
        common.stop(f"{file} is a profile, which shows nothing: name a rule set (.alert)")
    from alertlang.api.papers import RecordError, held_rules
    from alertlang.output.readback import readback_lines

    try:
        found, text = held_rules(rules, record, anyway=anyway, work_limit=work_limit or WORK_LIMIT)
    except NameOrFileError as problem:
        common.stop(problem)
    except RecordError as problem:
        common.stop(f"{record}: {problem}: {problem.way_out}")
    if rebuild is not None and text is not None:
        common.save(rebuild, text.encode("utf-8"), force=force)
    common.say(found, output, lambda: readback_lines(found, common.width()))
    if rebuild is not None and output is common.OutputFormat.TEXT:
        done = "no rules could be made, so it was not written" if text is None else "written"
        common.done(f"{rebuild}: {done}")
    raise typer.Exit(0 if found.good else 1)
