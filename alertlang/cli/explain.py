"""`alertlang explain`."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from alertlang.api import pages
from alertlang.cli.common import width
from alertlang.cli.completion import check_names
from alertlang.findings.codes import BY_NAME, CODES, RETIRED
from alertlang.output.style import write
from alertlang.output.text import page_lines, table_lines
from alertlang.text.suggest import nearest


def command(
    name: Annotated[
        str | None,
        typer.Argument(
            help="A check by name or code, for example gap or AL201; without one: the list.",
            autocompletion=check_names,
        ),
    ] = None,
) -> None:
    """Explain a check: what it finds, why it matters, an example before and after, how it is decided."""
    if name is None:
        rows = []
        for code in CODES.values():
            first = pages()[code.name].strip().split("\n")[0]
            rows.append((code.code, code.name, code.severity.word, first))
        write(table_lines(rows, (7, 24, 9)))
        return
    entry = CODES.get(name.upper()) or BY_NAME.get(name.lower())
    old = next((one for one in RETIRED if name.lower() in {one.code.lower(), one.name}), None)
    if old is not None:
        sys.stderr.write(f"alertlang: {old.code} {old.name} is not given any more: {old.why}\n")
        raise typer.Exit(2)
    if entry is None:
        close = nearest(name, [*CODES, *BY_NAME])
        hint = f"did you mean {close}?" if close else "alertlang explain lists them all"
        sys.stderr.write(f"alertlang: there is no check {name}: {hint}\n")
        raise typer.Exit(2)
    write(page_lines(entry.code, entry.name, entry.severity.word, pages()[entry.name], width()))
