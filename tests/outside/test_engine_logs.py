"""Thirteen recorded runs of a real engine, read by the tool and, anew and plainly, with the csv module.

Source: the open carOBD dataset (public repository eron93br/carOBD). It is a car engine: a recording to read, never a
source of aircraft limits.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from alertlang.api import loads
from alertlang.logs.column_map import parse_column_map
from alertlang.logs.read import read_log, stream_log
from alertlang.logs.table import Segment
from alertlang.replay.wanted import wanted_of
from tests.helpers.recorded_runs import NAMES, path_of, runs

RULES = loads(
    """rules "engine-logs" version 1
quantity rpm from 0 to 2000 rpm
quantity coolant from 86 to 419 F
quantity intake from 0 to 255 kPa
quantity volts from 0 to 20 V
"""
).model
COLUMNS = {
    "rpm": "ENGINE_RPM ()",
    "coolant": "COOLANT_TEMPERATURE ()",
    "intake": "INTAKE_MANIFOLD_PRESSURE ()",
    "volts": "CONTROL_MODULE_VOLTAGE ()",
}
UNITS = {"rpm": "rpm", "coolant": "C", "intake": "kPa", "volts": "V"}
MAP = parse_column_map(
    (
        'time = {column = "ENGINE_RUN_TINE ()", unit = "s"}\n[columns]\n'
        + "".join(f'{name} = {{column = "{COLUMNS[name]}", unit = "{UNITS[name]}"}}\n' for name in COLUMNS)
    ).encode(),
    "engine-logs.toml",
)
LIMITS = {"rpm": (0, 2000), "coolant": (30, 215), "intake": (0, 255), "volts": (0, 20)}


class Plain:
    """What is in a file, found with the csv module and exact numbers alone."""

    def __init__(self, path: Path) -> None:
        with path.open(newline="", encoding="utf-8") as opened:
            heading, *rows = list(csv.reader(opened))
        self.rows = len(rows)
        self.counts: Counter[tuple[str, str | None]] = Counter()
        places = {name: heading.index(column) for name, column in COLUMNS.items()}
        self.samples: list[list[tuple[Fraction, int, dict[str, Fraction | None]]]] = []
        last: Fraction | None = None
        for number, row in enumerate(rows, 1):
            if not any(cell.strip() for cell in row):
                self.counts["empty-row", None] += 1
                continue
            if len(row) == len(heading) + 1 and row[-1] == "":
                self.counts["trailing-separator", None] += 1
            elif len(row) < len(heading):
                self.counts["short-row", None] += 1
            values: dict[str, Fraction | None] = {}
            for name, place in places.items():
                text = row[place].strip() if place < len(row) else ""
                if not text:
                    self.counts["empty-cell", COLUMNS[name]] += 1
                    values[name] = None
                    continue
                value = Fraction(text)
                low, high = LIMITS[name]
                if not low <= value <= high:
                    self.counts["out-of-range", COLUMNS[name]] += 1
                    values[name] = None
                    continue
                values[name] = value * 9 / 5 + 32 if name == "coolant" else value
            time = Fraction(row[0].strip())
            if last is None or time < last:
                if last is not None:
                    self.counts["backward-time", heading[0]] += 1
                self.samples.append([])
            elif time == last:
                self.counts["repeated-time", heading[0]] += 1
                self.samples[-1].pop()
            self.samples[-1].append((time, number, values))
            last = time


def rows_of(segment: Segment) -> Iterator[tuple[Fraction, int, dict[str, Fraction | None]]]:
    for at in range(len(segment)):
        values = {name: column.value(at) for name, column in segment.columns.items()}
        yield segment.seconds(at), int(segment.rows[at]), values


@pytest.mark.parametrize("name", runs())
def test_every_sample_and_every_count_is_that_of_the_plain_reading(name: str) -> None:
    plain = Plain(path_of(name))
    found = read_log(path_of(name), MAP, wanted_of(RULES))
    assert found.rows == plain.rows
    assert [list(rows_of(one)) for one in found.segments] == plain.samples
    told = {(one.kind, one.column): one.count for one in found.problems if one.kind != "gap"}
    assert told == dict(plain.counts)


@pytest.mark.parametrize("name", runs("idle1", "idle2", "live12"))
@pytest.mark.parametrize("size", [700, 4001])
def test_small_blocks_give_the_same(name: str, size: int) -> None:
    plain = Plain(path_of(name))
    stream = stream_log(path_of(name), MAP, wanted_of(RULES), block=size)
    segments: list[list[tuple[Fraction, int, dict[str, Fraction | None]]]] = []
    chunks = 0
    for chunk in stream.chunks():
        chunks += 1
        if not chunk.continues:
            segments.append([])
        segments[-1] += rows_of(chunk.segment)
    assert chunks > 10
    assert segments == plain.samples
    assert stream.rows == plain.rows
    assert {(one.kind, one.column): one.count for one in stream.problems if one.kind != "gap"} == dict(plain.counts)


@pytest.mark.shared
def test_the_logs_are_what_their_readme_says() -> None:
    plain = {name: Plain(path_of(name)).counts for name in NAMES}
    assert all(one["repeated-time", "ENGINE_RUN_TINE ()"] for one in plain.values())
    assert {name for name, one in plain.items() if not one["trailing-separator", None]} == {"live10", "live12"}
    assert {name for name, one in plain.items() if one["short-row", None]} == {"idle1"}
    assert {name for name, one in plain.items() if one["empty-row", None]} == {"idle2", "live17"}
    assert any(one["out-of-range", "COOLANT_TEMPERATURE ()"] for one in plain.values())
