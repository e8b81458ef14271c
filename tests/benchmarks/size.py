"""A log of so many megabytes, replayed in a process of its own: how long it takes and how much memory it needs.

    python -m tests.benchmarks.size 5000           # slow swings: what there is to tell grows little with the log
    python -m tests.benchmarks.size 5000 --busy    # noise: alerts come and go all the time, and each one is told

One JSON object. The log is written beforehand, a piece at a time, and taken away afterwards.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

import numpy as np
import polars as pl

RULES = """rules "size" version 1
source S common practice
quantity rpm from -1000 to 6000 rpm
quantity cht[4] from 0 to 900 F
quantity oil_temp from 0 to 600 F
quantity volts from 0 to 30 V, deadband 0.2 V
condition running means rpm above 500, set after 5 s, cleared after 5 s
redline: limit rpm at most 2700 rpm, needs warning, source S
rpm at most 2700 is green
fast: rpm above 2700 is red with warning "FAST"
cht at most 430 is green
hot: when running then cht above 430 for more than 5 s is red with caution "CHT {n}"
oil: when running then oil_temp above 245 is red with warning "OIL" latched
low: when running then volts below 12 is red with caution "VOLTS"
"""
_PIECE = 100_000


def write_log(path: Path, megabytes: int, busy: bool) -> int:
    """Rows written: ten a second, seven columns of one decimal, about fifty bytes each."""
    rng = np.random.default_rng(0)
    rows = 0
    with path.open("wb") as log:
        log.write(b"time,rpm,cht[1],cht[2],cht[3],cht[4],oil_temp,volts\n")
        while log.tell() < megabytes * 1_000_000:
            at = np.arange(rows, rows + _PIECE)

            def swing(middle: float, width: float, period: float, at: np.ndarray = at) -> np.ndarray:
                noise = rng.normal(0, width / 4, _PIECE) if busy else 0.0
                return np.rint((middle + width * np.sin(at / period) + noise) * 10) / 10

            frame = {"time": at / 10, "rpm": swing(1800, 1000, 90_000)}
            frame |= {f"cht{n}": swing(380, 60, 50_000 + 9_000 * n) for n in range(4)}
            frame |= {"oil_temp": swing(200, 50, 120_000), "volts": swing(13, 1.5, 70_000)}
            log.write(pl.DataFrame(frame).write_csv(include_header=False).encode("ascii"))
            rows += _PIECE
    return rows


def measured(megabytes: int, busy: bool, environment: dict[str, str] | None = None) -> dict[str, float]:
    """`size` (of the log, in MB), `rows`, `seconds`, `peak` (of the process, in MiB), `said` (characters)."""
    with tempfile.TemporaryDirectory() as folder:
        rules, log = Path(folder, "size.alert"), Path(folder, "log.csv")
        rules.write_text(RULES, encoding="utf-8")
        rows = write_log(log, megabytes, busy)
        size = log.stat().st_size / 1e6
        command = [sys.executable, "-m", "alertlang", "replay", str(rules), str(log)]
        # A run of more than a day is asked about.
        command += ["--accept-log", "time-doubtful"]
        began = perf_counter()
        ended = subprocess.run(command, capture_output=True, text=True, check=False, env=environment or os.environ)
        seconds = perf_counter() - began
        assert ended.returncode == 0, ended.stdout[-2000:] + ended.stderr[-2000:]
        peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
        return {"size": size, "rows": rows, "seconds": seconds, "peak": peak, "said": len(ended.stdout)}


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("megabytes", type=int)
    parser.add_argument("--busy", action="store_true")
    asked = parser.parse_args()
    sys.stdout.write(json.dumps(measured(asked.megabytes, asked.busy)) + "\n")
