"""Whatever tree can be written: its canonical text reads the same, with comments in every place, and stays as it is."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from alertlang.format.lay_out import WIDTH
from alertlang.format.text import format_statement, format_text
from alertlang.syntax import tree as t
from alertlang.syntax.parse import parse
from alertlang.text.source import Source
from tests.helpers.commented import with_comments, words_and_comments
from tests.helpers.print_tree import print_statement
from tests.helpers.trees import (
    NOWHERE,
    colours,
    durations,
    formulas,
    levels,
    regions,
    statements,
    subjects,
    texts,
    words,
)
from tests.syntax.test_corpus import STATEMENTS


def formatted(text: str) -> str:
    result = format_text(Source("x", text))
    assert isinstance(result, str), (result, text)
    return result


def _comments(text: str) -> list[str]:
    return [comment.text.rstrip() for comment in parse(Source("x", text))[0].comments]


def _same_again(text: str, expected: list[t.Statement]) -> str:
    once = formatted(text)
    tree, findings = parse(Source("x", once))
    assert [f.message for f in findings] == [], once
    assert list(tree.statements) == expected, once
    assert _comments(once) == _comments(text)
    assert formatted(once) == once
    return once


@given(statements)
def test_a_statement_of_its_own(statement: t.Statement) -> None:
    text = format_statement(statement)
    assert _same_again(text, [statement]) == text + "\n"
    # However it was written before: spaces do not matter.
    assert formatted(print_statement(statement)) == text + "\n"


@given(statements, st.data())
def test_comments_in_every_place(statement: t.Statement, data: st.DataObject) -> None:
    text = data.draw(with_comments(print_statement(statement)))
    once = _same_again(text, [statement])
    # Each comment between the same words as before.
    assert words_and_comments(once.rstrip("\n")) == words_and_comments(text)


@pytest.mark.alike
@pytest.mark.parametrize("text", STATEMENTS)
@settings(max_examples=20)
@given(data=st.data())
def test_comments_in_every_statement_of_the_corpus(text: str, data: st.DataObject) -> None:
    tree, _ = parse(Source("x", text))
    commented = data.draw(with_comments(text))
    once = _same_again(commented, list(tree.statements))
    assert words_and_comments(once.rstrip("\n")) == words_and_comments(commented)


_between = st.lists(
    st.sampled_from(["", "\n", "\n\n\n", "# whole line\n", "   # indented\n", "#\n\n# two\n", "  \n"]), max_size=4
).map("".join)


@given(st.lists(st.tuples(_between, statements), max_size=4), _between, st.data())
def test_whole_files(several: list[tuple[str, t.Statement]], end: str, data: st.DataObject) -> None:
    text = "".join(f"{before}{data.draw(with_comments(print_statement(one)))}\n" for before, one in several) + end
    once = _same_again(text, [one for _, one in several])
    assert "\n\n\n" not in once
    assert not once.startswith("\n")
    assert not once.endswith("\n\n")
    assert once.endswith("\n") or not once
    assert not re.search(r"[ \t]$", once, re.MULTILINE)


# Long enough to be broken at several depths.
_wide = st.recursive(
    formulas,
    lambda parts: st.builds(
        lambda kind, several: kind(NOWHERE, tuple(several)),
        st.sampled_from([t.AndNode, t.OrNode]),
        st.lists(parts, min_size=2, max_size=6),
    ),
    max_leaves=20,
)
_long: st.SearchStrategy[t.Statement] = st.one_of(
    st.builds(
        lambda name, formula, until, after: t.ConditionStatement(NOWHERE, name, formula, until, after, None, ()),
        words,
        _wide,
        st.none() | _wide,
        st.none() | durations,
    ),
    st.builds(
        lambda when, subject, region, colour, level, text, unless: t.Labelled(
            NOWHERE,
            None,
            t.BandStatement(
                NOWHERE,
                when,
                subject,
                region,
                None,
                t.WordNode(NOWHERE, colour),
                t.AlertClause(NOWHERE, level, text),
                t.Tail(unless=unless),
            ),
        ),
        _wide,
        subjects,
        regions(),
        colours,
        levels,
        texts,
        st.none() | _wide,
    ),
)


@given(_long, st.data())
def test_long_statements_with_comments(statement: t.Statement, data: st.DataObject) -> None:
    _same_again(data.draw(with_comments(print_statement(statement), few=True)), [statement])


@given(_long)
def test_long_statements(statement: t.Statement) -> None:
    once = _same_again(format_statement(statement), [statement])
    for line in once.split("\n"):
        if len(line) > WIDTH:
            # Then it holds one clause, and only its first word could begin another.
            words_after = re.sub(r'"[^"]*"', "", line).split()[1:]
            assert not {"and", "or", "until", "unless"} & set(words_after), line


@given(statements)
def test_no_line_is_longer_than_it_must_be(statement: t.Statement) -> None:
    lines = format_statement(statement).split("\n")
    assert not lines[0].startswith(" ")
    assert all(re.match(r"(  ){1,5}\S", line) for line in lines[1:])
    for line in lines:
        # Nothing that belongs together is longer than that in what is drawn.
        assert len(line) <= WIDTH, line


@given(statements)
def test_a_line_is_broken_only_where_it_would_be_too_long(statement: t.Statement) -> None:
    lines = format_statement(statement).split("\n")
    if len(lines) > 1:
        assert len(" ".join(line.strip() for line in lines)) > WIDTH
