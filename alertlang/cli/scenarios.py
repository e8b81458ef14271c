"""`alertlang scenarios`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from alertlang import __version__
from alertlang.cli.common import Output, OutputFormat, SearchPath, read, width
from alertlang.output.style import write
from alertlang.output.text import caution_lines, finding_lines

# What is not asked for is not imported.
if TYPE_CHECKING:
    from alertlang.model.ruleset import RuleSet
    from alertlang.results.scenario import ScenarioReport

Scenarios = Annotated[list[str], typer.Argument(metavar="FILE", help="Scenarios (.scenario); - reads standard input.")]
Instead = Annotated[
    Path | None,
    typer.Option(
        "--rules",
        metavar="RULES",
        help="The rules to run them on, in the place of those that they name.",
        show_default=False,
    ),
]


def command(
    files: Scenarios,
    rules: Instead = None,
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
) -> None:
    """Run scenarios: what is read over time, and what must be shown. Says of each whether all is as it says, or the
    first difference and why. Ends with code 1 if there is one."""
    from alertlang.output.scenario import scenario_json, scenario_lines, summary_lines

    ruleset = None if rules is None else _rules(rules, path or [])
    reports: list[ScenarioReport] = []
    for name in files:
        report = _run(name, ruleset, path or [])
        if output is OutputFormat.JSON:
            sys.stdout.write(scenario_json(report, __version__) + "\n")
        else:
            lines = scenario_lines(report, width())
            write([[], *lines] if reports and not (reports[-1].as_said and report.as_said) else lines)
        reports.append(report)
    if output is OutputFormat.TEXT:
        write([*summary_lines(reports, width()), *caution_lines(width())])
    if any(not one.readable for one in reports):
        raise typer.Exit(2)
    raise typer.Exit(0 if all(one.as_said for one in reports) else 1)


def _rules(path: Path, search: list[Path]) -> RuleSet:
    """The rules that were given; ends the command if they cannot be read."""
    loaded = read(str(path), search)
    if loaded.ruleset is None:
        for one in loaded.findings:
            write([*finding_lines(one, width()), []], sys.stderr)
        sys.stderr.write(f"alertlang: {path} could not be read, and nothing was run\n")
        raise typer.Exit(2)
    return loaded.ruleset


def _run(name: str, rules: RuleSet | None, search: list[Path]) -> ScenarioReport:
    from alertlang.scenarios.load import load_scenario, parse_scenario_text
    from alertlang.scenarios.run import report_on_scenario

    if name == "-":
        data = sys.stdin.buffer.read()
        loaded = parse_scenario_text(data, shown="<standard input>", folder=Path(), rules=rules, search=search)
    else:
        loaded = load_scenario(Path(name), shown=name, rules=rules, search=search)
    return report_on_scenario(loaded)
