"""Things in a row, in words."""

from __future__ import annotations

from collections.abc import Iterable


def listed(names: Iterable[str], word: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`."""
    *others, last = names
    return f"{', '.join(others)} {word} {last}" if others else last
