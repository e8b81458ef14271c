"""The corpus: each line is one statement, together they use the whole grammar, and each survives read-print-read."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from lark import Lark

from alertlang.syntax.parse import parse
from alertlang.syntax.split import split
from alertlang.text.resources import grammar_dir
from alertlang.text.source import Source
from tests.helpers.print_tree import print_statement

CORPUS = Path(__file__).parent.parent / "corpus" / "statements.txt"


def _statements() -> list[str]:
    source = Source("statements.txt", CORPUS.read_text(encoding="utf-8"))
    pieces, _, strays = split(source)
    assert strays == []
    return [source.text[piece.start : piece.end] for piece in pieces]


STATEMENTS = _statements()


@pytest.mark.parametrize("text", STATEMENTS)
def test_is_one_statement(text: str) -> None:
    tree, findings = parse(Source("x", text))
    assert [f.message for f in findings] == []
    assert len(tree.statements) == 1


@pytest.mark.parametrize("text", STATEMENTS)
def test_printed_and_read_again_is_the_same(text: str) -> None:
    tree, _ = parse(Source("x", text))
    printed = print_statement(tree.statements[0])
    again, findings = parse(Source("y", printed))
    assert [f.message for f in findings] == []
    assert again.statements == tree.statements


def test_no_statement_is_there_twice() -> None:
    assert len(set(STATEMENTS)) == len(STATEMENTS)


def test_different_statements_are_different_trees() -> None:
    # So that the comparison above cannot be true of everything. The four are the same thing said twice.
    trees = [parse(Source("x", text))[0].statements[0] for text in STATEMENTS]
    alike = [(STATEMENTS[i], STATEMENTS[j]) for i in range(len(trees)) for j in range(i) if trees[i] == trees[j]]
    assert sorted(alike) == [
        ("rpm at or above 2680 rpm is red", "rpm at least 2680 rpm is red"),
        ("rpm at or below 2550 is white", "rpm at most 2550 is white"),
    ]


def test_every_alternative_of_the_grammar_is_used() -> None:
    unused = {_shown(rule) for rule in _unused(STATEMENTS)}
    assert unused == set()


def test_the_measure_of_use_sees_what_is_missing() -> None:
    without = [text for text in STATEMENTS if "in total" not in text]
    assert any("IN_TOTAL" in _shown(rule) for rule in _unused(without))


def _unused(statements: list[str]) -> Iterator[object]:
    lark = Lark((grammar_dir() / "alertlang.lark").read_text(encoding="utf-8"), start="statement", parser="lalr")
    callbacks = lark.parser.parser.parser.callbacks
    used: set[object] = set()

    def noting(rule: object, build: object) -> object:
        def call(children: list[object]) -> object:
            used.add(rule)
            return build(children)  # type: ignore[operator]

        return call

    for rule, build in list(callbacks.items()):
        callbacks[rule] = noting(rule, build)
    for text in statements:
        lark.parse(text)
    return (rule for rule in callbacks if rule not in used)


def _shown(rule: object) -> str:
    return f"{rule.origin.name}: {' '.join(symbol.name for symbol in rule.expansion)}"  # type: ignore[attr-defined]
