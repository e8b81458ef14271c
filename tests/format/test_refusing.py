"""What is not formatted: files with mistakes, and whatever would come out as something else."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import pytest

from alertlang.format import text as under_test
from alertlang.format.pieces import Piece
from alertlang.format.statements import pieces_of
from alertlang.format.text import Refused, format_statement, format_text
from alertlang.syntax import tree as t
from alertlang.text.source import Source
from tests.helpers.trees import NOWHERE


def refused(text: str) -> Refused:
    result = format_text(Source("x", text))
    assert isinstance(result, Refused), result
    return result


@pytest.mark.parametrize(
    ("text", "code", "place"),
    [
        ('about "a"\nrpm is rather high\n', "AL102", (2, 5)),
        ("rpm above 5 is “red”\n", "AL103", (1, 16)),
        ("quantity x from 0 to 1, step 1, accuracy 1, step 2\n", "AL112", (1, 50)),
        ("condition c means a, set after 1 s, set after 2 s\n", "AL112", (1, 47)),
        ("x above 1 is red latched latched\n", "AL112", (1, 26)),
        ('replace y: when a then caution "A" after 1 s after 2 s\n', "AL112", (1, 52)),
        (f"let x = {'(1 + ' * 150}1{')' * 150}\n", "AL112", None),
    ],
)
def test_mistakes_are_said(text: str, code: str, place: tuple[int, int] | None) -> None:
    result = refused(text)
    assert [f.code.code for f in result.findings] == [code]
    assert result.fault == ""
    where = result.findings[0].where
    assert where is not None
    assert place is None or (where.line, where.column) == place


def test_every_mistake_is_said_in_order() -> None:
    result = refused("x above 1 is red latched latched\nrpm is rather high\nx above 2 is red after 1 s after 2 s\n")
    assert [f.where.line for f in result.findings if f.where] == [1, 2, 3]


# ---- a node that the printer does not know is never left out


@dataclass(frozen=True, slots=True)
class _New(t.Node):
    """What the grammar might have one day."""


def _band(**other: Any) -> t.Labelled:
    parts: dict[str, Any] = {
        "when": None,
        "subject": t.SubjectNode(NOWHERE, t.WordNode(NOWHERE, "rpm"), None),
        "region": t.RegionNode(NOWHERE, "below", t.WordNode(NOWHERE, "x")),
        "held": None,
        "colour": t.WordNode(NOWHERE, "red"),
        "alert": None,
        "tail": t.Tail(),
    }
    return t.Labelled(NOWHERE, None, t.BandStatement(NOWHERE, **(parts | other)))


@pytest.mark.parametrize(
    "statement",
    [
        _New(NOWHERE),
        t.Labelled(NOWHERE, None, _New(NOWHERE)),  # type: ignore[arg-type]
        _band(when=_New(NOWHERE)),
        _band(when=t.NotNode(NOWHERE, _New(NOWHERE))),  # type: ignore[arg-type]
        _band(region=t.RegionNode(NOWHERE, "below", _New(NOWHERE))),  # type: ignore[arg-type]
        _band(region=t.RegionNode(NOWHERE, "near", t.WordNode(NOWHERE, "x"))),
        _band(tail=t.Tail(unless=_New(NOWHERE))),  # type: ignore[arg-type]
        t.Let(NOWHERE, t.WordNode(NOWHERE, "x"), _New(NOWHERE), None, None),  # type: ignore[arg-type]
        t.Labelled(NOWHERE, None, t.Prove(NOWHERE, None, "hopes", None, None, None, None)),
        t.Respond(NOWHERE, t.Value(NOWHERE, Fraction(1, 3), t.WordNode(NOWHERE, "s"))),
    ],
    ids=lambda statement: repr(statement)[:60],
)
def test_unknown_nodes_raise(statement: t.Statement) -> None:
    with pytest.raises((AssertionError, KeyError, ValueError)):
        format_statement(statement)


def test_the_known_ones_around_them_do_not() -> None:
    assert format_statement(_band()) == "rpm below x is red"


# ---- what would say something else is found before anybody gets it


def _without(*taken: int) -> Any:
    def pieces(statement: t.Statement) -> tuple[Piece, ...]:
        return tuple(piece for i, piece in enumerate(pieces_of(statement)) if i not in taken)

    return pieces


@pytest.mark.parametrize(
    ("taken", "fault"),
    [
        ((6, 7, 8), "the statement in line 2 would say something else: rpm above 5 rpm is red"),
        ((5,), "it cannot be read: "),
    ],
)
def test_a_changed_statement_is_a_fault(monkeypatch: pytest.MonkeyPatch, taken: tuple[int, ...], fault: str) -> None:
    monkeypatch.setattr(under_test, "pieces_of", _without(*taken))
    result = refused('# c\nrpm above 5 rpm is red with caution "A"\n')
    assert result.findings == ()
    assert result.fault.startswith(fault)


@pytest.mark.parametrize("text", ["# a\n# b\nrespond within 5 s\n", "# a\nrespond within 5 s # b\n"])
def test_lost_or_moved_comments_are_a_fault(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    lines = under_test._lines
    for change in (
        lambda tree: [line for line in lines(tree) if not line.startswith("#")],
        lambda tree: [line.split("  #")[0] for line in lines(tree) if line != "# b"],
        lambda tree: [line.replace("# b", "# c") for line in lines(tree)],
        lambda tree: [{"# a": "# b", "# b": "# a"}.get(line, line.replace("  # b", "  # a")) for line in lines(tree)],
    ):
        monkeypatch.setattr(under_test, "_lines", change)
        assert refused(text).fault == "its comments are not the same"


def test_a_lost_statement_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = under_test._lines
    monkeypatch.setattr(under_test, "_lines", lambda tree: lines(tree)[:-1])
    assert refused('about "a"\nabout "b"\n').fault == "it has 1 statements instead of 2"
