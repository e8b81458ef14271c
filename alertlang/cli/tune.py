"""`alertlang tune`."""

from __future__ import annotations

import re
import sys
from fractions import Fraction
from pathlib import Path
from typing import Annotated

import typer

from alertlang.api.rules import WORK_LIMIT
from alertlang.cli import common
from alertlang.cli.config import NoConfigOfPaths

_RANGE = "FROM:TO:STEP"


def command(
    statement: Annotated[str, typer.Argument(metavar="STATEMENT", help="The label of a statement with an alert.")],
    rules: common.RulesFile,
    logs: common.Logs,
    map_file: Annotated[Path | None, common.option("--map", "MAP", "Their column map (TOML).")] = None,
    after: Annotated[str | None, common.option("--after", _RANGE, "Seconds that its alert is held back.")] = None,
    for_more_than: Annotated[
        str | None, common.option("--for-more-than", _RANGE, "Seconds that all of it is held back.")
    ] = None,
    threshold: Annotated[
        str | None, common.option("--threshold", _RANGE, "Its number, in the quantity's unit.")
    ] = None,
    deadband: Annotated[
        str | None, common.option("--deadband", _RANGE, "Deadband of its quantity, in its unit.")
    ] = None,
    together: Annotated[
        bool, typer.Option("--together", help="Two ranges: each value of one with each of the other, as a map.")
    ] = False,
    near: Annotated[
        str, typer.Option("--near", metavar="SECONDS", help="How far from a mark an alert may be to belong to it.")
    ] = "10",
    picture: Annotated[Path | None, common.out("Draw it too: .svg, .pdf or .png.")] = None,
    output: common.Output = common.OutputFormat.TEXT,
    path: common.SearchPath = None,
    work_limit: common.WorkLimit = None,
    force: common.Force = False,
    old_name: Annotated[str | None, common.renamed("--picture")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Try other values for a threshold, a delay or a deadband of one statement over recorded runs: how much each nags,
    how late it is, what it misses, what it breaks. Without a range, usual values of all of them."""
    form = "" if picture is None else common.ending(picture, "svg", "pdf", "png")
    common.writable(picture, force=force)
    asked = {"after": after, "for more than": for_more_than, "threshold": threshold, "deadband": deadband}
    ranges = {name: _values(name, text) for name, text in asked.items() if text is not None}
    distance = _seconds(near)
    ruleset = common.usable(rules, path or ())
    from alertlang.api.runs import LogError, TuneError, tune, tuning_picture
    from alertlang.output.tune import tuning_lines

    try:
        with common.progress() as tell:
            found = tune(
                ruleset,
                statement,
                logs,
                column_map=map_file,
                ranges=ranges or None,
                together=together,
                near=distance,
                work_limit=work_limit or WORK_LIMIT,
                progress=tell and (lambda done, total: tell(f"{done} of {total} values tried", done / total)),
            )
    except (TuneError, LogError) as problem:
        common.stop(problem)
    if picture is not None:
        common.save(picture, tuning_picture(found, form), force=force)
        common.done(f"drew {picture}", sys.stderr)
    common.say(found, output, lambda: tuning_lines(found, common.width()))


def _values(name: str, text: str) -> tuple[Fraction, ...]:
    from alertlang.api.runs import parse_number

    hint = f"--{name.replace(' ', '-')}"
    match = re.fullmatch(r"([^:]+):([^:]+):([^:]+)", text)
    try:
        first, last, step = [parse_number(part) for part in (match.groups() if match else ("",) * 3)]
    except ValueError:
        raise typer.BadParameter(f"{text!r} is no range: write it as 0:10:1", param_hint=hint) from None
    if step <= 0 or last < first:
        raise typer.BadParameter(
            f"{text!r} goes nowhere: the step is above 0 and the end not below the start", param_hint=hint
        )
    count = (last - first) // step + 1
    if count > 1000:
        raise typer.BadParameter(f"{text!r} has {count} values: take wider steps", param_hint=hint)
    return tuple(first + number * step for number in range(count))


def _seconds(text: str) -> Fraction:
    from alertlang.api.runs import parse_number

    try:
        value = parse_number(text)
    except ValueError:
        value = Fraction(-1)
    if value < 0:
        raise typer.BadParameter(f"{text!r} is no number of seconds", param_hint="--near")
    return value
