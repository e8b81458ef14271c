"""`alertlang pilot-card`."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli.common import Force, Paper, PaperSize, RuleFile, SearchPath, done, ending, out, renamed, save, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.rule_sets import clean_rule_set


def command(
    file: RuleFile,
    target: Annotated[Path, out("The .pdf to write.")],
    paper: PaperSize = Paper.A4,
    path: SearchPath = None,
    force: Force = False,
    old_name: Annotated[str | None, renamed("--target")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """The card that goes to the pilot, one page if it can be read so: every alert by level with what it means and at
    which values, time limits, computed values, contexts in words, lamps. It reads well without colour."""
    ending(target, "pdf")
    ruleset = clean_rule_set(file, path or (), "card")
    from alertlang.api.papers import pilot_card

    made = pilot_card(ruleset, paper=paper.size)
    save(target, made.data, force=force)
    done(f"wrote {target}")
    if made.pages > 1:
        # Nothing was left out and nothing made too small to be read: whoever prints it must know that it is several.
        said = f"note: the card has {made.pages} pages, for it does not fit on one in type that can be read"
        for line in textwrap.wrap(said, width()):
            typer.echo(line)
