"""`alertlang sheet`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli.common import SearchPath, renamed, stop
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.pilot_card import Paper, PaperSize
from alertlang.cli.vetted import clean_rule_set
from alertlang.text.write_file import reason, write_whole

_ENDINGS = (".html", ".pdf", ".csv")


def command(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A rule file (.alert); - reads standard input.")],
    target: Annotated[Path, typer.Option("-o", "--out", metavar="FILE", help="The .html, .pdf or .csv to write.")],
    paper: PaperSize = Paper.A4,
    blank: Annotated[
        bool, typer.Option("--blank", help="In the .csv leave out all that is to be read off the box.")
    ] = False,
    path: SearchPath = None,
    old_name: Annotated[str | None, renamed("--target")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """What the installer keys in, line by line and gauge by gauge: edges in the unit of the display and whose they are,
    colours, texts, contexts, delays, wiring. The .csv is filled in and goes to `readback`."""
    ending = target.suffix.lower()
    if ending not in _ENDINGS:
        raise typer.BadParameter("its name must end with .html, .pdf or .csv", param_hint="-o")
    if blank and ending != ".csv":
        raise typer.BadParameter("only a .csv is filled in: leave it out, or write a .csv", param_hint="--blank")
    ruleset = clean_rule_set(file, path or (), "sheet")
    from alertlang.api.papers import sheet

    made = sheet(ruleset, ending.removeprefix("."), blank=blank, paper=paper.size)
    try:
        write_whole(target, made.data)
    except OSError as problem:
        stop(f"{target} cannot be written: {reason(problem)}")
    typer.echo(f"wrote {target}: {made.about}")
