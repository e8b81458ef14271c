"""`alertlang sheet`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from alertlang import __version__
from alertlang.cli.common import SearchPath
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.pilot_card import Paper, PaperSize
from alertlang.cli.vetted import clean_rule_set
from alertlang.text.write_file import reason, write_whole

_ENDINGS = (".html", ".pdf", ".csv")


def command(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A rule file (.alert); - reads standard input.")],
    target: Annotated[Path, typer.Option("-o", "--target", metavar="FILE", help="The .html, .pdf or .csv to write.")],
    paper: PaperSize = Paper.A4,
    blank: Annotated[
        bool, typer.Option("--blank", help="In the .csv leave out all that is to be read off the box.")
    ] = False,
    path: SearchPath = None,
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
    from alertlang.keying.csv_file import sheet_csv
    from alertlang.keying.lines import sheet_of
    from alertlang.library.identity import content_digest

    sheet = sheet_of(ruleset, digest=content_digest(ruleset))
    if ending == ".csv":
        data = sheet_csv(sheet, blank=blank)
    else:
        from alertlang.documents.sheet_paper import sheet_data

        words = sheet_data(ruleset, sheet, tool=f"alertlang {__version__}")
        if ending == ".html":
            from alertlang.documents.html import page

            data = page("sheet.html.j2", words).encode("utf-8")
        else:
            from alertlang.documents.typeset import typeset

            data = typeset("sheet.typ", "sheet", words, paper=paper.size)[0]
    try:
        write_whole(target, data)
    except OSError as problem:
        sys.stderr.write(f"alertlang: {target} cannot be written: {reason(problem)}\n")
        raise typer.Exit(2) from None
    typer.echo(f"wrote {target}: {len(sheet.lines)} lines")
