"""Times of every unit and beginning as whole ticks, the log's clock beside them, cells that are held over, and the
lines of a map that say so.

Source: the documented behaviour (grammar/LOGS.md). The Julian date of 2000-01-01 12:00 is 2451545.0 and its modified
one 51544.5 (Explanatory Supplement to the Astronomical Almanac; from memory); spreadsheets count 2000-01-01 as day
36526 (ECMA-376, 18.17.4.1; from memory).
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.logs.column_map import Hold, parse_column_map
from alertlang.logs.holds import HeldColumn
from alertlang.logs.log_error import LogError
from alertlang.logs.looks import time_look
from alertlang.logs.propose import propose
from alertlang.logs.read import LogStream, read_log, stream_log
from alertlang.logs.tally import Tally
from alertlang.replay.run import replay
from alertlang.replay.wanted import wanted_of
from alertlang.results.log_clock import LogClock

RULES = loads(
    """rules "clocks" version 1
quantity rpm "Engine speed" from 0 to 3000 rpm
switch flaps up, down
rpm at least 0 rpm is green
high: rpm above 2500 rpm is red with warning "HIGH"
"""
).model
WANTED = wanted_of(RULES)


def streamed(folder: Path, times: list[str], time: str, block: int = 1 << 20, heading: str = "t") -> LogStream:
    path = folder / "log.csv"
    path.write_text(f"{heading},rpm\n" + "".join(f"{text},{n}\n" for n, text in enumerate(times)), encoding="utf-8")
    column_map = parse_column_map(f'time = {time}\ncolumns.rpm = "rpm"\n'.encode(), "map.toml")
    return stream_log(path, column_map, WANTED, block=block)


def read(folder: Path, times: list[str], time: str, block: int = 1 << 20) -> tuple[list[Fraction], LogClock | None]:
    stream = streamed(folder, times, time, block)
    seconds = [chunk.segment.seconds(i) for chunk in stream.chunks() for i in range(len(chunk.segment))]
    return seconds, stream.clock


@pytest.mark.parametrize("block", [12, 1 << 20])
@pytest.mark.parametrize(
    ("time", "times", "clock"),
    [
        ('{column = "t", unit = "ms", since = "1970-01-01"}', ["1777851600000", "1777851600500", "1777851601000"],
         "2026-05-03 23:40:00"),
        ('{column = "t", unit = "us", since = "1970-01-01"}',
         ["1777851600000007", "1777851600500007", "1777851601000007"], "2026-05-03 23:40:00.000007"),
        ('{column = "t", unit = "ns", since = "1970-01-01"}',
         ["1777851600000000001", "1777851600500000001", "1777851601000000001"], "2026-05-03 23:40:00"),
        ('{column = "t", unit = "d", since = "julian"}',
         ["2451545.0", "2451545.00000578703703703704", "2451545.00001157407407407408"], "2000-01-01 12:00:00"),
        ('{column = "t", unit = "d", since = "1858-11-17", to = "0.1 s"}',
         ["51544.5", "51544.500005787", "51544.500011574"], "2000-01-01 12:00:00"),
        ('{column = "t", unit = "d", since = "1899-12-30", to = "0.1 s"}',
         ["36526", "36526.000005787", "36526.000011574"], "2000-01-01 00:00:00"),
        ('{column = "t", unit = "s", since = "midnight"}', ["86399.5", "0.0", "0.5"], "23:59:59.5"),
        ('{column = "t", format = "%Y-%m-%dT%H:%M:%S.%f%z"}',
         ["2026-05-04T01:40:00+02:00", "2026-05-04T01:40:00.5+02:00", "2026-05-03T23:40:01Z"], "2026-05-04 01:40:00"),
        ('{column = "t", format = "%H:%M:%S.%f"}', ["23:59:59.50", "0:00:00", "0:00:00,5"], "23:59:59.5"),
        ('"t"', ["23:59:59.50", "00:00:00", "00:00:00.5"], "23:59:59.5"),
        ('{column = "t", format = "%M:%S.%f"}', ["59:59.5", "00:00.0", "00:00.5"], None),
    ],
)  # fmt: skip
def test_half_a_second_is_half_a_second(
    block: int, time: str, times: list[str], clock: str | None, tmp_path: Path
) -> None:
    quoted = [f'"{text}"' if "," in text else text for text in times]
    seconds, shown = read(tmp_path, quoted, time, block)
    first = seconds[0]
    if "julian" in time:  # a tick is less than a microsecond
        off = [abs(time - first - Fraction(n, 2)) for n, time in enumerate(seconds)]
        assert [error <= Fraction(1, 10**6) for error in off] == [True] * 3
    else:
        assert [one - first for one in seconds] == [0, Fraction(1, 2), 1]
    assert (None if shown is None else shown.text(first)) == clock


@pytest.mark.parametrize("block", [12, 1 << 20])
def test_later_times_may_have_more_digits_than_the_first(block: int, tmp_path: Path) -> None:
    seconds, _ = read(tmp_path, ["0", "1", "2.5", "3.000000001", "4000"], '{column = "t", unit = "s"}', block)
    assert seconds == [0, 1, Fraction("2.5"), Fraction("3.000000001"), 4000]


def test_one_damaged_time_takes_no_digit_from_the_others(tmp_path: Path) -> None:
    times = [f"{n}.125" for n in range(40)]
    times[20] = "9" * 40
    seconds, _ = read(tmp_path, times, '{column = "t", unit = "s"}')
    assert seconds == [n + Fraction(1, 8) for n in range(40) if n != 20]


@given(st.lists(st.integers(0, 10**9), min_size=2, max_size=8, unique=True), st.sampled_from(["ns", "us", "ms", "s"]))
def test_times_of_any_unit_are_exact(tmp_path_factory: pytest.TempPathFactory, numbers: list[int], unit: str) -> None:
    """However large: since 1970 they have up to nineteen digits."""
    folder = tmp_path_factory.mktemp("times", numbered=True)
    part = {"ns": 10**9, "us": 10**6, "ms": 1000, "s": 1}[unit]
    whole = sorted(1_700_000_000 * part + number for number in numbers)
    time = f'{{column = "t", unit = "{unit}", since = "1970-01-01"}}'
    seconds, _ = read(folder, [str(number) for number in whole], time)
    assert seconds == [Fraction(number - whole[0], part) for number in whole]


@pytest.mark.parametrize(
    ("heading", "times", "told"),
    [
        ("Time (ms)", ["0", "500", "1000"], None),
        ("Time (ms)", ["0", "0.5", "1"], "in s it would be like one"),
        ("Time", ["0", "500", "1000"], "in ms it would be like one"),
        ("Time", ["0", "0.0001", "0.0002"], "no flight is like that"),
        ("Time", ["0", "1", "2", "90000"], "the longest run lasts 25 h"),
        ("Time (furlongs)", ["0", "1", "2"], "is no unit of time that is known"),
        ("Time (kt)", ["0", "1", "2"], "is no unit of time"),
    ],
)
def test_a_unit_that_makes_no_flight_is_told(heading: str, times: list[str], told: str | None, tmp_path: Path) -> None:
    stream = streamed(tmp_path, times, f'"{heading}"', heading=heading)
    list(stream.chunks())
    found = [problem.words for problem in stream.problems if problem.kind == "time-doubtful"]
    assert (found == []) if told is None else any(told in words for words in found)


@pytest.mark.parametrize(
    ("cells", "form"),
    [
        (["03/05/2026 1:00:00", "13/05/2026 1:00:00"], "%d/%m/%Y %H:%M:%S.%f"),
        (["05/03/2026 1:00:00", "05/13/2026 1:00:00"], "%m/%d/%Y %H:%M:%S.%f"),
        (["05/03/2026 23:59:59", "05/04/2026 0:00:01"], "%m/%d/%Y %H:%M:%S.%f"),
        (["0.5", "1.5"], None),
        (["2026-05-03", "on"] * 5, None),
        (["", "20:00:01", "20:00:02", "20:00:03"], "%H:%M:%S.%f"),
        (["47:59", "48:00"], "%M:%S.%f"),
    ],
)
def test_times_are_told_by_their_look(cells: list[str], form: str | None) -> None:
    look = time_look(cells)
    assert (None if look is None else look.format) == form


# ---- the clock beside the seconds


def test_the_json_has_the_clock_beside_each_time(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = [("23:59:58", 1000), ("23:59:59", 2600), ("00:00:00", 2700), ("00:00:01", 900)]
    path.write_text("time,rpm\n" + "".join(f"{time},{rpm}\n" for time, rpm in rows), encoding="utf-8")
    found = replay(path, RULES)
    data = json.loads(found.to_json())
    assert data["clock"] == {"start": "23:59:58", "dated": False, "zone": None}
    (alert,) = data["alerts"]
    assert (alert["start"], alert["start_clock"], alert["end"], alert["end_clock"]) == (
        "1",
        "23:59:59",
        "3",
        "00:00:01",
    )
    assert (alert["worst"]["time"], alert["worst"]["time_clock"]) == ("2", "00:00:00")
    assert found.clock is not None
    assert [found.clock.of_day(Fraction(n)) for n in (0, 2)] == [86_398, 0]
    path.write_text("time,rpm\n0,1000\n1,2600\n", encoding="utf-8")
    plain = json.loads(replay(path, RULES).to_json())
    assert not [key for key in (*plain, *plain["alerts"][0]) if "clock" in key]


def test_a_gap_is_told_by_the_clock(tmp_path: Path) -> None:
    times = [f"2026-12-31 23:59:{n}" for n in range(50, 60)] + ["2027-01-01 00:00:09", "2027-01-01 00:00:10"]
    stream = streamed(tmp_path, times, '"t"')
    list(stream.chunks())
    (gap,) = [problem for problem in stream.problems if problem.kind == "gap"]
    assert "from 2026-12-31 23:59:59 (9 s) to 2027-01-01 00:00:09 (19 s)" in gap.words


@given(st.fractions(0, 2 * 10**9).map(lambda one: Fraction(round(one * 10**6), 10**6)))
def test_a_clock_says_the_date_as_the_standard_library_does(time: Fraction) -> None:
    from datetime import UTC, datetime, timedelta

    moment = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(microseconds=int(time * 10**6))
    said = moment.strftime("%Y-%m-%d %H:%M:%S.%f").rstrip("0").rstrip(".")
    assert LogClock(Fraction(0), True).text(time) == said


# ---- cells that are held over


def held(rows: list[str], hold: str, folder: Path, block: int = 1 << 20) -> list[Fraction | None]:
    path = folder / "log.csv"
    path.write_text("time,rpm\n" + "".join(row + "\n" for row in rows), encoding="utf-8")
    column_map = parse_column_map(f'columns.rpm = {{column = "rpm", hold = "{hold}"}}'.encode(), "map.toml")
    found = stream_log(path, column_map, WANTED, block=block)
    return [chunk.segment.columns["rpm"].value(i) for chunk in found.chunks() for i in range(len(chunk.segment))]


@pytest.mark.parametrize("block", [12, 1 << 20])
@pytest.mark.parametrize(
    ("rows", "hold", "expected"),
    [
        (["0,5", "1,", "2,", "3,", "4,7", "5,"], "2 s", [5, 5, 5, None, 7, 7]),
        (["0,5", "1,", "9,", "10,8"], "until changed", [5, 5, 5, 8]),
        (["0,", "1,5", "2,"], "until changed", [None, 5, 5]),
        # What is there and is no value is failed, and is held as such.
        (["0,5", "1,x", "2,", "3,9000", "4,", "5,6", "6,"], "9 s", [5, None, None, None, None, 6, 6]),
        # A new segment knows nothing; and of one time the last row counts, with what it holds.
        (["5,5", "6,", "0,", "1,4", "1,"], "9 s", [5, 5, None, 4]),
        (["0,5", "0.5,", "1.0000001,"], "1 s", [5, 5, None]),
    ],
)
def test_an_empty_cell_stands_for_the_last_as_long_as_the_map_says(
    block: int, rows: list[str], hold: str, expected: list[int | None], tmp_path: Path
) -> None:
    assert held(rows, hold, tmp_path, block) == expected


cells = st.lists(
    st.tuples(st.integers(-2, 3), st.sampled_from([None, -1, 0, 1, 2]), st.booleans()), min_size=1, max_size=30
)


@given(cells, st.one_of(st.none(), st.integers(1, 5)), st.integers(1, 30))
def test_holding_is_what_a_loop_says(drawn: list[tuple[int, int | None, bool]], hold: int | None, size: int) -> None:
    """Whatever the blocks. Of a switch: -1 is unknown, none an empty cell."""
    import numpy as np

    column = HeldColumn(Hold(None if hold is None else Fraction(hold)), "x", -1, Tally())
    time, value, since, before = 0, -1, None, None
    wanted, ticks, values, empty, begins = [], [], [], [], []
    for step, cell, begin in drawn:
        time += step
        if begin or (before is not None and time < before):
            value, since = -1, None
        if cell is not None:
            value, since = cell, time
        fresh = since is not None and (hold is None or time - since <= hold)
        wanted.append(value if fresh else -1)
        ticks.append(time)
        values.append(-1 if cell is None else cell)
        empty.append(cell is None)
        begins.append(begin)
        before = time
    found: list[int] = []
    for start in range(0, len(drawn), size):
        part = slice(start, start + size)
        found += column.filled(
            np.array(values[part], np.int8), np.array(empty[part]), np.array(ticks[part], np.int64),
            np.array(begins[part]), np.arange(len(ticks[part])) + 1, Fraction(1),
        ).tolist()  # fmt: skip
    assert found == wanted


# ---- what a map says of all this


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('time = {column = "t", unit = "msec"}', "msec is no unit of time; did you mean ms?"),
        ('time = {column = "t", unit = "psi"}', "psi is no unit of time; write ns, us, ms, s, min, h, d"),
        ('time = {column = "t", since = "yesterday"}', "`since` says nothing that times could count from"),
        ('time = {column = "t", to = "often"}', "`to` is no time above 0"),
        ('time = {columns = ["a", "b"]}', "time in several columns has no format"),
        ('time = {columns = "a", format = "%H"}', "the columns of time are no list"),
        ('time = {column = "t", unit = "s", format = "%H"}', "time has a unit and a format"),
        ('columns.rpm = {column = "rpm", hold = "long"}', "the hold of rpm is no time above 0"),
        ('columns.rpm = {column = "rpm", doubt = 1}', "the doubt about rpm is no text"),
    ],
)
def test_what_is_no_line_of_a_map_says_why(text: str, message: str) -> None:
    with pytest.raises(LogError, match=r"^map.toml:1: ") as problem:
        parse_column_map(text.encode(), "map.toml")
    assert message in str(problem.value)


def test_whole_numbers_of_a_parquet_file_are_exact(tmp_path: Path) -> None:
    import polars as pl

    path = tmp_path / "log.parquet"
    start = 1_777_851_600_000_000_001
    pl.DataFrame({"time_ns": [start, start + 500_000_000], "rpm": [1, 2]}).write_parquet(path)
    column_map = parse_column_map(propose(path, WANTED, "log").encode(), "map.toml")
    assert column_map.time is not None
    assert (column_map.time.unit.name if column_map.time.unit else "", column_map.time.since) == ("ns", "1970-01-01")
    [segment] = read_log(path, column_map, WANTED).segments
    assert [segment.seconds(i) for i in range(2)] == [0, Fraction(1, 2)]


def test_dates_of_a_parquet_file_are_proposed_and_read(tmp_path: Path) -> None:
    from datetime import UTC, datetime, timedelta

    import polars as pl

    path = tmp_path / "log.parquet"
    times = [datetime(2026, 5, 3, 23, 59, 59, tzinfo=UTC) + timedelta(seconds=n) for n in range(3)]
    for column in (pl.Series("at", times), pl.Series("at", times).dt.time(), pl.Series("at", times) - times[0]):
        pl.DataFrame({"at": column, "rpm": [1, 2, 3]}).write_parquet(path)
        text = propose(path, WANTED, "log")
        assert 'time = {column = "at"}' in text
        [segment] = read_log(path, parse_column_map(text.encode(), "map.toml"), WANTED).segments
        assert [segment.seconds(i) for i in range(3)] == [0, 1, 2]


@pytest.mark.parametrize(
    ("heading", "step", "unit", "doubt"),
    [
        ("Time", "1", "s", None),
        ("Time", "500", "ms", None),
        ("Time", "0.1", "s", "in min it would be like a flight too"),
        ("Time", "0.0001", "h", "in d it would be like a flight too"),
        ("Time (min)", "0.1", "min", None),
        ("Time", "100000000", "ns", None),
        ("Time", "1000000000000", "s", "in none would it be like a flight"),
        ("Time (ms)", "30000", "ms", "in ms, as the log says, no flight is like that"),
    ],
)
def test_a_unit_is_proposed_by_the_values_and_doubted_where_two_fit(
    heading: str, step: str, unit: str, doubt: str | None, tmp_path: Path
) -> None:
    path = tmp_path / "log.csv"
    times = [str(n * Fraction(step)) if "." not in step else f"{float(n * Fraction(step)):.4f}" for n in range(900)]
    path.write_text(f"{heading},rpm\n" + "".join(f"{time},{n}\n" for n, time in enumerate(times)), encoding="utf-8")
    time = parse_column_map(propose(path, WANTED, "log.csv").encode(), "map.toml").time
    assert time is not None
    assert time.unit is not None
    assert time.unit.name == unit
    assert (time.doubt is None) if doubt is None else (doubt in (time.doubt or ""))


def test_the_heading_may_be_named(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("a,b\nx,y\ntime,rpm\n0,5\n1,6\n2,7\n", encoding="utf-8")
    found = propose(path, WANTED, "log.csv", heading=3)
    assert 'rpm = {column = "rpm", unit = "rpm"}' in found
    assert found.endswith("[options]\nheading = 3\n")
    column_map = parse_column_map(found.encode(), "map.toml")
    assert len(read_log(path, column_map, WANTED).segments[0]) == 3


@pytest.mark.parametrize("block", [16, 1 << 20])
def test_the_heading_again_begins_another_run_though_time_goes_on(block: int, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("no,1\ntime,rpm\ns,rpm\n0,5\n1,6\nno,1\ntime,rpm\ns,rpm\n2,7\n3,8\n", encoding="utf-8")
    stream = stream_log(path, None, WANTED, block=block)
    runs: list[list[int]] = []
    for chunk in stream.chunks():
        runs += [] if chunk.continues else [[]]
        runs[-1] += chunk.segment.rows.tolist()
    assert runs == [[1, 2], [6, 7]]
    told = {problem.kind: (problem.count, problem.first_row) for problem in stream.problems}
    assert told["second-heading"] == (1, 4)
    assert "no-time" not in told


def test_another_heading_in_the_middle_is_not_read_past(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time,rpm,x\n0,5,1\n1,6,1\ntime,x,rpm\n0,1,8\n1,1,9\ntime,rpm,x\n0,7,1\n", encoding="utf-8")
    found = read_log(path, None, WANTED)
    read_values = [[segment.columns["rpm"].value(i) for i in range(len(segment))] for segment in found.segments]
    assert read_values == [[5, 6], [7]]
    assert {one.kind: one.count for one in found.problems}["other-heading"] == 2
