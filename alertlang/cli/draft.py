"""`alertlang draft`."""

from __future__ import annotations

import sys
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli.common import (
    Force,
    SearchPath,
    complain,
    option,
    out,
    renamed,
    save,
    unreadable,
    width,
    writable,
)
from alertlang.cli.completion import profile_names
from alertlang.output.style import write
from alertlang.output.text import caution_lines


class Undeclared(StrEnum):
    YELLOW = "yellow"
    UNMARKED = "unmarked"


def command(
    profiles: Annotated[
        list[str],
        typer.Argument(metavar="PROFILE...", help="Shipped profiles by name, or files.", autocompletion=profile_names),
    ],
    name: Annotated[str | None, option("--name", None, "Name of the rule set.")] = None,
    output: Annotated[Path | None, out("Write it there instead of on the screen.")] = None,
    force: Force = False,
    path: SearchPath = None,
    delay: Annotated[
        str, typer.Option("--delay", metavar="SECONDS", help="Hold alerts back, as far as each limit allows.")
    ] = "0",
    start_delay: Annotated[
        bool, typer.Option(help="A lower limit of a running engine takes all the time it allows, for the start.")
    ] = True,
    between: Annotated[
        Undeclared, typer.Option("--between", help="Between a normal range and a limit, where nothing is said.")
    ] = Undeclared.YELLOW,
    high_cautions: Annotated[
        bool, typer.Option("--high-cautions", help="A caution on entering yellow above normal.")
    ] = False,
    failed_cautions: Annotated[bool, typer.Option("--failed-cautions", help="A caution for a failed sensor.")] = False,
    follow: Annotated[
        bool, typer.Option("--follow", help="State the published rules that hold with no finding.")
    ] = False,
    claims: Annotated[bool, typer.Option(help="Claims that every limit is red and told in time.")] = True,
    old_name: Annotated[str | None, renamed("--output")] = None,
) -> None:
    """A complete first rule set from profiles, every number with its source, every open question in a comment. It is
    checked before it is written."""
    from alertlang.api.runs import parse_number
    from alertlang.api.shop import Style, draft

    writable(output, force=force)
    try:
        seconds = parse_number(delay.removesuffix("s").strip())
    except ValueError:
        seconds = Fraction(-1)
    if seconds < 0:
        raise typer.BadParameter(f"{delay!r} is no time in seconds: write it as 1 or 0.5", param_hint="--delay")
    called = name or (output.name.removesuffix(".alert") if output is not None else "draft")
    if '"' in called or not called.isprintable() or not called.strip():
        raise typer.BadParameter("a name has no quotes and no line breaks", param_hint="--name")
    style = Style(seconds, start_delay, between.value, high_cautions, failed_cautions, claims, follow=follow)
    made = draft(profiles, name=called, style=style, search=path or ())
    if not made.text:
        unreadable(made.findings)
        raise typer.Exit(2)
    if output is None:
        sys.stdout.write(made.text)
    else:
        save(output, made.text.encode("utf-8"), force=force)
        count = len(made.questions)
        write([[("", f"written: {output}; {count} {'question' if count == 1 else 'questions'} in its comments")]])
        write(caution_lines(width()))
    unreadable(made.findings)
    if made.findings:
        complain("the draft is not clean; what is above must be mended by hand")
    raise typer.Exit(1 if made.findings else 0)
