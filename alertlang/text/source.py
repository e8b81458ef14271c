"""A text that was read, and places in it.

Offsets count Unicode code points from the start of the text; lines and columns count from 1.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """One text with the path it is shown under. Two sources are the same only if they are the same object.

    `sha256`: of the bytes it was read from, in hexadecimal; empty for a text that was not read from anything.
    """

    path: str
    text: str
    line_starts: tuple[int, ...] = field(init=False, repr=False)
    sha256: str = field(default="", repr=False)

    def __post_init__(self) -> None:
        starts = [0]
        position = self.text.find("\n")
        while position >= 0:
            starts.append(position + 1)
            position = self.text.find("\n", position + 1)
        object.__setattr__(self, "line_starts", tuple(starts))

    def line_column(self, offset: int) -> tuple[int, int]:
        """Line and column, both from 1, of a code point offset."""
        line = bisect_right(self.line_starts, offset)
        return line, offset - self.line_starts[line - 1] + 1

    def line_text(self, line: int) -> str:
        """The text of a line (from 1) without its line ending; empty beyond the last one."""
        if not 1 <= line <= len(self.line_starts):
            return ""
        start = self.line_starts[line - 1]
        end = self.line_starts[line] if line < len(self.line_starts) else len(self.text)
        return self.text[start:end].rstrip("\r\n")


@dataclass(frozen=True, slots=True)
class Span:
    """The piece `source.text[start:end]`."""

    source: Source
    start: int
    end: int

    @property
    def text(self) -> str:
        return self.source.text[self.start : self.end]

    @property
    def line(self) -> int:
        return self.source.line_column(self.start)[0]

    @property
    def column(self) -> int:
        return self.source.line_column(self.start)[1]

    @property
    def end_line(self) -> int:
        return self.source.line_column(self.end)[0]

    @property
    def end_column(self) -> int:
        return self.source.line_column(self.end)[1]

    def to(self, other: Span) -> Span:
        """From the start of this piece to the end of the other one."""
        return Span(self.source, self.start, other.end)
