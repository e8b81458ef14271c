"""A whole file in its canonical form, read again before anybody gets it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from alertlang.findings.finding import Finding, finding
from alertlang.format.lay_out import INDENT, lines_of
from alertlang.format.place import place, unplaced
from alertlang.format.statements import pieces_of
from alertlang.syntax import tree as t
from alertlang.syntax.parse import parse
from alertlang.text.source import Source


@dataclass(frozen=True, slots=True)
class Refused:
    """A file that is not formatted. `findings` say what in it cannot be read; without any, `fault` says how the tool
    itself failed: what it would have written does not say the same as what was read."""

    findings: tuple[Finding, ...] = ()
    fault: str = ""


def format_statement(statement: t.Statement) -> str:
    """One statement without regard to how it was laid out or commented, no line ending after it."""
    return "\n".join(lines_of(unplaced(pieces_of(statement))))


def format_text(source: Source) -> str | Refused:
    """The canonical text of a file: the same tree, the same comments in the same order."""
    tree, findings = parse(source)
    findings += [
        finding("bad-value", "this is said twice in one statement", node.span, advice=("take one of the two out",))
        for statement in tree.statements
        for node in _repeated(statement)
    ]
    if findings:
        return Refused(tuple(sorted(findings, key=lambda f: f.sort_key)))
    lines = _lines(tree)
    text = "\n".join(lines) + "\n" if lines else ""
    fault = _difference(tree, Source(source.path, text))
    return Refused(fault=fault) if fault else text


def _repeated(statement: t.Statement) -> Iterable[t.Node]:
    """Clauses that the tree keeps only as a mistake, without their place among the others."""
    if isinstance(statement, t.QuantityStatement | t.ConditionStatement):
        return statement.repeated
    if isinstance(statement, t.Labelled | t.Replace) and isinstance(statement.rule, t.BandStatement | t.AlertStatement):
        return statement.rule.tail.repeated
    return ()


def _lines(tree: t.File) -> list[str]:
    lines: list[str] = []
    last_line = 0
    # Whether an indented comment would belong to the statement before it.
    after_statement = False
    for item, comments in _items(tree):
        if lines and item.span.line > last_line + 1:
            lines.append("")
            after_statement = False
        if isinstance(item, t.Comment):
            after_statement = after_statement and item.span.column > 1
            lines.append((INDENT if after_statement else "") + item.text.rstrip())
        else:
            after_statement = True
            lines += lines_of(place(pieces_of(item), item.span, comments))
        last_line = max(item.span.end_line, comments[-1].span.line if comments else 0)
    return lines


def _items(tree: t.File) -> Iterator[tuple[t.Statement | t.Comment, list[t.Comment]]]:
    """Statements with their own comments, and the comments between them, in order."""
    comments = list(reversed(tree.comments))
    for statement in tree.statements:
        while comments and comments[-1].span.start < statement.span.start:
            yield comments.pop(), []
        own: list[t.Comment] = []
        end, last_line = statement.span.end, statement.span.end_line
        while comments and (comments[-1].span.start < end or comments[-1].span.line == last_line):
            own.append(comments.pop())
        yield statement, own
    for comment in reversed(comments):
        yield comment, []


def _difference(tree: t.File, written: Source) -> str:
    """What a text says otherwise than a tree; empty if nothing."""
    again, findings = parse(written)
    if findings:
        return f"it cannot be read: {findings[0].message}"
    for old, new in zip(tree.statements, again.statements, strict=False):
        if old != new:
            return f"the statement in line {old.span.line} would say something else: {new.span.text}"
    if len(again.statements) != len(tree.statements):
        return f"it has {len(again.statements)} statements instead of {len(tree.statements)}"
    if [c.text.rstrip() for c in again.comments] != [c.text.rstrip() for c in tree.comments]:
        return "its comments are not the same"
    return ""
