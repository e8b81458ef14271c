"""The pages of the findings that are no checks: those of reading a file, and the note on accepted exceptions.

They stand in grammar/READING.md; the page of a check is the docstring of its module.
"""

from __future__ import annotations

import re
from functools import cache

from alertlang.text.resources import grammar_dir

_HEAD = re.compile(r"^# ([a-z-]+)\n\n", re.MULTILINE)


@cache
def reading_pages() -> dict[str, str]:
    """By the name of the finding."""
    _, *parts = _HEAD.split((grammar_dir() / "READING.md").read_text(encoding="utf-8"))
    return {name: page.strip("\n") + "\n" for name, page in zip(parts[::2], parts[1::2], strict=True)}
