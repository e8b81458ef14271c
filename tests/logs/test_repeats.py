"""Rows that share one time: spread where the map says so, else left out and held against every limit all the same."""

from __future__ import annotations

import json
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.logs.column_map import parse_column_map
from alertlang.logs.log_error import LogError
from alertlang.logs.read import read_log, stream_log
from alertlang.output.against import comparison_lines
from alertlang.output.replay import replay_lines
from alertlang.output.style import Line
from alertlang.replay.against import replay_against
from alertlang.replay.run import replay
from alertlang.replay.wanted import wanted_of

RULES = loads(
    """rules "odd" version 1
source S common practice
quantity rpm "Engine speed" from 0 to 3000 rpm
quantity oil "Oil pressure" from 0 to 100 psi
condition running means rpm above 500
top: limit rpm at most 2700 rpm, needs warning, source S
rpm at least 0 rpm is green
fast: rpm above 2700 rpm is red with warning "FAST" after 2 s
oil at least 0 psi is green
low: when running for at least 3 s then oil below 20 psi is red
"""
).model
SPREAD = parse_column_map(
    b'columns.rpm = "rpm"\ncolumns.oil = "oil"\nmark = "m"\noptions.repeats = "spread"\n', "map.toml"
)


def log(folder: Path, rows: Sequence[tuple[object, ...]]) -> Path:
    path = folder / "log.csv"
    path.write_text("time,rpm,oil,m\n" + "".join(",".join(map(str, row)) + "\n" for row in rows), encoding="utf-8")
    return path


def times(path: Path) -> list[list[Fraction]]:
    return [[one.seconds(i) for i in range(len(one))] for one in read_log(path, SPREAD, wanted_of(RULES)).segments]


def test_rows_of_one_second_are_spread_evenly(tmp_path: Path) -> None:
    path = log(tmp_path, [(second, 1000, 50, 0) for second in (0, 1, 1, 1, 1, 2, 2, 3)])
    quarter = Fraction(1, 4)
    assert times(path) == [[0, 1, 1 + quarter, 1 + 2 * quarter, 1 + 3 * quarter, 2, Fraction(5, 2), 3]]
    found = read_log(path, SPREAD, wanted_of(RULES))
    assert found.segments[0].repeated is not None
    assert found.segments[0].repeated.tolist() == [False, True, True, True, False, True, False, False]
    told = [(one.kind, one.count, one.first_row) for one in found.problems if one.kind != "gap"]
    assert told == [("spread-time", 4, 3)]


def test_a_gap_behind_them_and_the_end_of_the_log_do_not_stretch_them(tmp_path: Path) -> None:
    rows = [(second, 1000, 50, 0) for second in (0, 1, 1, 7, 8, 8)]
    half = Fraction(1, 2)
    assert times(log(tmp_path, rows)) == [[0, 1, 1 + half, 7, 8, 8 + half]]


def test_each_segment_is_spread_for_itself(tmp_path: Path) -> None:
    rows = [(second, 1000, 50, 0) for second in (0, 0, 1, 1, 0, 0, 1)]
    half = Fraction(1, 2)
    assert times(log(tmp_path, rows)) == [[0, half, 1, 1 + half], [0, half, 1]]


def test_a_clock_that_stands_still_is_a_tick_for_each_row(tmp_path: Path) -> None:
    path = log(tmp_path, [(5, 1000, 50, 0), (5, 2900, 50, 0), (5, 2000, 50, 0)])
    assert times(path) == [[5, 5 + Fraction(1, 10**9), 5 + Fraction(2, 10**9)]]
    assert [(one.statement, one.value) for one in replay(path, RULES, block=20).left_out] == [
        ("top", Fraction(2900)), ("fast", Fraction(2900)),
    ]  # fmt: skip


def test_what_has_no_room_is_left_out_and_told(tmp_path: Path) -> None:
    rows = [(at, 1000, 50, 0) for at in ("0", "0", "0", "0.000000001", "0.000000002")]
    path = log(tmp_path, rows)
    assert times(path) == [[0, Fraction(1, 10**9), Fraction(2, 10**9)]]
    assert [(one.kind, one.count) for one in read_log(path, SPREAD, wanted_of(RULES)).problems] == [
        ("repeated-time", 2),
        ("time-doubtful", 1),
    ]


@settings(max_examples=60, deadline=None, phases=[Phase.explicit, Phase.generate])
@given(st.lists(st.integers(-2, 3), min_size=1, max_size=25), st.integers(20, 60))
def test_the_size_of_a_block_makes_no_difference(steps: list[int], block: int) -> None:
    time, rows = 0, []
    for number, step in enumerate(steps):
        time += step
        rows.append((time, number, 50, 0))
    with TemporaryDirectory() as folder:
        path = log(Path(folder), rows)
        stream = stream_log(path, SPREAD, wanted_of(RULES), block=block)
        pieces: list[list[Fraction]] = []
        for chunk in stream.chunks():
            if not chunk.continues:
                pieces.append([])
            pieces[-1] += [chunk.segment.seconds(i) for i in range(len(chunk.segment))]
        assert pieces == times(path)
    for one in pieces:
        assert all(a < b for a, b in pairwise(one))
    told = {one.kind: one.count for one in stream.problems}
    assert sum(map(len, pieces)) + told.get("repeated-time", 0) == len(rows)


def test_another_word_is_an_error() -> None:
    with pytest.raises(LogError, match=r'map.toml:1: .*repeats = "spread"'):
        parse_column_map(b'options.repeats = "all"\n', "map.toml")


# ---- rows that do not count


def test_a_limit_broken_only_in_rows_that_do_not_count_is_told(tmp_path: Path) -> None:
    rows = [(0, 1000, 50, 0), (1, 2750, 50, 0), (1, 2900, 50, 0), (1, 1000, 50, 0), (2, 1000, 50, 0)]
    found = replay(log(tmp_path, rows), RULES)
    assert found.violations == ()
    assert found.alerts == ()
    told = [(o.statement, o.kind, o.rows, o.first_row, o.reading, o.value, o.past) for o in found.left_out]
    worst = ("rpm", Fraction(2900), Fraction(200))
    assert told == [("top", "limit", 2, 2, *worst), ("fast", "red band", 2, 2, *worst)]
    [problem] = [one for one in found.problems if one.kind == "left-out-limit"]
    assert (problem.count, problem.first_row) == (2, 2)


def test_conditions_and_delays_hold_at_rows_that_do_not_count(tmp_path: Path) -> None:
    """Low oil is red only once the engine has run for three seconds."""

    def rows(second: int) -> list[tuple[object, ...]]:
        low = [(second, 1000, 10, 0), (second, 1000, 50, 0)]
        return [one for at in range(8) for one in (low if at == second else [(at, 1000, 50, 0)])]

    early, late = (replay(log(tmp_path, rows(second)), RULES).left_out for second in (2, 5))
    assert early == ()
    assert [(one.statement, one.rows, one.first_row, one.value) for one in late] == [("low", 1, 6, Fraction(10))]


def test_nothing_is_told_where_the_rows_that_do_not_count_are_quiet(tmp_path: Path) -> None:
    rows = [(0, 1000, 50, 0), (1, 1000, 50, 0), (1, 2800, 50, 0), (2, 1000, 50, 0)]
    found = replay(log(tmp_path, rows), RULES)
    assert [one.limit for one in found.violations] == ["top"]
    assert found.left_out == ()
    assert {one.kind for one in found.problems} == {"repeated-time"}


def test_many_pieces_of_a_log_add_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [(at // 2, 2701 + at if at % 2 == 0 else 1000, 50, 0) for at in range(40)]
    path = log(tmp_path, rows)
    whole = replay(path, RULES)
    monkeypatch.setattr("alertlang.replay.left_out._ROWS", 7)
    assert replay(path, RULES, block=50).left_out == whole.left_out
    top = whole.left_out[0]
    assert (top.statement, top.rows, top.first_row, top.value) == ("top", 20, 1, Fraction(2739))


def test_spread_rows_are_shown_and_not_left_out(tmp_path: Path) -> None:
    rows = [(0, 1000, 50, 0), (1, 2750, 50, 1), (1, 2900, 50, 0), (1, 1000, 50, 0), (2, 1000, 50, 0)]
    found = replay(log(tmp_path, rows), RULES, SPREAD)
    [broken] = found.violations
    assert (broken.limit, broken.start, broken.end) == ("top", Fraction(1), Fraction("1.666666666"))
    assert found.left_out == ()
    assert [one.time for one in found.marks] == [1]


def text_of(lines: list[Line]) -> str:
    return " ".join(" ".join(part for _, part in line).strip() for line in lines)


def test_the_text_tells_what_left_out_rows_hold_and_the_json_has_it(tmp_path: Path) -> None:
    loud = log(tmp_path, [(0, 1000, 50, 0), (1, 2900, 50, 0), (1, 1000, 50, 0), (2, 1000, 50, 0)])
    found = replay(loud, RULES)
    lines = replay_lines(found, 80)
    assert all(sum(len(part) for _, part in line) <= 80 for line in lines)
    text = text_of(lines)
    assert "1 of 1 left-out rows" in text
    assert "limit top: 1 row, first row 2; worst rpm 2900 rpm, 200 rpm past it" in text
    assert text.index("Look at this first left-out-limit") < text.index("Came up")
    assert json.loads(found.to_json())["left_out"][0] == {
        "statement": "top", "element": None, "kind": "limit", "rows": 1, "first_row": 2, "reading": "rpm",
        "value": "2900", "unit": "rpm", "past": "200",
    }  # fmt: skip
    quiet = replay(log(tmp_path, [(0, 1000, 50, 0), (0, 1001, 50, 0), (1, 1000, 50, 0)]), RULES)
    text = text_of(replay_lines(quiet, 80))
    assert "1 row left out: a later row has their time. None of them holds a limit broken or red." in text
    assert "left-out-limit" not in text


def test_two_rule_sets_are_not_called_the_same_for_rows_that_were_not_compared(tmp_path: Path) -> None:
    path = log(tmp_path, [(0, 1000, 50, 0), (0, 1001, 50, 0), (1, 1000, 50, 0)])
    assert "1 row with the time of a later row were not compared" in text_of(
        comparison_lines(replay_against(path, RULES, RULES), 80)
    )
    spread_out = replay_against(path, RULES, RULES, SPREAD)
    assert text_of(comparison_lines(spread_out, 80)).endswith("no difference on this log")
