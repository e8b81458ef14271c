"""`alertlang pilot-card`."""

from __future__ import annotations

import textwrap
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli.common import SearchPath, renamed, stop, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.vetted import clean_rule_set
from alertlang.text.write_file import reason, write_whole


class Paper(StrEnum):
    A4 = "a4"
    LETTER = "letter"

    @property
    def size(self) -> str:
        """What the typesetter calls it."""
        return "us-letter" if self is Paper.LETTER else "a4"


PaperSize = Annotated[Paper, typer.Option("--paper", help="The size of a sheet of paper.")]


def command(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A rule file (.alert); - reads standard input.")],
    target: Annotated[Path, typer.Option("-o", "--out", metavar="FILE", help="The .pdf to write.")],
    paper: PaperSize = Paper.A4,
    path: SearchPath = None,
    old_name: Annotated[str | None, renamed("--target")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """The card that goes to the pilot, one page if it can be read so: every alert by level with what it means and at
    which values, time limits, computed values, contexts in words, lamps. It reads well without colour."""
    if target.suffix.lower() != ".pdf":
        raise typer.BadParameter("its name must end with .pdf", param_hint="-o")
    ruleset = clean_rule_set(file, path or (), "card")
    from alertlang.api.papers import pilot_card

    made = pilot_card(ruleset, paper=paper.size)
    try:
        write_whole(target, made.data)
    except OSError as problem:
        stop(f"{target} cannot be written: {reason(problem)}")
    typer.echo(f"wrote {target}")
    if made.pages > 1:
        # Nothing was left out and nothing made too small to be read: whoever prints it must know that it is several.
        said = f"note: the card has {made.pages} pages, for it does not fit on one in type that can be read"
        for line in textwrap.wrap(said, width()):
            typer.echo(line)
