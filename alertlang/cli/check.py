"""`alertlang check`."""

from __future__ import annotations

import sys

import typer

from alertlang import __version__
from alertlang.api import report_on
from alertlang.cli.common import (
    Fail,
    FailOn,
    Files,
    Output,
    OutputFormat,
    SearchPath,
    Today,
    WorkLimit,
    exit_code,
    read,
    usable_date,
    width,
)
from alertlang.logic.solver import WORK_LIMIT, solver_version
from alertlang.output.json import report_json
from alertlang.output.style import write
from alertlang.output.text import caution_lines, report_lines


def command(
    files: Files,
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
    fail_on: Fail = FailOn.ERROR,
    today: Today = None,
    work_limit: WorkLimit = None,
) -> None:
    """Check rule files: gaps, contradictions, bands that never show, limits that nothing guards, alerts that are
    missing; and prove what they claim."""
    date = usable_date(today)
    reports = []
    for name in files:
        report = report_on(read(name, path or ()), today=date, work_limit=work_limit or WORK_LIMIT)
        reports.append(report)
        if output is OutputFormat.JSON:
            sys.stdout.write(report_json(report, __version__, solver_version()) + "\n")
        else:
            write(report_lines(report, solver_version(), width()))
    if output is OutputFormat.TEXT:
        write(caution_lines(width()))
    raise typer.Exit(exit_code(reports, fail_on))
