"""The engine on real recorded runs, against the stepper."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from alertlang.logs.table import Column, Segment
from alertlang.replay.engine import ReplayEngine
from alertlang.replay.intervals import record
from tests.helpers.recorded_runs import path_of, runs
from tests.helpers.timed import load, stepped
from tests.replay.test_engine import chunks, expected, in_samples, rows_of

RULES = """rules "warm-up" version 1
source S common practice
quantity rpm from 0 to 8000 rpm
quantity coolant from -40 to 150 C, deadband 1 C
quantity volts from 0 to 20 V
let heating = rise of coolant per min, from -100 to 100 C
condition running means rpm above 400 rpm, set after 3 s, cleared after 2 s
condition cold means coolant below 60 C until coolant above 65 C
warm: when coolant below 60 C then rpm above 1800 rpm is red with caution "ENGINE COLD" after 2 s
long: when cold then rpm above 1500 rpm for more than 5 s in total is yellow
hot: coolant at least 90 C is yellow with caution "COOLANT" latched
low: when running then volts below 13 V for more than 2 s is yellow with caution "VOLTS" after 1 s
fast: when heating at least 6 C and running for at least 10 s then advisory "WARMING"
l: limit rpm at most 2500 rpm except for 3 s, needs caution, source S
"""
LOGS = ("idle1", "idle8", "drive5", "drive7", "live10", "live17", "long9")
HEADINGS = {"rpm": "ENGINE_RPM", "coolant": "COOLANT_TEMPERATURE", "volts": "CONTROL_MODULE_VOLTAGE"}


def read(path: Path) -> Segment:
    """Of rows that share a second the last counts; rows up to the first time that runs backwards."""
    with path.open(newline="", encoding="utf-8-sig") as file:
        heading, *rows = csv.reader(file)
    where = {name.split(" (")[0].strip(): k for k, name in enumerate(heading)}
    seconds = where["ENGINE_RUN_TINE"]
    kept: dict[int, list[str]] = {}
    for row in rows:
        if len(row) > seconds and row[seconds].strip():
            second = int(float(row[seconds]))
            if kept and second < max(kept):
                break
            kept[second] = row

    def numbers(name: str, low: float, high: float) -> np.ndarray:
        told = [row[where[HEADINGS[name]]] if len(row) > where[HEADINGS[name]] else "" for row in kept.values()]
        values = np.array([float(text) if text.strip() else np.nan for text in told])
        values[~((values >= low) & (values <= high))] = np.nan
        return values

    count = len(kept)
    columns = {
        "rpm": Column(numbers("rpm", 0, 8000)),
        "coolant": Column(numbers("coolant", -40, 150)),
        "volts": Column(numbers("volts", 0, 20)),
    }
    ticks = np.array(list(kept), np.int64)
    return Segment(ticks, Fraction(1), np.arange(1, count + 1), columns, {}, {}, np.zeros(count, np.bool_))


@pytest.mark.parametrize("name", runs(*LOGS))
def test_a_warm_up_rule_on_a_recorded_run(name: str) -> None:
    segment = read(path_of(name))
    assert len(segment) > 100
    ruleset = load(RULES)
    wanted = expected(ruleset, stepped(ruleset, in_samples(ruleset, segment)))
    for sizes in ([len(segment)], [97, 1, 300]):
        assert rows_of(chunks(ReplayEngine(ruleset), segment, sizes)) == wanted
    recording = record(ReplayEngine(ruleset).run(segment))
    assert recording is not None
    warm = [row["applies"]["warm", None] for row in wanted]
    begins = [k for k, truth in enumerate(warm) if truth and not (k and warm[k - 1])]
    assert [one.start_row for one in recording.applies["warm", None].intervals()] == begins
