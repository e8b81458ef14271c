"""What it costs to look at a long log: against reading it, against the stepper, a general monitor and plain numpy."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from time import perf_counter

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from alertlang.logs.table import exact
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.replay.engine import ReplayEngine
from alertlang.replay.intervals import IntervalRecording, record
from tests.benchmarks.recorded import columns, evaluated, segment, sixty_rules
from tests.helpers.timed import load

FOUR = """rules "four" version 1
quantity q0 from 0 to 1000
quantity q1 from 0 to 1000
quantity q2 from 0 to 1000
quantity q3 from 0 to 1000
s0: q0 above 950 is red
s1: q1 above 900 for more than 10 s is red
s2: q2 below 100 is red with warning "LOW" after 5 s
s3: when q0 below 300 then q3 above 700 is yellow
"""


@pytest.mark.parametrize("rows", [1_000_000, 2_000_000])
@pytest.mark.benchmark(group="sixty rules over a log of twenty quantities, in a process of its own")
def test_against_reading(
    rows: int,
    benchmark: BenchmarkFixture,
    checkout: Path,
    environment: dict[str, str],
    say: Callable[[str], None],
) -> None:
    command = [sys.executable, "-m", "tests.benchmarks.recorded", str(rows)]
    run = benchmark.pedantic(
        lambda: subprocess.run(command, cwd=checkout, env=environment, capture_output=True, text=True, check=True),
        rounds=1,
        iterations=1,
    )
    took = json.loads(run.stdout)
    assert took["rows"] == rows
    assert took["alerts"] > 0
    say(
        f"{rows:>8} rows: {took['reading']:.2f} s to read, {took['evaluating']:.2f} s to evaluate, "
        f"{took['evaluating'] / took['reading']:.2f} times (wanted: at most 1.5, better 1); "
        f"memory of its own {took['more']:.2f} times the columns (wanted: with them at most 2.5)"
    )


def test_against_the_stepper(benchmark: BenchmarkFixture, say: Callable[[str], None]) -> None:
    ruleset = sixty_rules()
    log = segment(columns(20_000))
    first = 300
    names = list(log.columns)
    samples = [
        Sample(log.seconds(row), {name: exact(float(log.columns[name].numbers[row])) for name in names}, {})
        for row in range(first)
    ]
    began = perf_counter()
    stepper = Stepper(ruleset)
    shown = [stepper.step(sample) for sample in samples]
    stepping = (perf_counter() - began) / first

    recording = benchmark.pedantic(lambda: evaluated(ruleset, log), rounds=3, iterations=1)

    for place, track in recording.applies.items():
        array = np.repeat(track.values, np.diff(track.rows, append=len(log)))
        assert [bool(truth) for truth in array[:first]] == [one.applies[place] for one in shown]
    if benchmark.stats is not None:
        each = benchmark.stats.stats.median / len(log)
        say(f"a row by the stepper takes {stepping / each:.0f} times as long as by the engine (wanted: at least 5)")


def _by_hand(found: dict[str, np.ndarray]) -> list[np.ndarray]:
    """The same four rules by someone who knows numpy: the rows at which each changes."""
    ticks = np.rint(found["time"] * 10).astype(np.int64)

    def lasted(truths: np.ndarray, needed: int) -> np.ndarray:
        edges = np.flatnonzero(np.diff(truths, prepend=False, append=False))
        out = np.zeros(len(truths), np.bool_)
        for start, end in zip(edges[0::2].tolist(), edges[1::2].tolist(), strict=True):
            if ticks[end - 1] - ticks[start] >= needed:
                out[np.searchsorted(ticks, ticks[start] + needed) : end] = True
        return out

    low = found["q2"] < 100
    truths = [
        found["q0"] > 950,
        lasted(found["q1"] > 900, 101),
        low,
        lasted(low, 50),
        (found["q0"] < 300) & (found["q3"] > 700),
    ]
    return [np.flatnonzero(np.diff(one, prepend=False)) for one in truths]


def test_against_numpy_by_hand(benchmark: BenchmarkFixture, say: Callable[[str], None]) -> None:
    found = columns(1_000_000)
    log, ruleset = segment(found), load(FOUR)
    times = []
    for _ in range(5):
        began = perf_counter()
        wanted = _by_hand(found)
        times.append(perf_counter() - began)

    def run() -> IntervalRecording | None:
        return record(ReplayEngine(ruleset).run(log))

    recording = benchmark.pedantic(run, rounds=5, iterations=1)

    assert recording is not None
    shown = [recording.applies["s0", None], recording.applies["s1", None], recording.applies["s2", None]]
    shown += [recording.alerts["s2", None], recording.applies["s3", None]]
    for track, rows in zip(shown, wanted, strict=True):
        assert track.rows[1 - int(track.values[0]) :].tolist() == rows.tolist()
    if benchmark.stats is not None:
        ratio = benchmark.stats.stats.min / min(times)
        say(f"four rules over a million rows: {ratio:.2f} times numpy by hand (wanted: at most 1.5)")


@pytest.mark.skipif(sys.version_info >= (3, 13), reason="rtamt is made for Python up to 3.12")
def test_against_rtamt(benchmark: BenchmarkFixture, say: Callable[[str], None]) -> None:
    import rtamt

    size = 20_000
    found = columns(size)
    formulas = {
        "s0": "q0 > 950",
        "s1": "historically[0:101](q1 > 900) and once[101:101](q1 > 900)",
        "s2": "historically[0:50](q2 < 100) and once[50:50](q2 < 100)",
        "s3": "(q0 < 300) and (q3 > 700)",
    }
    log, ruleset = segment(found), load(FOUR)
    data = {"time": list(range(size)), **{f"q{n}": found[f"q{n}"].tolist() for n in range(4)}}
    said: dict[str, list[bool]] = {}
    began = perf_counter()
    for name, formula in formulas.items():
        spec = rtamt.StlDiscreteTimeOfflineSpecification()
        for n in range(4):
            spec.declare_var(f"q{n}", "float")
        spec.spec = formula
        spec.parse()
        said[name] = [value > 0 for _, value in spec.evaluate(data)]
    monitoring = perf_counter() - began

    trace = benchmark.pedantic(lambda: ReplayEngine(ruleset).feed(log), rounds=5, iterations=1)

    for name, truths in said.items():
        shown = trace.alerts[name, None] if name == "s2" else trace.applies[name, None]
        # A value at its bound has no robustness, of which rtamt only tells the sign.
        assert np.mean(shown.array == np.array(truths)) == Fraction(1)
    if benchmark.stats is not None:
        ratio = monitoring / benchmark.stats.stats.median
        say(f"four rules over {size} rows: rtamt takes {ratio:.0f} times as long (wanted: at least 100)")
