"""A label on a statement of the panel, or a change of one, is told in words of its own."""

from __future__ import annotations

import pytest

from alertlang.syntax.parse import parse
from alertlang.text.source import Source

LAMP = 'lamp "W" shows warning, sequence A, acknowledged by ack'
NO_LABEL = {
    "lamp": "a lamp has no label: it is known by the text on it",
    "gauge": "a gauge has no label: it is known by its quantity",
    "input": "an input has no label: it is known by its switch",
}


def told(text: str) -> tuple[str, str, tuple[str, ...]]:
    [found] = parse(Source("x", text))[1]
    assert found.where is not None
    assert found.advice
    return found.message, found.where.text, found.advice


@pytest.mark.parametrize(
    "statement",
    [LAMP, 'lamp"W" shows', "gauge rpm", 'gauge rpm labelled "RPM"', "gauge rpm, drawn as dial", "input pump"],
)
def test_a_label(statement: str) -> None:
    message, where, advice = told(f"w: {statement}")
    assert message == NO_LABEL[statement[:5].strip('"').strip()]
    assert (where, advice) == ("w:", ("take `w:` out",))


@pytest.mark.parametrize(
    ("text", "message", "where"),
    [
        (f"replace w: {LAMP}", "a lamp has no label, so an inherited one cannot be replaced", "w:"),
        (f"replace {LAMP}", "a lamp has no label, so an inherited one cannot be replaced", "lamp"),
        ('drop lamp "W" because "no room"', "a lamp has no label, so an inherited one cannot be dropped", "lamp"),
        ("replace w: gauge rpm", "a gauge has no label, so an inherited one cannot be replaced", "w:"),
        ("replace input pump", "an input has no label, so an inherited one cannot be replaced", "input"),
    ],
)
def test_a_change(text: str, message: str, where: str) -> None:
    assert told(text)[:2] == (message, where)
    assert "a file of their own" in told(text)[2][0]


@pytest.mark.parametrize("target", ['"W"', 'lamp "W"'])
def test_an_acceptance(target: str) -> None:
    message, where, _ = told(f'accept lingering-alert on {target} because "it is seen to"')
    assert message == "a finding is accepted on a label or a quantity, and a lamp has neither"
    assert where == target


@pytest.mark.parametrize(
    "text",
    [
        "w: lamp above 5 is red",
        "w: gauge above 5 is red",
        "w: input from 1 to 5 is red",
        "replace w: lamp above 5 is red",
        'drop lamp because "it is a label here"',
        'accept gap on lamp because "it is a quantity here"',
        LAMP,
    ],
)
def test_the_words_are_names_elsewhere(text: str) -> None:
    assert parse(Source("x", text))[1] == []


@pytest.mark.parametrize("text", ["w: lamp abve 5 is red", "w: gauge abve 5 is red", "w: input = 5"])
def test_another_slip_is_told_as_such(text: str) -> None:
    assert "label" not in parse(Source("x", text))[1][0].message
