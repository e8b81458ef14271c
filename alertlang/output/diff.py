"""The difference of two texts as a unified diff."""

from __future__ import annotations

import difflib

from alertlang.output.style import Line

_STYLES = {"+": "good", "-": "mark", "@": "dim"}


def diff_lines(before: str, after: str, name: str) -> list[Line]:
    """Nothing if they are equal. `name`: how the file is called. Line ends are all shown alike."""
    lines: list[Line] = []
    for number, line in enumerate(difflib.unified_diff(_lines(before), _lines(after), name, name, lineterm="")):
        # The two lines that name the file begin with signs too.
        style = "strong" if number < 2 else _STYLES.get(line[:1], "")
        text = line.removesuffix("\n")
        lines.append([(style, text)])
        if number >= 2 and line[:1] in {"+", "-", " "} and text == line:
            lines.append([("dim", "\\ No newline at end of file")])
    return lines


def _lines(text: str) -> list[str]:
    return text.replace("\r\n", "\n").replace("\r", "\n").splitlines(keepends=True)
