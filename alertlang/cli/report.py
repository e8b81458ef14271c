"""`alertlang report`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli.common import SearchPath, Today, WorkLimit, renamed, stop, usable_date
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.pilot_card import Paper, PaperSize
from alertlang.cli.vetted import rule_set
from alertlang.text.write_file import reason, write_whole


def command(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A rule file (.alert); - reads standard input.")],
    target: Annotated[Path, typer.Option("-o", "--out", metavar="FILE", help="The .html or .pdf to write.")],
    library: Annotated[
        Path | None,
        typer.Option(
            "--library",
            metavar="DIR",
            help="A library to ask which of the shop's reviewers approve it.",
            show_default=False,
        ),
    ] = None,
    paper: PaperSize = Paper.A4,
    path: SearchPath = None,
    today: Today = None,
    work_limit: WorkLimit = None,
    old_name: Annotated[str | None, renamed("--target")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """The review record: findings and accepted exceptions, claims with verdict and assumptions, every limit with what
    guards it and how soon, advice from published rules, pictures, which reviewers of the shop approve it, versions, the
    rules with their sources. Ends with code 1 if errors are open."""
    form = target.suffix.lower()
    if form not in (".html", ".pdf"):
        raise typer.BadParameter("its name must end with .html or .pdf", param_hint="-o")
    ruleset = rule_set(file, path or ())
    from alertlang.api.library import LibraryError
    from alertlang.api.papers import review_record

    try:
        made = review_record(
            ruleset,
            form.removeprefix("."),
            library=library,
            today=usable_date(today),
            work_limit=work_limit,
            paper=paper.size,
        )
    except LibraryError as problem:
        stop(problem)
    try:
        write_whole(target, made.data)
    except OSError as problem:
        stop(f"{target} cannot be written: {reason(problem)}")
    typer.echo(f"wrote {target}: {made.about}")
    if made.open_errors:
        raise typer.Exit(1)
