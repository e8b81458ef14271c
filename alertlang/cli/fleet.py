"""`alertlang fleet`."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from alertlang import __version__
from alertlang.cli.common import Output, OutputFormat, SearchPath, read, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.output.style import write
from alertlang.output.text import finding_lines


def command(
    rules: Annotated[str, typer.Argument(metavar="RULES", help="The rule file (.alert); - reads standard input.")],
    logs: Annotated[
        list[Path], typer.Argument(metavar="LOG|FOLDER", help="Recorded runs (CSV, Parquet), or folders of them.")
    ],
    results: Annotated[
        Path,
        typer.Option("-o", "--results", metavar="FOLDER", help="Where results go: a new folder, or an earlier one."),
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
    no_config: NoConfigOfPaths = False,
) -> None:
    """Replay rules over thousands of logs. What is finished stays finished: after a stop the same command goes on.
    Ends with code 1 if a log could not be used, with 2 if none could."""
    if cluster is not None and jobs is not None:
        raise typer.BadParameter("the cluster has its own workers: leave out one of the two", param_hint="--jobs")
    loaded = read(rules, path or ())
    if loaded.ruleset is None:
        for one in loaded.findings:
            write([*finding_lines(one, width()), []], sys.stderr)
        raise typer.Exit(2)
    from alertlang.fleet.run import FleetError, fleet
    from alertlang.logs.column_map import load_column_map
    from alertlang.logs.log_error import LogError
    from alertlang.output.fleet import fleet_json, fleet_lines

    telling = sys.stderr.isatty()
    try:
        found = fleet(
            logs,
            loaded.ruleset,
            None if map_file is None else load_column_map(map_file),
            results,
            tool=__version__,
            workers=jobs or _cores(),
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
        sys.stdout.write(fleet_json(found, __version__) + "\n")
    else:
        write(fleet_lines(found, width()))
    raise typer.Exit(2 if not found.used else 1 if found.failed else 0)


def _cores() -> int:
    """Those this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _progress(finished: int, logs: int, failed: int) -> None:
    said = f", {failed} failed" if failed else ""
    sys.stderr.write(f"\r\x1b[K{finished} of {logs} logs{said}")
    sys.stderr.flush()


def _stop(why: str, telling: bool) -> NoReturn:
    sys.stderr.write(("\r\x1b[K" if telling else "") + f"alertlang: {why}\n")
    raise typer.Exit(2)
