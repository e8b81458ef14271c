"""What a library has to say, as text. The rows come as plain words, for the library lies above this layer."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from alertlang.output.style import Line, wrapped


def columns(rows: Sequence[tuple[str, ...]], head: tuple[str, ...]) -> list[Line]:
    """A table with a head; the last column is not padded."""
    table = [head, *rows]
    sizes = [max(len(row[i]) for row in table) + 2 for i in range(len(head) - 1)]
    lines: list[Line] = []
    for number, row in enumerate(table):
        text = "".join(f"{cell:<{size}}" for cell, size in zip(row, sizes, strict=False)) + row[-1]
        lines.append([("dim" if number == 0 else "", text)])
    return lines


def heading(style: str, word: str, rest: str) -> Line:
    return [(style, f"{word:<18}  "), ("strong", rest)]


def points(texts: Iterable[str], width: int, *, style: str = "", first: str = "  ", rest: str = "    ") -> list[Line]:
    """Texts, each wrapped with a hanging indent."""
    return [line for text in texts for line in wrapped(style, text, width, first, rest)]


def statements(gone: Iterable[str], come: Iterable[str]) -> list[Line]:
    """Statements that differ, not wrapped: they are there to be copied."""
    lines: list[Line] = []
    for sign, style, some in (("-", "mark", gone), ("+", "good", come)):
        for text in some:
            lines += [[(style, f"      {sign} {line}")] for line in text.split("\n")]
    return lines


def library_json(data: Mapping[str, Any]) -> str:
    """One object on one line."""
    return json.dumps(data, ensure_ascii=False)
