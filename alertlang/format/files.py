"""The bytes of a file and of its canonical form.

What is around the text stays: a byte order mark, and the line ending (that of the first line serves all).
"""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from difflib import diff_bytes, unified_diff
from pathlib import Path

from alertlang.findings.finding import Finding, finding
from alertlang.format.text import Refused, format_text
from alertlang.syntax.read import read_bytes, read_file
from alertlang.text.short import Short

_MARK = b"\xef\xbb\xbf"
_LINE_END = re.compile(rb"\r\n|\n|\r")
_LINE = re.compile(rb"[^\n]*\n|[^\n]+")
_NO_END = b"\n\\ No newline at end of file\n"


@dataclass(frozen=True, slots=True, repr=False)
class Formatted(Short):
    """The bytes of a file and of its canonical form. `path` is as findings name it."""

    path: str
    before: bytes
    after: bytes

    @property
    def changed(self) -> bool:
        return self.before != self.after


def format_file(path: Path, shown: str) -> Formatted | Refused:
    """The canonical form of a file; nothing is written. `shown` is the path as findings name it."""
    # By os.path, which takes what cannot be looked at for missing: why is said further on.
    if os.path.exists(path) and not os.path.isfile(path) and not os.path.isdir(path):
        what, instead = "this is not a plain file, which could be replaced", "to format what a pipe gives, name it -"
        return Refused((finding("unreadable-file", what, None, path=shown, advice=(instead,)),))
    # What can be wrong with a path is said in one place; what is read there has lost its marks and line endings.
    source = read_file(path, shown)
    if isinstance(source, Finding):
        return Refused((source,))
    return format_bytes(path.read_bytes(), shown)


def format_bytes(data: bytes, shown: str) -> Formatted | Refused:
    """The canonical form of what a file holds."""
    source = read_bytes(data, shown)
    if isinstance(source, Finding):
        return Refused((source,))
    text = format_text(source)
    if isinstance(text, Refused):
        return text
    end = _LINE_END.search(data)
    written = text.encode("utf-8").replace(b"\n", end.group() if end else b"\n")
    return Formatted(shown, data, (_MARK if data.startswith(_MARK) else b"") + written)


def difference(formatted: Formatted) -> bytes:
    """From a file to its canonical form, byte for byte, so that it can be applied; empty if nothing changes."""
    name = formatted.path.encode("utf-8", "surrogateescape")
    before, after = (_LINE.findall(data) for data in (formatted.before, formatted.after))
    lines = diff_bytes(unified_diff, before, after, name, name + b" (formatted)")
    return b"".join(line if line.endswith(b"\n") else line + _NO_END for line in lines)
