"""Whatever tree can be written is read back the same."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from alertlang.syntax import tree as t
from alertlang.syntax.parse import parse
from alertlang.text.source import Source
from tests.helpers.print_tree import print_statement
from tests.helpers.trees import declarations, heads, of_displays, others, statements


def _same_again(statement: t.Statement) -> None:
    text = print_statement(statement)
    tree, findings = parse(Source("x", text))
    assert [f.message for f in findings] == [], text
    assert tree.statements == (statement,), text


@given(heads)
def test_heads_of_files(statement: t.Statement) -> None:
    _same_again(statement)


@given(declarations)
def test_declarations(statement: t.Statement) -> None:
    _same_again(statement)


@given(others)
def test_rules_and_changes(statement: t.Statement) -> None:
    _same_again(statement)


@given(of_displays)
def test_what_displays_can_hold(statement: t.Statement) -> None:
    _same_again(statement)


@given(st.lists(statements, max_size=5))
def test_several_statements_with_comments_between(several: list[t.Statement]) -> None:
    text = "".join(f"# one more\n{print_statement(one)}  # and so on\n\n" for one in several)
    tree, findings = parse(Source("x", text))
    assert findings == []
    assert list(tree.statements) == several
    assert len(tree.comments) == 2 * len(several)


@given(statements)
def test_every_blank_may_be_a_line_break(statement: t.Statement) -> None:
    text = print_statement(statement)
    # Blanks inside texts stay: a text ends on its line.
    parts = text.split('"')
    parts[::2] = [part.replace(" ", "\n   ") for part in parts[::2]]
    tree, findings = parse(Source("x", '"'.join(parts)))
    assert findings == []
    assert tree.statements == (statement,)
