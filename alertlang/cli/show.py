"""`alertlang show`."""

from __future__ import annotations

import sys
import textwrap
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from alertlang.cli.common import SearchPath, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.vetted import rule_set
from alertlang.output.style import Line, write
from alertlang.output.text import caution_lines
from alertlang.text.suggest import nearest
from alertlang.text.write_file import reason, write_whole

# What is not asked for is not imported.
if TYPE_CHECKING:
    from alertlang.checks.context import Context
    from alertlang.gauges.operating_map import Axis
    from alertlang.gauges.states import Held
    from alertlang.model.ruleset import Formula, RuleSet

_ENDINGS = ("svg", "pdf", "png")


def command(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A rule file (.alert); - reads standard input.")],
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
        typer.Option(
            "--at",
            metavar="WHAT",
            help='What is held still in a map: "oil_temp 60 F", "flaps landing", cold, "not cold". May be given again.',
            show_default=False,
        ),
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option("-o", "--picture", metavar="FILE", help="Draw it: .svg, .pdf or .png.", show_default=False),
    ] = None,
    path: SearchPath = None,
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
    from alertlang.checks.context import Context

    context = Context(ruleset)
    if over is not None and name is not None:
        _map(context, _axis(ruleset, name), _axis(ruleset, over), _held(ruleset, at or []), picture)
    else:
        _strips(context, [_axis(ruleset, name)] if name is not None else _gauges(ruleset), picture)
        if name is None:
            write(_not_drawn(ruleset))
    if picture is None:
        write([[], *caution_lines(width())])


def _gauges(ruleset: RuleSet) -> list[Axis]:
    from alertlang.gauges.operating_map import axis

    shown = {band.quantity for band in ruleset.bands}
    return [axis(ruleset, q.name) for q in ruleset.quantities.values() if q.name in shown and not q.is_computed]


def _not_drawn(ruleset: RuleSet) -> list[Line]:
    """What has bands and no strip, for it does not move by itself; or that nothing has any."""
    shown = {band.quantity for band in ruleset.bands}
    if not shown:
        return [[], [("", "nothing is drawn: no quantity has a band (name one to see it without colours)")]]
    names = [q.name for q in ruleset.quantities.values() if q.name in shown and q.is_computed]
    said = f"not drawn, for they are worked out from other readings: {', '.join(names)}"
    return [[], *([("", line)] for line in textwrap.wrap(said, width()))] if names else []


def _axis(ruleset: RuleSet, name: str) -> Axis:
    from alertlang.gauges.operating_map import axis

    try:
        return axis(ruleset, name)
    except KeyError:
        if name in ruleset.switches:
            first = ruleset.switches[name].positions[0]
            _stop(f'{name} is a switch: hold it still in a map with --at "{name} {first}"')
        close = nearest(name.split("[")[0], ruleset.quantities)
        _stop(f"there is no quantity {name}: " + (f"did you mean {close}?" if close else "profiles show lists them"))
    except ValueError:
        made_of = ", ".join(sorted(ruleset.sensors_of(name.split("[")[0])))
        _stop(f"{name} is worked out from {made_of} and is not drawn: show one that has a sensor")


def _held(ruleset: RuleSet, wanted: list[str]) -> Held:
    from alertlang.gauges.states import Held

    readings: dict[str, Fraction] = {}
    positions: dict[str, str] = {}
    formulas: list[Formula] = []
    for text in wanted:
        words = text.split()
        first = words[0] if words else ""
        if len(words) == 2 and first in ruleset.switches:
            if words[1] not in ruleset.switches[first].positions:
                _stop(f"{first} has no position {words[1]}: it has {', '.join(ruleset.switches[first].positions)}")
            positions[first] = words[1]
        elif first.split("[")[0] in ruleset.quantities and len(words) in (2, 3):
            readings[_axis(ruleset, first).name] = _value(ruleset, first.split("[")[0], words[1:])
        elif words[-1:] and words[-1] in ruleset.conditions and words[:-1] in ([], ["not"]):
            formulas.append(_condition(ruleset, words[-1], negated=len(words) == 2))
        else:
            _stop(
                f'cannot tell what is to be held still by {text!r}: write "oil_temp 60 F", "flaps up", cold, "not cold"'
            )
    return Held(readings, positions, tuple(formulas))


def _value(ruleset: RuleSet, name: str, words: list[str]) -> Fraction:
    from alertlang.units.number import parse_number, show_value
    from alertlang.units.unit import convert, find_unit

    quantity = ruleset.quantities[name]
    unit = find_unit(words[1]) if len(words) == 2 else quantity.unit
    try:
        if unit is None:
            raise ValueError(f"there is no unit {words[1]}")
        value = convert(parse_number(words[0]), unit, quantity.unit)
    except ValueError as problem:
        _stop(f"{name} cannot be held at {' '.join(words)}: {problem}")
    if not quantity.low <= value <= quantity.high:
        low, high = show_value(quantity.low, quantity.unit), show_value(quantity.high, quantity.unit)
        _stop(f"{name} cannot be held at {' '.join(words)}: its sensor reads from {low} to {high}")
    return value


def _condition(ruleset: RuleSet, name: str, *, negated: bool) -> Formula:
    from alertlang.model.ruleset import ConditionIs, Not

    span = ruleset.conditions[name].span
    formula = ConditionIs(name, span=span)
    return Not(formula, span=span) if negated else formula


def _strips(context: Context, axes: list[Axis], picture: Path | None) -> None:
    from alertlang.gauges.strip import gauge

    gauges = [gauge(context, axis) for axis in axes]
    if picture is not None:
        from alertlang.documents.strip_picture import draw_gauge

        _save(picture, draw_gauge(gauges[0], picture.suffix.lower()[1:]))
        return
    from alertlang.documents.terminal import gauge_lines

    for index, one in enumerate(gauges):
        write([*([[]] if index else []), *gauge_lines(one, width())])


def _map(context: Context, of: Axis, over: Axis, held: Held, picture: Path | None) -> None:
    from alertlang.gauges.operating_map import operating_map

    if of.name == over.name:
        _stop(f"a map needs two different readings, not {of.name} twice")
    found = operating_map(context, of.name, over.name, held)
    if found is None:
        _stop("what is to be held still is impossible together, or could not be decided")
    if picture is None:
        from alertlang.documents.terminal import map_lines

        write(map_lines(found, width()))
        return
    from alertlang.documents.drawing import draw_map
    from alertlang.documents.marks import marks

    _save(picture, draw_map(found, picture.suffix.lower()[1:], marks=marks(context.ruleset, found)))


def _save(picture: Path, data: bytes) -> None:
    try:
        write_whole(picture, data)
    except OSError as problem:
        _stop(f"{picture} cannot be written: {reason(problem)}")
    typer.echo(f"drew {picture}")


def _stop(why: str) -> NoReturn:
    sys.stderr.write(f"alertlang: {why}\n")
    raise typer.Exit(2)
