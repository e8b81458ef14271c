"""A scenario where rules are asked for is one mistake, not one for every line."""

from __future__ import annotations

from alertlang.syntax.parse import parse
from alertlang.text.source import Source


def test_it_is_said_once() -> None:
    text = (
        '# a story\nscenario "warm-up" version 1\nat 0 s: rpm 900 rpm -> rpm green\nat 5 s: rpm 2000 rpm -> rpm red\n'
    )
    tree, [found] = parse(Source("x.alert", text))
    assert (found.code.name, found.where and found.where.line) == ("wrong-kind", 2)
    assert "alertlang scenarios" in found.advice[0]
    assert tree.statements == ()
