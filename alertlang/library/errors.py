"""Why something in a library cannot be done."""

from __future__ import annotations

from collections.abc import Iterable

from alertlang.findings.errors import AlertlangError
from alertlang.findings.finding import Finding


class LibraryError(AlertlangError, ValueError):
    """What was asked for cannot be done, and the library is as it was. `way_out` says what to do instead.

    `findings`: what is wrong in a file that could not be read, if that is why.
    """

    def __init__(self, message: str, way_out: str, findings: Iterable[Finding] = ()) -> None:
        self.message = message
        self.way_out = way_out
        self.findings = tuple(findings)
        super().__init__(f"{message}: {way_out}")


class RefusedError(LibraryError):
    """An approval that may not be given: everything could be read, and something in it is not as it must be."""
