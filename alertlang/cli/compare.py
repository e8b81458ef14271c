"""`alertlang compare`."""

from __future__ import annotations

import sys
from enum import StrEnum
from typing import Annotated

import typer

from alertlang import __version__
from alertlang.cli.common import Output, OutputFormat, SearchPath, WorkLimit, read, width
from alertlang.cli.config import NoConfigOfPaths
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.model.ruleset import RuleSet
from alertlang.output.style import write
from alertlang.output.text import finding_lines

Before = Annotated[
    str, typer.Argument(metavar="BEFORE", help="The rule set (.alert) to compare with; - reads standard input.")
]
After = Annotated[str, typer.Argument(metavar="AFTER", help="The rule set that may have changed.")]


class FailOn(StrEnum):
    """What ends with code 1; what was not decided does under the first two."""

    LESS_STRICT = "less-strict"
    ANY = "any"
    NEVER = "never"


Fail = Annotated[FailOn, typer.Option("--fail-on", help="End with code 1 if there is this, or something undecided.")]
Summary = Annotated[bool, typer.Option("--summary", help="Say it in one line, for a change log.")]


def command(
    before: Before,
    after: After,
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
    summary: Summary = False,
    fail_on: Fail = FailOn.LESS_STRICT,
    work_limit: WorkLimit = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Tells what a change does, by meaning: colours, alerts, times, limits. What is only said in other words is told
    too. Ends with code 1 if anything got less strict or was not decided; `--fail-on` says otherwise."""
    if before == after == "-":
        raise typer.BadParameter("standard input can be read only once: name a file for one of the two")
    if summary and output is OutputFormat.JSON:
        raise typer.BadParameter("the summary is in the JSON too: leave out one of the two", param_hint="--summary")
    loaded = [read(name, path or ()) for name in (before, after)]
    rules: list[RuleSet] = []
    for one in loaded:
        if one.ruleset is None:
            _refuse(one.findings)
        else:
            rules.append(one.ruleset)
    if len(rules) < 2:
        raise typer.Exit(2)
    kinds = [one.origin.kind for one in rules]
    if kinds[0] != kinds[1]:
        names = " and ".join(f"{one.path} ({kind})" for one, kind in zip(rules, kinds, strict=True))
        sys.stderr.write(f"alertlang: {names} are not of one kind: name two rule sets, or two profiles\n")
        raise typer.Exit(2)

    from alertlang.comparison.compare import compare
    from alertlang.logic.solver import WORK_LIMIT, solver_version
    from alertlang.output.comparison import comparison_json, comparison_lines, summary_lines

    found = compare(rules[0], rules[1], work_limit=work_limit or WORK_LIMIT)
    if output is OutputFormat.JSON:
        sys.stdout.write(comparison_json(found, __version__, solver_version()) + "\n")
    else:
        write(summary_lines(found) if summary else comparison_lines(found, width()))
    fails = {
        FailOn.LESS_STRICT: found.less_strict or found.undecided,
        FailOn.ANY: not found.same,
        FailOn.NEVER: False,
    }
    raise typer.Exit(1 if fails[fail_on] else 0)


def _refuse(findings: tuple[Finding, ...]) -> None:
    errors = [one for one in findings if one.severity is Severity.ERROR]
    for one in errors:
        write(finding_lines(one, width()), sys.stderr)
