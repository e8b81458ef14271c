"""`alertlang profiles list | show | check`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from alertlang import __version__
from alertlang.api import profile_sheet, report_on
from alertlang.cli.common import Fail, FailOn, Output, OutputFormat, SearchPath, exit_code, width
from alertlang.cli.completion import profile_names
from alertlang.cli.config import NoConfigOfPaths
from alertlang.logic.solver import solver_version
from alertlang.model.files import shipped_profiles
from alertlang.model.load import Loaded, load_ruleset
from alertlang.output.json import report_json
from alertlang.output.profile import MIX, compared, sheet_json, sheet_lines, status_mix
from alertlang.output.style import Line, wrapped, write
from alertlang.output.text import caution_lines, finding_lines, report_lines, table_lines
from alertlang.text.suggest import nearest

app = typer.Typer(help="The profiles that ship with the tool, and your own.", no_args_is_help=True)


@app.command("list")
def list_profiles() -> None:
    """The shipped profiles by name, each with how many of its numbers have which grade."""
    rows: list[tuple[str, ...]] = []
    for name, path in shipped_profiles().items():
        loaded = _load(path)
        about = loaded.ruleset.about[0] if loaded.ruleset and loaded.ruleset.about else ""
        sheet = None if loaded.ruleset is None else profile_sheet(loaded.ruleset)
        mix = ("",) * len(MIX) if sheet is None else status_mix(sheet)
        rows.append((path.parent.name, name, *mix, about, "" if sheet is None else compared(sheet)))
    widths = tuple(max(len(row[at]) for row in rows) + 2 for at in range(2)) + tuple(
        max(len(row[at]) for row in rows) + 1 for at in range(2, 2 + len(MIX))
    )
    # What a profile is about stands under its name, whole: beside it there would be no room, and a cut text says less.
    lines: list[Line] = []
    for *cells, about, found in rows:
        lines += table_lines([tuple(cells)], widths)
        for text in (about, found):
            lines += wrapped("dim", text, width(), "    ", "    ")
    write(lines)
    write([[], *wrapped("dim", f"Numbers by grade: {', '.join(MIX)}.", width())])


@app.command("show")
def show(
    name: Annotated[
        str, typer.Argument(help="A shipped profile by name, or a .profile file.", autocompletion=profile_names)
    ],
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Everything a profile says, with the source and status of every number."""
    loaded = _find(name, path or [])
    if loaded.ruleset is None:
        for one in loaded.findings:
            write(finding_lines(one, width()), sys.stderr)
        raise typer.Exit(2)
    sheet = profile_sheet(loaded.ruleset)
    if output is OutputFormat.JSON:
        sys.stdout.write(sheet_json(sheet) + "\n")
    else:
        write([*sheet_lines(sheet, width()), *caution_lines(width())])


@app.command("check")
def check(
    names: Annotated[
        list[str] | None,
        typer.Argument(
            help="Profiles by name or file; none: all shipped ones.", show_default=False, autocompletion=profile_names
        ),
    ] = None,
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
    fail_on: Fail = FailOn.ERROR,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Check profiles by themselves: sensors that end before their limits, contexts that can never hold, and so on."""
    reports = []
    for name in names or list(shipped_profiles()):
        report = report_on(_find(name, path or []))
        reports.append(report)
        if output is OutputFormat.JSON:
            sys.stdout.write(report_json(report, __version__, solver_version()) + "\n")
        else:
            write(report_lines(report, solver_version(), width()))
    if output is OutputFormat.TEXT:
        write(caution_lines(width()))
    raise typer.Exit(exit_code(reports, fail_on))


def _find(name: str, search: list[Path]) -> Loaded:
    shipped = shipped_profiles()
    if name in shipped and not Path(name).is_file():
        return _load(shipped[name])
    if not Path(name).exists() and "/" not in name and not name.endswith(".profile"):
        # As `use profile` does for a file that stands here.
        for folder in (Path(), Path("profiles"), *search):
            candidate = folder / f"{name}.profile"
            if candidate.is_file():
                return load_ruleset(candidate, search=tuple(search))
        close = nearest(name, shipped)
        hint = f"did you mean {close}?" if close else "alertlang profiles list shows them"
        sys.stderr.write(f"alertlang: there is no profile {name}: {hint}\n")
        raise typer.Exit(2)
    return load_ruleset(Path(name), shown=name, search=tuple(search))


def _load(path: Path) -> Loaded:
    return load_ruleset(path, shown=f"stdlib_profiles/{path.parent.name}/{path.name}")
