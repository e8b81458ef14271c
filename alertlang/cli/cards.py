"""`alertlang cards`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from alertlang.cli import common
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.rule_sets import clean_rule_set, rule_set
from alertlang.output.style import write
from alertlang.output.text import caution_lines

# What is not asked for is not imported.
if TYPE_CHECKING:
    from alertlang.api import Card


def command(
    file: common.RuleFile,
    target: Annotated[Path | None, common.out("The .html, .pdf or .csv to write.")] = None,
    paper: common.PaperSize = common.Paper.A4,
    results: Annotated[
        Path | None,
        common.option(
            "--results",
            "RESULTS",
            "The CSV of the card, filled in: says what was missed or failed. Ends with 1 then.",
        ),
    ] = None,
    path: common.SearchPath = None,
    force: common.Force = False,
    old_name: Annotated[str | None, common.renamed("--target")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """The ground-test card: few steps that show every edge from both sides, every alert with its delay, every context
    and every failed sensor, each with what must be seen. What comes back is read with --results."""
    if target is not None and results is not None:
        raise typer.BadParameter("a card is written, or results are read, not both", param_hint="--results")
    form = "" if target is None else common.ending(target, "html", "pdf", "csv")
    common.writable(target, force=force)
    # Results of a card that was made and worked through are read whatever becomes of the rules.
    ruleset = rule_set(file, path or ()) if results is not None else clean_rule_set(file, path or (), "card")
    from alertlang.api.papers import card_file, card_lines, cards

    made = cards(ruleset)
    if results is not None:
        _judge(made, results)
    elif target is not None:
        file_made = card_file(made, form, paper=paper.size)
        common.save(target, file_made.data, force=force)
        common.done(f"wrote {target}: {file_made.about}")
    else:
        for line in card_lines(made, common.width()):
            typer.echo(line)
        write([[], *caution_lines(common.width())])


def _judge(card: Card, name: Path) -> None:
    from alertlang.api.papers import ResultsError, card_results
    from alertlang.api.rules import NameOrFileError
    from alertlang.output.cards import result_lines

    try:
        found = card_results(card, name)
    except NameOrFileError as problem:
        common.stop(problem)
    except ResultsError as problem:
        common.stop(f"{name}: {problem}")
    lines = sum(len(step.expected) for step in card.steps)
    write(result_lines(found, lines, str(name), common.width()))
    if found:
        raise typer.Exit(1)
