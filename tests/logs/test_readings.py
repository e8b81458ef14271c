"""What each reading came to, and what makes one doubtful: a column mostly failed, a unit that does not fit."""

from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from alertlang.api import loads
from alertlang.fleet.run import fleet
from alertlang.logs.column_map import parse_column_map
from alertlang.logs.readings import SAMPLE
from alertlang.model.ruleset import RuleSet
from alertlang.output.fleet import fleet_lines
from alertlang.output.metrics import NOTE, percent
from alertlang.output.replay import replay_lines
from alertlang.output.style import Line
from alertlang.replay.run import replay
from alertlang.results.replay import ReplayResult

RULES = loads(
    """rules "hot" version 1
quantity rpm "Engine speed" from 0 to 3000 rpm
quantity cht[2] "Cylinder head temperature" from 0 to 600 F
quantity oil "Oil temperature" from -40 to 400 F
quantity fuel from 0 to 20 gal
rpm at least 0 rpm is green
cht from 100 F to 430 F is green
cht[2] above 430 F is red with warning "HOT"
oil from 120 F to 245 F is green
oil above 245 F is red with warning "OIL HOT"
"""
).model


def run(
    folder: Path, heading: str, rows: list[str], column_map: str | None = None, ruleset: RuleSet = RULES
) -> ReplayResult:
    path = folder / "log.csv"
    path.write_text(heading + "\n" + "".join(row + "\n" for row in rows), encoding="utf-8")
    mapped = None if column_map is None else parse_column_map(column_map.encode(), "map.toml")
    return replay(path, ruleset, mapped)


def told(found: ReplayResult, kind: str) -> list[tuple[str | None, int, str]]:
    return [(one.column, one.count, one.words) for one in found.problems if one.kind == kind]


def test_each_reading_as_it_was_used(tmp_path: Path) -> None:
    rows = ["0,800,20,,5", "1,900,30,40,6", "1,2500,35,40,6", "2,9000,30,50,7", ",1,1,1,1"]
    column_map = 'columns.rpm = "rpm"\ncolumns."cht[1]" = {column = "a", unit = "C"}\ncolumns."cht[2]" = "b"\n'
    found = run(tmp_path, "time,rpm,a,b,x", rows, column_map)
    shown = [(o.name, o.column, o.low, o.high, o.unit.name, o.rows, o.failed) for o in found.readings]
    assert shown == [
        # With what stands in the row that does not count, without what is out of range or has no time.
        ("rpm", "rpm", 800, 2500, "rpm", 4, 1),
        ("cht[1]", "a", 68, 95, "F", 4, 0),
        ("cht[2]", "b", 40, 50, "F", 4, 1),
        ("oil", None, None, None, "F", 4, 4),
        ("fuel", None, None, None, "gal", 4, 4),
    ]
    assert found.readings[1].read_in is not None
    assert found.readings[1].read_in.name == "C"


@pytest.mark.parametrize("block", [60, 1 << 20])
def test_the_ends_are_exact_whatever_the_block(block: int, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time,oil (C)\n" + "".join(f"{n},{60 + n % 7}.{n % 10}\n" for n in range(200)), encoding="utf-8")
    oil = replay(path, RULES, block=block).readings[3]
    values = [Fraction(f"{60 + n % 7}.{n % 10}") * 9 / 5 + 32 for n in range(200)]
    assert (oil.low, oil.high, oil.rows, oil.failed) == (min(values), max(values), 200, 0)


def test_a_column_mostly_failed_is_told_loudly(tmp_path: Path) -> None:
    rows = [f"{n},{'' if n < 6 else 300}" for n in range(10)]
    [(column, count, words)] = told(run(tmp_path, "time,cht[1]", rows), "mostly-failed")
    assert (column, count) == ("cht[1]", 6)
    assert words.startswith("60 % of cht[1], read in F, is failed")
    half = [f"{n},{'' if n < 5 else 300}" for n in range(10)]
    assert told(run(tmp_path, "time,cht[1]", half), "mostly-failed") == []


def test_what_alerts_go_by_is_judged_at_the_samples(tmp_path: Path) -> None:
    """Of rows that share a second the last counts: what fails in the others alone is no doubt, nor the other way."""
    for failed, wanted in (("first", []), ("last", [("oil", 20)])):
        cells = ("", "200") if failed == "first" else ("200", "")
        rows = [f"{n},{cells[k] if n < 20 else 200 + n % 2}" for n in range(200) for k in range(2)]
        found = run(tmp_path, "time,oil", rows)
        assert [(column, count) for column, count, _ in told(found, "often-failed")] == wanted
        assert found.trusted is (not wanted)


def test_fahrenheit_read_as_celsius_is_told(tmp_path: Path) -> None:
    rows = [f"{n},{330 + n % 50}" for n in range(200)]
    found = run(tmp_path, "time,head", rows, 'columns."cht[1]" = {column = "head", unit = "C"}')
    [(column, _, words)] = told(found, "unit-doubtful")
    assert column == "head"
    assert "read in C, 0 % of cht[1]" in words
    assert "read in F it would be 100 %: is its unit F?" in words
    assert told(found, "mostly-failed")[0][1] == 200


def test_celsius_read_as_fahrenheit_is_told_though_nothing_fails(tmp_path: Path) -> None:
    """The dangerous way round: 121 C is past the limit and reads as a cold 121 F."""
    rows = [f"{n},{80 + n % 30}" for n in range(300)]
    found = run(tmp_path, "time,temp", rows, 'columns.oil = {column = "temp", unit = "F"}')
    assert [one.kind for one in found.problems if one.grave] == ["unit-doubtful"]
    assert "is its unit C?" in told(found, "unit-doubtful")[0][2]


def test_a_unit_that_fits_is_not_doubted(tmp_path: Path) -> None:
    rows = [f"{n},{2000 + n % 300},{150 + n % 60},{70 + n % 40},{5 + n % 2}" for n in range(300)]
    column_map = (
        'columns.rpm = "rpm"\ncolumns."cht[1]" = {column = "a", unit = "C"}\n'
        'columns.oil = {column = "b", unit = "C"}\ncolumns.fuel = "f"\n'
    )
    found = run(tmp_path, "time,rpm,a,b,f", rows, column_map)
    assert [one.kind for one in found.problems if one.grave] == []


def test_a_short_while_in_green_is_no_doubt(tmp_path: Path) -> None:
    """A cold start: an eighth of the log is enough to believe the unit, though another would fit more of it."""
    rows = [f"{n},{80 if n % 8 else 130}" for n in range(400)]
    found = run(tmp_path, "time,temp", rows, 'columns.oil = {column = "temp", unit = "F"}')
    assert told(found, "unit-doubtful") == []


def test_a_long_log_is_judged_evenly_whatever_the_block(tmp_path: Path) -> None:
    """Only the last two thirds are hot: a judgement by the first rows alone would say nothing."""
    count = 2 * SAMPLE
    rows = [f"{n},{20 if n < count // 3 else 100}" for n in range(count)]
    mapped = 'columns.oil = {column = "temp", unit = "F"}'
    whole = told(run(tmp_path, "time,temp", rows, mapped), "unit-doubtful")
    assert len(whole) == 1
    parts = replay(tmp_path / "log.csv", RULES, parse_column_map(mapped.encode(), "map.toml"), block=5000)
    assert told(parts, "unit-doubtful") == whole


def test_the_text_and_the_json_tell_what_was_used(tmp_path: Path) -> None:
    rows = [f"{n},{'' if n < 6 else 300},{2000 + n}" for n in range(10)]
    found = run(tmp_path, "time,cht[1] (C),rpm", rows)
    lines = replay_lines(found, 80, everything=True)
    head = "\n".join("".join(part for _, part in line) for line in lines)
    assert "  rpm: 2000 to 2009 rpm (rpm)\n" in head
    assert "  cht[1]: 572 to 572 F (cht[1] (C) in C); 60 % failed\n" in head
    assert "  oil: no column feeds it\n" in head
    assert head.index("Look at this first\n  mostly-failed") < head.index("Came up") < head.index("Found in the log")
    assert "In doubt\n  no column feeds cht[2], oil, fuel\n  failed readings: cht[1] 60 % of the rows\n" in head
    assert json.loads(found.to_json())["readings"][1] == {
        "name": "cht[1]", "column": "cht[1] (C)", "read_in": "C", "low": "572", "high": "572", "unit": "F", "rows": 10,
        "failed": 6,
    }  # fmt: skip


SWITCHED = loads(
    """rules "switched" version 1
quantity oil from -40 to 400 F
switch flaps up, landing
oil above 245 F is red with warning "OIL HOT"
when flaps is landing then advisory "FLAPS"
"""
).model


@pytest.mark.parametrize("block", [60, 1 << 20])
@pytest.mark.parametrize(
    ("kind", "oil", "flaps", "says"),
    [
        # A switch where it changes, a reading every other second, and neither: each with the line that mends it.
        ("often-failed", lambda n: "200", lambda n: {0: "up", 60: "landing", 90: "up"}.get(n, ""),
         'if it is written only where it changes, write hold = "until changed" for flaps in the column map'),
        ("often-failed", lambda n: "" if n % 2 else "200", lambda n: "up",
         'it is written every 2 s: write hold = "2 s" for oil in the column map'),
        ("mostly-failed", lambda n: "" if n % 4 else "200", lambda n: "up",
         'it is written every 4 s: write hold = "4 s" for oil in the column map'),
        ("often-failed", lambda n: "" if n in range(40, 70) else "200", lambda n: "up", 'as hold = "2 s"'),
        # Words that are no position, or numbers out of range, are not mended by a hold.
        ("often-failed", lambda n: "200", lambda n: "half" if n % 2 else "up", None),
        ("often-failed", lambda n: "900" if n % 2 else "200", lambda n: "up", None),
    ],
)  # fmt: skip
def test_empty_cells_say_which_hold_mends_them(
    kind: str, oil: Callable[[int], str], flaps: Callable[[int], str], says: str | None, block: int, tmp_path: Path
) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time,oil,flaps\n" + "".join(f"{n},{oil(n)},{flaps(n)}\n" for n in range(120)), encoding="utf-8")
    [(column, _, words)] = told(replay(path, SWITCHED, block=block), kind)
    assert ("hold" in words) is (says is not None)
    assert (says or "") in words
    if says is not None and "empty, and" in words:
        hold = words.rpartition("hold = ")[2].partition(" for ")[0]
        feeds = {"columns.oil": "oil", "switches.flaps": "flaps"}
        mended = "".join(
            f'{key} = {{column = "{name}"' + (f", hold = {hold}" if name == column else "") + "}\n"
            for key, name in feeds.items()
        )
        assert replay(path, SWITCHED, parse_column_map(mended.encode(), "map.toml")).trusted


def test_a_unit_other_than_the_logs_own_is_not_trusted(tmp_path: Path) -> None:
    """The log says C and the map F: whichever is wrong, a limit may be passed unseen."""
    rows = [f"{n},{100 + n % 30}" for n in range(100)]
    assert run(tmp_path, "time,oil (C)", rows, 'columns.oil = {column = "oil (C)", unit = "C"}').trusted
    found = run(tmp_path, "time,oil (C)", rows, 'columns.oil = {column = "oil (C)", unit = "F"}')
    assert [problem.name for problem in found.doubts] == ["unit-differs:oil (C)"]


def test_a_share_is_not_rounded_to_all_or_nothing() -> None:
    assert [percent(Fraction(*one)) for one in ((0, 1), (1, 1), (1, 10**6), (10**6 - 1, 10**6), (1, 8))] == [
        "0 %", "100 %", "less than 0.1 %", "more than 99.9 %", "12.5 %",
    ]  # fmt: skip


def test_fleet_and_replay_say_the_same_of_a_figure(tmp_path: Path) -> None:
    """Every number of it, kept or not kept, whichever command tells it; what makes a log doubtful stands first."""
    path = tmp_path / "log.csv"
    path.write_text("time,oil\n" + "".join(f"{n},{300 if n % 2 else ''}\n" for n in range(401)), encoding="utf-8")
    column_map = parse_column_map(b'columns.oil = {column = "oil", unit = "F"}\n', "map.toml")
    found = replay(path, RULES, column_map)
    one = [*replay_lines(found, 200, everything=True, yardsticks=True)]
    whole = fleet([path], RULES, column_map, tmp_path / "out", tool="t")
    many = [*fleet_lines(whole, 200, everything=True, yardsticks=True)]

    def figures(lines: list[Line]) -> list[str]:
        texts = ["".join(part for _, part in line).strip() for line in lines]
        first = texts.index("alerts: 200")
        return texts[first : texts.index(f"{NOTE}", first)]

    assert figures(one) == figures(many)
    assert found.metrics == whole.metrics
    for lines in (one, many):
        text = "\n".join("".join(part for _, part in line) for line in lines)
        assert text.index("Look at this first\n  mostly-failed") < text.index("Found in the log")
        assert text.index("mostly-failed") < text.index("alerts_per_hour")
    told = {text.split(":")[0] for text in figures(one)}
    assert {"kept", "not kept", "not judged", "warning_share", "longest_up"} <= told
