"""Every kind of thing found in a log is counted at its place, and what cannot be used says why."""

from __future__ import annotations

import contextlib
import gzip
import re
import struct
import tempfile
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.logs.column_map import ColumnMap, parse_column_map
from alertlang.logs.log_error import LogError
from alertlang.logs.propose import propose
from alertlang.logs.read import LogRead, read_log, stream_log
from alertlang.replay.wanted import wanted_of
from alertlang.text.resources import grammar_dir

RULES = loads(
    """rules "odd" version 1
quantity rpm "Engine speed" from 0 to 3000 rpm
quantity cht[2] "Cylinder head temperature" from 0 to 600 F
switch flaps up, down
source S common practice
top: limit cht[2] at most 500 F, source S
"""
).model
PAGE = (grammar_dir() / "LOGS.md").read_text(encoding="utf-8")


def log(path: Path, data: bytes | str, column_map: str | None = None, name: str = "log.csv") -> LogRead:
    file = path / name
    file.write_bytes(data.encode() if isinstance(data, str) else data)
    return read_log(file, None if column_map is None else mapped(column_map), wanted_of(RULES), shown=name)


def mapped(text: str) -> ColumnMap:
    return parse_column_map(text.encode(), "map.toml")


def rpm(found: LogRead) -> list[Fraction | None]:
    return [one.columns["rpm"].value(i) for one in found.segments for i in range(len(one))]


DAYLESS = 'time = {column = "t", format = "%H:%M:%S"}\ncolumns.rpm = "rpm"'
FOUND = [
    ("trailing-separator", "time,rpm\n0,1,\n1,2,\n", None, 2, 1, None),
    ("short-row", "time,rpm\n0,1\n1\n", None, 1, 2, None),
    ("long-row", "time,rpm\n0,1\n1,2,3\n", None, 1, 2, None),
    ("empty-row", "time,rpm\n0,1\n\n1,2\n,\n", None, 2, 2, None),
    ("nul-byte", b"time,rpm\n0,1\n1,\0\0\n", None, 2, 2, None),
    ("broken-quote", 'time,rpm\n0,1\n1,"2\n2,3\n', None, 1, 2, None),
    ("byte-order-mark", b"\xef\xbb\xbftime,rpm\n0,1\n", None, 1, None, None),
    ("encoding", b"time,rpm,\xb0F\n0,1,2\n", None, 1, None, None),
    ("leading-lines", "# made up\n\ntime,rpm\n0,1\n", None, 2, None, None),
    ("units-row", "time,rpm\ns,rpm\n0,1\n", None, 1, None, None),
    ("decimal-comma", "time;rpm\n0;1,25\n", None, 1, None, None),
    ("duplicate-column", "time,rpm,x,x\n0,1,2,3\n", None, 1, None, "x"),
    ("no-column", "time,rpm\n0,1\n", None, 1, None, "cht[2]"),
    ("unit-differs", "time,rpm,x (C)\n0,1,2\n", 'columns."cht[1]" = {column = "x (C)", unit = "F"}', 1, None, "x (C)"),
    ("empty-cell", "time,rpm\n0,1\n1,\n", None, 1, 2, "rpm"),
    ("not-a-number", "time,rpm\n0,---\n1,2\n", None, 1, 1, "rpm"),
    ("not-finite", "time,rpm\n0,NaN\n1,inf\n2,1e999\n3,4\n", None, 3, 1, "rpm"),
    ("out-of-range", "time,rpm\n0,3000\n1,3000.0001\n2,-1\n", None, 2, 2, "rpm"),
    ("many-digits", "time,rpm\n0,1\n1,0.1234567890123456789\n", None, 1, 2, "rpm"),
    ("unknown-position", "time,rpm,flaps\n0,1,up\n1,2,half\n", None, 1, 2, "flaps"),
    ("unknown-press", "time,rpm,b\n0,1,1\n1,2,maybe\n", 'columns.rpm = "rpm"\ninputs.ack = "b"\n', 1, 2, "b"),
    ("no-time", "time,rpm\n0,1\n,2\n2,3\n", None, 1, 2, "time"),
    ("repeated-time", "time,rpm\n0,1\n0,2\n1,3\n", None, 1, 1, "time"),
    ("backward-time", "time,rpm\n5,1\n6,2\n3,3\n", None, 1, 3, "time"),
    ("spread-time", "time,rpm\n0,1\n0,2\n1,3\n", 'columns.rpm = "rpm"\noptions.repeats = "spread"', 1, 2, "time"),
    ("mostly-failed", "time,rpm\n0,1\n1,\n2,x\n3,9000\n", None, 3, None, "rpm"),
    ("unit-doubtful", "time,x\n0,400\n1,400\n", 'columns."cht[1]" = {column = "x", unit = "C"}', 1, None, "x"),
    ("gap", "time,rpm\n0,1\n1,2\n2,3\n4,4\n5,5\n13,6\n", None, 2, 4, "time"),
    ("midnight", "t,rpm\n23:59:59,1\n00:00:01,2\n", DAYLESS, 1, 2, "t"),
    ("time-rounded", "time,rpm\n9000000000,1\n9000000000.000001,2\n1e-17,1\n", None, 1, 3, "time"),
    ("type-row", "time,rpm\nfloat,int\ns,rpm\n0,1\n", None, 1, None, None),
    ("time-doubtful", "Time (t),rpm\n0,1\n1,2\n", 'time = "Time (t)"\ncolumns.rpm = "rpm"', 1, None, "Time (t)"),
    ("time-doubtful", "time,rpm\n0,1\n500,2\n1000,3\n", None, 1, None, "time"),
    ("map-doubtful", "time,x\n0,1\n", 'columns.rpm = {column = "x", doubt = "is it?"}', 1, None, "x"),
    ("column-twice", "time,x\n0,1\n", 'columns.rpm = "x"\ncolumns."cht[1]" = "x"', 1, None, "x"),
    ("held-cell", "time,x\n0,1\n1,\n2,\n", 'columns.rpm = {column = "x", hold = "1 s"}', 1, 2, "x"),
    ("empty-cell", "time,rpm,flaps\n0,1,up\n1,2,\n2,2,half\n", None, 1, 2, "flaps"),
    ("unknown-position", "time,rpm,flaps\n0,1,up\n1,2,\n2,2,half\n", None, 1, 3, "flaps"),
    ("no-position", "time,rpm,flaps\n0,1,0\n1,2,1\n", None, 2, None, "flaps"),
    ("often-failed", "time,cht[2]\n0,\n" + "".join(f"{n},9\n" for n in range(1, 10)), None, 1, None, "cht[2]"),
    ("never-changes", "time,rpm\n" + "".join(f"{n},9\n" for n in range(100)), None, 100, None, "rpm"),
    ("second-heading", "time,rpm\n0,1\n1,1\ntime,rpm\n0,1\n", None, 1, 3, None),
    ("other-heading", "time,rpm,x\n0,1,2\n1,1,2\ntime,x,rpm\n2,1,2\n3,1,2\n", None, 2, 4, None),
    ("lost-mark", "time,rpm,m\n0,1,1\n0,2,0\n1,2,0\n", 'mark = "m"\ncolumns.rpm = "rpm"', 1, 1, "m"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "data", "column_map", "count", "row", "column"), FOUND, ids=[one[0] for one in FOUND])
def test_what_is_odd_is_counted_at_its_place(
    kind: str,
    data: bytes | str,
    column_map: str | None,
    count: int,
    row: int | None,
    column: str | None,
    tmp_path: Path,
) -> None:
    found = [one for one in log(tmp_path, data, column_map).problems if one.kind == kind and one.column == column]
    assert [(one.count, one.first_row) for one in found] == [(count, row)]
    assert found[0].words


def test_nothing_is_told_of_a_log_as_it_should_be(tmp_path: Path) -> None:
    text = "time,rpm,cht[1],cht[2] (C),flaps\n" + "".join(f"{i},{i * 10},400,200,up\n" for i in range(50))
    found = log(tmp_path, text)
    assert found.problems == ()
    assert rpm(found) == [Fraction(i * 10) for i in range(50)]
    assert found.segments[0].columns["cht[2]"].value(0) == 392


@pytest.mark.parametrize(
    ("data", "column_map", "expected"),
    [
        ("time,rpm\n0,1\n0,2\n1,3\n", None, [2, 3]),
        ("time,rpm\n0,\n1, 7 \n2,x\n", None, [None, 7, None]),
        ('time,rpm\n0,"1,234.5"\n', 'columns.rpm = "rpm"\noptions.thousands = ","', [Fraction("1234.5")]),
        ('time,rpm\n0,"1,234.5"\n', None, [None]),
        ("time;rpm\n0;1,234\n", None, [None]),
        ("time;rpm\n0;1.234\n", 'columns.rpm = "rpm"\noptions.decimal = ","', [None]),
        ("time\trpm\r\n0\t5\r\n", None, [5]),
        ("time,rpm\r0,5\r1,6", None, [5, 6]),
        ("time,rpm,rpm\n0,1,2\n", "columns.rpm = {number = 3}", [2]),
        ('"time","rpm","say ""so"", then"\n0,"1","a\nb"\n1,2,c\n', None, [1, 2]),
    ],
)
def test_values(data: str, column_map: str | None, expected: list[object], tmp_path: Path) -> None:
    assert rpm(log(tmp_path, data, column_map)) == expected


def test_a_row_every_so_often_and_an_empty_row_takes_its_time(tmp_path: Path) -> None:
    found = log(tmp_path, "rpm\n1\n\n3\n", 'time = {every = "0.2 s"}\ncolumns.rpm = "rpm"')
    [one] = found.segments
    assert [one.seconds(i) for i in range(len(one))] == [0, Fraction(2, 5)]


def test_dates_with_a_zone(tmp_path: Path) -> None:
    text = "at,rpm\n2024-02-29 23:59:59.5 +0000,1\n2024-03-01 02:00:00.25 +0200,2\n"
    found = log(tmp_path, text, 'time = {column = "at", format = "%Y-%m-%d %H:%M:%S.%f %z"}\ncolumns.rpm = "rpm"')
    [one] = found.segments
    assert [one.seconds(i) for i in range(2)] == [0, Fraction(3, 4)]


def test_minutes_are_exact(tmp_path: Path) -> None:
    [one] = log(tmp_path, "time (min),rpm\n0.1,1\n0.7,2\n").segments
    assert [one.seconds(i) for i in range(2)] == [6, 42]


def test_parquet_gives_the_same(tmp_path: Path) -> None:
    import polars as pl

    table = pl.DataFrame(
        {"time": [0.0, 0.5, 0.5, 1.0], "rpm": [1.5, None, 7.25, 9000.0], "flaps": ["up", "up", "down", "?"]}
    )
    table.write_parquet(tmp_path / "log.parquet")
    found = read_log(tmp_path / "log.parquet", None, wanted_of(RULES))
    table.with_columns(pl.col("rpm").cast(pl.Float32)).write_parquet(tmp_path / "single.parquet")
    assert (
        rpm(found)
        == rpm(read_log(tmp_path / "single.parquet", None, wanted_of(RULES)))
        == [Fraction("1.5"), Fraction("7.25"), None]
    )
    assert found.segments[0].positions["flaps"].tolist() == [0, 1, -1]
    assert {one.kind for one in found.problems if one.kind != "no-column"} == {
        "empty-cell", "out-of-range", "repeated-time", "unknown-position",
    }  # fmt: skip


def test_parquet_under_another_name_is_read(tmp_path: Path) -> None:
    import polars as pl

    pl.DataFrame({"time": [0.0, 1.0], "rpm": [1.5, 2.5]}).write_parquet(tmp_path / "log.csv")
    assert rpm(read_log(tmp_path / "log.csv", None, wanted_of(RULES))) == [Fraction("1.5"), Fraction("2.5")]
    assert "rpm = {" in propose(tmp_path / "log.csv", wanted_of(RULES), "log.csv")


UNUSABLE: list[tuple[bytes | str, str | None, str]] = [
    (b"", None, "log.csv: is empty"),
    (b"\0\1\2\3" * 50, None, "log.csv: is no table of text"),
    (struct.pack("<200i", *range(200)), None, "log.csv: is no table of text: bytes of value 0"),
    (struct.pack("<200d", *range(200)), None, "log.csv: is no table of text: bytes of value 0"),
    (b"time\n" + bytes(range(1, 32)) * 50, None, "log.csv: is no table of text: it is full of"),
    (gzip.compress(b"time,rpm\n0,1\n")[:-1], None, "log.csv: its compressed data is damaged or cut short; get it"),
    (b"PK\3\4" + bytes(100), None, "log.csv: its compressed data is damaged or cut short; get it"),
    ("time,rpm\n0,1\n".encode("utf-16-le"), None, 'without its mark; say so: [options] encoding = "utf-16-le"'),
    ("time,rpm\n0,1\n".encode("utf-16-be"), None, 'without its mark; say so: [options] encoding = "utf-16-be"'),
    ("time,rpm,\u043c\u0430\u0441\u043b\u043e\n0,1,2\n".encode("utf-16-le"), None, 'encoding = "utf-16-le"'),
    ("time,rpm\n", None, "log.csv: has a heading and no rows"),
    ("rpm\n1\n", None, "no column is the time"),
    ("time,speed\n0,1\n", None, "none of its columns feeds"),
    ("time,rpm\nx,1\n", None, "no row has a time in time"),
    ("time,rpm\n0,1\n", 'columns.rmp = "rpm"', "map.toml:1: the rules have no quantity rmp; did you mean rpm?"),
    ("time,rpm\n0,1\n", '\n[columns]\nrpm = "rpmm"', "map.toml:3: log.csv has no column rpmm for rpm; did you mean"),
    ("time,rpm\n0,1\n", 'colums.rpm = "rpm"', "map.toml:1: colums is not known in the column map; did you"),
    ("time,rpm\n0,1\n", 'columns.rpm = {column = "rpm", unit = "psi"}', "rpm is a rotational speed"),
    ("time,rpm\n0,1\n", 'columns.rpm = {column = "rpm", unit = "rmp"}', "rmp is no unit; did you mean rpm?"),
    ("time,rpm,rpm\n0,1,2\n", 'columns.rpm = "rpm"', "{number = 2} or {number = 3}"),
    ("time,rpm\n0,1\n", 'columns.cht = "rpm"', 'cht is an array; write "cht[1]"'),
    ("time,rpm\n0,1\n", "columns = ]", "map.toml:1: is not TOML"),
    ("time,rpm\n0,1\n", 'time = {every = "0 s"}', "`every` is no time above 0"),
    ("time,rpm\n0,1\n", 'switches.flaps = {column = "rpm", positions = {"1" = "dwon"}}', "flaps has no position dwon"),
]  # fmt: skip


@pytest.mark.parametrize(("data", "column_map", "message"), UNUSABLE, ids=[str(i) for i in range(len(UNUSABLE))])
def test_what_cannot_be_used_says_why(data: bytes | str, column_map: str | None, message: str, tmp_path: Path) -> None:
    with pytest.raises(LogError, match=re.escape(message)):
        log(tmp_path, data, column_map)


def test_folders_and_missing_files(tmp_path: Path) -> None:
    for path, message in (
        (tmp_path, "is a folder"),
        (tmp_path / "none.csv", "cannot be read"),
        (tmp_path / "none.parquet", "cannot be read"),
    ):
        with pytest.raises(LogError, match=message):
            read_log(path, None, wanted_of(RULES))


def test_a_proposed_map_reads_back(tmp_path: Path) -> None:
    text = (
        'Run time,Engine speed,CHT 1 (F),"CHT ""2"" [C]",Flap,Other\n' + "0,2000,300,150,up,1\n1,2100,310,160,down,1\n"
    )
    (tmp_path / "log.csv").write_text(text)
    proposed = propose(tmp_path / "log.csv", wanted_of(RULES), "log.csv")
    found = read_log(tmp_path / "log.csv", mapped(proposed), wanted_of(RULES))
    assert {(one.name, one.column, one.unit.name) for one in found.bindings.numbers} == {
        ("rpm", "Engine speed", "rpm"), ("cht[1]", "CHT 1 (F)", "F"), ("cht[2]", 'CHT "2" [C]', "C"),
    }  # fmt: skip
    assert found.segments[0].positions["flaps"].tolist() == [0, 1]
    assert "#   Other" in proposed


# ---- the page ----------------------------------------------------------------------------------------------------


def test_the_page_tells_every_kind_and_no_other() -> None:
    told = set(re.findall(r"^\| `([a-z-]+)` \|", PAGE, re.MULTILINE))
    source = "".join(one.read_text(encoding="utf-8") for one in Path(read_log.__code__.co_filename).parent.glob("*.py"))
    # What rows that do not count hold is found by the rules, not by reading: test_repeats.py has it.
    assert told == {kind for kind, *_ in FOUND} | {"left-out-limit"}
    # A kind in the code that no example here gives would be told nowhere.
    given = re.findall(r'(?:\.add|_told|_tally\.add|tally\.add)\(\s*"([a-z-]+)"', source)
    given += re.findall(r'^\s*\("([a-z]+-row)", ', source, re.MULTILINE)
    assert set(given) == told


def test_the_maps_of_the_page_are_read() -> None:
    blocks = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    assert len(blocks) >= 3
    for block in blocks:
        mapped(block)


def test_the_log_of_the_page_is_read_as_it_says(tmp_path: Path) -> None:
    [text] = re.findall(r"```csv\n(.*?)```", PAGE, re.DOTALL)
    column_map = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)[0]
    found = log(tmp_path, text, column_map)
    [said] = re.findall(r"```text\n(.*?)```", PAGE, re.DOTALL)
    lines = [
        f"{one.kind}, {one.count}, first in row {one.first_row or '-'}, {one.column or '-'}" for one in found.problems
    ]
    assert said.splitlines() == lines


@pytest.mark.parametrize("block", [24, 1 << 20])
def test_gaps_are_told_with_the_longest_and_its_place(block: int, tmp_path: Path) -> None:
    """Five seconds in a log of one row a second; a step a little longer than usual is none."""
    steps = [1] * 139 + [5] + [1] * 20 + [2] + [Fraction("1.9")] * 3
    times = [sum(steps[:n], Fraction(0)) for n in range(len(steps) + 1)]
    path = tmp_path / "log.csv"
    path.write_text("time,rpm\n" + "".join(f"{float(one)},1\n" for one in times), encoding="utf-8")
    stream = stream_log(path, None, wanted_of(RULES), block=block)
    assert len(list(stream.chunks())) >= 1
    [gap] = [one for one in stream.problems if one.kind == "gap"]
    assert (gap.count, gap.first_row) == (2, 141)
    assert "The longest is 5 s, from 139 s to 144 s (row 141)." in gap.words
    assert "counts as having held" in gap.words


def test_times_of_many_places_are_exact(tmp_path: Path) -> None:
    found = log(tmp_path, "time,rpm\n0.1,1\n0.1000004,2\n1700000000.123456,3\n")
    [one] = found.segments
    expected = [Fraction("0.1"), Fraction("0.1000004"), Fraction("1700000000.123456")]
    assert [one.seconds(i) for i in range(3)] == expected
    assert not any(problem.kind == "time-rounded" for problem in found.problems)


PIECES = ['"', '""', '"\n', '\n"', ',"', '",', "\r", "\0", '""45""', ' "']


@given(st.lists(st.tuples(st.integers(0, 200), st.sampled_from(PIECES)), max_size=6))
def test_quotes_anywhere_are_a_problem_of_the_log(put: list[tuple[int, str]]) -> None:
    """And no fault of the tool."""
    text = "time,rpm,text\n" + "".join(f"{i},{1000 + 10 * i},note\n" for i in range(12))
    for place, some in put:
        text = text[: 14 + place] + some + text[14 + place :]
    with tempfile.TemporaryDirectory() as folder, contextlib.suppress(LogError):
        assert rpm(log(Path(folder), text))


@pytest.mark.parametrize(
    ("line", "read"),
    [
        ('1,15,45,""20,on,0', None),
        ('1,"15', None),
        ('1,"15"6', None),
        ('1,"15"', 15),
        ('1,15,"a ""b"" c"', 15),
        ('1,15,5" pipe', 15),
    ],
)
def test_a_row_with_broken_quotes_takes_no_other_along(tmp_path: Path, line: str, read: int | None) -> None:
    found = log(tmp_path, f"time,rpm,text,more,m,n\n0,10\n{line}\n2,20\n3,30\n")
    assert [one for one in rpm(found) if one is not None] == [10, *([read] if read else []), 20, 30]
    broken = [one for one in found.problems if one.kind == "broken-quote"]
    assert [(one.count, one.first_row) for one in broken] == ([] if read else [(1, 2)])
