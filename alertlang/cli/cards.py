"""`alertlang cards`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from alertlang.cli.common import SearchPath, renamed, stop, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.pilot_card import Paper, PaperSize
from alertlang.cli.vetted import clean_rule_set, rule_set
from alertlang.output.style import write
from alertlang.output.text import caution_lines
from alertlang.text.write_file import reason, refusal, write_whole

# What is not asked for is not imported.
if TYPE_CHECKING:
    from alertlang.api import Card

_ENDINGS = (".html", ".pdf", ".csv")


def command(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A rule file (.alert); - reads standard input.")],
    target: Annotated[
        Path | None,
        typer.Option("-o", "--out", metavar="FILE", help="The .html, .pdf or .csv to write.", show_default=False),
    ] = None,
    paper: PaperSize = Paper.A4,
    results: Annotated[
        Path | None,
        typer.Option(
            "--results",
            metavar="RESULTS",
            help="The CSV of the card, filled in: says what was missed or failed. Ends with 1 then.",
            show_default=False,
        ),
    ] = None,
    path: SearchPath = None,
    old_name: Annotated[str | None, renamed("--target")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """The ground-test card: few steps that show every edge from both sides, every alert with its delay, every context
    and every failed sensor, each with what must be seen. What comes back is read with --results."""
    if target is not None and results is not None:
        raise typer.BadParameter("a card is written, or results are read, not both", param_hint="--results")
    if target is not None and target.suffix.lower() not in _ENDINGS:
        raise typer.BadParameter("its name must end with .html, .pdf or .csv", param_hint="-o")
    why = refusal(target) if target is not None else None
    if why is not None:
        stop(f"{target} cannot be written: {why}")
    # Results of a card that was made and worked through are read whatever becomes of the rules.
    ruleset = rule_set(file, path or ()) if results is not None else clean_rule_set(file, path or (), "card")
    from alertlang.api.papers import cards

    made = cards(ruleset)
    if results is not None:
        _judge(made, results)
    elif target is not None:
        _save(made, target, paper.size)
    else:
        _say(made)


def _say(card: Card) -> None:
    from alertlang.api.papers import card_lines

    for line in card_lines(card, width()):
        typer.echo(line)
    write([[], *caution_lines(width())])


def _save(card: Card, out: Path, size: str) -> None:
    from alertlang.api.papers import card_file

    made = card_file(card, out.suffix.lower().removeprefix("."), paper=size)
    try:
        write_whole(out, made.data)
    except OSError as problem:
        stop(f"{out} cannot be written: {reason(problem)}")
    typer.echo(f"wrote {out}: {made.about}")


def _judge(card: Card, name: Path) -> None:
    from alertlang.api.papers import ResultsError, card_results
    from alertlang.api.rules import NameOrFileError
    from alertlang.output.cards import result_lines

    try:
        found = card_results(card, name)
    except NameOrFileError as problem:
        stop(problem)
    except ResultsError as problem:
        stop(f"{name}: {problem}")
    lines = sum(len(step.expected) for step in card.steps)
    write(result_lines(found, lines, str(name), width()))
    if found:
        raise typer.Exit(1)
