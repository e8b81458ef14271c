"""What one `alertlang draft` of the shipped profile with the most statements costs, from the start of the process."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from alertlang.api import load
from alertlang.model.files import shipped_profiles


@pytest.mark.benchmark(group="a draft from the start of the process to its end")
def test_the_largest_profile(
    benchmark: BenchmarkFixture, checkout: Path, environment: dict[str, str], say: Callable[[str], None]
) -> None:
    largest = max(shipped_profiles(), key=lambda name: len(load(shipped_profiles()[name]).model.ranges))
    benchmark.pedantic(
        lambda: subprocess.run(
            [sys.executable, "-m", "alertlang", "draft", largest],
            cwd=checkout,
            env=environment,
            capture_output=True,
            check=True,
        ),
        rounds=5,
        iterations=1,
        warmup_rounds=1,
    )
    if benchmark.stats is not None:
        say(f"alertlang draft {largest}: {benchmark.stats.stats.median:.2f} s (wanted: under 2 s)")
