"""What all errors have in common that a caller of `alertlang.api` can meet."""

from __future__ import annotations

from alertlang.findings.finding import Finding


class AlertlangError(Exception):
    """What was asked for cannot be done; the text says why, and names the file if it is about one.

    `findings`: what is wrong in the files that were read, if that is why. `way_out`: what to do instead, in words;
    empty if the text says all.
    """

    findings: tuple[Finding, ...] = ()
    way_out: str = ""


class NameOrFileError(AlertlangError, ValueError):
    """A name that nothing has, a file that cannot be read, or words that say nothing of the rules they are about."""

    def __init__(self, message: str, way_out: str = "") -> None:
        self.message = message
        self.way_out = way_out
        super().__init__(f"{message}: {way_out}" if way_out else message)


def read_bytes_of(path: object) -> bytes:
    """What is in a file; NameOrFileError, with its path, if it cannot be read."""
    from pathlib import Path

    named = Path(str(path))
    try:
        return named.read_bytes()
    except OSError as problem:
        why = problem.strerror.lower() if problem.strerror else str(problem)
        raise NameOrFileError(f"{path} cannot be read: {why}") from None
