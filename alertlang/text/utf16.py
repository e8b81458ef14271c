"""Places as editors and viewers count them: in UTF-16 code units. Nothing else in the house converts."""

from __future__ import annotations

from dataclasses import dataclass

from alertlang.text.source import Source, Span


@dataclass(frozen=True, slots=True)
class Utf16Place:
    """Lines and columns from 1; columns count UTF-16 code units, and the end is the first one after the place."""

    line: int
    column: int
    end_line: int
    end_column: int


def place(span: Span) -> Utf16Place:
    """Where a span stands."""
    line, column = _place(span.source, span.start)
    end_line, end_column = _place(span.source, span.end)
    return Utf16Place(line, column, end_line, end_column)


def _place(source: Source, offset: int) -> tuple[int, int]:
    line, column = source.line_column(offset)
    before = source.text[offset - column + 1 : offset]
    # Two units for what lies outside the basic plane, one for everything else.
    return line, column + sum(1 for letter in before if ord(letter) > 0xFFFF)
