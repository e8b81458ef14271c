"""The commands, put together."""

from __future__ import annotations

from typing import Annotated

import typer

from alertlang import __version__
from alertlang.cli import (
    cards,
    check,
    columns,
    compare,
    draft,
    explain,
    fit,
    fleet,
    format,
    library,
    pilot_card,
    profiles,
    prove,
    readback,
    replay,
    report,
    scenarios,
    sheet,
    show,
    tour,
    tune,
)

app = typer.Typer(
    name="alertlang",
    help="Rules for coloured bands and crew alerts of an aircraft, checked by proof.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"alertlang {__version__}")
        raise typer.Exit


@app.callback()
def _top(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and stop.")
    ] = False,
) -> None:
    """Rules for coloured bands and crew alerts of an aircraft, checked by proof."""


app.command("check")(check.command)
app.command("prove")(prove.command)
app.command("format")(format.command)
app.command("columns")(columns.command)
app.command("replay")(replay.command)
app.command("compare")(compare.command)
app.command("scenarios")(scenarios.command)
app.command("draft")(draft.command)
app.command("show")(show.command)
app.command("cards")(cards.command)
app.command("report")(report.command)
app.command("sheet")(sheet.command)
app.command("readback")(readback.command)
app.command("pilot-card")(pilot_card.command)
app.command("fleet")(fleet.command)
app.command("tune")(tune.command)
app.command("fit")(fit.command)
app.command("explain")(explain.command)
app.add_typer(profiles.app, name="profiles")
app.add_typer(library.app, name="library")
app.command("tour")(tour.command)
