"""`alertlang check`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from alertlang.api.rules import WORK_LIMIT, Report
from alertlang.api.rules import check as checked
from alertlang.cli import common
from alertlang.cli.config import NoConfig
from alertlang.cli.reporter import Reporter, new_in
from alertlang.cli.witnesses import SaveWitnesses, save_witnesses
from alertlang.output.style import write

# What is not asked for is not imported.
if TYPE_CHECKING:
    from alertlang.api.rules import Display, Fixed
    from alertlang.cli.baseline import KnownFindings


def command(
    files: common.Files,
    path: common.SearchPath = None,
    output: common.CheckOutput = common.CheckFormat.TEXT,
    fail_on: common.Fail = common.FailOn.ERROR,
    today: common.Today = None,
    work_limit: common.WorkLimit = None,
    baseline: common.BaselineFile = None,
    write_baseline: common.WriteBaseline = None,
    fix: common.Fix = False,
    diff: common.Diff = False,
    witnesses: SaveWitnesses = None,
    display: common.ForDisplay = None,
    force: common.Force = False,
    no_config: NoConfig = False,
) -> None:
    """Check rule files: gaps, contradictions, bands that never show, limits that nothing guards, alerts that are
    missing; and prove what they claim. A display is read, and nothing in it is checked by itself."""
    date = common.usable_date(today)
    if (fix or diff) and "-" in files:
        raise typer.BadParameter("standard input has no file to write to", param_hint="--fix / --diff")
    if diff and write_baseline is not None:
        raise typer.BadParameter("it would record what is not in the file yet", param_hint="--write-baseline")
    if witnesses is not None and "-" in files:
        raise typer.BadParameter("standard input has no name for a scenario to use", param_hint="--save-witnesses")
    limit = work_limit or WORK_LIMIT
    if display is not None and (fix or diff):
        raise typer.BadParameter("--fix and --diff look at no display", param_hint="--for")
    box = None if display is None else common.read_display(display)
    known = _baseline(baseline, write_baseline, force)
    told = Reporter(output)
    counted: list[Report] = []
    for name in files:
        result = _fixed(name, path or [], date, limit, output, only_show=diff) if fix or diff else None
        report = result.remaining if result else _checked(name, path or [], date, limit, box)
        held, notes = known.compare(name, report) if known else (frozenset(), [])
        told.report(report, held, notes)
        if result is not None and diff:
            # The file is as it was, and so is its verdict.
            report = result.found
            held = known.compare(name, report)[0] if known else held
        counted.append(new_in(report, held))
    told.end()
    code = common.exit_code(counted, fail_on)
    if known and write_baseline is not None:
        known.save(complete=code != 2)
    if witnesses is not None:
        save_witnesses(witnesses, files, path or [], counted)
    raise typer.Exit(code)


def _checked(name: str, search: list[Path], today: str | None, limit: int, box: Display | None) -> Report:
    text, shown = (sys.stdin.buffer.read(), common.STANDARD_INPUT) if name == "-" else (None, name)
    return checked(shown, text=text, shown=shown, search=search, today=today, work_limit=limit, display=box)


def _baseline(given: Path | None, writing: Path | None, force: bool) -> KnownFindings | None:
    if given is None and writing is None:
        return None
    from alertlang.cli.baseline import KnownFindings

    return KnownFindings(given, writing, force=force)


def _fixed(
    name: str, search: list[Path], today: str | None, limit: int, output: common.CheckFormat, *, only_show: bool
) -> Fixed | None:
    """What becomes of a file with suggestions written in, told already; none if it cannot be read."""
    from alertlang.cli.fix import fixed, save, told

    result = fixed(name, search, today, limit)
    if result is not None:
        if not only_show:
            save(name, result)
        # Formats for programs have standard output for themselves.
        write(
            told(name, result, common.width(), written=not only_show),
            None if output is common.CheckFormat.TEXT else sys.stderr,
        )
    return result
