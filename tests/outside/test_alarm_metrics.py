"""Alarm-quality metrics at the edges of their published definitions.

Sources, all read second hand in articles that report ANSI/ISA-18.2 practice unless said otherwise: chattering is to
come up and go three times or more in a minute; stale is to be up for more than 24 hours without a break; a flood begins
with more than ten alarms in ten minutes and ends below five in ten minutes, and less than 1 % of the time is in floods.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.model.ruleset import Level
from alertlang.replay.metrics import (
    DEFINITIONS,
    Benchmark,
    Definition,
    Metrics,
    MetricsRun,
    Raised,
    floods,
    measured,
    worst_window,
)


def up(start: object, end: object = None, name: str = "one", level: Level = Level.CAUTION, **more: object) -> Raised:
    return Raised(name, None, level, Fraction(str(start)), None if end is None else Fraction(str(end)), **more)  # type: ignore[arg-type]


def over(seconds: int, *raised: Raised) -> MetricsRun:
    return MetricsRun(Fraction(0), Fraction(seconds), raised)


def evenly(count: int, within: Fraction) -> list[Raised]:
    """The last exactly so long after the first."""
    return [up(within * n / (count - 1), within * n / (count - 1) + 1, f"a{n}") for n in range(count)]


@pytest.mark.parametrize(("count", "expected"), [(10, 0), (11, 1)])
def test_ten_alerts_in_ten_minutes_are_no_flood_and_eleven_are(count: int, expected: int) -> None:
    found = measured([over(7200, *evenly(count, Fraction(599)))])
    assert (found.floods, found.worst_10_min) == (expected, count)


def test_an_alert_exactly_ten_minutes_after_another_is_in_the_next_ten_minutes() -> None:
    run = over(7200, *evenly(11, Fraction(600)))
    assert worst_window(run, Fraction(600)) == 10
    assert floods(run) == ()


def test_a_flood_lasts_until_fewer_than_five_are_left_in_ten_minutes() -> None:
    run = over(7200, *[up(n, n + 1, f"a{n}") for n in range(11)])
    # It begins with the eleventh at 10 s; the seventh, at 6 s, is the fifth from the end and leaves at 606 s.
    assert floods(run) == ((Fraction(10), Fraction(606)),)
    assert measured([run]).flood_share == Fraction(596, 7200)


def test_alerts_that_keep_coming_keep_a_flood_going() -> None:
    steady = [up(10 + 120 * n, 11 + 120 * n, f"b{n}") for n in range(1, 10)]
    run = over(7200, *[up(n, n + 1, f"a{n}") for n in range(11)], *steady)
    # Five in ten minutes, one every 120 s, are not fewer than five.
    assert floods(run) == ((Fraction(10), Fraction(10 + 120 * 5 + 600)),)


def test_a_flood_ends_with_the_run() -> None:
    assert floods(over(100, *[up(n, n + 1, f"a{n}") for n in range(11)])) == ((Fraction(10), Fraction(100)),)


@pytest.mark.parametrize(("cycles", "expected"), [(2, ()), (3, ("one",))])
def test_two_cycles_in_a_minute_do_not_chatter_and_three_do(cycles: int, expected: tuple[str, ...]) -> None:
    assert measured([over(600, *[up(10 * n, 10 * n + 1) for n in range(cycles)])]).chattering == expected


@pytest.mark.parametrize(("last", "expected"), [("60", ("one",)), ("60.001", ())])
def test_the_third_cycle_has_to_end_within_the_minute(last: str, expected: tuple[str, ...]) -> None:
    assert measured([over(600, up(0, 1), up(20, 21), up(40, last))]).chattering == expected


def test_cycles_of_two_alerts_or_two_elements_are_not_added_up() -> None:
    different = [up(0, 1), up(5, 6), up(10, 11, "other")]
    assert measured([over(600, *different)]).chattering == ()
    elements = [Raised("cht", n, Level.CAUTION, Fraction(n), Fraction(n + 1)) for n in (1, 2, 3)]
    assert measured([over(600, *elements)]).chattering == ()


@pytest.mark.parametrize(("seconds", "expected"), [(86399, ()), (86400, ()), (86401, ("one",))])
def test_stale_is_more_than_a_day(seconds: int, expected: tuple[str, ...]) -> None:
    assert measured([over(200000, up(0, seconds))]).stale == expected
    assert measured([over(seconds, up(0))]).stale == expected


@pytest.mark.parametrize(
    ("raised", "expected"),
    [
        ([up(10, 15)], ("one",)),
        ([up(10, "15.1")], ()),
        ([up(10)], ()),
        ([up(10, 15, acknowledged=Fraction(12))], ()),
        ([up(10, 15), up(75, 300)], ()),
        ([up(10, 15), up("75.1", 300)], ("one",)),
    ],
)
def test_fleeting_is_gone_by_itself_and_does_not_come_again_at_once(
    raised: list[Raised], expected: tuple[str, ...]
) -> None:
    assert measured([over(600, *raised)]).fleeting == expected


def test_rates_shares_and_longest() -> None:
    found = measured(
        [
            over(1800, up(0, 30, "w", Level.WARNING), up(100, 400, acknowledged=Fraction(110))),
            over(1800, up(0), up(5, 6, "x", Level.ADVISORY)),
        ]
    )
    assert found.alerts == 4
    assert found.alerts_per_hour == 4
    assert found.warning_share == Fraction(1, 4)
    assert found.longest_up == 1800
    assert found.longest_unacknowledged == 1800
    assert found.most_repeats == 1
    assert found.by_level == ((Level.WARNING, 1), (Level.CAUTION, 2), (Level.ADVISORY, 1))


def test_nothing_at_all_has_no_rates() -> None:
    found = measured([])
    assert (found.alerts_per_hour, found.warning_share, found.flood_share, found.top_share) == (None,) * 4
    assert (found.alerts, found.worst_10_min, found.most_repeats) == (0, 0, 0)


def test_every_number_has_a_definition_with_source_and_status() -> None:
    told = {name for name in Metrics.__dataclass_fields__ if name not in {"seconds", "by_level"}}
    assert told == set(DEFINITIONS)
    for definition in DEFINITIONS.values():
        said: list[Definition | Benchmark] = [definition, *definition.benchmarks]
        for one in said:
            assert one.source
            assert one.status in {"document", "second hand", "from memory"}


def test_benchmarks_are_held_at_their_edges() -> None:
    six, _, per_day = DEFINITIONS["alerts_per_hour"].benchmarks
    assert (six.met(Fraction(6)), six.met(Fraction(601, 100))) == (True, False)
    assert (per_day.met(Fraction(25, 4)), per_day.met(Fraction(626, 100))) == (True, False)
    (share,) = DEFINITIONS["flood_share"].benchmarks
    assert (DEFINITIONS["flood_share"].status, share.status) == ("second hand", "second hand")
    assert (share.met(Fraction(1, 100)), share.met(Fraction(99, 10000))) == (False, True)
    assert DEFINITIONS["top_share"].benchmarks[0].met(Fraction(1)) is None


@given(st.lists(st.integers(0, 150).map(lambda n: 20 * n), max_size=60))
def test_floods_second_by_second(starts: list[int]) -> None:
    """The same told anew: a clock that counts the alerts of the last ten minutes."""
    run = over(4000, *[up(start, start + 1, f"a{n}") for n, start in enumerate(starts)])
    expected: list[tuple[Fraction, Fraction]] = []
    began: int | None = None
    for now in range(4001):
        count = sum(1 for start in starts if now - 600 < start <= now)
        if began is None and count > 10:
            began = now
        elif began is not None and count < 5:
            expected.append((Fraction(began), Fraction(now)))
            began = None
    if began is not None:
        expected.append((Fraction(began), Fraction(4000)))
    assert list(floods(run)) == expected
