"""`alertlang report`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from alertlang import __version__
from alertlang.cli.common import SearchPath, Today, WorkLimit, usable_date
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.pilot_card import Paper, PaperSize
from alertlang.cli.vetted import rule_set
from alertlang.text.write_file import reason, write_whole


def command(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A rule file (.alert); - reads standard input.")],
    target: Annotated[Path, typer.Option("-o", "--target", metavar="FILE", help="The .html or .pdf to write.")],
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
    no_config: NoConfigOfPaths = False,
) -> None:
    """The review record: findings and accepted exceptions, claims with verdict and assumptions, every limit with what
    guards it and how soon, advice from published rules, pictures, which reviewers of the shop approve it, versions, the
    rules with their sources. Ends with code 1 if errors are open."""
    form = target.suffix.lower()
    if form not in (".html", ".pdf"):
        raise typer.BadParameter("its name must end with .html or .pdf", param_hint="-o")
    ruleset = rule_set(file, path or ())
    from alertlang.documents.report import report_data
    from alertlang.library.identity import SHORT, content_digest
    from alertlang.logic.solver import solver_version

    data = report_data(
        ruleset,
        tool=f"alertlang {__version__}",
        solver=solver_version(),
        digest=content_digest(ruleset)[:SHORT],
        approvals=None if library is None else _approvals(library, ruleset.name),
        today=usable_date(today),
        work_limit=work_limit,
        outlines=form == ".pdf",
    )
    try:
        write_whole(target, _made(data, form, paper))
    except OSError as problem:
        sys.stderr.write(f"alertlang: {target} cannot be written: {reason(problem)}\n")
        raise typer.Exit(2) from None
    typer.echo(f"wrote {target}: {data['counts']}")
    if data["unclean"]:
        raise typer.Exit(1)


def _made(data: dict[str, Any], form: str, paper: Paper) -> bytes:
    if form == ".pdf":
        from alertlang.documents.typeset import typeset

        return typeset("report.typ", "report", data, paper=paper.size)[0]
    from alertlang.documents.html import page, picture

    for one in (*data["gauges"], *data["maps"]):
        one["picture"] = picture(one["svg"].encode("utf-8"))
    return page("report.html.j2", data).encode("utf-8")


def _approvals(library: Path, name: str) -> list[str]:
    from alertlang.library.errors import LibraryError
    from alertlang.library.verify import verify_one

    try:
        state = verify_one(library, name)
    except LibraryError as problem:
        sys.stderr.write(f"alertlang: {problem}\n")
        raise typer.Exit(2) from None
    return [f"{one.by}: {one.status}" + (f" ({one.why})" if one.why else "") for one in state.approvals]
