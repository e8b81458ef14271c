"""Recorded runs of a real engine: two stand in `tests/data`, the others may lie beside the checkout."""

from __future__ import annotations

from pathlib import Path

import pytest
from _pytest.mark import ParameterSet

_HERE = Path(__file__).parents[1] / "data"
_BESIDE = Path(__file__).parents[3] / "shared" / "data" / "engine-logs"
NAMES = (
    "drive12", "drive5", "drive7", "idle1", "idle13", "idle2", "idle8", "live1", "live10", "live12", "live17", "live25",
    "long9",
)  # fmt: skip


def runs(*names: str) -> list[ParameterSet]:
    """Cases of a test, one for each run; all thirteen if none is named. Those that are not in the checkout are marked
    `shared`, and left out unless they are asked for."""
    return [pytest.param(name, marks=() if _is_here(name) else pytest.mark.shared) for name in names or NAMES]


def path_of(name: str) -> Path:
    """The file of a run; the test is skipped where it is not on this machine."""
    folder = _HERE if _is_here(name) else _BESIDE
    path = folder / f"{name}.csv"
    if not path.is_file():
        pytest.skip(f"the recorded run {name} is not beside the checkout: it is not published here")
    return path


def _is_here(name: str) -> bool:
    return (_HERE / f"{name}.csv").is_file()
