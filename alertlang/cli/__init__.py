"""The command line: one thin file per command.

Decisions:

- `today`, `fix` and `write-baseline` cannot be set in `pyproject.toml`: a day goes stale, and a check must not write
  by itself.
- A place that cannot be written is refused before the work that ends in it.
"""

from __future__ import annotations

import os
import sys
from typing import NoReturn


def main() -> None:
    """The entry point. Exit codes: 0 nothing at or above `--fail-on`, 1 findings, 2 input that could not be used.

    A crash is 2, never 1: scripts must not take it for findings.
    """
    from alertlang.cli.app import app

    try:
        try:
            app(prog_name="alertlang")
        finally:
            # What is still held back is written here, where a closed pipe can be dealt with.
            sys.stdout.flush()
    except BrokenPipeError:
        _pipe_closed()
    except SystemExit as end:
        # typer ends with 1 when a pipe is closed, which would be taken for findings.
        if isinstance(end.__context__, BrokenPipeError):
            _pipe_closed()
        raise
    except KeyboardInterrupt:
        sys.exit(2)
    except Exception as problem:
        if _interrupted(problem):
            sys.exit(2)
        # A shell asks what could be typed next: a message would land in the middle of the line.
        if os.environ.get("_ALERTLANG_COMPLETE"):
            sys.exit(2)
        if os.environ.get("ALERTLANG_TRACEBACK"):
            raise
        from alertlang.text.extras import missing

        install = missing(problem) if isinstance(problem, ModuleNotFoundError) else None
        if install is not None:
            sys.stderr.write(f"alertlang: {install}\n")
            sys.exit(2)
        sys.stderr.write(
            f"alertlang: a fault of the tool itself, nothing was decided: {type(problem).__name__}: {problem}\n"
            "Run again with ALERTLANG_TRACEBACK=1 to see where, and report it with the file.\n"
        )
        sys.exit(2)


def _interrupted(problem: BaseException | None) -> bool:
    """Whether a Ctrl-C is behind it: a library that is interrupted while it is loaded says that it is broken."""
    while problem is not None and not isinstance(problem, KeyboardInterrupt):
        problem = problem.__cause__ or problem.__context__
    return problem is not None


def _pipe_closed() -> NoReturn:
    """The reader of a pipe has gone away: not a fault, and nothing more can be said to it."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(2)


if __name__ == "__main__":
    main()
