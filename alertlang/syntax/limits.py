"""Statements beyond all measure: a clear word instead of a crash further on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import fields

from lark import Token

from alertlang.findings.finding import Finding, finding
from alertlang.syntax import tree as t
from alertlang.text.source import Source, Span
from alertlang.units.number import parse_number

# Whatever reads the tree may go down it by recursion, so its depth is bounded here, once for all.
DEEPEST = 100

# The largest sets that were measured have 18,000 statements, and take most of a minute.
MOST_STATEMENTS = 25_000

_NESTING = (t.NotNode, t.AndNode, t.OrNode, t.HeldNode, t.Arithmetic)


def too_many(source: Source, count: int) -> Finding | None:
    """A finding if a text has more statements than can be checked in any time."""
    if count <= MOST_STATEMENTS:
        return None
    return finding(
        "unreadable-file",
        f"the file has {count:,} statements: at most {MOST_STATEMENTS:,} are read",
        None,
        path=source.path,
        advice=("split it into rule sets that are checked each by itself, or check that this is the file you meant",),
    )


def too_deep(statement: t.Node) -> Finding | None:
    """A finding if a formula or an expression is nested deeper than anybody can read."""
    # As many characters at least as levels: spares nearly every statement the walk.
    if statement.span.end - statement.span.start <= DEEPEST:
        return None
    pending: list[tuple[t.Node, int]] = [(statement, 0)]
    while pending:
        node, depth = pending.pop()
        depth += isinstance(node, _NESTING)
        if depth > DEEPEST:
            named = "`let`" if isinstance(node, t.Arithmetic) else "`condition`"
            return finding(
                "bad-value",
                f"this is nested more than {DEEPEST} levels deep",
                node.span,
                advice=(f"give parts of it names of their own with {named}",),
            )
        pending.extend((part, depth) for part in _parts(node))
    return None


def _parts(node: t.Node | t.Tail) -> Iterator[t.Node]:
    for field in fields(node):
        value = getattr(node, field.name)
        if isinstance(value, t.Node):
            yield value
        elif isinstance(value, t.Tail):
            yield from _parts(value)
        elif isinstance(value, tuple):
            yield from (part for part in value if isinstance(part, t.Node))


def long_number(source: Source, tokens: Iterable[Token]) -> Finding | None:
    """A finding for the first number that is too long to be one."""
    for token in tokens:
        if token.type != "NUMBER":
            continue
        try:
            parse_number(str(token))
        except ValueError:
            assert token.start_pos is not None
            return finding(
                "bad-value",
                f"a number of {len(token)} characters is no value of a quantity",
                Span(source, token.start_pos, token.start_pos + len(token)),
                advice=("write it with as many digits as the document gives",),
            )
    return None
