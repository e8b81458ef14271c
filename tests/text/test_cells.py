"""No cell of any table that is written is run by a spreadsheet, and all are read back as they were."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

import alertlang
from alertlang.text.cells import guarded, unguarded

# Of OWASP's page "CSV Injection": = + - @, tab, carriage return, and the wide forms of the first four.
RUNS = re.compile("[=+\\-@\t\r\uff1d\uff0b\uff0d\uff20]")
NUMBER = re.compile(r"[-+]?\d+([.,]\d+)?(e[-+]?\d+)?", re.ASCII | re.IGNORECASE)


@given(st.text(st.sampled_from("=+-@\t\r'0123,.eE ab\uff1d\uff20"), max_size=8))
def test_a_cell(text: str) -> None:
    cell = guarded(text)
    assert unguarded(cell) == text
    assert not RUNS.match(cell) or NUMBER.fullmatch(cell)


RULES = """\
rules "=1+1" version 1
quantity rpm "@Speed" from -3500 to 3500 rpm, step 10 rpm
switch flaps "+Flaps" up, down
rpm at most 2700 rpm is green
when flaps is up then rpm above 2700 rpm is red with warning "=HYPERLINK(0)"
when flaps is down then rpm above 2700 rpm is red with warning "-2+3"
gauge rpm labelled "-1 rpm"
"""


def test_all_tables_of_texts_that_would_be_run(tmp_path: Path) -> None:
    rules = alertlang.loads(RULES)
    card = alertlang.cards(rules)
    sheet, table = alertlang.sheet(rules).data, alertlang.card_file(card).data
    for data in (sheet, table):
        cells = [cell for row in csv.reader(io.StringIO(data.decode("utf-8"), newline="")) for cell in row]
        assert any(cell.startswith("'") for cell in cells)
        assert [cell for cell in cells if RUNS.match(cell) and not NUMBER.fullmatch(cell)] == []
    rows = list(csv.reader(io.StringIO(table.decode("utf-8"), newline="")))
    for row in rows[3:]:
        row[7:] = [row[6], "AB"]
    filled = tmp_path / "filled.csv"
    with filled.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows(rows)
    assert alertlang.card_results(card, filled) == ()
