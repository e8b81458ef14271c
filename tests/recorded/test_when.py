"""Which moment of a recording is meant: by time, by the number or the text of an alert, by a mark."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from alertlang import api
from alertlang.recorded.when import Time, times_of

RULES = """rules "r" version 1
quantity x from 0 to 9
quantity cht[2] from 0 to 9
hot: x above 5 is red with warning "HOT"
cold: when x below 2 then caution "COLD"
each: cht above 5 is red with warning "CHT {n}"
"""
LOG = "time,x,cht[1],cht[2],mark\n0,1,0,9,\n1,3,0,0,\n2,7,0,0,\n3,7,9,9,a\n4,3,0,0,\n5,1,0,0,b\n6,8,0,0,\n"
MAP = 'time = {column = "time", unit = "s"}\nmark = {column = "mark"}\n[columns]\nx = {column = "x"}\n'
MAP += '"cht[1]" = {column = "cht[1]"}\n"cht[2]" = {column = "cht[2]"}\n'


@pytest.mark.parametrize(
    ("text", "clock", "wanted"),
    [
        ("871s", False, [(871, False)]),
        ("871", True, [(871, False)]),
        ("14.5 min", True, [(870, False)]),
        ("14:32", False, [(872, False)]),
        ("1:14:32.5", False, [(Fraction(8945, 2), False)]),
        ("14:32", True, [(52320, True), (872, False)]),
        ("14:32:05", True, [(52325, True), (52325, False)]),
        ("28:38", True, [(1718, False)]),
    ],
)
def test_times(text: str, clock: bool, wanted: list[tuple[Fraction, bool]]) -> None:
    assert times_of(text, has_clock=clock) == tuple(Time(Fraction(seconds), of_day) for seconds, of_day in wanted)


@pytest.mark.parametrize(("text", "clock"), [("soon", False), ("3 rpm", False), ("1:75", True)])
def test_no_times(text: str, clock: bool) -> None:
    with pytest.raises(ValueError, match="is no time"):
        times_of(text, has_clock=clock)


@pytest.mark.parametrize(
    ("text", "time"), [("14:12:03", 843), ("28:38", 1718), ("1:38", 98), ("14:03:00", 300), ("843s", 843)]
)
def test_what_is_told_of_a_moment_can_be_asked_for(tmp_path: Path, text: str, time: int) -> None:
    """It is told as `14:12:03 (14:03)`, by the clock and as the log counts."""
    run = _half_an_hour(tmp_path)
    assert run.why(at=text).time == time


@pytest.mark.parametrize("text", ["14:03", " 14:03"])
def test_what_is_a_time_of_day_and_an_elapsed_one_is_asked_back(tmp_path: Path, text: str) -> None:
    run = _half_an_hour(tmp_path)
    with pytest.raises(api.LogError, match=r"there twice.*write 14:03:00 for the time of day, 843s for the other"):
        run.why(at=text)


def _half_an_hour(folder: Path) -> api.RecordedRun:
    """From 13:58:00 on, a row each second."""
    log = folder / "log.csv"
    times = [50280 + second for second in range(1800)]
    rows = [f"2026-05-03 {t // 3600:02}:{t // 60 % 60:02}:{t % 60:02},{t % 10}" for t in times]
    log.write_text("time,x\n" + "\n".join(rows) + "\n", encoding="utf-8")
    columns = folder / "map.toml"
    columns.write_text(
        'time = {column = "time", format = "%Y-%m-%d %H:%M:%S"}\n[columns]\nx = {column = "x"}\n', encoding="utf-8"
    )
    rules = api.loads('rules "r" version 1\nquantity x from 0 to 9\nx above 5 is red\n')
    return api.RecordedRun(rules, log, column_map=columns)


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "log.csv"
    path.write_text(LOG, encoding="utf-8")
    (tmp_path / "map.toml").write_text(MAP, encoding="utf-8")
    return path


def why(log: Path, **when: object) -> api.Why:
    rules = api.loads(RULES)
    return api.why_recorded(rules, log, column_map=log.parent / "map.toml", **when)  # type: ignore[arg-type]


def test_alerts_are_numbered_in_the_order_of_time(log: Path) -> None:
    """COLD and CHT 2 at 0 s, HOT at 2 s, CHT 1 and CHT 2 at 3 s, COLD at 5 s, HOT at 6 s."""
    found = [(why(log, alert=n).asked, int(why(log, alert=n).time)) for n in range(1, 8)]
    assert found == [
        ("CHT 2", 0),
        ("COLD", 0),
        ("HOT", 2),
        ("CHT 1", 3),
        ("CHT 2", 3),
        ("COLD", 5),
        ("HOT", 6),
    ]
    assert why(log, alert="HOT").time == 2
    replayed = api.replay_log(api.loads(RULES), log, column_map=log.parent / "map.toml")
    ordered = sorted(replayed.alerts, key=lambda alert: (alert.segment, alert.start))
    assert [(alert.text, int(alert.start)) for alert in ordered] == found


def test_a_run_that_is_kept_is_asked_again_and_again(log: Path) -> None:
    run = api.RecordedRun(api.loads(RULES), log, column_map=log.parent / "map.toml")
    for at in ("0s", "2.9s", "0:03", "6s"):
        assert run.why(at=at).to_dict() == why(log, at=at).to_dict()
    assert run.why(alert=4).to_dict() == why(log, alert=4).to_dict()
    assert run.why(mark=1, about="x").to_dict() == why(log, mark=1, about="x").to_dict()
    with pytest.raises(api.LogError, match="nothing was recorded at 7 s"):
        run.why(at="7s")


def test_marks(log: Path) -> None:
    found = why(log, mark=2)
    assert found.time == 5
    assert found.of is not None
    assert (found.of.row, found.of.before, found.asked) == (6, Fraction(4), None)


@pytest.mark.parametrize(
    ("when", "says"),
    [
        ({"alert": 8}, "there is no alert 8; it has 7 alerts"),
        ({"alert": 0}, "there is no alert 0"),
        ({"alert": "HOTT"}, 'no alert "HOTT" came up; did you mean "HOT"?'),
        ({"mark": 3}, "there is no mark 3; it has 2 marks"),
        ({"at": "7s"}, "nothing was recorded at 7 s; it goes from 0 s to 6 s"),
        ({"at": "-1s"}, "nothing was recorded at -1 s"),
        ({"at": "soon"}, "'soon' is no time"),
        ({"at": "1s", "segment": 2}, "there is no segment 2"),
    ],
)
def test_there_is_no_such_moment(log: Path, when: dict[str, object], says: str) -> None:
    with pytest.raises(api.LogError) as problem:
        why(log, **when)
    assert says in str(problem.value)


def test_one_moment_is_asked_for(log: Path) -> None:
    with pytest.raises(ValueError, match="one of at, alert and mark"):
        why(log)


def test_between_two_samples_the_one_before_counts(log: Path) -> None:
    assert why(log, at="2.9s").time == 2
    assert why(log, at=Fraction(3)).time == 3


def test_the_time_of_day_of_a_log_with_a_clock(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    rows = [f"2026-05-03 23:59:{second:02},{second % 10}" for second in (57, 58, 59)]
    rows += [f"2026-05-04 00:00:{second:02},{second % 10}" for second in (0, 1, 2)]
    log.write_text("time,x\n" + "\n".join(rows) + "\n", encoding="utf-8")
    columns = tmp_path / "map.toml"
    columns.write_text(
        'time = {column = "time", format = "%Y-%m-%d %H:%M:%S"}\n[columns]\nx = {column = "x"}\n', encoding="utf-8"
    )
    rules = api.loads('rules "r" version 1\nquantity x from 0 to 9\nx above 5 is red\n')
    for text, time in (("23:59:58", 1), ("00:00:01", 4), ("00:00:00", 3), ("2s", 2)):
        assert api.why_recorded(rules, log, at=text, column_map=columns).time == time
    with pytest.raises(api.LogError, match="nothing was recorded"):
        api.why_recorded(rules, log, at="12:00", column_map=columns)


def test_of_two_segments_the_first_that_has_it_or_the_one_that_is_named(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_text("time,x\n0,1\n5,2\n1,3\n9,4\n", encoding="utf-8")
    rules = api.loads('rules "r" version 1\nquantity x from 0 to 9\nx above 5 is red\n')
    values = []
    for segment in (None, 1, 2):
        found = api.why_recorded(rules, log, at="5s", segment=segment)
        assert found.of is not None
        values.append((found.of.segment, int(found.time)))
    assert values == [(1, 5), (1, 5), (2, 1)]
    assert api.RecordedRun(rules, log).why(at="5s", segment=2).time == 1
