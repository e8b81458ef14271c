"""A profile for reading: every statement with the source of its numbers."""

from __future__ import annotations

import json
import textwrap

from alertlang.diagnostics.report import ProfileSheet
from alertlang.output.style import Line

# How each status is marked, so that a weak number is seen without reading its source.
_MARKS = {"document": "  ", "common practice": "c ", "second hand": "2 ", "from memory": "m ", None: "  "}
_STYLES = {
    "document": "",
    "common practice": "note",
    "second hand": "warning",
    "from memory": "warning",
    None: "dim",
}

_LETTERS = {"document": "d", "second hand": "s", "common practice": "c", "from memory": "m"}
MIX = tuple(f"{letter} {status}" for status, letter in _LETTERS.items())
"""What the letters of `status_mix` stand for, in its order."""


def status_mix(sheet: ProfileSheet) -> tuple[str, ...]:
    """How many statements of a profile have each status, for example `5d`, `0s`, `8c`, `4m`: in the order of `MIX`."""
    return tuple(
        f"{sum(1 for entry in sheet.entries if entry.status == status)}{letter}" for status, letter in _LETTERS.items()
    )


def sheet_lines(sheet: ProfileSheet, width: int) -> list[Line]:
    """The sources first, then every statement with its own, marked by how much it is worth."""
    lines: list[Line] = [
        [("strong", f"{sheet.file.name}"), ("dim", f" version {sheet.file.version}, {sheet.file.path}")]
    ]
    for text in sheet.about:
        lines += [[("", line)] for line in textwrap.wrap(text, width)]
    if sheet.engine:
        lines.append([("", f"engine: {', '.join(sheet.engine)}")])
    lines += [[], [("strong", "Sources")]]
    for source in sheet.sources:
        lines += hanging("", source, width, "  ", "      ")
    lines += [[], [("strong", "Statements")]]
    for entry in sheet.entries:
        mark, style = _MARKS[entry.status], _STYLES[entry.status]
        lines += hanging(style, entry.text, width, mark, "      ")
        for source in entry.sources:
            lines += hanging("dim", f"from: {source}", width, "      ", "            ")
    lines.append([])
    counts = {
        status: sum(1 for entry in sheet.entries if entry.status == status)
        for status in ("document", "common practice", "second hand", "from memory")
    }
    for time in sheet.reaction_times:
        lines += hanging("", f"Where a limit says nothing else, red and its alert are due within {time}.", width)
    said = ", ".join(f"{count} {status}" for status, count in counts.items() if count)
    lines += hanging("", f"{len(sheet.entries)} statements: {said}.", width)
    lines += hanging(
        "dim",
        "Marks: c common practice without a source, 2 second hand (check against the document before use), "
        "m from memory (confirm before use). The aircraft's approved manuals decide.",
        width,
    )
    return lines


def sheet_json(sheet: ProfileSheet) -> str:
    """The same as one JSON object on one line."""
    return json.dumps(
        {
            "profile": {"name": sheet.file.name, "version": sheet.file.version, "path": sheet.file.path},
            "about": list(sheet.about),
            "engine": list(sheet.engine),
            "sources": list(sheet.sources),
            "statements": [
                {
                    "kind": entry.kind,
                    "label": entry.label,
                    "text": entry.text,
                    "sources": list(entry.sources),
                    "status": entry.status,
                }
                for entry in sheet.entries
            ],
            "reaction_times": list(sheet.reaction_times),
        },
        ensure_ascii=False,
    )


def hanging(style: str, text: str, width: int, first: str = "", rest: str = "") -> list[Line]:
    """Lines of a text at a width, the first one and the others with what stands before them."""
    wrapped = textwrap.wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [[(style, line)] for line in wrapped]
