"""`alertlang columns`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli.common import Force, SearchPath, done, option, out, renamed, save, stop, usable, writable

Log = Annotated[Path, typer.Argument(metavar="LOG", help="A recorded run: CSV (also compressed) or Parquet.")]
Rules = Annotated[str, typer.Option("--rules", metavar="RULES", help="The rules whose quantities are to be fed.")]
MapFile = Annotated[Path | None, out("Write the map to this file, in place of printing.")]
Heading = Annotated[
    int | None,
    option("--heading", "N", "The line with the names, counted from 1, where its shape does not show it.", min=1),
]


def command(
    log: Log,
    rules: Rules,
    heading: Heading = None,
    output: MapFile = None,
    force: Force = False,
    path: SearchPath = None,
    old_name: Annotated[str | None, renamed("--output")] = None,
) -> None:
    """Propose a column map for a log: which column feeds which quantity, in which unit, how sure that is and why."""
    writable(output, force=force)
    from alertlang.api.runs import LogError, propose_columns

    read = usable(rules, path or [], "nothing was proposed")
    try:
        text = propose_columns(read, log, heading=heading)
    except LogError as problem:
        stop(problem)
    if output is None:
        sys.stdout.write(text)
        return
    save(output, text.encode("utf-8"), force=force)
    done(f"{output} written. Read every line of it: a wrong unit makes wrong alerts.")
