"""What a replayed run says on a screen: times in one form, alerts that come again told as one, the gravest first."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.logs.column_map import parse_column_map
from alertlang.output.metrics import percent
from alertlang.output.replay import replay_lines
from alertlang.output.style import Line
from alertlang.output.times import Times, clock, length
from alertlang.replay.run import replay
from alertlang.results.bursts import AGAIN, bursts
from alertlang.results.replay import AlertUp, SegmentTimes


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [
        ("0", "0:00"),
        ("61.5", "1:01.5"),
        ("3723", "1:02:03"),
        ("86400.25", "24:00:00.25"),
        ("59.9996", "1:00"),
        ("-61", "-1:01"),
        ("-0.0001", "0:00"),
    ],
)
def test_times_as_a_person_reads_them(seconds: str, shown: str) -> None:
    assert clock(Fraction(seconds)) == shown


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [
        ("0", "0 s"),
        ("119.5", "119.5 s"),
        ("120", "2 min"),
        ("156", "2 min 36 s"),
        ("179.9999", "3 min"),
        ("3600", "1 h"),
        ("3905.25", "1 h 5 min 5.25 s"),
    ],
)
def test_lengths_have_their_units(seconds: str, shown: str) -> None:
    assert length(Fraction(seconds)) == shown


class Evening:
    def of_day(self, time: Fraction) -> Fraction:
        return (86389 + time) % 86400


def test_the_clock_of_the_log_stands_before_the_elapsed_time() -> None:
    segment = SegmentTimes(2, Fraction(10), Fraction(90000))
    times = Times((segment, segment), Evening())
    said = [times.at(Fraction(time)) for time in ("10", "12.5", "10.9996", "3611")]
    assert said == ["23:59:59 (0:10)", "00:00:01.5 (0:12.5)", "00:00:00 (0:11)", "01:00:00 (1:00:11)"]
    assert Times((segment,)).at(Fraction(7)) == "0:07"
    assert (times.several, Times((segment,)).several) == (True, False)


def up(start: int, end: int | None, statement: str = "s", segment: int = 1, seconds: int | None = None) -> AlertUp:
    lasted = Fraction((end or 0) - start if seconds is None else seconds)
    last = None if end is None else Fraction(end)
    return AlertUp(statement, None, "T", "caution", segment, Fraction(start), last, lasted, None, None, None)


def test_what_comes_again_within_a_minute_is_one_burst() -> None:
    alerts = [up(0, 1), up(500, 510, "other"), up(61, 62), up(123, 124), up(0, 1, segment=2)]
    found = bursts(alerts)
    assert [(b.alert.statement, len(b.ups), b.alert.segment) for b in found] == [
        ("s", 2, 1), ("s", 1, 1), ("other", 1, 1), ("s", 1, 2),
    ]  # fmt: skip
    assert (found[0].span, found[0].seconds) == (Fraction(62), Fraction(2))


@given(st.lists(st.tuples(st.integers(0, 400), st.integers(1, 50), st.sampled_from("ab")), max_size=30))
def test_every_alert_is_in_one_burst_in_order_of_time(drawn: list[tuple[int, int, str]]) -> None:
    alerts, free = [], {"a": 0, "b": 0}
    for gap, seconds, name in drawn:
        start = free[name] + gap
        free[name] = start + seconds
        alerts.append(up(start, start + seconds, name))
    found = bursts(alerts)
    assert sorted(map(repr, (one for burst in found for one in burst.ups))) == sorted(map(repr, alerts))
    starts = [burst.alert.start for burst in found]
    assert starts == sorted(starts)
    for burst in found:
        assert all(b.start - (a.start + a.seconds) <= AGAIN for a, b in pairwise(burst.ups))
    for name in "ab":
        last = [(b.ups[-1].start + b.ups[-1].seconds, b.alert.start) for b in found if b.alert.statement == name]
        assert all(after[1] - before[0] > AGAIN for before, after in pairwise(last))


def test_a_share_is_rounded_in_one_way() -> None:
    assert percent(Fraction(2, 32)) == "6.3 %"


RULES = """rules "screen" version 1
source S common practice
quantity rpm from 0 to 3000 rpm
top: limit rpm at most 2700 rpm, needs warning, source S
rpm at least 0 rpm is green
when rpm above 2000 rpm then advisory "FAST"
fast: rpm above 2700 rpm is red with warning "TOO FAST"
low: when rpm below 100 rpm then caution "SLOW"
"""


def text_of(lines: list[Line]) -> list[str]:
    return ["".join(part for _, part in line).rstrip() for line in lines]


def test_the_first_screen_says_what_came_up_what_was_broken_and_what_is_doubtful(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    # Up for one second in every ten, from 100 s on; once after a long rest.
    rows = [f"{n},{2800 if n in (100, 110, 120, 130, 500) else 1500}" for n in range(600)]
    log.write_text("time,rpm\n" + "\n".join(rows) + "\n", encoding="utf-8")
    found = replay(log, loads(RULES).model, shown="log.csv")
    assert text_of(replay_lines(found, 80)) == [
        "log.csv",
        "600 rows, 600 samples, 9 min 59 s",
        'rules "screen" version 1 (<text>)',
        "",
        "Came up: 5 warnings, 5 advisories",
        "  warning   TOO FAST  5 times from 1:40, 5 s in all; 4 within 31 s",
        "  advisory  FAST      5 times from 1:40, 5 s in all; 4 within 31 s",
        "",
        "Limits broken: 1",
        "  top  5 times from 1:40, 5 s in all, by 100 rpm: rpm 2800 rpm",
        "",
        "In doubt",
        "  not exercised by this log, so that nothing is known of them: 1 alert",
        "",
        "--all tells every time, the readings as used, colours, bands, marks and lamps;",
        "  --metrics how much the rules nag",
    ]
    everything = text_of(replay_lines(found, 80, everything=True))
    assert everything[:13] == text_of(replay_lines(found, 80))[:13]
    assert '  warning "TOO FAST"  fast, 4 times within 31 s' in everything
    assert "  top" in everything
    assert not any("OPC" in line for line in everything)


def test_marks_and_what_is_not_used_stand_on_the_first_screen(tmp_path: Path) -> None:
    """A column that was left out of the map is named where something could not be judged, or is in doubt else."""
    log = tmp_path / "log.csv"
    log.write_text("time,rpm,OIL,Note\n" + "".join(f"{n},1500,90,{'x' * (n == 65)}\n" for n in range(99)), "utf-8")
    oil = 'quantity oil from 0 to 300 F\nwhen oil above 250 F then warning "OIL HOT"\n'

    def screen(rules: str, column_map: str) -> str:
        found = replay(log, loads(rules).model, parse_column_map(column_map.encode(), "map.toml"), shown="log.csv")
        assert found.marks_read is bool(found.marks)
        return "\n".join(text_of(replay_lines(found, 200)))

    judged = screen(RULES + oil, 'columns.rpm = "rpm"')
    assert (
        'no column feeds oil: warning "OIL HOT"\n  recorded under another name? unused columns: OIL, Note; no mark '
        "column is mapped (alertlang columns tells what is in each)\n\nCame up"
    ) in judged
    assert judged.count("unused columns") == 1
    assert "Marked" not in judged
    marked = screen(RULES, 'mark = "Note"\ncolumns.rpm = "rpm"')
    assert "\nMarked: 1\n  at 1:05\n" in marked
    assert "In doubt\n  unused columns: OIL (alertlang columns tells what is in each)\n" in marked
    whole = screen(RULES + oil, 'mark = "Note"\ncolumns.rpm = "rpm"\ncolumns.oil = "OIL"')
    assert "unused" not in whole


def test_the_first_screen_stays_one_however_much_came_up(tmp_path: Path) -> None:
    many = "".join(f'a{n}: when rpm above {1000 + n} rpm then caution "C {n}"\n' for n in range(60))
    log = tmp_path / "log.csv"
    log.write_text("time,rpm\n0,1500\n1,1500\n2,2800\n", encoding="utf-8")
    lines = text_of(replay_lines(replay(log, loads(RULES + many).model), 80))
    assert len(lines) < 30
    # What is gravest is never among what is left out.
    assert lines[5].startswith("  warning   TOO FAST")
    assert "  and 50 more alerts: see --all" in lines
