"""What the grammar knows and the meaning does not, yet: said at its place, never passed over."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from alertlang.model.load import Loaded

NOT_YET = [
    ("rpm above 1 for more than 5 min is red", "for more than 5 min"),
    ("rpm above 1 for more than 5 min in total is red", "for more than 5 min in total"),
    ('rpm above 1 is red with warning "A" after 1 s', "1 s"),
    ('rpm above 1 is red with warning "A" latched', "latched"),
    ('when running for at least 30 s then warning "A"', "running for at least 30 s"),
    ('when running for less than 30 s then warning "A"', "running for less than 30 s"),
    ("rpm above 1 is red unless oil_temp failed", "oil_temp failed"),
    ("condition c means any cht failed", "any cht failed"),
    ("condition c means running until rpm below 5", "rpm below 5"),
    ("condition c means running, set after 5 s", "5 s"),
    ("condition c means running, cleared after 5 s", "5 s"),
    ("source T common practice\nlimit rpm at most 5 rpm except for 5 min, source T", "5 min"),
    ("source T common practice\nlimit rpm at most 5 rpm, needs warning within 2 s, source T", "2 s"),
    ("prove rpm above 5 raises warning within 2 s", "2 s"),
    ("respond within 2 s", "respond within 2 s"),
    ("let x = rpm / 2", "let x = rpm / 2"),
    ("curve x over rpm: 1 -> 2", "curve x over rpm: 1 -> 2"),
    ("quantity q from 0 to 5, deadband 1", "1"),
    ('follow "14 CFR 25.1549"', 'follow "14 CFR 25.1549"'),
]


@pytest.mark.parametrize(("text", "underlined"), NOT_YET, ids=[text for text, _ in NOT_YET])
def test_is_said_at_its_place(rules: Callable[[str], Loaded], text: str, underlined: str) -> None:
    loaded = rules(text)
    [found] = loaded.findings
    assert found.code.code == "AL190"
    assert found.where is not None
    assert found.where.text == underlined
    assert "not supported yet" in found.message
    assert found.advice
    assert loaded.ruleset is None


def test_use_of_a_let_or_curve_is_said_where_it_is_used_too(rules: Callable[[str], Loaded]) -> None:
    found = rules("let x = rpm\nrpm above x is red\nx above 5 is red").findings
    assert [(f.code.code, f.where.text) for f in found if f.where] == [
        ("AL190", "let x = rpm"),
        ("AL190", "x"),
        ("AL190", "x"),
    ]


def test_display(load: Callable[[dict[str, str]], Loaded]) -> None:
    loaded = load({"d.display": 'display "d" version 1\n'})
    assert [f.code.code for f in loaded.findings] == ["AL190"]
    assert loaded.ruleset is None
