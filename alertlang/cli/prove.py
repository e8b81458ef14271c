"""`alertlang prove`."""

from __future__ import annotations

import sys

import typer

from alertlang import __version__
from alertlang.api import Rules, report_on
from alertlang.cli.common import (
    FailOn,
    Files,
    Output,
    OutputFormat,
    SearchPath,
    WorkLimit,
    exit_code,
    read,
    width,
)
from alertlang.diagnostics.report import FileName, Report
from alertlang.logic.solver import WORK_LIMIT, solver_version
from alertlang.output.json import report_json
from alertlang.output.style import write
from alertlang.output.text import caution_lines, report_lines


def command(
    files: Files,
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
    work_limit: WorkLimit = None,
) -> None:
    """Prove the claims of rule files, and nothing else. Ends with code 1 if one is refuted, undecided or vacuous."""
    reports: list[Report] = []
    vacuous = False
    for name in files:
        loaded = read(name, path or ())
        if loaded.ruleset is None:
            report = report_on(loaded)
        else:
            rules = Rules(loaded.ruleset, loaded.findings)
            origin = loaded.ruleset.origin
            report = Report(
                FileName(origin.kind, origin.name, origin.version, origin.path),
                tuple(FileName(o.kind, o.name, o.version, o.path) for o in loaded.ruleset.profiles),
                True,
                loaded.findings,
                rules.prove(work_limit=work_limit or WORK_LIMIT),
            )
            vacuous = vacuous or any(c.verdict.value == "vacuous" for c in report.claims)
        reports.append(report)
        if output is OutputFormat.JSON:
            sys.stdout.write(report_json(report, __version__, solver_version()) + "\n")
        else:
            write(report_lines(report, solver_version(), width(), claims_only=True))
            if report.readable and not report.claims:
                write([[("", "it makes no claims: write for example `prove rpm above 2750 is red`")]])
    if output is OutputFormat.TEXT:
        write(caution_lines(width()))
    code = exit_code(reports, FailOn.ERROR)
    raise typer.Exit(1 if code == 0 and vacuous else code)
