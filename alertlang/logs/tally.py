"""Counting what was found in a log that was not as it should be."""

from __future__ import annotations

from alertlang.logs.table import TableProblem


class Tally:
    """Adds up problems of one kind and column, keeping the first row."""

    def __init__(self) -> None:
        self._found: dict[tuple[str, str | None], TableProblem] = {}

    def add(self, kind: str, count: int, first_row: int | None, column: str | None = None, words: str = "") -> None:
        if count <= 0:
            return
        key = kind, column
        known = self._found.get(key)
        if known is None:
            self._found[key] = TableProblem(kind, count, first_row, column, words)
        else:
            self._found[key] = TableProblem(kind, known.count + count, known.first_row, column, known.words)

    def problems(self) -> tuple[TableProblem, ...]:
        """In the order they were met, so the same log gives the same list."""
        return tuple(self._found.values())
