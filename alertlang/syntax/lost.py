"""The names that broken statements would have given, so that using one is no second mistake."""

from __future__ import annotations

import re
from collections.abc import Iterable

from alertlang.text.source import Span
from alertlang.text.suggest import nearest

_DECLARE = ("quantity", "switch", "condition", "let", "curve", "source")

# At the start of every line: a declaration that is indented by mistake is part of the statement before it.
_LABEL = re.compile(r"^\s*(?:replace\s+)?([A-Za-z_][A-Za-z0-9_]*)\s*:", re.MULTILINE)
_TWO_WORDS = re.compile(r"^\s*([A-Za-z_]+)\s+([A-Za-z_][A-Za-z0-9_]*)", re.MULTILINE)


def names_lost(broken: Iterable[Span]) -> frozenset[str]:
    """Names and labels that the stretches of text, none of which could be read, seem meant to declare."""
    found: set[str] = set()
    for span in broken:
        text = span.text
        found.update(match.group(1) for match in _LABEL.finditer(text))
        # The word before the name may be what is misspelt.
        found.update(match.group(2) for match in _TWO_WORDS.finditer(text) if nearest(match.group(1), _DECLARE))
    return frozenset(found)
