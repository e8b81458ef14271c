"""The results of a fleet as Parquet. Numbers are doubles there, next to what is exact: for up to fifteen digits that is
the number itself."""

from __future__ import annotations

import io
from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from alertlang.fleet.log import LogResult
from alertlang.replay.metrics import Metrics
from alertlang.results.fleet import FleetLog

if TYPE_CHECKING:
    import polars as pl

_METRICS = (
    "alerts_per_hour",
    "worst_10_min",
    "floods",
    "flood_share",
    "warning_share",
    "longest_up",
    "longest_unacknowledged",
    "most_repeats",
    "top_share",
)
_NAMES = ("chattering", "fleeting", "stale")
_LOG = ("log", "sha256", "failed", "same_as", "rows", "samples", "segments", "seconds", "problems", "alerts")
_TEXTS = frozenset({"log", "sha256", "failed", "same_as"})
_LIMITS = ("limits_broken", "limits_broken_seconds")


def results_table(rows: Sequence[tuple[FleetLog, Metrics | None]]) -> bytes:
    """One row for each log, in the order given; a failed one, and a copy of another, has no numbers."""
    import polars as pl

    texts, counts = _TEXTS, {"rows", "samples", "segments", "problems", "alerts", "limits_broken"}
    counts |= {"worst_10_min", "floods", "most_repeats"}
    schema: dict[str, Any] = {}
    data: dict[str, list[Any]] = {}
    for name in (*_LOG, *_LIMITS, *_METRICS):
        schema[name] = pl.String if name in texts else pl.Int64 if name in counts else pl.Float64
        data[name] = [_cell(name, log, metrics, schema[name] == pl.Float64) for log, metrics in rows]
    for name in _NAMES:
        schema[name] = pl.List(pl.String)
        data[name] = [None if metrics is None else list(getattr(metrics, name)) for _, metrics in rows]
    return _parquet(pl.DataFrame(data, schema))


def _cell(name: str, log: FleetLog, metrics: Metrics | None, number: bool) -> Any:
    if name in _TEXTS:
        return getattr(log, name)
    if metrics is None:
        return None
    value = getattr(metrics, name) if name in _METRICS else getattr(log, name)
    return _near(value) if number else value


def alerts_table(logs: Sequence[tuple[str, LogResult]]) -> bytes:
    """One row for each time an alert was up."""
    import polars as pl

    schema: dict[str, Any] = {
        "log": pl.String,
        "segment": pl.Int64,
        "statement": pl.String,
        "element": pl.Int64,
        "text": pl.String,
        "level": pl.String,
        "start": pl.Float64,
        "end": pl.Float64,
        "seconds": pl.Float64,
        "acknowledged": pl.Float64,
        "reading": pl.String,
        "worst": pl.Float64,
        "unit": pl.String,
    }
    data: dict[str, list[Any]] = {name: [] for name in schema}
    for log, kept in logs:
        for up in kept.alerts:
            data["log"].append(log)
            for name, kind in schema.items():
                if name != "log":
                    value = getattr(up, name)
                    data[name].append(_near(value) if kind == pl.Float64 else value)
    return _parquet(pl.DataFrame(data, schema))


def _near(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


def _parquet(frame: pl.DataFrame) -> bytes:
    written = io.BytesIO()
    # One group of rows: how many there are must not depend on how many threads write them.
    frame.write_parquet(written, compression="zstd", row_group_size=max(1, frame.height))
    return written.getvalue()
