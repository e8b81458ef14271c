"""`alertlang compare`."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from alertlang.api.rules import WORK_LIMIT, NameOrFileError, Rules, Severity, UnreadableError
from alertlang.api.rules import compare as compared
from alertlang.cli.common import Output, OutputFormat, SearchPath, WorkLimit, read, say, stop, unreadable, width
from alertlang.cli.config import NoConfigOfPaths

Before = Annotated[
    str, typer.Argument(metavar="BEFORE", help="The rule set (.alert) to compare with; - reads standard input.")
]
After = Annotated[str, typer.Argument(metavar="AFTER", help="The rule set that may have changed.")]


class CompareFailOn(StrEnum):
    """What ends with code 1; what was not decided does under the first two."""

    LESS_STRICT = "less-strict"
    ANY = "any"
    NEVER = "never"


Fail = Annotated[
    CompareFailOn, typer.Option("--fail-on", help="End with code 1 if there is this, or something undecided.")
]
Summary = Annotated[bool, typer.Option("--summary", help="Say it in one line, for a change log.")]


def command(
    before: Before,
    after: After,
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
    summary: Summary = False,
    fail_on: Fail = CompareFailOn.LESS_STRICT,
    work_limit: WorkLimit = None,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Tells what a change does, by meaning: colours, alerts, times, limits. What is only said in other words is told
    too. Ends with code 1 if anything got less strict or was not decided; `--fail-on` says otherwise."""
    if before == after == "-":
        raise typer.BadParameter("standard input can be read only once: name a file for one of the two")
    if summary and output is OutputFormat.JSON:
        raise typer.BadParameter("the summary is in the JSON too: leave out one of the two", param_hint="--summary")
    rules: list[Rules] = []
    for name in (before, after):
        try:
            rules.append(read(name, path or ()))
        except UnreadableError as problem:
            unreadable((finding for finding in problem.findings if finding.severity is Severity.ERROR), apart=False)
    if len(rules) < 2:
        raise typer.Exit(2)
    from alertlang.output.comparison import comparison_lines, summary_lines

    try:
        found = compared(rules[0], rules[1], work_limit=work_limit or WORK_LIMIT)
    except NameOrFileError as problem:
        stop(problem)
    say(found, output, lambda: summary_lines(found) if summary else comparison_lines(found, width()))
    fails = {
        CompareFailOn.LESS_STRICT: found.less_strict or found.undecided,
        CompareFailOn.ANY: not found.same,
        CompareFailOn.NEVER: False,
    }
    raise typer.Exit(1 if fails[fail_on] else 0)
