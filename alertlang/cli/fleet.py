"""`alertlang fleet`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli import common
from alertlang.cli.config import NoConfigOfPaths


def command(
    rules: common.RulesFile,
    logs: Annotated[
        list[Path], typer.Argument(metavar="LOG|FOLDER", help="Recorded runs (CSV, Parquet), or folders of them.")
    ],
    results: Annotated[
        Path,
        typer.Option("-o", "--out", metavar="FOLDER", help="Where results go: a new folder, or an earlier one."),
    ],
    map_file: Annotated[Path | None, common.option("--map", "MAP", "The column map (TOML) of all these logs.")] = None,
    jobs: Annotated[
        int | None, common.option("--jobs", None, "Processes that share the work. Else one for each core.", min=1)
    ] = None,
    cluster: Annotated[
        str | None,
        common.option("--cluster", "ADDRESS", "A Dask scheduler, for example tcp://10.0.0.5:8786: its workers do it."),
    ] = None,
    restart: Annotated[
        bool, typer.Option("--restart", help="Go through every log again, finished before or not.")
    ] = False,
    aircraft: Annotated[
        str | None,
        common.option(
            "--aircraft",
            "REGEX",
            "What in a log's path says which aircraft it is of (its first group, if it has one). Else its folder.",
        ),
    ] = None,
    page: Annotated[
        Path | None,
        common.option("--page", "FILE", "Write it as a page too: by aircraft, every number with its runs (.html)."),
    ] = None,
    accept: common.AcceptLog = None,
    force: common.Force = False,
    everything: common.Everything = False,
    yardsticks: common.Yardsticks = False,
    output: common.Output = common.OutputFormat.TEXT,
    path: common.SearchPath = None,
    old_name: Annotated[str | None, common.renamed("--results", "-o/--out FOLDER")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Replay rules over thousands of logs. What is finished stays finished: after a stop the same command goes on.
    Ends with code 1 if a log could not be used, with 2 if none could, with 3 if one may not be trusted."""
    if cluster is not None and jobs is not None:
        raise typer.BadParameter("the cluster has its own workers: leave out one of the two", param_hint="--jobs")
    if page is not None:
        common.ending(page, "html", option="--page")
        common.writable(page, force=force)
    accepted = common.accepted_log(accept or [])
    ruleset = common.usable(rules, path or ())
    from alertlang.api.runs import FleetError, LogError, fleet_page, replay_fleet
    from alertlang.output.fleet import fleet_lines

    try:
        with common.progress() as tell:
            found = replay_fleet(
                ruleset,
                logs,
                results,
                column_map=map_file,
                jobs=jobs or common.cores(),
                cluster=cluster,
                again=restart,
                aircraft=aircraft,
                accept=accepted,
                progress=tell
                and (
                    lambda done, all_, bad: tell(
                        f"{done} of {all_} logs{f', {bad} failed' if bad else ''}", done / all_
                    )
                ),
            )
    except (FleetError, LogError) as problem:
        common.stop(problem)
    except KeyboardInterrupt:
        common.stop("stopped; the same command goes on from here")
    if page is not None:
        common.save(page, fleet_page(ruleset, found).data, force=force)
        common.done(f"wrote {page}", sys.stderr)
    common.say(found, output, lambda: fleet_lines(found, common.width(), everything=everything, yardsticks=yardsticks))
    raise typer.Exit(2 if not found.used else 3 if not found.trusted else 1 if found.failed else 0)
