"""Reading back a box: nothing edited, no difference; one digit edited, that line; in doubt a difference."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from alertlang import api
from alertlang.api import draft, load, loads, sheet
from alertlang.cli.app import app
from alertlang.comparison.compare import compare
from alertlang.keying.csv_file import RecordError, read_record, sheet_csv, ticked, written
from alertlang.keying.lines import sheet_of
from alertlang.keying.readback import ALONE, OtherSheetError, differences, read_back
from alertlang.keying.rebuild import rebuilt
from alertlang.keying.used import in_the_box
from alertlang.library.identity import content_digest
from alertlang.model import ruleset as m
from alertlang.output.readback import ranges, readback_lines
from alertlang.results.readback import LineFault
from alertlang.text.resources import examples_dir
from tests.helpers.generate import Text, rule_sets
from tests.helpers.timed import load as load_timed
from tests.helpers.timed import stepped, timed_rulesets, traces
from tests.keying.sheets import PANEL, edited, read, record

BRAMBLE = examples_dir() / "02-bramble" / "bramble.alert"
BIG = ("pratt-whitney-canada-pt6a-114a", "cessna-208b", "electrical-28v")

few = settings(
    max_examples=25,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@pytest.fixture(scope="module")
def bramble() -> m.RuleSet:
    return load(BRAMBLE).model


# ---- nothing edited


@pytest.mark.parametrize("name", ["01-first-rules/first.alert", "02-bramble/bramble.alert", "panel", "drafted"])
def test_a_box_that_holds_the_sheet_is_no_difference(name: str) -> None:
    ruleset = load(examples_dir() / name).model if "/" in name else rules_of(name)
    assert name != "drafted" or len(ruleset.rules) > 20
    found = read(ruleset, record(ruleset))
    assert found.result.findings == ()
    assert found.result.good
    assert found.result.confirmed == found.result.lines > 3
    assert found.text is not None
    again = loads(found.text).model
    assert len(again.rules) == len(ruleset.rules)
    assert compare(in_the_box(ruleset), found_with_steps(again, ruleset), words=False).same


def found_with_steps(again: m.RuleSet, approved: m.RuleSet) -> m.RuleSet:
    return replace(
        again,
        quantities={name: replace(one, step=approved.quantities[name].step) for name, one in again.quantities.items()},
    )


@few
@given(st.data())
def test_who_has_only_the_sheet_has_the_meaning_over_time(data: st.DataObject) -> None:
    ruleset = load_timed(data.draw(timed_rulesets()))
    made = sheet_of(ruleset, digest=content_digest(ruleset))
    rows = read_record(sheet_csv(made))
    lines = [replace(line, cells=row.cells) for line, row in zip(made.lines, rows, strict=True)]
    again = loads(rebuilt(made.name, made.version, lines)[0]).model
    found = compare(in_the_box(ruleset), found_with_steps(again, ruleset), words=False)
    assert found.same, [one.message for one in found.changes]
    samples = data.draw(traces(ruleset))
    there = {(name, i) for name, one in again.quantities.items() for i in one.indexes}
    # What no rule reads is not on the sheet.
    known = {m.variable(name, i) for name, i in there}
    read_off = [
        replace(
            sample,
            readings={name: value for name, value in sample.readings.items() if name in known},
            positions={name: at for name, at in sample.positions.items() if name in again.switches},
        )
        for sample in samples
    ]
    for one, other in zip(stepped(ruleset, samples), stepped(again, read_off), strict=True):
        assert other.alerts == one.alerts
        assert {k: v for k, v in one.colours.items() if k in there} == dict(other.colours)


@few
@given(rule_sets())
def test_any_rules_read_back_as_themselves(text: Text) -> None:
    ruleset = loads(text.text).model
    found = read(ruleset, record(ruleset)) if sheet_of(ruleset, digest="").lines else None
    if found is None:
        return
    # A context may ask for a number that the display cannot hold: then that is told, and nothing else.
    made = sheet_of(ruleset, digest="")
    asked = [(LineFault.UNSETTLED, line.number, text) for line in made.lines for text in line.unsettled]
    assert [(one.kind, one.line, one.message) for one in found.result.findings] == asked
    assert found.result.good is not bool(asked)
    assert found.result.comparison is not None
    assert found.result.comparison.same


def test_the_same_number_written_in_another_way_is_no_edit(bramble: m.RuleSet) -> None:
    rows = edited(record(bramble), 4, {"from": "2600.0", "colour": "YELLOW"})
    rows = edited(rows, 5, {"for_more_than": "300 s"})
    assert read(bramble, tuple(reversed(rows))).result.good


# ---- one edit


_DIGITS = re.compile(r"[0-9]+")


def numeric_cells(ruleset: m.RuleSet) -> Iterator[tuple[int, str, str]]:
    """Every number on the sheet with one digit changed: line, column, cell."""
    columns = (
        *("from", "to", "for_more_than", "after", "formula", "until", "set_after", "cleared_after", "elements"),
        *("deadband", "resolution", "exact_from", "exact_to", "channel"),
    )
    for row in record(ruleset):
        assert row.line is not None
        for column in columns:
            cell = row.cells.get(column, "")
            for found in _DIGITS.finditer(cell):
                last = cell[found.end() - 1]
                digit = "1" if last == "0" else str((int(last) + 1) % 10)
                yield row.line, column, cell[: found.end() - 1] + digit + cell[found.end() :]


def rules_of(name: str) -> m.RuleSet:
    if name == "drafted":
        return loads(draft(BIG, name="big").text).model
    return loads(PANEL).model if name == "panel" else load(BRAMBLE).model


@pytest.mark.parametrize("name", ["bramble", "panel", "drafted"])
def test_every_digit_of_every_line_is_looked_at(name: str) -> None:
    ruleset = rules_of(name)
    lines = {row.line: row.cells for row in record(ruleset)}
    edits = tuple(numeric_cells(ruleset))
    assert len(edits) > 40
    for line, column, cell in edits:
        found = differences(lines[line], {**lines[line], column: cell})
        assert [one.column for one in found] == [column], (line, column, cell)
    with_digits = {line for line, _, _ in edits}
    edges = {line for line, cells in lines.items() if re.search("[0-9]", cells.get("from", "") + cells.get("to", ""))}
    assert edges <= with_digits


# Every so many: what they come to takes a proof each.
@pytest.mark.parametrize(("name", "every"), [("bramble", 37), ("panel", 13)])
def test_one_digit_edited_names_that_line_and_no_other(name: str, every: int) -> None:
    ruleset = rules_of(name)
    rows = record(ruleset)
    kinds: set[LineFault] = set()
    effects = 0
    cells = tuple(numeric_cells(ruleset))[5::every]
    assert len(cells) >= 4
    for line, column, cell in cells:
        result = read(ruleset, edited(rows, line, {column: cell})).result
        assert not result.good
        own = [one for one in result.findings if one.line is not None]
        assert [one.line for one in own] == [line], (line, column, cell, result.findings)
        assert [one.column for one in own[0].cells] == [column]
        # What it does is known of a line that can be read, and nothing is left that no line explains.
        assert len(result.findings) == 1, result.findings
        kinds.add(own[0].kind)
        effects += bool(own[0].effects)
        assert own[0].kind is LineFault.UNREADABLE or own[0].effects or own[0].harmless
        assert not (own[0].effects and own[0].harmless)
    assert kinds <= {LineFault.DIFFERS, LineFault.UNREADABLE}
    assert effects > 1


def test_an_edit_that_changes_nothing_is_told_as_that() -> None:
    text = (
        'rules "r" version 1\nquantity rpm from 0 to 3000 rpm\nrpm at most 2000 is green\n'
        "rpm above 2000 is red\nrpm above 2500 is yellow\n"
    )
    ruleset = loads(text).model
    result = read(ruleset, edited(record(ruleset), 4, {"from": "2600"})).result
    (one,) = result.findings
    assert (one.line, one.harmless, one.effects) == (4, True, ())
    assert result.comparison is not None
    assert result.comparison.same
    assert not result.good


def test_a_word_a_text_and_an_edge_that_changes_sides(bramble: m.RuleSet) -> None:
    rows = record(bramble)
    for line, cells, said in (
        (6, {"colour": "yellow"}, "rpm turns red after 5 min instead of at once"),
        (6, {"level": "caution"}, "caution instead of"),
        (6, {"text": "OVERSPEDE"}, "OVERSPEDE"),
        (6, {"latched": "no"}, "no longer stays up"),
        (6, {"from_included": "yes"}, "2800"),
        (7, {"when": ""}, "rpm"),
    ):
        result = read(bramble, edited(rows, line, cells)).result
        assert {one.line for one in result.findings} == {line}, (cells, result.findings)
        assert said in " ".join(result.findings[0].effects), (cells, result.findings)


def test_many_edits_are_all_named_and_their_sum_is_told(bramble: m.RuleSet) -> None:
    rows = record(bramble)
    lines = [row.line for row in rows if row.cells["what"] == "band" and row.cells.get("to", "").isdigit()]
    assert len(lines) > ALONE
    for row in rows:
        if row.line in lines:
            rows = edited(rows, row.line or 0, {"to": str(int(row.cells["to"]) + 1)})
    result = read(bramble, rows).result
    assert [one.line for one in result.findings if one.line is not None] == lines
    assert any(one.line is None for one in result.findings)


# ---- what cannot be read is a difference


def test_not_ticked_is_not_confirmed(bramble: m.RuleSet) -> None:
    rows = tuple(
        replace(row, confirmed="" if row.line == 3 else "no" if row.line == 5 else row.confirmed)
        for row in record(bramble)
    )
    result = read(bramble, rows).result
    assert [(one.line, one.kind) for one in result.findings] == [(3, LineFault.UNCONFIRMED), (5, LineFault.UNCONFIRMED)]
    assert result.confirmed == result.lines - 2


@pytest.mark.parametrize(
    ("said", "advice"),
    [
        ("2900", "if that is what the box holds, correct the cell of the line itself"),
        ("45 s", "if that is what the box holds, correct the cell of the line itself"),
        ("yellow", "if that is what the box holds, correct the cell of the line itself"),
        ("pending", "write x (or ok, yes, y, done, true, ✓, ✔, ☑) if the box holds what the line says"),
    ],
)
def test_what_stands_where_a_tick_belongs_is_quoted_with_what_to_write(
    said: str, advice: str, bramble: m.RuleSet
) -> None:
    rows = tuple(replace(row, confirmed=said if row.line == 6 else "x") for row in record(bramble))
    result = read(bramble, rows).result
    (one,) = result.findings
    assert (one.line, one.kind) == (6, LineFault.UNCONFIRMED)
    assert f"confirmed says {said!r}, which confirms nothing" in one.message
    assert advice in one.message
    assert "write x" in one.message


def test_only_lines_that_are_ticked_and_as_on_the_sheet_are_counted(bramble: m.RuleSet) -> None:
    rows = edited(edited(record(bramble), 4, {"from": "about 2600"}), 6, {"from": "2900"})
    rows = edited(rows, 7, {"colour": "green"})
    result = read(bramble, (*rows, rows[0])).result
    assert [(one.line, one.kind) for one in result.findings if one.line is not None] == [
        (1, LineFault.TWICE),
        (4, LineFault.UNREADABLE),
        (6, LineFault.DIFFERS),
        (7, LineFault.DIFFERS),
    ]
    assert result.confirmed == result.lines - 4
    said = " ".join("".join(text for _, text in line) for line in readback_lines(result))
    assert f"{result.lines - 4} of {result.lines} lines confirmed and as on the sheet; 2 differ, 1 unreadable" in said


OFF_STEP = """rules "off" version 1
quantity map from 10 to 40 inHg, step 0.1 inHg
map at least 14 inHg is green
low: when map below 14 inHg then warning "MAP LOW"
gauge map, drawn as bar in hPa to 1
"""


@pytest.mark.parametrize("anyway", [False, True])
def test_a_number_that_the_display_cannot_hold_is_never_confirmed(anyway: bool) -> None:
    ruleset = loads(OFF_STEP).model
    rows = record(ruleset)
    if anyway:
        rows = tuple(replace(row, mark="off version 0 rules 0123456789abcdef") for row in rows)
    result = read(ruleset, rows, anyway=anyway).result
    (one,) = result.findings
    assert one.message == (
        "the display cannot hold map 14 inHg: the designer changes the rule to 474 hPa or 475 hPa, then a new sheet"
    )
    assert not result.good
    if not anyway:
        assert (one.kind, one.line) == (LineFault.UNSETTLED, 5)
        assert result.confirmed == result.lines - 1
        # The edge of the band is rounded towards the warning and is no finding.
        assert result.rounded == (3,)
    # What the designer is told to do helps.
    for changed in ("474 hPa", "475 hPa"):
        again = loads(OFF_STEP.replace("below 14 inHg", f"below {changed}")).model
        assert read(again, record(again)).result.good


def test_exchanged_channels_are_told_as_that_and_one_taken_twice_by_its_line() -> None:
    ruleset = loads(PANEL.replace("gauge rpm, drawn as bar", 'gauge rpm, drawn as bar, channels "8"')).model
    rows = record(ruleset)
    gauges = {row.cells["gauge"]: row.line or 0 for row in rows if row.cells["what"] == "gauge"}
    oil, rpm = gauges["oil_temp"], gauges["rpm"]
    result = read(ruleset, edited(edited(rows, oil, {"channel": "8"}), rpm, {"channel": "7"})).result
    assert [(one.line, one.kind) for one in result.findings] == [(oil, LineFault.DIFFERS), (rpm, LineFault.DIFFERS)]
    assert {one.message for one in result.findings} == {f"the channels of lines {oil} and {rpm} are exchanged"}
    assert all(one.effects for one in result.findings)
    for line, channel, other in ((oil, "8", rpm), (rpm, "7", oil)):
        (one,) = read(ruleset, edited(rows, line, {"channel": channel})).result.findings
        assert (one.line, one.kind) == (line, LineFault.UNREADABLE)
        # The rules are made of the lines in their order, so that it is the later one that finds the channel taken.
        assert f'channel "{channel}" is taken already, in line {min(line, other)} of the sheet' in one.message


def test_lines_that_are_missing_twice_unknown_or_of_another_sheet(bramble: m.RuleSet) -> None:
    rows = record(bramble)
    other = replace(rows[9], mark="osier version 1 rules 0000000000000000")
    changed = (*rows[:5], *rows[6:9], other, *rows[10:], rows[0], replace(rows[1], line=999))
    kinds = {(one.line, one.kind) for one in read(bramble, changed).result.findings if one.line is not None}
    assert kinds == {
        (6, LineFault.MISSING),
        (10, LineFault.OTHER_SHEET),
        (1, LineFault.TWICE),
        (999, LineFault.UNKNOWN),
    }
    effects = [one.message for one in read(bramble, changed).result.findings if one.line is None]
    assert any("OVERSPEED" in text for text in effects)


@pytest.mark.parametrize("cell", ["2600,5", "1,200", "2.6e3", "", "about 2600", "2600 rpm", "٢٦٠٠", "=2600"])
def test_a_number_that_cannot_be_read_is_a_difference(bramble: m.RuleSet, cell: str) -> None:
    result = read(bramble, edited(record(bramble), 4, {"from": cell})).result
    assert 4 in [one.line for one in result.findings]
    assert not result.good


def test_an_edge_rounded_the_other_way_is_a_difference() -> None:
    ruleset = loads(PANEL).model
    rows = record(ruleset)
    (hot,) = [row for row in rows if row.cells.get("name") == "hot"]
    assert (hot.cells["from"], hot.cells["exact_from"]) == ("107", "225 F, rounded down")
    result = read(ruleset, edited(rows, hot.line or 0, {"from": "108"})).result
    assert [one.line for one in result.findings] == [hot.line]
    assert result.findings[0].effects


# ---- the file


def saved_again(
    data: bytes,
    *,
    sign: str = ",",
    comma: bool = False,
    end: str = "\r\n",
    quoted: bool = False,
    empty: int = 0,
    cut: bool = False,
    first: str = "",
) -> bytes:
    """A record as spreadsheets save it: numbers in their own way, signs, quotes, empty cells more or fewer."""
    rows = list(csv.reader(io.StringIO(data.decode(), newline="")))
    out = io.StringIO()
    writer = csv.writer(out, delimiter=sign, lineterminator=end, quoting=csv.QUOTE_ALL if quoted else csv.QUOTE_MINIMAL)
    for number, cells in enumerate(rows):
        new = list(cells)
        if number and comma:
            new = [re.sub(r"^(-?[0-9]+)\.([0-9]+)$", r"\1,\2", cell) for cell in new]
        if cut and number:
            new = new[: max(n for n, cell in enumerate(new) if cell) + 1]
        writer.writerow([*new, *[""] * empty])
    return ("\ufeff" + first + out.getvalue()).encode()


SAVED: dict[str, dict[str, Any]] = {
    "semicolons and decimal commas": {"sign": ";", "comma": True},
    "tabs and bare line ends": {"sign": "\t", "end": "\n"},
    "all in quotes": {"quoted": True, "end": "\n"},
    "empty columns at the end": {"empty": 3},
    "empty cells at the end cut off": {"cut": True},
    "the sign in a line of its own": {"sign": ";", "comma": True, "first": "sep=;\r\n"},
    "blank lines before": {"first": ",,,\r\n\r\n"},
}


@pytest.mark.parametrize("how", SAVED)
@pytest.mark.parametrize("name", ["bramble", "panel", "fractions"])
def test_a_file_from_any_spreadsheet_is_read(name: str, how: str) -> None:
    ruleset = loads(FRACTIONS).model if name == "fractions" else rules_of(name)
    data = written(record(ruleset))
    again = saved_again(data, **SAVED[how])
    assert again != data
    rows = [replace(row, row=0) for row in read_record(again)]
    assert rows == [replace(row, row=0) for row in read_record(data)]


FRACTIONS = """rules "fractions" version 1
quantity map from 10 to 40 inHg, step 0.1 inHg
map below 12.125 inHg is white
map from 12.125 to 24.5 inHg is green
map above 24.5 inHg is red with warning "MAP -1.5"
gauge map labelled "1.5", drawn as bar in inHg to 0.125, channels "7"
"""


def test_decimal_commas_and_longer_numbers_are_no_edit() -> None:
    ruleset = loads(FRACTIONS).model
    data = saved_again(written(record(ruleset)), sign=";", comma=True)
    assert b";12,125;" in data
    # A label is a text and not a number, and a spreadsheet is told so.
    assert b";'1.5;" in data
    data = data.replace(b";24,5;", b";24,50;").replace(b";10;", b";10.0;")
    assert b";24,50;" in data
    found = read_back(ruleset, read_record(data), digest=content_digest(ruleset), record="r.csv")
    assert found.result.good, found.result.findings
    edited_file = data.replace(b";24,50;", b";24,51;", 1)
    found = read_back(ruleset, read_record(edited_file), digest=content_digest(ruleset), record="r.csv")
    assert len(found.result.findings) == 1


def test_a_delay_with_a_decimal_comma_is_read_where_semicolons_part_cells() -> None:
    ruleset = loads(PANEL).model
    data = saved_again(written(record(ruleset)), sign=";", comma=True)
    assert b";1.5 s;" in data
    said = data.replace(b";1.5 s;", b";1,5 s;")
    assert [row.cells for row in read_record(said)] == [row.cells for row in read_record(data)]
    other = read_record(data.replace(b";1.5 s;", b";4,5 s;"))
    found = read_back(ruleset, other, digest=content_digest(ruleset), record="r.csv").result
    assert [one.kind for one in found.findings] == [LineFault.DIFFERS]
    assert [(cell.column, cell.held) for cell in found.findings[0].cells] == [("after", "4.5 s")]
    # Where commas part cells it is not guessed at.
    rows = edited(record(ruleset), found.findings[0].line or 0, {"after": "1,5 s"})
    assert [one.kind for one in read(ruleset, rows).result.findings] == [LineFault.UNREADABLE]


def test_a_comma_where_commas_part_cells_is_not_guessed_at() -> None:
    ruleset = loads(FRACTIONS).model
    rows = edited(record(ruleset), 4, {"to": "24,5"})
    (one,) = read(ruleset, rows).result.findings
    assert (one.line, one.kind) == (4, LineFault.UNREADABLE)
    assert "write it with a point" in one.message


@pytest.mark.parametrize(
    ("held", "confirmed"),
    [
        *((one, True) for one in ("x", "X", "ok", "Yes", "y", "✓", "✔", "✔\ufe0f", "☑", "TRUE", "done")),
        *((one, False) for one in ("", "-", "?", "no", "NO!", "not done", "ok?", "0", "0,0", "false", "FALSCH", "☐")),
        *((one, False) for one in ("n/a", "todo", "failed", "...", "✗", "☒", "1", "xx", "x 2800", "NK", "AB 3 May")),
        *((one, False) for one in ("2800", "green", "45 s", "F2", "pending", "missing", "differs", "wrong")),
    ],
)
def test_what_confirms_a_line(held: str, confirmed: bool, bramble: m.RuleSet) -> None:
    assert ticked(replace(record(bramble)[0], confirmed=held)) is confirmed


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "empty"),
        (b"PK\x03\x04\x00\x00", "not plain text"),
        (b"sheet,line\r\na,1\r\n", "line 1: no column what"),
        (b"sheet,line\xff\r\n", "line 1 is not UTF-8"),
        (b'sheet,line\r\n"a', "line 2"),
        (b"x" * (4 * 1024 * 1024 + 1), "larger"),
    ],
)
def test_what_is_no_record_is_refused_with_a_way_out(data: bytes, said: str) -> None:
    with pytest.raises(RecordError, match=said) as caught:
        read_record(data)
    assert caught.value.way_out


def test_a_row_with_a_cell_too_many_is_told_with_its_place(bramble: m.RuleSet) -> None:
    lines = written(record(bramble)).split(b"\r\n")
    lines[3] += b",x"
    rows = read_record(b"\r\n".join(lines))
    (row,) = [row for row in rows if row.problem]
    assert (row.row, row.line) == (4, 3)
    findings = read_back_of(bramble, rows)
    assert (3, LineFault.UNREADABLE) in findings


def read_back_of(ruleset: m.RuleSet, rows: tuple[object, ...]) -> set[tuple[int | None, LineFault]]:
    found = read_back(ruleset, rows, digest=content_digest(ruleset), record="r.csv")  # type: ignore[arg-type]
    return {(one.line, one.kind) for one in found.result.findings}


def test_a_sheet_of_other_rules_is_refused_unless_asked_for(bramble: m.RuleSet) -> None:
    rows = tuple(replace(row, mark="bramble version 1 rules 0123456789abcdef") for row in record(bramble))
    with pytest.raises(OtherSheetError, match="0123456789abcdef"):
        read(bramble, rows)
    assert read(bramble, rows, anyway=True).result.good
    result = read(bramble, edited(rows, 6, {"from": "2900"}), anyway=True).result
    assert any("OVERSPEED" in one.message for one in result.findings)


def test_the_order_of_the_rows_says_nothing_of_a_sheet_of_other_rules() -> None:
    ruleset = loads(PANEL).model
    rows = tuple(replace(row, mark="panel version 2 rules 0123456789abcdef") for row in record(ruleset))
    assert read(ruleset, tuple(reversed(rows)), anyway=True).result.findings == ()


# ---- the command


def test_the_command_from_sheet_to_verdict(tmp_path: Path) -> None:
    run = CliRunner().invoke
    sheet_file, rules = tmp_path / "sheet.csv", tmp_path / "now.alert"
    assert run(app, ["sheet", str(BRAMBLE), "-o", str(sheet_file)]).exit_code == 0
    done = run(app, ["readback", str(sheet_file), str(BRAMBLE)])
    assert done.exit_code == 1
    # Said once, not eighty times.
    assert "lines 1 to 86 not confirmed" in done.output
    assert done.output.count("not confirmed") == 2
    ticked = sheet_file.read_bytes().replace(b",\r\n", b",x\r\n")
    sheet_file.write_bytes(ticked)
    done = run(app, ["readback", str(sheet_file), str(BRAMBLE), "--out", str(rules)])
    assert done.exit_code == 0, done.output
    assert "the box holds what the sheet says" in " ".join(done.output.split())
    assert loads(rules.read_text(encoding="utf-8")).name == "bramble"
    sheet_file.write_bytes(ticked.replace(b"overspeed,inside,2800", b"overspeed,inside,2900"))
    done = run(app, ["readback", str(sheet_file), str(BRAMBLE)])
    assert done.exit_code == 1
    assert "line 6 differs" in done.output
    assert all(len(line) <= 80 for line in done.output.splitlines() if str(tmp_path) not in line)
    data = json.loads(run(app, ["readback", str(sheet_file), str(BRAMBLE), "--output", "json"]).output)
    assert [one["line"] for one in data["findings"]] == [6]
    assert data["findings"][0]["cells"] == [{"column": "from", "sheet": "2800", "held": "2900"}]
    assert data["same"] is False


def test_the_command_refuses_with_code_2(tmp_path: Path) -> None:
    run = CliRunner().invoke
    missing = run(app, ["readback", str(tmp_path / "no.csv"), str(BRAMBLE)])
    assert missing.exit_code == 2
    (tmp_path / "bad.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    bad = run(app, ["readback", str(tmp_path / "bad.csv"), str(BRAMBLE)])
    assert bad.exit_code == 2
    assert "no column sheet" in bad.output


def test_the_calls_do_what_the_commands_do(tmp_path: Path) -> None:
    approved = load(BRAMBLE)
    record_file = tmp_path / "record.csv"
    record_file.write_bytes(sheet(approved).data)
    assert {one.kind for one in api.read_back(approved, record_file).findings} == {LineFault.UNCONFIRMED}
    record_file.write_bytes(sheet(approved).data.replace(b",\r\n", b",x\r\n"))
    assert api.read_back(approved, record_file).good


@pytest.mark.parametrize("unit", ["C to 1", "C to 5", "K to 7", "F to 10"])
def test_rounding_never_takes_a_warning_away(unit: str) -> None:
    text = (
        'rules "r" version 1\nquantity t from 0 to 300 F\nt below 51 F is yellow with caution "COLD"\n'
        "t from 51 to 99 F is white\nt from 99 to 203 F is green\nt from 203 to 222 F is yellow\n"
        't above 222 F is red with warning "HOT"\nt outside 22 to 255 F is red with warning "FAR"\n'
        f"gauge t, drawn as bar in {unit}\n"
    )
    approved = loads(text).model
    made = sheet_of(approved, digest="")
    assert any(line.get("exact_to") for line in made.lines)
    # What the box does with nothing but the rounded numbers.
    keyed = [
        replace(line, cells={k: v for k, v in line.cells.items() if not k.startswith("exact")}) for line in made.lines
    ]
    found = compare(in_the_box(approved), loads(rebuilt(made.name, made.version, keyed)[0]).model)
    assert not found.same
    assert not found.less_strict, [one.message for one in found.changes]
    assert not found.undecided


def test_lines_are_counted_in_short() -> None:
    assert ranges([]) == ""
    assert ranges([3]) == "3"
    assert ranges([1, 2]) == "1, 2"
    assert ranges([1, 2, 3, 5, 7, 8, 10, 11, 12, 13]) == "1 to 3, 5, 7, 8, 10 to 13"
