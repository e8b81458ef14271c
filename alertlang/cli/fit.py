"""`alertlang fit`."""

from __future__ import annotations

from typing import Annotated

import typer

from alertlang.api.rules import WORK_LIMIT, Severity
from alertlang.cli.common import Output, OutputFormat, SearchPath, WorkLimit, read_display, say, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.cli.rule_sets import rule_set

Rules = Annotated[str, typer.Argument(metavar="RULES", help="The rule set (.alert); - reads standard input.")]
Box = Annotated[str, typer.Argument(metavar="DISPLAY", help="A shipped display by name, or a .display file.")]


def command(
    rules: Rules,
    display: Box,
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
    work_limit: WorkLimit = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Whether a display can hold a rule set, and what to merge or drop if it cannot. Ends with code 1 if not."""
    ruleset = rule_set(rules, path or ())
    box = read_display(display)

    from alertlang.api.papers import fit_report
    from alertlang.output.fit import fit_lines

    report = fit_report(ruleset, box, work_limit=work_limit or WORK_LIMIT)
    say(report, output, lambda: fit_lines(report, width()))
    raise typer.Exit(1 if any(finding.severity is Severity.ERROR for finding in report.findings) else 0)
