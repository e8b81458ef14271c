"""A profile for reading: every statement with the source of its numbers."""

from __future__ import annotations

import textwrap

from alertlang.output.json import Json, told
from alertlang.output.style import Line, wrapped
from alertlang.output.text import counted
from alertlang.results.report import ProfileSheet

# How each status is marked, so that a weak number is seen without reading its source.
_MARKS = {"document": "  ", "common practice": "c ", "second hand": "2 ", "from memory": "m ", None: "  "}
_STYLES = {
    "document": "",
    "common practice": "note",
    "second hand": "warning",
    "from memory": "warning",
    None: "dim",
}

_TITLES = {
    "agrees": "Confirmed by another document",
    "supports": "Supported, by a sister model or by what goes back to the same document",
    "disagrees": "In conflict with another document; both are told in the profile",
}
_LETTERS = {"document": "d", "second hand": "s", "common practice": "c", "from memory": "m"}
MIX = tuple(f"{letter} {status}" for status, letter in _LETTERS.items())
"""What the letters of `status_mix` stand for, in its order."""


def status_mix(sheet: ProfileSheet) -> tuple[str, ...]:
    """How many numbers of a profile have each grade, for example `5d`, `0s`, `8c`, `4m`: in the order of `MIX`."""
    return tuple(f"{sheet.numbers[status]}{letter}" for status, letter in _LETTERS.items())


def compared(sheet: ProfileSheet) -> str:
    """How many numbers another document confirms, and how many one disagrees with; empty where none was found."""
    said = []
    if sheet.confirmed:
        said.append(f"{sheet.confirmed} confirmed by another document")
    if sheet.in_conflict:
        said.append(f"{sheet.in_conflict} in conflict with another document")
    if sheet.searched is not None:
        said.append(f"no other document was found to compare with (looked for on {sheet.searched.isoformat()})")
    return ", ".join(said)


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
        lines += wrapped("", source, width, "  ", "      ")
    for outcome, title in _TITLES.items():
        some = [words for word, words in sheet.comparisons if word == outcome]
        if some:
            lines += [[], [("strong", title)]]
            for words in some:
                lines += wrapped("", words, width, "  ", "      ")
    lines += [[], [("strong", "Statements")]]
    for entry in sheet.entries:
        mark, style = _MARKS[entry.status], _STYLES[entry.status]
        lines += wrapped(style, entry.text, width, mark, "      ")
        for source in entry.sources:
            lines += wrapped("dim", f"from: {source}", width, "      ", "            ")
    lines.append([])
    for time in sheet.reaction_times:
        lines += wrapped("", f"Where a limit says nothing else, red and its alert are due within {time}.", width)
    said = ", ".join(f"{count} {grade}" for grade, count in sheet.numbers.items() if count)
    found = compared(sheet)
    lines += wrapped("", f"{counted(sum(sheet.numbers.values()), 'number')}: {said}{found and f'; {found}'}.", width)
    lines += wrapped(
        "dim",
        "Marks: c common practice without a source, 2 second hand (check against the document before use), "
        "m from memory (confirm before use).",
        width,
    )
    return lines


def sheet_data(sheet: ProfileSheet) -> Json:
    return {
        **told(sheet, "profile=file about engine sources statements=entries reaction_times"),
        "numbers": {**sheet.numbers, "confirmed": sheet.confirmed, "in conflict": sheet.in_conflict},
        **told(sheet, "searched"),
        "comparisons": [{"outcome": outcome, "says": words} for outcome, words in sheet.comparisons],
    }
