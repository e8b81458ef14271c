"""Places: what a node says it covers is the text that says it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields

import pytest

from alertlang.syntax import tree as t
from alertlang.syntax.parse import parse
from alertlang.text.source import Source
from tests.helpers.print_tree import print_statement
from tests.syntax.test_corpus import STATEMENTS


def _one(text: str) -> t.Statement:
    tree, findings = parse(Source("x", text))
    assert findings == []
    [statement] = tree.statements
    return statement


def _nodes(node: object) -> Iterator[t.Node]:
    if isinstance(node, t.Node):
        yield node
    if isinstance(node, t.Node | t.Tail):
        for one in fields(node):
            yield from _nodes(getattr(node, one.name))
    elif isinstance(node, tuple):
        for part in node:
            yield from _nodes(part)


def _covered(text: str, kind: type[t.Node]) -> list[str]:
    return [node.span.text for node in _nodes(_one(text)) if type(node) is kind]


BAND = """overspeed: when cold and (rpm above 5 rpm   # here: “odd” ü, 100 °C
  or any cht[2] from 1 F to -2.5 F) then oil_temp
  outside 3 to x for more than 5 min in total
  # a line of its own “here”
  is amber with warning "ÜBER {n} é" after 1 s latched
  unless not flaps is not up   # the end é"""


def test_words_and_values() -> None:
    assert _covered(BAND, t.WordNode) == [
        *("overspeed", "cold", "rpm", "rpm", "cht", "F", "F", "oil_temp", "x", "min", "amber"),
        *('"ÜBER {n} é"', "s", "flaps", "up"),
    ]
    assert _covered(BAND, t.Value) == ["5 rpm", "2", "1 F", "-2.5 F", "3", "5 min", "1 s"]


def test_parts_of_a_band() -> None:
    assert _covered(BAND, t.RegionNode) == ["above 5 rpm", "from 1 F to -2.5 F", "outside 3 to x"]
    assert _covered(BAND, t.SubjectNode) == ["cold", "rpm", "cht[2]", "oil_temp", "flaps"]
    assert _covered(BAND, t.CompareNode) == ["rpm above 5 rpm", "any cht[2] from 1 F to -2.5 F"]
    assert _covered(BAND, t.OrNode) == ["rpm above 5 rpm   # here: “odd” ü, 100 °C\n  or any cht[2] from 1 F to -2.5 F"]
    assert _covered(BAND, t.AndNode)[0].startswith("cold and (rpm")
    assert _covered(BAND, t.AndNode)[0].endswith("-2.5 F)")
    assert _covered(BAND, t.HeldFor) == ["for more than 5 min in total"]
    assert _covered(BAND, t.AlertClause) == ['with warning "ÜBER {n} é"']
    assert _covered(BAND, t.Node) == ["latched"]
    assert _covered(BAND, t.NotNode) == ["not flaps is not up"]
    assert _covered(BAND, t.IsAt) == ["flaps is not up"]


def test_a_statement_ends_before_the_comment_after_it() -> None:
    statement = _one(BAND)
    assert statement.span.start == 0
    assert statement.span.text.endswith("is not up")
    assert (statement.span.end_line, statement.span.end_column) == (6, 29)
    assert isinstance(statement, t.Labelled)
    assert statement.rule.span.text.startswith("when cold")


def test_other_parts() -> None:
    assert _covered('when cold then caution "A"', t.AlertClause) == ['caution "A"']
    assert _covered('limit rpm below 5, needs warning within 2 s, source S "p 3"', t.Needs) == [
        "needs warning within 2 s"
    ]
    assert _covered('limit rpm below 5, needs warning, source S "p 3"', t.SourceClause) == ['source S "p 3"']
    assert _covered("let x = (rpm + 2 F) * spread of cht", t.Arithmetic) == ["(rpm + 2 F) * spread of cht", "rpm + 2 F"]
    assert _covered("let x = fall of cht[1]  per min", t.TrendNode) == ["fall of cht[1]  per min"]
    assert _covered("quantity cht[ 4 ] from -1 to 5 F, step  1 F", t.Value) == ["[ 4 ]", "-1", "5 F", "1 F"]
    assert _covered("condition c means (a for at least 3 s)", t.HeldNode) == ["a for at least 3 s"]
    assert _covered("hot  : rpm below 1 is red", t.WordNode) == ["hot", "rpm", "red"]


@pytest.mark.parametrize("text", STATEMENTS)
def test_places_nest_and_cover_what_reads_the_same(text: str) -> None:
    lead = 'about "vörher"   # ünd\n\n'
    tree, _ = parse(Source("x", f'{lead}{text}\n# danach\nabout "x"\n'))
    statement = tree.statements[1]
    assert statement.span.text == text
    assert (statement.span.line, statement.span.column) == (3, 1)
    for node in _nodes(statement):
        assert statement.span.start <= node.span.start < node.span.end <= statement.span.end
        assert node.span.text == node.span.text.strip()
    rule = getattr(statement, "rule", None)
    if isinstance(statement, t.Labelled) and rule is not None:
        # A rule is a statement by itself, so its place must read as the same rule.
        again = _one(rule.span.text)
        assert isinstance(again, t.Labelled)
        assert print_statement(again) == print_statement(t.Labelled(statement.span, None, rule))


def test_comments_are_kept_with_their_places() -> None:
    tree, _ = parse(Source("x", '# ü one\nabout "# no"   # two\n\n  # three\nuse profile\n  "x" # four\n'))
    assert [c.text for c in tree.comments] == ["# ü one", "# two", "# three", "# four"]
    assert [c.span.text for c in tree.comments] == [c.text for c in tree.comments]
    assert [(c.span.line, c.span.column) for c in tree.comments] == [(1, 1), (2, 16), (4, 3), (6, 7)]
