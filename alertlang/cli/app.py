"""The commands, put together."""

from __future__ import annotations

from typing import Annotated, Any

import typer

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
    why,
)
from alertlang.text.version import __version__


class _ByUser(typer.core.TyperGroup):
    """Lists the commands in groups, by who uses them. Typer does so with rich alone; this is plain text."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        groups: dict[str, list[tuple[str, str]]] = {}
        room = formatter.width - 6 - max(map(len, self.commands))
        for name, command in self.commands.items():
            groups.setdefault(str(getattr(command, "rich_help_panel", "")), []).append(
                (name, command.get_short_help_str(room))
            )
        longest = max(map(len, self.commands))
        for title, rows in groups.items():
            with formatter.section(title):
                # Each section would have a width of its own.
                formatter.write_dl([(name.ljust(longest), said) for name, said in rows])


DESIGNER = "For the designer, who writes rules"
REVIEWER = "For the reviewer"
SHOP = "For the shop"
RUNS = "For recorded runs"

app = typer.Typer(
    name="alertlang",
    cls=_ByUser,
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


for title, commands in {
    DESIGNER: {
        "check": check,
        "explain": explain,
        "format": format,
        "show": show,
        "scenarios": scenarios,
        "why": why,
        "tour": tour,
    },
    REVIEWER: {"prove": prove, "compare": compare, "report": report},
    SHOP: {
        "profiles": profiles,
        "draft": draft,
        "fit": fit,
        "sheet": sheet,
        "readback": readback,
        "cards": cards,
        "pilot-card": pilot_card,
        "library": library,
    },
    RUNS: {"columns": columns, "replay": replay, "tune": tune, "fleet": fleet},
}.items():
    for name, module in commands.items():
        if hasattr(module, "app"):
            app.add_typer(module.app, name=name, rich_help_panel=title)
        else:
            app.command(name, rich_help_panel=title)(module.command)
