"""`alertlang format`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from alertlang.api.rules import Finding, FormatFaultError, Formatted, UnreadableError, difference, format_rules
from alertlang.cli.common import STANDARD_INPUT, Files, complain, done, unreadable
from alertlang.output.style import write
from alertlang.text.write_file import reason, write_whole

Check = Annotated[
    bool, typer.Option("--check", help="Write nothing; end with code 1 if a file is not in its canonical form.")
]
Diff = Annotated[bool, typer.Option("--diff", help="Write nothing; show what would change.")]


def command(files: Files, check: Check = False, diff: Diff = False) -> None:
    """Lay files out in one way: spaces, line breaks, words that say the same. What they say does not change, every
    comment stays, and a file with a mistake in it is left alone. Standard input is written to standard output."""
    if "-" in files and len(files) > 1:
        raise typer.BadParameter("standard input can only be formatted alone", param_hint="FILE")
    code = 0
    changed = False
    for name in files:
        shown = STANDARD_INPUT if name == "-" else name
        try:
            result = format_rules(name, text=sys.stdin.buffer.read() if name == "-" else None, shown=shown)
        except UnreadableError as problem:
            _refuse(shown, problem.findings)
            code = 2
            continue
        except FormatFaultError as problem:
            _fault(shown, problem)
            code = 2
            continue
        if diff:
            _write(difference(result))
            changed = changed or result.changed
        elif name == "-" and not check:
            _write(result.after)
        elif result.changed and not check and not _replaced(name, result):
            code = 2
        elif result.changed:
            changed = True
            write([[("", f"{'would be formatted' if check else 'formatted'}: {result.path}")]])
    if not changed and not code and not diff and "-" not in files:
        write([[("", "as it should be" if len(files) == 1 else f"all {len(files)} files are as they should be")]])
    raise typer.Exit(1 if check and changed and not code else code)


def _replaced(name: str, result: Formatted) -> bool:
    try:
        write_whole(Path(name), result.after)
    except PermissionError:
        why = "the file or its folder may not be written"
    except OSError as problem:
        why = reason(problem)
    else:
        return True
    complain(f"{name} is not formatted and left as it is: {why}")
    return False


def _refuse(shown: str, findings: tuple[Finding, ...]) -> None:
    """To the error stream: standard output may be on its way into a file."""
    unreadable(findings)
    done(f"{shown}: not formatted, left as it is", sys.stderr)


def _fault(shown: str, fault: FormatFaultError) -> None:
    complain(
        f"{shown} is not formatted and left as it is, by a fault of the tool itself: the text to be "
        f"written does not say the same as the file ({fault}). Report it with the file."
    )


def _write(data: bytes) -> None:
    # As bytes: line endings and letters must arrive as they are.
    sys.stdout.flush()
    sys.stdout.buffer.write(data)
