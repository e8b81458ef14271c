"""`alertlang columns`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli.common import SearchPath, read, width
from alertlang.output.style import write
from alertlang.output.text import finding_lines
from alertlang.text.write_file import reason, refusal, write_whole

Log = Annotated[Path, typer.Argument(metavar="LOG", help="A recorded run: CSV or Parquet.")]
Rules = Annotated[str, typer.Option("--rules", metavar="RULES", help="The rules whose quantities are to be fed.")]
MapFile = Annotated[
    Path | None,
    typer.Option(
        "--output", metavar="MAP", help="Write the map to this file, in place of printing.", show_default=False
    ),
]


Force = Annotated[bool, typer.Option("--force", help="Write over a map that is there already.")]


def command(log: Log, rules: Rules, output: MapFile = None, force: Force = False, path: SearchPath = None) -> None:
    """Propose a column map for a log: which column feeds which quantity, in which unit, how sure that is and why."""
    if output is not None and output.is_file() and not force:
        sys.stderr.write(
            f"alertlang: {output} is there already and may have been corrected by hand: "
            "name another file, or say --force\n"
        )
        raise typer.Exit(2)
    why = None if output is None else refusal(output)
    if why is not None:
        sys.stderr.write(f"alertlang: {output} cannot be written: {why}\n")
        raise typer.Exit(2)
    from alertlang.logs.log_error import LogError
    from alertlang.logs.propose import propose
    from alertlang.replay.wanted import wanted_of

    loaded = read(rules, path or [])
    if loaded.ruleset is None:
        for one in loaded.findings:
            write([*finding_lines(one, width()), []], sys.stderr)
        sys.stderr.write(f"alertlang: {rules} could not be read, and nothing was proposed\n")
        raise typer.Exit(2)
    try:
        text = propose(log, wanted_of(loaded.ruleset), str(log))
    except LogError as problem:
        sys.stderr.write(f"alertlang: {problem}\n")
        raise typer.Exit(2) from None
    if output is None:
        sys.stdout.write(text)
        return
    try:
        write_whole(output, text.encode("utf-8"))
    except OSError as problem:
        sys.stderr.write(f"alertlang: {output} cannot be written: {reason(problem)}\n")
        raise typer.Exit(2) from None
    sys.stdout.write(f"{output} written. Read every line of it: a wrong unit makes wrong alerts.\n")
