"""What more cores are worth to a fleet of logs."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from alertlang.text.resources import examples_dir

LOGS, ROWS = 1000, 4000
BRAMBLE = examples_dir() / "02-bramble"


def _logs(folder: Path, logs: int, rows_each: int) -> None:
    """The example's recorded run, begun a little later in each log and repeated up to the number of rows."""
    lines = (BRAMBLE / "logs" / "first-flight.csv").read_text(encoding="utf-8").splitlines()
    heading, rows = lines[0], [line.split(",", 1)[1] for line in lines[1:]]
    for number in range(logs):
        written = (f"{at},{rows[(at + number) % len(rows)]}" for at in range(rows_each))
        (folder / f"{number:04}.csv").write_text("\n".join((heading, *written)) + "\n", encoding="utf-8")


@pytest.mark.benchmark(group="a thousand logs of four thousand rows, from the start of the process")
def test_two_cores_against_one(
    benchmark: BenchmarkFixture,
    tmp_path: Path,
    checkout: Path,
    environment: dict[str, str],
    say: Callable[[str], None],
) -> None:
    logs = tmp_path / "logs"
    logs.mkdir()
    # Where nothing is measured, a few will do to see that it works.
    count, rows = (12, 400) if benchmark.disabled else (LOGS, ROWS)
    _logs(logs, count, rows)

    def took(jobs: int) -> float:
        words = [str(BRAMBLE / "bramble.alert"), str(logs), "--map", str(BRAMBLE / "logs" / "recorder.toml")]
        command = [
            sys.executable,
            "-m",
            "alertlang",
            "fleet",
            *words,
            "--jobs",
            str(jobs),
            "-o",
            str(tmp_path / f"{jobs}"),
        ]
        began = perf_counter()
        subprocess.run(command, cwd=checkout, env=environment, capture_output=True, check=True)
        return perf_counter() - began

    times = {1: took(1)}
    times[2] = benchmark.pedantic(lambda: took(2), rounds=1, iterations=1)
    for name in ("results.parquet", "alerts.parquet"):
        assert (tmp_path / "1" / name).read_bytes() == (tmp_path / "2" / name).read_bytes()
    say(
        f"{count} logs of {rows} rows: {times[1]:.1f} s on one core, {times[2]:.1f} s on two: "
        f"{times[1] / times[2]:.2f} times faster (wanted: at least 1.7)"
    )
