"""`alertlang scenarios`."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from alertlang.api.rules import Rules, ScenarioReport, run_scenario
from alertlang.cli import common
from alertlang.cli.common import STANDARD_INPUT, Output, OutputFormat, SearchPath, option, usable, width
from alertlang.output.style import write
from alertlang.output.text import caution_lines

Scenarios = Annotated[list[str], typer.Argument(metavar="FILE", help="Scenarios (.scenario); - reads standard input.")]
Instead = Annotated[
    Path | None, option("--rules", "RULES", "The rules to run them on, in the place of those that they name.")
]


class _FilesAtOnce(typer.core.TyperGroup):
    """`scenarios FILE...` runs them: what is no command of its own is given to `run`."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        if not args or (args[0] not in self.commands and args[0] not in {"-h", "--help"}):
            args = ["run", *args]
        return super().parse_args(ctx, args)


app = typer.Typer(
    cls=_FilesAtOnce,
    help="Run scenarios: as said, or the first difference and why. `from-log` makes one of a recorded run.",
)


@app.command("run")
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


Around = Annotated[str, common.option("--around", "TIME", "So long before and after the moment. 20s if not said.")]
RunIn = Annotated[
    str | None,
    common.option(
        "--run-in", "TIME", "How long before that it may begin, for what the rules remember. 30min if not said."
    ),
]


@app.command("from-log")
def from_log(
    rules: common.RuleFile,
    log: Annotated[Path, typer.Argument(metavar="LOG", help="A recorded run: CSV or Parquet.")],
    at: common.At = None,
    alert: common.AlertAt = None,
    mark: common.MarkAt = None,
    segment: common.Segment = None,
    around: Around = "20s",
    run_in: RunIn = None,
    column_map: common.MapFile = None,
    out: Annotated[Path | None, common.out("Write it to a file (.scenario) instead.")] = None,
    accept: common.AcceptLog = None,
    path: common.SearchPath = None,
    force: common.Force = False,
) -> None:
    """A stretch of a recorded run as a scenario, so that what happened once stays tested: thinned to what changes
    something, with as much before it as the rules remember, and run before it is given."""
    if out is not None:
        common.ending(out, "scenario")
        common.writable(out, force=force)
    common.one_moment(at, alert, mark)
    accepted = common.accepted_log(accept or [])
    ruleset = common.usable(rules, path or [], "nothing was made")
    # By their name they are looked for beside the scenario.
    beside = Path(rules if out is None else out).parent / f"{ruleset.name}.alert"
    named = rules != "-" and beside.resolve() == Path(rules).resolve()
    from alertlang.api.rules import parse_seconds
    from alertlang.api.runs import LogError, scenario_from_log

    try:
        times = {"around": parse_seconds(around)} | ({} if run_in is None else {"run_in": parse_seconds(run_in)})
    except ValueError as problem:
        raise typer.BadParameter(str(problem), param_hint="--around, --run-in") from None
    try:
        made = scenario_from_log(
            ruleset,
            log,
            at=at,
            alert=common.number_or_text(alert),
            mark=mark,
            segment=segment,
            column_map=column_map,
            accept=accepted,
            name="" if out is None else out.stem,
            named=named,
            **times,
        )
    except LogError as problem:
        common.stop(problem)
    if out is None:
        sys.stdout.write(made.text)
    else:
        common.save(out, made.text.encode("utf-8"), force=force)
        said = f"{made.lines} line{'s' * (made.lines != 1)} of {made.samples} samples"
        common.done(f"wrote {out}: {said}", sys.stderr)
        if not named:
            file = "FILE" if rules == "-" else shlex.quote(rules)
            common.done(f"run it with: alertlang scenarios {shlex.quote(str(out))} --rules {file}", sys.stderr)
    if not made.trusted:
        for doubt in made.doubts:
            common.complain(f"{log}: {doubt.name}: {doubt.words}")
        raise typer.Exit(3)
