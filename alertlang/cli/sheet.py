"""`alertlang sheet`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli.common import Force, Paper, PaperSize, RuleFile, SearchPath, done, ending, out, renamed, save
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.rule_sets import clean_rule_set


def command(
    file: RuleFile,
    target: Annotated[Path, out("The .html, .pdf or .csv to write.")],
    paper: PaperSize = Paper.A4,
    blank: Annotated[
        bool, typer.Option("--blank", help="In the .csv leave out all that is to be read off the box.")
    ] = False,
    path: SearchPath = None,
    force: Force = False,
    old_name: Annotated[str | None, renamed("--target")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """What the installer keys in, line by line and gauge by gauge: edges in the unit of the display and whose they are,
    colours, texts, contexts, delays, wiring. The .csv is filled in and goes to `readback`."""
    form = ending(target, "html", "pdf", "csv")
    if blank and form != "csv":
        raise typer.BadParameter("only a .csv is filled in: leave it out, or write a .csv", param_hint="--blank")
    ruleset = clean_rule_set(file, path or (), "sheet")
    from alertlang.api.papers import sheet

    made = sheet(ruleset, form, blank=blank, paper=paper.size)
    save(target, made.data, force=force)
    done(f"wrote {target}: {made.about}")
