"""`alertlang scenarios`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from alertlang.api.rules import Rules, ScenarioReport, run_scenario
from alertlang.cli.common import STANDARD_INPUT, Output, OutputFormat, SearchPath, option, usable, width
from alertlang.output.style import write
from alertlang.output.text import caution_lines

Scenarios = Annotated[list[str], typer.Argument(metavar="FILE", help="Scenarios (.scenario); - reads standard input.")]
Instead = Annotated[
    Path | None, option("--rules", "RULES", "The rules to run them on, in the place of those that they name.")
]


def command(
    files: Scenarios,
    rules: Instead = None,
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
) -> None:
    """Run scenarios: what is read over time, and what must be shown. Says of each whether all is as it says, or the
    first difference and why. Ends with code 1 if there is one."""
    from alertlang.output.scenario import scenario_lines, summary_lines

    ruleset = None if rules is None else usable(str(rules), path or [], "nothing was run")
    reports: list[ScenarioReport] = []
    for name in files:
        report = _run(name, ruleset, path or [])
        if output is OutputFormat.JSON:
            sys.stdout.write(report.to_json() + "\n")
        else:
            lines = scenario_lines(report, width())
            write([[], *lines] if reports and not (reports[-1].as_said and report.as_said) else lines)
        reports.append(report)
    if output is OutputFormat.TEXT:
        write([*summary_lines(reports, width()), *caution_lines(width())])
    if any(not scenario_report.readable for scenario_report in reports):
        raise typer.Exit(2)
    raise typer.Exit(0 if all(scenario_report.as_said for scenario_report in reports) else 1)


def _run(name: str, rules: Rules | None, search: list[Path]) -> ScenarioReport:
    text, shown = (sys.stdin.buffer.read(), STANDARD_INPUT) if name == "-" else (None, name)
    return run_scenario(shown, text=text, shown=shown, rules=rules, search=search)
