"""What cannot be used, with its place and the way out."""

from __future__ import annotations

from alertlang.findings.errors import AlertlangError


class LogError(AlertlangError, ValueError):
    """A log or a column map that cannot be used. `line`: in the file, counted from 1, if it is about one."""

    def __init__(self, path: str, message: str, advice: str = "", line: int | None = None) -> None:
        self.path = path
        self.message = message
        self.way_out = advice
        self.line = line
        place = path if line is None else f"{path}:{line}"
        super().__init__(f"{place}: {message}" + (f"; {advice}" if advice else ""))
