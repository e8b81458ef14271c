"""What comes back of a ground-test card: numbers as spreadsheets write them, and how it is told."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from alertlang.api import load
from alertlang.groundtest.card import Card, card
from alertlang.groundtest.table import as_csv, results
from alertlang.output.cards import result_lines
from tests.groundtest.test_cards import FIRST, as_text, filled


@pytest.fixture(scope="module")
def first() -> Card:
    return card(load(FIRST).model)


def test_a_spreadsheet_may_write_times_in_its_own_way(first: Card) -> None:
    rows = filled(as_csv(first))
    assert any("." in row[4] for row in rows[3:])
    text = as_text([*rows[:3], *([*row[:4], row[4].replace(".", ",") + "0", *row[5:]] for row in rows[3:])])
    # Where a comma parts the cells it parts no number.
    assert {one.kind for one in results(first, text)} == {"unreadable"}
    opened = io.StringIO(newline="")
    csv.writer(opened, delimiter=";").writerows(
        [
            *rows[:3],
            *([*row[:4], row[4].replace(".", ",") + ("0" if "." in row[4] else ""), *row[5:]] for row in rows[3:]),
        ]
    )
    assert results(first, opened.getvalue()) == ()
    assert results(first, opened.getvalue().replace(";0,50;", ";0,60;")) != ()


def test_what_was_left_blank_is_told_by_the_step(first: Card, tmp_path: Path) -> None:
    path = tmp_path / "card.csv"
    path.write_text(as_csv(first), encoding="utf-8", newline="")
    found = results(first, path.read_text(encoding="utf-8"))
    lines = ["".join(text for _, text in line) for line in result_lines(found, len(found), "card.csv")]
    assert sum(line.startswith("card.csv:") for line in lines) == len(first.steps)
    assert lines[0].startswith("card.csv:4: missed, lines 1 to ")
    assert f"{len(found)} lines: {len(found)} missed, 0 failed, 0 unreadable" in lines
    assert all(len(line) <= 80 for line in lines)
