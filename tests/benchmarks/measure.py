"""Run in a process of its own: one synthetic rule set checked, with what it took, as one JSON object.

python -m tests.benchmarks.measure BANDS QUANTITIES [timed]
"""

from __future__ import annotations

import json
import re
import resource
import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter
from typing import Any

import z3.z3 as z3

import alertlang
from tests.benchmarks.synthetic import synthetic


class Timed:
    """Stands in for a function and adds up the time spent in it."""

    def __init__(self, function: Callable[..., Any]) -> None:
        self.function = function
        self.seconds = 0.0
        self.calls = 0

    def __call__(self, *arguments: Any) -> Any:
        began = perf_counter()
        try:
            return self.function(*arguments)
        finally:
            self.seconds += perf_counter() - began
            self.calls += 1


def _peak() -> int:
    """The most memory this process held, in bytes."""
    status = Path("/proc/self/status")
    if status.exists() and (held := re.search(r"VmHWM:\s+(\d+) kB", status.read_text(encoding="ascii"))):
        return int(held[1]) * 1024
    # Linux would say here what the process that started this one held, if that was more.
    used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return used if sys.platform == "darwin" else used * 1024


def main(bands: int, quantities: int, timed_rules: bool) -> None:
    # The functions of the solver's C library that decide, assert and hold solvers; making expressions is not in it.
    timed = {}
    for name in dir(z3):
        if name.startswith("Z3_solver_") and callable(getattr(z3, name)):
            timed[name] = Timed(getattr(z3, name))
            setattr(z3, name, timed[name])
    text = synthetic(bands, quantities, timed=timed_rules).text
    began = perf_counter()
    rules = alertlang.loads(text)
    loaded = perf_counter()
    report = rules.check()
    done = perf_counter()
    checks = [timed[name] for name in timed if "check" in name]
    print(
        json.dumps(
            {
                "load": loaded - began,
                "check": done - loaded,
                "questions": sum(one.calls for one in checks),
                "deciding": sum(one.seconds for one in checks),
                "solver": sum(one.seconds for one in timed.values()),
                "peak_mib": _peak() / 2**20,
                "findings": sorted(f.code.name for f in report.findings),
            }
        )
    )


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), "timed" in sys.argv[3:])
