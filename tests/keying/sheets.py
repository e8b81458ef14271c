"""Rule sets for the tests of the sheet, and records of boxes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from alertlang.keying.csv_file import Row, filled, read_record, written
from alertlang.keying.lines import sheet_of
from alertlang.keying.readback import ReadRecord, read_back
from alertlang.library.identity import content_digest
from alertlang.model import ruleset as m

PANEL = """rules "panel" version 3
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
quantity cht[6] "Cylinder head temperature of a rather long name indeed" from 0 to 500 F, deadband 2 C
quantity rpm from 0 to 3000 rpm, step 10 rpm
switch canopy open, latched
switch pump off, on
curve redline over rpm: 0 rpm -> 200 F, 3000 rpm -> 240 F
let apart = spread of cht  # a comment
oil_temp below 75 F is yellow
oil_temp from 75 to 225 F is green
hot: oil_temp above 225 F is red with warning "OIL HOT" after 1.5 s
oil_temp outside 33 to 280 F for more than 5 min in total is red
oil_temp failed is red with caution "OIL T FAIL"
oil_temp above redline is yellow
cht from 0 to 101 C is green
cht from 101 to 205 C is yellow with caution "CHT {n}" unless canopy is open
  or pump is not on     # over two lines
cht[3] above 205 C is red with warning "CHT 3 HOT" latched
rpm from 0 to 2000 is green
when apart above 20.5 C and canopy is open for at least 3 s then advisory "=SPREAD"
when canopy is open and pump is on then caution "CANOPY"
lamp "MASTER WARNING" shows warning and hot, sequence A without lock-in, acknowledged by ack
lamp "CHT" shows caution, sequence M, acknowledged by ack, reset by rst
gauge cht labelled "CHT {n}", drawn as dial in C to 1, channels "A1", "A2", "A3", "A4", "A5", "A6"
gauge apart, drawn as digits in C to 0.5
gauge oil_temp labelled "OIL T", drawn as bar in C to 1, sensor "thermistor, two wires", channels "7"
gauge rpm, drawn as bar
input canopy labelled "CANOPY", wired to ground when open, channel "D3"
input pump, wired to supply when on
"""

CROWDED = (
    'rules "crowded" version 7\n'
    'quantity cht[6] "Cylinder head temperature of a rather long name indeed" from 0 to 600 F\n'
    "condition a_context_with_a_long_name_that_goes_on_and_on means any cht above 100 F until any cht above 150 F,"
    " set after 5 s\n"
    + "".join(
        f"alert_{n}_with_a_long_label_that_goes_on_and_on: when a_context_with_a_long_name_that_goes_on_and_on"
        f" and cht[{n % 6 + 1}] above {300 + n} F"
        f' then {("warning", "caution", "advisory")[n % 3]} "LONG TEXT #{n} *_<$&"\n'
        for n in range(40)
    )
    + "cht at most 450 F is green\ncht above 450 F for more than 10 s is red\n"
    + 'lamp "MASTER WARNING" shows warning, sequence A, acknowledged by ack\n'
    + 'gauge cht labelled "CYLINDER HEAD {n}", drawn as bar in C to 1, channels "A1", "A2", "A3", "A4", "A5", "A6"\n'
)


def record(ruleset: m.RuleSet) -> tuple[Row, ...]:
    """The rows of a box that holds what is on the sheet, all ticked."""
    return read_record(filled(sheet_of(ruleset, digest=content_digest(ruleset))))


def edited(rows: tuple[Row, ...], line: int, cells: Mapping[str, str]) -> tuple[Row, ...]:
    return tuple(replace(row, cells={**row.cells, **cells}) if row.line == line else row for row in rows)


def read(ruleset: m.RuleSet, rows: tuple[Row, ...], *, anyway: bool = False) -> ReadRecord:
    """By way of a file, as it would be."""
    again = read_record(written(rows))
    return read_back(ruleset, again, digest=content_digest(ruleset), record="record.csv", anyway=anyway)
