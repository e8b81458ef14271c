"""What formatting changes, as a unified diff."""

from __future__ import annotations

import re
from difflib import diff_bytes, unified_diff

from alertlang.format.files import Formatted

_LINE = re.compile(rb"[^\n]*\n|[^\n]+")
_NO_END = b"\n\\ No newline at end of file\n"


def difference(formatted: Formatted) -> bytes:
    """From a file to its canonical form, byte for byte, so that it can be applied; empty if nothing changes."""
    name = formatted.path.encode("utf-8", "surrogateescape")
    before, after = (_LINE.findall(data) for data in (formatted.before, formatted.after))
    lines = diff_bytes(unified_diff, before, after, name, name + b" (formatted)")
    return b"".join(line if line.endswith(b"\n") else line + _NO_END for line in lines)
