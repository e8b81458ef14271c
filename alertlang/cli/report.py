"""`alertlang report`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli import common
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.rule_sets import rule_set


def command(
    file: common.RuleFile,
    target: Annotated[Path, common.out("The .html or .pdf to write.")],
    library: Annotated[
        Path | None, common.option("--library", "DIR", "A library to ask which of the shop's reviewers approve it.")
    ] = None,
    paper: common.PaperSize = common.Paper.A4,
    path: common.SearchPath = None,
    today: common.Today = None,
    work_limit: common.WorkLimit = None,
    force: common.Force = False,
    old_name: Annotated[str | None, common.renamed("--target")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """The review record: findings and accepted exceptions, claims with verdict and assumptions, every limit with what
    guards it and how soon, advice from published rules, pictures, which reviewers of the shop approve it, versions, the
    rules with their sources. Ends with code 1 if errors are open."""
    form = common.ending(target, "html", "pdf")
    ruleset = rule_set(file, path or ())
    from alertlang.api.library import LibraryError
    from alertlang.api.papers import review_record

    try:
        made = review_record(
            ruleset,
            form,
            library=library,
            today=common.usable_date(today),
            work_limit=work_limit,
            paper=paper.size,
        )
    except LibraryError as problem:
        common.stop(problem)
    common.save(target, made.data, force=force)
    common.done(f"wrote {target}: {made.about}")
    if made.open_errors:
        raise typer.Exit(1)
