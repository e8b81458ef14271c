"""Each alert under two rule sets: new, lost, earlier, later; held against lists of rows, so that none is dropped."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from alertlang import api
from alertlang.replay.against import replay_against
from alertlang.replay.intervals import TimeInterval
from alertlang.replay.paired import paired
from alertlang.results.replay import CHANGES, AlertSpan, ReplayComparison
from tests.helpers.plain_replay import PlainSegment
from tests.helpers.timed import load, timed_rulesets, traces
from tests.replay.test_replay_results import changed, mapped, names, only_what_it_has, written

Span = tuple[int, int | None]


def interval(start: int, end: int | None) -> TimeInterval:
    return TimeInterval(start, end, Fraction(start), None if end is None else Fraction(end), 1)


@pytest.mark.parametrize(
    ("one", "other", "wanted"),
    [
        ([(1, 4)], [], [("lost", None)]),
        ([], [(1, None)], [("new", None)]),
        ([(1, 4)], [(1, 4)], [("same", None)]),
        ([(1, None)], [(1, None)], [("same", None)]),
        ([(1, 4)], [(2, 4)], [("later", 1)]),
        ([(3, 4)], [(1, 9)], [("earlier", 2)]),
        ([(1, 4)], [(1, 9)], [("longer", 5)]),
        ([(1, 9)], [(1, 4)], [("shorter", 5)]),
        ([(1, 9)], [(1, None)], [("longer", None)]),
        ([(1, None)], [(1, 9)], [("shorter", None)]),
        # What only touches shares no row.
        ([(1, 4)], [(4, 6)], [("lost", None), ("new", None)]),
        ([(4, 6)], [(1, 4)], [("new", None), ("lost", None)]),
        # Of many that one takes the place of, the first is its partner.
        ([(1, 2), (3, 4), (5, 6)], [(1, 6)], [("longer", 4), ("lost", None), ("lost", None)]),
        ([(1, 6)], [(2, 3), (4, 5)], [("later", 1), ("new", None)]),
    ],
)
def test_what_became_of_it(one: list[Span], other: list[Span], wanted: list[tuple[str, int | None]]) -> None:
    found = list(paired([interval(*span) for span in one], [interval(*span) for span in other]))
    assert [(pair.kind, None if pair.by is None else int(pair.by)) for pair in found] == wanted


@settings(
    max_examples=60,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_every_alert_of_either_is_told_once(tmp_path: Path, data: st.DataObject) -> None:
    text = data.draw(timed_rulesets())
    one, other = load(text), load(data.draw(st.one_of(changed(text), timed_rulesets())))
    parts = [data.draw(traces(one, longest=10)) for _ in range(data.draw(st.integers(1, 2)))]
    parts = parts if len(parts[0]) > 1 else parts[:1]
    path, exact = written(tmp_path, one, parts)
    assume(any(name in names(one) for name in names(other)) or set(one.switches) & set(other.switches))
    found = replay_against(path, one, other, mapped(one), block=data.draw(st.sampled_from([100, 1 << 20])))
    first = 1
    for number, samples in enumerate(exact, 1):
        runs = [
            PlainSegment(one, samples),
            PlainSegment(other, [only_what_it_has(other, sample) for sample in samples]),
        ]
        told_once(found, number, runs, first)
        first += len(samples)
    assert found.same is (not found.differences)
    assert any(change.kind != "same" for change in found.alerts) is any(d.kind == "alert" for d in found.differences)


def told_once(found: ReplayComparison, segment: int, runs: Sequence[PlainSegment], first: int) -> None:
    """`first`: the row of the file that the segment begins at."""
    told = [change for change in found.alerts if change.segment == segment]
    spans: list[list[tuple[object, ...]]] = []
    for run in runs:
        up = [{(a.text, a.level.word): () for a in shown.alerts.values()} for shown in run.shown]
        of_run: list[tuple[object, ...]] = []
        for key in sorted({key for row in up for key in row}):
            for is_up, start, end in run.spans([key in row for row in up]):
                if is_up:
                    last = (len(up) if end is None else end) - 1
                    labels = {
                        place[0]
                        for shown in run.shown[start : last + 1]
                        for place, alert in shown.alerts.items()
                        if (alert.text, alert.level.word) == key
                    }
                    of_run.append((*key, *run.timed(start, end), first + start, first + last, frozenset(labels)))
        spans.append(sorted(of_run, key=str))

    def flat(text: str, level: str, span: AlertSpan) -> tuple[object, ...]:
        labels = frozenset(name.split("[")[0] for name in span.statements)
        return (text, level, span.start, span.end, span.seconds, span.first_row, span.last_row, labels)

    for side, wanted in (("one", spans[0]), ("other", spans[1])):
        there = [(change, getattr(change, side)) for change in told]
        assert sorted((flat(c.text, c.level, span) for c, span in there if span is not None), key=str) == wanted
    for change in told:
        assert change.kind in CHANGES
        assert (change.one is None) is (change.kind == "new")
        assert (change.other is None) is (change.kind == "lost")
        if change.one is None or change.other is None:
            continue
        shared = min(change.one.last_row, change.other.last_row) - max(change.one.first_row, change.other.first_row)
        assert shared >= 0
        by = change.other.first_row - change.one.first_row or change.other.last_row - change.one.last_row
        both_open = change.one.end is None and change.other.end is None
        if change.one.first_row != change.other.first_row:
            assert change.kind == ("later" if by > 0 else "earlier")
        elif by == 0 and change.one.end == change.other.end:
            assert change.kind == "same"
        else:
            assert not both_open
            assert change.kind == ("longer" if by > 0 else "shorter")


def test_the_rows_are_those_of_the_file(tmp_path: Path) -> None:
    head = 'rules "r" version 1\nquantity x from 0 to 9\n'
    log = tmp_path / "log.csv"
    # The second row has the time of the third, and does not count.
    log.write_text("time,x\n0,0\n1,0\n1,9\n2,9\n3,9\n4,0\n", encoding="utf-8")
    one = api.loads(head + 'when x above 5 then caution "HOT"\n')
    other = api.loads(head + 'when x above 5 then caution "HOT" after 1 s\n')
    found = api.replay_against(one, other, log)
    [change] = found.alerts
    assert (change.kind, change.by) == ("later", Fraction(1))
    assert change.one is not None
    assert change.other is not None
    assert (change.one.first_row, change.one.last_row) == (3, 5)
    assert (change.other.first_row, change.other.last_row) == (4, 5)
    assert found.to_dict()["alerts"][0]["against"]["first_row"] == 4
