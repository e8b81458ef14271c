"""Rules over thirteen recorded runs of a real engine, interval by interval against a computation that uses the csv
module, fractions and loops alone, written rule by rule.

Source: the open carOBD dataset (public repository eron93br/carOBD). It is a car engine: a recording to replay, never a
source of aircraft limits; the numbers in the rules below are invented for this test.
"""

from __future__ import annotations

import csv
import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

import pytest

from alertlang.api import loads
from alertlang.logs.column_map import parse_column_map
from alertlang.replay.against import replay_against
from alertlang.replay.run import replay
from alertlang.results.replay import ReplayResult
from tests.helpers.recorded_runs import NAMES, path_of, runs

RULES = """rules "engine-logs" version 1
source S common practice
quantity rpm from 0 to 6000 rpm
quantity coolant from 0 to 419 F
quantity manifold from 0 to 255 kPa
quantity volts from 0 to 20 V, deadband 0.2 V
condition running means rpm above 400 rpm, set after 3 s, cleared after 2 s
condition hot means coolant above 195 F until coolant below 185 F
warm: when coolant below 60 C then rpm above 1800 rpm is red with caution "ENGINE COLD" after 2 s
low_volts: when running then volts below 13.5 V is yellow with caution "LOW VOLTS"
boost: manifold above 60 kPa for more than 3 s is yellow with advisory "LOAD" after 1 s latched
long: rpm above 1500 rpm for more than 60 s in total is yellow
idle: rpm at most 1500 rpm is green
too_hot: when hot and rpm above 1000 rpm then caution "HOT" unless manifold above 80 kPa
fast: limit rpm at most 1700 rpm except for 5 s, needs caution, source S
"""
OTHER = RULES.replace("rpm above 1800 rpm", "rpm above 1700 rpm").replace("after 2 s\n", "after 4 s\n")

COLUMNS = {
    "rpm": "ENGINE_RPM ()",
    "coolant": "COOLANT_TEMPERATURE ()",
    "manifold": "INTAKE_MANIFOLD_PRESSURE ()",
    "volts": "CONTROL_MODULE_VOLTAGE ()",
}
UNITS = {"rpm": "rpm", "coolant": "C", "manifold": "kPa", "volts": "V"}
HIGHEST = {"rpm": 6000, "coolant": 215, "manifold": 255, "volts": 20}
# In the log's own unit: 0 F and 419 F.
LOWEST = {"rpm": Fraction(0), "coolant": Fraction(-160, 9), "manifold": Fraction(0), "volts": Fraction(0)}
MAP = parse_column_map(
    (
        'time = {column = "ENGINE_RUN_TINE ()", unit = "s"}\n[columns]\n'
        + "".join(f'{name} = {{column = "{COLUMNS[name]}", unit = "{UNITS[name]}"}}\n' for name in COLUMNS)
    ).encode(),
    "engine-logs.toml",
)
Interval = tuple[int, Fraction, Fraction | None]


@dataclass(frozen=True)
class Row:
    time: Fraction
    rpm: Fraction | None
    coolant: Fraction | None
    manifold: Fraction | None
    volts: Fraction | None


def segments_of(path: Path) -> list[list[Row]]:
    """Rows with a time; of those that share one the last; a new list where time runs backwards. Celsius."""
    with path.open(newline="", encoding="utf-8") as file:
        heading, *lines = list(csv.reader(file))
    found: list[list[Row]] = []
    for line in lines:
        if not any(cell.strip() for cell in line):
            continue
        cells: dict[str, Fraction | None] = {}
        for name, column in COLUMNS.items():
            place = heading.index(column)
            text = line[place].strip() if place < len(line) else ""
            value = Fraction(text) if text else None
            cells[name] = value if value is not None and LOWEST[name] <= value <= HIGHEST[name] else None
        time = Fraction(line[0].strip())
        if not found or time < found[-1][-1].time:
            found.append([])
        elif time == found[-1][-1].time:
            found[-1].pop()
        found[-1].append(Row(time, **cells))
    return found


def is_above(value: Fraction | None, bound: object) -> bool:
    return value is not None and value > Fraction(str(bound))


def is_below(value: Fraction | None, bound: object) -> bool:
    return value is not None and value < Fraction(str(bound))


def lasting(rows: Sequence[Row], truths: Sequence[bool], enough: Callable[[Fraction], bool]) -> list[bool]:
    """Where it has been so since some row, and the time since then is enough."""
    found, since = [], None
    for row, truth in zip(rows, truths, strict=True):
        since = (row.time if since is None else since) if truth else None
        found.append(since is not None and enough(row.time - since))
    return found


def delayed(rows: Sequence[Row], truths: Sequence[bool], on: int, off: int) -> list[bool]:
    rise = lasting(rows, truths, lambda time: time >= on)
    fall = lasting(rows, [not one for one in truths], lambda time: time >= off)
    found, now = [], False
    for up, down in zip(rise, fall, strict=True):
        now = up or (now and not down)
        found.append(now)
    return found


def statements(rows: Sequence[Row], limit: int = 1800, after: int = 2) -> dict[str, Sequence[object]]:
    """By label and what of it: where it applies, where its alert is up, where the limit is broken."""
    running = delayed(rows, [is_above(row.rpm, 400) for row in rows], 3, 2)
    hot, now = [], False
    for row in rows:
        # 195 F and 185 F.
        now = is_above(row.coolant, "815/9") or (now and not is_below(row.coolant, 85))
        hot.append(now)
    warm = [is_below(row.coolant, 60) and is_above(row.rpm, limit) for row in rows]
    in_low, low = False, []
    for row, on in zip(rows, running, strict=True):
        in_low = is_below(row.volts, "13.7") if in_low else is_below(row.volts, "13.5")
        low.append(in_low and on)
    boost = lasting(rows, [is_above(row.manifold, 60) for row in rows], lambda time: time > 3)
    due = lasting(rows, boost, lambda time: time >= 1)
    total, long, before = Fraction(0), [], None
    for row in rows:
        if before is not None and is_above(before.rpm, 1500):
            total += row.time - before.time
        long.append(is_above(row.rpm, 1500) and total > 60)
        before = row
    idle = [row.rpm is not None and row.rpm <= 1500 for row in rows]
    too_hot = [
        h and is_above(row.rpm, 1000) and not is_above(row.manifold, 80) for h, row in zip(hot, rows, strict=True)
    ]
    return {
        "warm": warm,
        "warm alert": lasting(rows, warm, lambda time: time >= after),
        "low_volts": low,
        "low_volts alert": low,
        "boost": boost,
        # Nobody acknowledges it: it stays to the end.
        "boost alert": list(itertools.accumulate(due, lambda one, other: one or other)),
        "long": long,
        "idle": idle,
        "too_hot alert": too_hot,
        "fast": lasting(rows, [is_above(row.rpm, 1700) for row in rows], lambda time: time > 5),
        "rpm colour": [
            "red" if w else "yellow" if many else "green" if few else None
            for w, many, few in zip(warm, long, idle, strict=True)
        ],
    }


def intervals(segment: int, rows: Sequence[Row], values: Sequence[object], wanted: object = True) -> list[Interval]:
    found: list[Interval] = []
    start = None
    for row, value in zip(rows, values, strict=True):
        if value == wanted and start is None:
            start = row.time
        elif value != wanted and start is not None:
            found.append((segment, start, row.time))
            start = None
    return found if start is None else [*found, (segment, start, None)]


@lru_cache
def plain(name: str) -> list[list[Row]]:
    return segments_of(path_of(name))


def replayed(name: str) -> ReplayResult:
    return replay(path_of(name), loads(RULES).model, MAP)


@pytest.mark.parametrize("name", runs())
def test_every_interval_is_that_of_the_plain_computation(name: str) -> None:
    found = replayed(name)
    # Most of their rows repeat a second, which is told first and is no reason to distrust them.
    assert found.trusted
    assert "repeated-time" in {problem.kind for problem in found.problems if problem.grave}
    segments = [(number, rows, statements(rows)) for number, rows in enumerate(plain(name), 1)]
    assert len(found.segments) == len(segments)
    for label in ("warm", "low_volts", "boost", "too_hot"):
        wanted = [one for number, rows, said in segments for one in intervals(number, rows, said[f"{label} alert"])]
        told = [(one.segment, one.start, one.end) for one in found.alerts if one.statement == label]
        assert told == wanted, label
    broken = [one for number, rows, said in segments for one in intervals(number, rows, said["fast"])]
    assert [(one.segment, one.start, one.end) for one in found.violations] == broken
    for colour in ("red", "yellow", "green", None):
        wanted = [one for number, rows, said in segments for one in intervals(number, rows, said["rpm colour"], colour)]
        told = [
            (one.segment, one.start, one.end) for one in found.colours if one.quantity == "rpm" and one.colour == colour
        ]
        assert told == wanted, colour
    for label in ("warm", "low_volts", "boost", "long", "idle"):
        spans = [
            (rows[-1].time if end is None else end) - start
            for number, rows, said in segments
            for _, start, end in intervals(number, rows, said[label])
        ]
        band = next(one for one in found.band_times if one.statement == label)
        assert (band.seconds, band.times) == (sum(spans), len(spans)), label


@pytest.mark.parametrize("name", runs())
def test_the_worst_speed_of_every_cold_alert(name: str) -> None:
    for one in replayed(name).alerts:
        if one.statement != "warm":
            continue
        speeds = [
            (row.rpm, row.time)
            for row in plain(name)[one.segment - 1]
            if one.start <= row.time and (one.end is None or row.time < one.end) and row.rpm is not None
        ]
        rpm, time = max(speeds, key=lambda speed: speed[0])
        assert one.worst is not None
        assert (one.worst.value, one.worst.time, one.worst.past) == (rpm, time, rpm - 1800)


@pytest.mark.parametrize("name", runs())
def test_what_another_limit_and_delay_would_have_done(name: str) -> None:
    found = replay_against(path_of(name), loads(RULES).model, loads(OTHER).model, MAP)
    wanted = []
    for number, rows in enumerate(plain(name), 1):
        mine, others = statements(rows), statements(rows, 1700, 4)
        for what, key in (("colour", "rpm colour"), ("alert", "warm alert")):
            pairs = list(zip(mine[key], others[key], strict=True))
            for pair in dict.fromkeys(pairs):
                if pair[0] != pair[1]:
                    wanted += [(what, *span, *pair) for span in intervals(number, rows, pairs, pair)]
    told = []
    for one in found.differences:
        seen = (one.one, one.other) if one.kind == "colour" else (one.one == "up", one.other == "up")
        told.append((one.kind, one.segment, one.start, one.end, *seen))
    assert sorted(told, key=str) == sorted(wanted, key=str)
    assert found.same is not bool(wanted)


@pytest.mark.shared
def test_the_rules_have_something_to_do_on_these_logs() -> None:
    """Else the agreement above would say nothing."""
    seen = [
        (label, any(said)) for rows in itertools.chain(*map(plain, NAMES)) for label, said in statements(rows).items()
    ]
    assert {label for label, any_of_it in seen if any_of_it} == {label for label, _ in seen}
    assert any(not any_of_it for label, any_of_it in seen if label == "warm")
