"""A long log and a rule set of sixty rules over its twenty quantities: the same size, the same numbers.

python -m tests.benchmarks.recorded ROWS: one run in a process of its own, with what it took, as one JSON object.
"""

from __future__ import annotations

import json
import re
import sys
import tempfile
from fractions import Fraction
from pathlib import Path
from time import perf_counter

import numpy as np
import polars as pl

from alertlang.logs.table import Column, Segment
from alertlang.model import ruleset as m
from alertlang.replay.engine import ReplayEngine
from alertlang.replay.intervals import IntervalRecording, record
from tests.helpers.timed import load

QUANTITIES = 20


def sixty_rules() -> m.RuleSet:
    """For every quantity a timed, a latched and a contextual band; every third rule holds back something."""
    lines = ['rules "long" version 1', "source S common practice"]
    lines += [f"quantity q{n} from 0 to 1000, deadband 2" for n in range(QUANTITIES)]
    lines += [
        "condition running means q0 above 300, set after 5 s, cleared after 10 s",
        "condition cold means q1 below 400 until q1 above 450",
        "condition busy means running and q2 above 500 for at least 20 s",
    ]
    for n in range(QUANTITIES):
        context = ("running", "cold", "busy", "not cold")[n % 4]
        lines += [
            f'a{n}: q{n} above 950 is red with warning "A{n}" after 1 s latched',
            f'b{n}: when {context} then q{n} above 700 for more than {10 + n} s is yellow with caution "B{n}"',
            f"c{n}: q{n} from 200 to 700 is green unless not running",
        ]
    lines += [f"l{n}: limit q{n} at most 950 except for 5 s, needs warning, source S" for n in range(0, QUANTITIES, 2)]
    return load("\n".join(lines) + "\n")


def columns(rows: int) -> dict[str, np.ndarray]:
    """Slow swings with the noise of a sensor, one decimal, ten rows a second."""
    rng = np.random.default_rng(0)
    at = np.arange(rows)
    found = {"time": at / 10}
    for n in range(QUANTITIES):
        swing = 500 + 470 * np.sin(at / (600.0 + 170 * n)) + rng.normal(0, 6, rows)
        found[f"q{n}"] = np.clip(np.rint(swing * 10) / 10, 0, 1000)
    return found


def segment(found: dict[str, np.ndarray]) -> Segment:
    rows = len(found["time"])
    ticks = np.rint(found["time"] * 10).astype(np.int64)
    sensors = {name: Column(numbers) for name, numbers in found.items() if name != "time"}
    none = np.zeros(rows, np.bool_)
    return Segment(ticks, Fraction(1, 10), np.arange(1, rows + 1), sensors, {}, {}, none)


def evaluated(ruleset: m.RuleSet, log: Segment) -> IntervalRecording:
    recording = record(ReplayEngine(ruleset).run(log))
    assert recording is not None
    return recording


def peak(*, reset: bool = False) -> int:
    """The most memory this process has held, in bytes, since it was last set back to what it holds now."""
    if reset:
        Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
    held = re.search(r"VmHWM:\s+(\d+) kB", Path("/proc/self/status").read_text(encoding="ascii"))
    assert held is not None
    return int(held[1]) * 1024


def main(rows: int) -> None:
    ruleset = sixty_rules()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "long.csv"
        pl.DataFrame(columns(min(rows, 500_000))).write_csv(path)
        if rows > 500_000:
            # The same half million again and again: what is in the file does not matter to reading it.
            head, _, body = path.read_bytes().partition(b"\n")
            with path.open("wb") as file:
                file.write(head + b"\n" + body * (rows // 500_000))
        began = perf_counter()
        frame = pl.read_csv(path)
        reading = perf_counter() - began
    found = {name: frame[name].to_numpy() for name in frame.columns}
    found["time"] = np.arange(len(frame)) / 10
    log = segment(found)
    del frame
    held = peak(reset=True)
    began = perf_counter()
    recording = evaluated(ruleset, log)
    evaluating = perf_counter() - began
    alerts = sum(int((track.values == 1).sum()) for track in recording.alerts.values())
    more = (peak() - held) / sum(numbers.nbytes for numbers in found.values())
    took = {"rows": len(log), "reading": reading, "evaluating": evaluating, "alerts": alerts, "more": more}
    print(json.dumps(took))


if __name__ == "__main__":
    main(int(sys.argv[1]))
