"""`alertlang show`."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from alertlang.api.rules import NameOrFileError, Rules
from alertlang.cli.common import Force, RuleFile, SearchPath, done, option, out, renamed, save, stop, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.rule_sets import rule_set
from alertlang.output.style import Line, write
from alertlang.output.text import caution_lines

# What is not asked for is not imported.
if TYPE_CHECKING:
    from alertlang.api import Gauge, OperatingMap

_ENDINGS = ("svg", "pdf", "png")


def command(
    file: RuleFile,
    name: Annotated[
        str | None,
        typer.Argument(
            metavar="GAUGE", help="A quantity, or an element as cht[2]; none: every gauge.", show_default=False
        ),
    ] = None,
    over: Annotated[
        str | None,
        typer.Argument(metavar="OVER", help="A second reading: a map of the gauge over it.", show_default=False),
    ] = None,
    at: Annotated[
        list[str] | None,
        option(
            "--at",
            "WHAT",
            'What is held still in a map: "oil_temp 60 F", "flaps landing", cold, "not cold". May be given again.',
        ),
    ] = None,
    picture: Annotated[Path | None, out("Draw it: .svg, .pdf or .png.")] = None,
    path: SearchPath = None,
    force: Force = False,
    old_name: Annotated[str | None, renamed("--picture")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """What the gauges show: each as a strip in every context that makes a difference, or one gauge as a map over a
    second reading. The regions are exact; edges of limits are drawn over them, and what a check has found."""
    if picture is not None and (name is None or picture.suffix.lower().removeprefix(".") not in _ENDINGS):
        wrong = "name the gauge to draw" if name is None else "its name must end with .svg, .pdf or .png"
        raise typer.BadParameter(wrong, param_hint="-o")
    if at and over is None:
        raise typer.BadParameter("only a map of two readings holds others still", param_hint="--at")
    ruleset = rule_set(file, path or ())
    from alertlang.api.papers import draw, gauge_lines, show_gauges, show_map

    try:
        found: list[Gauge | OperatingMap] = (
            [show_map(ruleset, name, over, at=at or ())]
            if over is not None and name is not None
            else list(show_gauges(ruleset, name))
        )
    except NameOrFileError as problem:
        stop(problem)
    if picture is not None:
        save(picture, draw(ruleset, found[0], picture.suffix.lower()[1:]), force=force)
        done(f"drew {picture}")
        return
    for index, one in enumerate(found):
        write([*([[]] if index else []), *gauge_lines(one, width())])
    if name is None:
        write(_not_drawn(ruleset))
    write([[], *caution_lines(width())])


def _not_drawn(rules: Rules) -> list[Line]:
    """What has bands and no strip, for it does not move by itself; or that nothing has any."""
    names = rules.coloured
    if not names:
        return [[], [("", "nothing is drawn: no quantity has a band (name one to see it without colours)")]]
    computed = [name for name in names if rules.model.quantities[name].is_computed]
    said = f"not drawn, for they are worked out from other readings: {', '.join(computed)}"
    return [[], *([("", line)] for line in textwrap.wrap(said, width()))] if computed else []
