"""`alertlang replay`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from alertlang.cli import common
from alertlang.output.style import Line, write
from alertlang.output.text import caution_lines

# What is not asked for is not imported.
if TYPE_CHECKING:
    from alertlang.api import ColumnMap, ReplayComparison, ReplayResult, Rules

RulesFile = Annotated[str, typer.Argument(metavar="RULES", help="The rule set (.alert).")]
Against = Annotated[
    str | None,
    common.option(
        "--against",
        "OTHER",
        "Say instead what another rule set would have done differently. Ends with code 1 if anything.",
    ),
]
Page = Annotated[
    Path | None,
    common.out("Write one log as a page too: timeline, alerts, metrics; with --against what differs (.html)."),
]


def command(
    rules: RulesFile,
    logs: common.Logs,
    column_map: common.MapFile = None,
    against: Against = None,
    page: Page = None,
    everything: common.Everything = False,
    yardsticks: common.Yardsticks = False,
    accept: common.AcceptLog = None,
    path: common.SearchPath = None,
    output: common.Output = common.OutputFormat.TEXT,
    force: common.Force = False,
    old_name: Annotated[str | None, common.renamed("--page")] = None,
) -> None:
    """Replay recorded runs: what would have been seen and when, how long, what was worst, and how much it nags."""
    if rules == against == "-":
        raise typer.BadParameter("standard input can be read only once: name a file for one of the two")
    if page is not None:
        common.ending(page, "html")
        if len(logs) > 1:
            raise typer.BadParameter("a page is of one log", param_hint="-o")
        common.writable(page, force=force)
    ruleset = common.usable(rules, path or [], "nothing was replayed")
    other = None if against is None else common.usable(against, path or [], "nothing was replayed")

    from alertlang.api.runs import LogError, load_column_map
    from alertlang.output.replay import replay_lines

    accepted = common.accepted_log(accept or [])
    try:
        mapped = None if column_map is None else load_column_map(column_map)
    except LogError as problem:
        common.stop(problem)
    written_as = None if page is None else partial(_write_page, page, ruleset, other, mapped, force, yardsticks)
    told_in = partial(replay_lines, width=common.width(), everything=everything, yardsticks=yardsticks)
    unusable = differs = told = doubtful = False
    for log in logs:
        try:
            with common.progress(str(log)) as tell:
                far = None if tell is None else partial(_far, tell)
                line, lines, same, written, trusted = _run(
                    log, ruleset, other, mapped, accepted, far, output, told_in, written_as
                )
        except LogError as problem:
            common.complain(problem)
            unusable = True
            continue
        if output is common.OutputFormat.JSON:
            sys.stdout.write(line + "\n")
        else:
            write([[], *lines] if told else lines)
        told = True
        differs = differs or not same
        doubtful = doubtful or not trusted
        unusable = unusable or not written
    if told and output is common.OutputFormat.TEXT:
        write([[], *caution_lines(common.width())])
    if unusable:
        raise typer.Exit(2)
    raise typer.Exit(3 if doubtful else 1 if differs else 0)


def _far(tell: Callable[[str, float], None], rows: int, share: float) -> None:
    tell(f"{rows:,} rows", share)


def _run(
    log: Path,
    rules: Rules,
    other: Rules | None,
    mapped: ColumnMap | None,
    accepted: tuple[str, ...],
    progress: Callable[[int, float], None] | None,
    output: common.OutputFormat,
    told_in: Callable[[ReplayResult], list[Line]],
    written_as: Callable[[Path, ReplayResult | ReplayComparison], bool] | None,
) -> tuple[str, list[Line], bool, bool, bool]:
    """What is to be said of one log, as JSON or as lines; whether there is no difference; whether its page, if one is
    wanted, was written; whether the log is to be trusted."""
    from alertlang.api.runs import replay_against, replay_log
    from alertlang.output.against import comparison_lines

    if other is None:
        found = replay_log(rules, log, column_map=mapped, accept=accepted, progress=progress)
        written = written_as is None or written_as(log, found)
        if output is common.OutputFormat.JSON:
            return found.to_json(), [], True, written, found.trusted
        return "", told_in(found), True, written, found.trusted
    compared = replay_against(rules, other, log, column_map=mapped, accept=accepted, progress=progress)
    written = written_as is None or written_as(log, compared)
    if output is common.OutputFormat.JSON:
        return compared.to_json(), [], compared.same, written, compared.trusted
    return "", comparison_lines(compared, common.width()), compared.same, written, compared.trusted


def _write_page(
    page: Path,
    rules: Rules,
    other: Rules | None,
    mapped: ColumnMap | None,
    force: bool,
    yardsticks: bool,
    log: Path,
    found: ReplayResult | ReplayComparison,
) -> bool:
    """What was found is told all the same if the page cannot be written."""
    from alertlang.api.runs import ReplayComparison, against_page, replay_page

    if isinstance(found, ReplayComparison):
        assert other is not None
        made = against_page(rules, other, log, column_map=mapped, found=found)
    else:
        made = replay_page(rules, log, column_map=mapped, found=found, yardsticks=yardsticks)
    why = common.not_saved(page, made.data, force=force)
    if why is not None:
        common.complain(f"{page} cannot be written: {why}")
        return False
    common.done(f"wrote {page}", sys.stderr)
    return True
