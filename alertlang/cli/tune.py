"""`alertlang tune`."""

from __future__ import annotations

import re
import sys
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from alertlang.api.rules import WORK_LIMIT
from alertlang.cli.common import Output, OutputFormat, SearchPath, WorkLimit, renamed, stop, usable, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.output.style import write

if TYPE_CHECKING:
    from alertlang.api import Tuning

_RANGE = "FROM:TO:STEP"


def command(
    statement: Annotated[str, typer.Argument(metavar="STATEMENT", help="The label of a statement with an alert.")],
    rules: Annotated[str, typer.Argument(metavar="RULES", help="The rule file (.alert); - reads standard input.")],
    logs: Annotated[list[Path], typer.Argument(metavar="LOG", help="Recorded runs: CSV or Parquet.")],
    map_file: Annotated[
        Path | None, typer.Option("--map", metavar="MAP", help="Their column map (TOML).", show_default=False)
    ] = None,
    after: Annotated[
        str | None,
        typer.Option("--after", metavar=_RANGE, help="Seconds that its alert is held back.", show_default=False),
    ] = None,
    for_more_than: Annotated[
        str | None,
        typer.Option(
            "--for-more-than", metavar=_RANGE, help="Seconds that all of it is held back.", show_default=False
        ),
    ] = None,
    threshold: Annotated[
        str | None,
        typer.Option("--threshold", metavar=_RANGE, help="Its number, in the quantity's unit.", show_default=False),
    ] = None,
    deadband: Annotated[
        str | None,
        typer.Option("--deadband", metavar=_RANGE, help="Deadband of its quantity, in its unit.", show_default=False),
    ] = None,
    near: Annotated[
        str, typer.Option("--near", metavar="SECONDS", help="How far from a mark an alert may be to belong to it.")
    ] = "10",
    picture: Annotated[
        Path | None,
        typer.Option("-o", "--out", metavar="FILE", help="Draw it too: .svg, .pdf or .png.", show_default=False),
    ] = None,
    output: Output = OutputFormat.TEXT,
    path: SearchPath = None,
    work_limit: WorkLimit = None,
    old_name: Annotated[str | None, renamed("--picture")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Try other values for a threshold, a delay or a deadband of one statement over recorded runs: how much each nags,
    how late it is, what it misses, what it breaks. Without a range, usual values of all of them."""
    if picture is not None and picture.suffix.lower() not in (".svg", ".pdf", ".png"):
        raise typer.BadParameter("its name must end with .svg, .pdf or .png", param_hint="-o")
    if picture is not None:
        from alertlang.text.write_file import refusal

        why = refusal(picture)
        if why is not None:
            stop(f"{picture} cannot be written: {why}")
    asked = {"after": after, "for more than": for_more_than, "threshold": threshold, "deadband": deadband}
    ranges = {name: _values(name, text) for name, text in asked.items() if text is not None}
    distance = _seconds(near)
    ruleset = usable(rules, path or ())
    from alertlang.api.runs import LogError, TuneError, tune
    from alertlang.output.tune import tuning_lines

    telling = sys.stderr.isatty()
    try:
        found = tune(
            ruleset,
            statement,
            logs,
            column_map=map_file,
            ranges=ranges or None,
            near=distance,
            work_limit=work_limit or WORK_LIMIT,
            progress=_progress if telling else None,
        )
    except (TuneError, LogError) as problem:
        stop(problem)
    if telling:
        sys.stderr.write("\r\x1b[K")
    if picture is not None:
        _draw(picture, found)
    if output is OutputFormat.JSON:
        sys.stdout.write(found.to_json() + "\n")
    else:
        write(tuning_lines(found, width()))


def _draw(picture: Path, found: Tuning) -> None:
    from alertlang.api.runs import tuning_picture
    from alertlang.text.write_file import reason, write_whole

    try:
        write_whole(picture, tuning_picture(found, picture.suffix.lower()[1:]))
    except OSError as problem:
        stop(f"{picture} cannot be written: {reason(problem)}")
    sys.stderr.write(f"drew {picture}\n")


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


def _progress(done: int, total: int) -> None:
    sys.stderr.write(f"\r\x1b[K{done} of {total} values tried")
    sys.stderr.flush()
