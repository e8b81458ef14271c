"""What of a file counts: its canonical text without comments, so that layout and comments make no difference."""

from __future__ import annotations

import difflib

from alertlang.findings.finding import Finding


def canonical_statements(data: bytes) -> tuple[str, ...] | None:
    """The statements of a file in canonical form, without comments; none if it cannot be read."""
    # Imported here: what has not changed is told without building the grammar.
    from alertlang.format.text import format_statement
    from alertlang.syntax.parse import parse
    from alertlang.syntax.read import read_bytes

    source = read_bytes(data, "-")
    if isinstance(source, Finding):
        return None
    tree, findings = parse(source)
    return None if findings else tuple(format_statement(statement) for statement in tree.statements)


def canonical_bytes(data: bytes) -> bytes | None:
    """The same as one text, one statement after the other; its sha256 is the digest that is pinned."""
    statements = canonical_statements(data)
    return None if statements is None else "".join(f"{statement}\n" for statement in statements).encode("utf-8")


def changed_statements(before: bytes, after: bytes) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The statements that are gone and those that are new, in canonical form."""
    old, new = canonical_statements(before) or (), canonical_statements(after) or ()
    gone: list[str] = []
    come: list[str] = []
    for kind, low, high, start, end in difflib.SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if kind != "equal":
            gone += old[low:high]
            come += new[start:end]
    return tuple(gone), tuple(come)
