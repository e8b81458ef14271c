"""What one `alertlang check` from the command line costs, compared with the least that its libraries cost."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

RULES = "examples/02-bramble/bramble.alert"
ROUNDS = 9

COMMANDS = {
    "python alone": ["-c", "pass"],
    "import z3, lark, typer": ["-c", "import z3, lark, typer"],
    "alertlang --version": ["-m", "alertlang", "--version"],
    "alertlang explain gap": ["-m", "alertlang", "explain", "gap"],
    "alertlang check bramble": ["-m", "alertlang", "check", RULES],
}
SECONDS: dict[str, float] = {}

# The command with clocks around reading the file (building the grammar is part of it) and around checking it.
CLOCKED = """
import json, sys
from time import perf_counter
import alertlang.cli.app, alertlang.api.rules as rules
took = {}
def clocked(name):
    function = getattr(rules, name)
    def wrapped(*arguments, **options):
        began = perf_counter()
        result = function(*arguments, **options)
        took[name] = perf_counter() - began
        return result
    setattr(rules, name, wrapped)
clocked("_any"), clocked("report_on")
sys.argv = ["alertlang", "check", sys.argv[1]]
try:
    alertlang.cli.app.app()
except SystemExit as end:
    assert not end.code, end.code
sys.stderr.write(json.dumps(took))
"""


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.benchmark(group="a command from the start of the process to its end")
def test_cold(
    name: str,
    benchmark: BenchmarkFixture,
    checkout: Path,
    environment: dict[str, str],
    say: Callable[[str], None],
) -> None:
    command = [sys.executable, *COMMANDS[name]]
    benchmark.pedantic(
        lambda: subprocess.run(command, cwd=checkout, env=environment, capture_output=True, check=True),
        rounds=ROUNDS,
        iterations=1,
        warmup_rounds=1,
    )
    if benchmark.stats is None:
        return
    SECONDS[name] = benchmark.stats.stats.median
    line = f"{name}: {SECONDS[name]:.2f} s"
    libraries = SECONDS.get("import z3, lark, typer")
    if name.startswith("alertlang") and libraries is not None:
        line += f", {SECONDS[name] / libraries:.2f} times importing its libraries"
    say(line + (" (wanted: at most 0.8 s)" if name.endswith("bramble") else ""))


@pytest.mark.benchmark(group="the check of bramble with clocks inside")
def test_share_outside_reading_and_checking(
    benchmark: BenchmarkFixture, checkout: Path, environment: dict[str, str], say: Callable[[str], None]
) -> None:
    runs: list[tuple[float, dict[str, float]]] = []

    def once() -> None:
        began = perf_counter()
        run = subprocess.run(
            [sys.executable, "-c", CLOCKED, RULES],
            cwd=checkout,
            env=environment,
            capture_output=True,
            text=True,
            check=True,
        )
        runs.append((perf_counter() - began, json.loads(run.stderr)))

    benchmark.pedantic(once, rounds=ROUNDS, iterations=1, warmup_rounds=1)
    total = median(seconds for seconds, _ in runs)
    reading = median(took["_any"] for _, took in runs)
    checking = median(took["report_on"] for _, took in runs)
    say(
        f"alertlang check bramble, clocks inside: {total:.2f} s, of it {reading:.2f} s reading, "
        f"{checking:.2f} s checking, {(total - reading - checking) / total:.0%} neither"
    )
