"""`alertlang fleet`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from alertlang.cli.common import Output, OutputFormat, SearchPath, cores, renamed, usable, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.output.style import write


def command(
    rules: Annotated[str, typer.Argument(metavar="RULES", help="The rule file (.alert); - reads standard input.")],
    logs: Annotated[
        list[Path], typer.Argument(metavar="LOG|FOLDER", help="Recorded runs (CSV, Parquet), or folders of them.")
    ],
    results: Annotated[
        Path,
        typer.Option("-o", "--out", metavar="FOLDER", help="Where results go: a new folder, or an earlier one."),
    ],
    map_file: Annotated[
        Path | None,
        typer.Option("--map", metavar="MAP", help="The column map (TOML) of all these logs.", show_default=False),
    ] = None,
    jobs: Annotated[
        int | None,
        typer.Option(
            "--jobs", min=1, help="Processes that share the work. Else one for each core.", show_default=False
        ),
    ] = None,
    cluster: Annotated[
        str | None,
        typer.Option(
            "--cluster",
            metavar="ADDRESS",
            help="A Dask scheduler, for example tcp://10.0.0.5:8786: its workers do it.",
            show_default=False,
        ),
    ] = None,
    restart: Annotated[
        bool, typer.Option("--restart", help="Go through every log again, finished before or not.")
    ] = False,
    output: Output = OutputFormat.TEXT,
    path: SearchPath = None,
    old_name: Annotated[str | None, renamed("--results", "-o/--out FOLDER")] = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Replay rules over thousands of logs. What is finished stays finished: after a stop the same command goes on.
    Ends with code 1 if a log could not be used, with 2 if none could."""
    if cluster is not None and jobs is not None:
        raise typer.BadParameter("the cluster has its own workers: leave out one of the two", param_hint="--jobs")
    ruleset = usable(rules, path or ())
    from alertlang.api.runs import FleetError, LogError, replay_fleet
    from alertlang.output.fleet import fleet_lines

    telling = sys.stderr.isatty()
    try:
        found = replay_fleet(
            ruleset,
            logs,
            results,
            column_map=map_file,
            jobs=jobs or cores(),
            cluster=cluster,
            again=restart,
            progress=_progress if telling else None,
        )
    except (FleetError, LogError) as problem:
        _stop(str(problem), telling)
    except KeyboardInterrupt:
        _stop("stopped; the same command goes on from here", telling)
    if telling:
        sys.stderr.write("\r\x1b[K")
    if output is OutputFormat.JSON:
        sys.stdout.write(found.to_json() + "\n")
    else:
        write(fleet_lines(found, width()))
    raise typer.Exit(2 if not found.used else 1 if found.failed else 0)


def _progress(finished: int, logs: int, failed: int) -> None:
    said = f", {failed} failed" if failed else ""
    sys.stderr.write(f"\r\x1b[K{finished} of {logs} logs{said}")
    sys.stderr.flush()


def _stop(why: str, telling: bool) -> NoReturn:
    sys.stderr.write(("\r\x1b[K" if telling else "") + f"alertlang: {why}\n")
    raise typer.Exit(2)
