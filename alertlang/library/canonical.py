"""What of a file counts: its canonical text without comments, so that layout and comments make no difference."""

from __future__ import annotations

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
    return None if statements is None else "".join(f"{one}\n" for one in statements).encode("utf-8")
