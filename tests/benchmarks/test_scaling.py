"""How the cost of a check grows with the rule set: wanted is that a band of a large one costs at most twice as much."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

import alertlang
from tests.benchmarks.synthetic import SEEDED, SIZES, synthetic

# Where nothing is measured, no more than this: it is enough to see that it works.
SMALL = SIZES[0]
ROUNDS = {60: 7, 600: 3, 6000: 1}
SECONDS: dict[int, float] = {}


@pytest.mark.parametrize(("bands", "quantities"), SIZES)
@pytest.mark.benchmark(group="read and check, by number of bands")
def test_scaling(bands: int, quantities: int, benchmark: BenchmarkFixture, say: Callable[[str], None]) -> None:
    if benchmark.disabled:
        bands, quantities = min((bands, quantities), SMALL)
    text = synthetic(bands, quantities).text
    # The grammar is built once in a process and is no part of what a band costs.
    rules = alertlang.loads(text)
    assert (len(rules.model.bands), len(rules.model.quantities)) == (bands, quantities)

    report = benchmark.pedantic(lambda: alertlang.loads(text).check(), rounds=ROUNDS[bands], iterations=1)

    # It measures nothing unless the answer is right: the seeded mistakes, and what goes with them, and no others.
    found = {f.code.name for f in report.findings}
    # The engine speed gauge warns of a low speed with the engine standing still too, which is a nuisance indeed.
    assert set(SEEDED) <= found <= {*SEEDED, "missing-alert", "nuisance"}
    # Without benchmarking the function ran once, untimed.
    if benchmark.stats is not None:
        SECONDS[bands] = benchmark.stats.stats.median
        per_band = SECONDS[bands] / bands
        line = f"{bands:>5} bands: {SECONDS[bands]:7.2f} s, {1000 * per_band:5.2f} ms per band"
        for smaller in SECONDS:
            if smaller < bands:
                line += f", {per_band / (SECONDS[smaller] / smaller):.2f} times that of {smaller}"
        say(line + (" (wanted: at most 2)" if len(SECONDS) > 1 else ""))


@pytest.mark.parametrize(("bands", "quantities"), SIZES)
@pytest.mark.benchmark(group="the same in a process of its own, from start to end")
def test_solver_share_and_memory(
    bands: int,
    quantities: int,
    benchmark: BenchmarkFixture,
    checkout: Path,
    environment: dict[str, str],
    say: Callable[[str], None],
) -> None:
    if benchmark.disabled:
        bands, quantities = min((bands, quantities), SMALL)
    command = [sys.executable, "-m", "tests.benchmarks.measure", str(bands), str(quantities)]
    run = benchmark.pedantic(
        lambda: subprocess.run(command, cwd=checkout, env=environment, capture_output=True, text=True, check=True),
        rounds=1,
        iterations=1,
    )
    took = json.loads(run.stdout)
    total = took["load"] + took["check"]
    say(
        f"{bands:>5} bands: {took['load']:.2f} s to read, {took['check']:.2f} s to check; "
        f"{took['questions']} questions; in the solver {took['solver'] / total:.0%} of it "
        f"({took['deciding'] / total:.0%} deciding); peak {took['peak_mib']:.0f} MiB (wanted: under 1024)"
    )


@pytest.mark.parametrize(("bands", "quantities"), SIZES[:2])
@pytest.mark.benchmark(group="a third of the bands timed, against none")
def test_timed_rules(bands: int, quantities: int, benchmark: BenchmarkFixture, say: Callable[[str], None]) -> None:
    if benchmark.disabled:
        bands, quantities = min((bands, quantities), SMALL)
    texts = {timed: synthetic(bands, quantities, timed=timed).text for timed in (False, True)}
    rules = alertlang.loads(texts[True])
    assert 3 * sum(bool(b.held or b.after or b.latched) for b in rules.model.bands) >= bands * 9 // 10
    began = process_time()
    for _ in range(ROUNDS[bands]):
        alertlang.loads(texts[False]).check()
    plain = (process_time() - began) / ROUNDS[bands]

    report = benchmark.pedantic(lambda: alertlang.loads(texts[True]).check(), rounds=ROUNDS[bands], iterations=1)

    found = {f.code.name for f in report.findings}
    assert set(SEEDED) <= found <= {*SEEDED, "missing-alert", "nuisance", "lingering-alert"}
    began = process_time()
    for _ in range(ROUNDS[bands]):
        alertlang.loads(texts[True]).check()
    timed = (process_time() - began) / ROUNDS[bands]
    say(f"{bands:>5} bands: {timed / plain:.2f} times as long with a third of them timed (wanted: at most 2)")
