"""The words of the clock over recorded runs of a real engine, against a library that monitors formulas.

As in `test_rtamt.py`, where it says how samples and the instants of the logic go together; here the recordings are real
and the whole way is gone, from the file to the intervals. Of the formulas only the past-time part is used. What is
compared with a number is compared with fractions: a value at its bound has no robustness, of which the library tells
only the sign.

Sources: the open carOBD dataset (public repository eron93br/carOBD), a car engine, never a source of aircraft limits;
https://github.com/nickovic/rtamt (BSD 3-Clause licence), release 0.4.10. The numbers in the rules are invented.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

import pytest

from alertlang.api import loads
from alertlang.meaning.readings import Sample
from alertlang.replay.run import replay
from tests.helpers.recorded_runs import path_of, runs
from tests.helpers.timed import stepped
from tests.outside.test_replay_engine_logs import COLUMNS, MAP, Row, intervals, is_above, is_below, segments_of
from tests.outside.test_rtamt import Truths, dense, discrete, lasted

RULES = loads(
    """rules "against-rtamt" version 1
source S common practice
quantity rpm from 0 to 6000 rpm
quantity coolant from -20 to 215 C
quantity manifold from 0 to 255 kPa
quantity volts from 0 to 20 V
condition running means rpm above 1000 rpm, set after 3 s, cleared after 4 s
condition warm means coolant above 80 C until coolant below 75 C, set after 10 s
condition burst means manifold above 40 kPa for less than 4 s
running_up: when running then advisory "RUNNING"
warm_up: when warm then advisory "WARM"
burst_up: when burst then advisory "BURST"
held: when (rpm above 1500 rpm for at least 3 s) then advisory "FAST"
load: manifold above 40 kPa for more than 3 s is yellow with caution "LOAD" after 2 s
low: volts below 13.9 V is yellow with caution "VOLTS" after 6 s unless rpm above 1500 rpm
fast: limit rpm at most 1500 rpm except for 5 s, needs advisory, source S
"""
).model
# Of the thirteen recordings some short ones of each kind and a long one: the library takes its time.
NAMES = ("drive12", "drive5", "drive7", "idle1", "idle8", "live10")
ALERTS = ("running_up", "warm_up", "burst_up", "held", "load", "low")


def by_formula(rows: Sequence[Row]) -> dict[str, Truths]:
    """Where each alert is up and the limit is broken. All times are whole seconds, so that *more than* 3 s is at
    least 4 s."""
    times = [int(row.time - rows[0].time) for row in rows]
    assert [Fraction(time) + rows[0].time for time in times] == [row.time for row in rows]

    def long(truths: Truths, seconds: int) -> Truths:
        return dense(lasted("x", seconds), times, {"x": truths})

    def kept(on: Truths, off: Truths) -> Truths:
        return discrete("(not (off > 0)) since (on > 0)", {"on": on, "off": off})

    def negated(truths: Truths) -> Truths:
        return [not one for one in truths]

    moving = [is_above(row.rpm, 1000) for row in rows]
    fast = [is_above(row.rpm, 1500) for row in rows]
    full = [is_above(row.manifold, 40) for row in rows]
    was_hot = kept([is_above(row.coolant, 80) for row in rows], [is_below(row.coolant, 75) for row in rows])
    weak = [is_below(row.volts, "13.9") and not high for row, high in zip(rows, fast, strict=True)]
    return {
        "running_up": kept(long(moving, 3), long(negated(moving), 4)),
        "warm_up": kept(long(was_hot, 10), negated(was_hot)),
        "burst_up": dense(f"(x > 0) and (not {lasted('x', 4)})", times, {"x": full}),
        "held": long(fast, 3),
        "load": long(long(full, 4), 2),
        "low": long(weak, 6),
        "fast": long(fast, 6),
    }


@lru_cache
def logs(name: str) -> list[tuple[list[Row], dict[str, Truths]]]:
    return [(rows, by_formula(rows)) for rows in segments_of(path_of(name))]


@pytest.mark.parametrize("name", runs(*NAMES))
def test_a_replayed_log(name: str) -> None:
    found = replay(path_of(name), RULES, MAP)
    wanted = {
        label: [
            one for number, (rows, said) in enumerate(logs(name), 1) for one in intervals(number, rows, said[label])
        ]
        for label in (*ALERTS, "fast")
    }
    told = {
        label: [(one.segment, one.start, one.end) for one in found.alerts if one.statement == label] for label in ALERTS
    }
    told["fast"] = [(one.segment, one.start, one.end) for one in found.violations]
    assert told == wanted


@pytest.mark.parametrize("name", runs(*NAMES))
def test_sample_by_sample(name: str) -> None:
    for rows, said in logs(name):
        samples = []
        for row in rows:
            values = {quantity: getattr(row, quantity) for quantity in COLUMNS}
            samples.append(Sample(row.time, {key: one for key, one in values.items() if one is not None}, {}))
        shown = stepped(RULES, samples)
        told = {label: [(label, None) in one.alerts for one in shown] for label in ALERTS}
        told["fast"] = [one.violated["fast", None] for one in shown]
        # Only the names and the first rows: a difference of long lists takes pytest minutes to show.
        different = {
            label: [k for k, pair in enumerate(zip(told[label], said[label], strict=True)) if pair[0] != pair[1]][:3]
            for label in said
        }
        assert not {label: some for label, some in different.items() if some}


@pytest.mark.shared
def test_every_alert_comes_and_goes_on_these_logs() -> None:
    """Else the agreement above would say nothing."""
    turns = dict.fromkeys((*ALERTS, "fast"), 0)
    for segments in map(logs, NAMES):
        for _, said in segments:
            for label, truths in said.items():
                turns[label] += sum(one != other for one, other in pairwise(truths))
    assert {label: count for label, count in turns.items() if count < 1} == {}
