"""The results of a fleet as Parquet and as CSV. Numbers are doubles there, next to what is exact: for up to fifteen
digits that is the number itself."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from alertlang.fleet.log import LogResult
from alertlang.replay.metrics import DEFINITIONS, Metrics
from alertlang.results.fleet import FleetLog
from alertlang.text.cells import guarded

if TYPE_CHECKING:
    import polars as pl

# By table and column: text, count, number or names, and what it is.
_Columns = Mapping[str, tuple[str, str]]

_LOG: _Columns = {
    "log": ("text", "the log, as it was named"),
    "aircraft": ("text", "which aircraft it is of: the folder it lies in, or what --aircraft finds in its path"),
    "began": ("text", "date and time at which it begins, by its own clock; empty where that has no dates"),
}
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
_COUNTS = frozenset({"worst_10_min", "floods", "most_repeats"})
RESULTS: _Columns = {
    **_LOG,
    "sha256": ("text", "of the bytes of the file"),
    "failed": ("text", "why it could not be used; then all numbers are empty"),
    "same_as": ("text", "the log that is the same recording and counts for both; then all numbers are empty"),
    "doubts": ("names", "what makes it say less than it seems to"),
    "rows": ("count", "rows under its heading"),
    "samples": ("count", "rows that count"),
    "segments": ("count", "stretches in which time runs forward"),
    "seconds": ("number", "seconds recorded"),
    "problems": ("count", "kinds of what was not as it should be"),
    "alerts": ("count", "times that an alert came up"),
    "warnings": ("count", "of these, warnings"),
    "limits_broken": ("count", "times that a limit was broken for longer than it allows"),
    "limits_broken_seconds": ("number", "seconds of these in all"),
    **{name: ("count" if name in _COUNTS else "number", DEFINITIONS[name].words) for name in _METRICS},
    **{name: ("names", DEFINITIONS[name].words) for name in _NAMES},
}
_TIME: _Columns = {
    "segment": ("count", "the stretch of the log, from 1"),
    "start": ("number", "seconds, as the log counts them"),
    "end": ("number", "likewise; empty where it was still so at the last sample"),
    "seconds": ("number", "how long it was, up to the last sample at most"),
}
_WORST: _Columns = {
    "reading": ("text", "what was looked at; empty where that is no single reading"),
    "worst": ("number", "the worst that was read meanwhile"),
    "unit": ("text", "the unit of it"),
}
ALERTS: _Columns = {
    **_LOG,
    "statement": ("text", "the label of the statement"),
    "element": ("count", "of an array, from 1"),
    "text": ("text", "what was shown"),
    "level": ("text", "warning, caution or advisory"),
    **_TIME,
    "acknowledged": ("number", "when a button that acknowledges was first pressed meanwhile, in seconds"),
    **_WORST,
}
LIMITS: _Columns = {
    **_LOG,
    "limit": ("text", "the label of the limit, or of the range to avoid"),
    "element": ("count", "of an array, from 1"),
    **_TIME,
    **_WORST,
    "past": ("number", "by how much it was past the limit then, in the same unit"),
}
TABLES = {
    "results": ("one row for each log", RESULTS),
    "alerts": ("one row for each time that an alert was up; of a recording that is there twice, once", ALERTS),
    "limits": ("one row for each time that a limit was broken for longer than it allows; likewise", LIMITS),
}


def results_table(rows: Sequence[tuple[FleetLog, Metrics | None]]) -> dict[str, bytes]:
    """One row for each log, in the order given; a failed one, and a copy of another, has no numbers. By format."""
    return _written(RESULTS, [[_cell(name, log, metrics) for name in RESULTS] for log, metrics in rows])


def _cell(name: str, log: FleetLog, metrics: Metrics | None) -> Any:
    if metrics is None and name not in (*_LOG, "sha256", "failed", "same_as"):
        return None
    return getattr(metrics if name in (*_METRICS, *_NAMES) else log, name)


def alerts_table(logs: Sequence[tuple[FleetLog, LogResult]]) -> dict[str, bytes]:
    """One row for each time an alert was up. By format."""
    return _written(ALERTS, [_of_log(ALERTS, log, up) for log, result in logs for up in result.alerts])


def limits_table(logs: Sequence[tuple[FleetLog, LogResult]]) -> dict[str, bytes]:
    """One row for each time a limit was broken. By format."""
    return _written(LIMITS, [_of_log(LIMITS, log, broken) for log, result in logs for broken in result.broken])


def _of_log(columns: _Columns, log: FleetLog, row: object) -> list[Any]:
    return [getattr(log if name in _LOG else row, name) for name in columns]


def columns_page() -> str:
    """What the columns of all tables are, as Markdown."""
    kinds = {"text": "text", "count": "whole number", "number": "number (double)", "names": "list of texts"}
    parts = [
        "# Results of a fleet\n\nThe same tables as Parquet and as CSV. In the CSV a list of texts is one text, with "
        "`; ` between them, and what a spreadsheet would take for a formula has an apostrophe before it. Times are "
        "seconds.\n"
    ]
    for name, (what, columns) in TABLES.items():
        rows = [f"| `{column}` | {kinds[kind]} | {words} |" for column, (kind, words) in columns.items()]
        head = f"\n## {name}.parquet, {name}.csv\n\n{what[0].upper()}{what[1:]}.\n\n| column | kind | what it is |\n"
        parts.append(head + "|---|---|---|\n" + "\n".join(rows) + "\n")
    return "".join(parts)


def _written(columns: _Columns, rows: Sequence[Sequence[Any]]) -> dict[str, bytes]:
    import polars as pl

    kinds = {"text": pl.String, "count": pl.Int64, "number": pl.Float64, "names": pl.List(pl.String)}
    schema: dict[str, Any] = {name: kinds[kind] for name, (kind, _) in columns.items()}
    data = {name: [_plain(row[place]) for row in rows] for place, name in enumerate(columns)}
    frame = pl.DataFrame(data, schema)
    flat = []
    for name, (kind, _) in columns.items():
        if kind in ("names", "text"):
            cells = [None if cell is None else "; ".join(cell) if kind == "names" else cell for cell in data[name]]
            flat.append(pl.Series(name, [None if cell is None else guarded(cell) for cell in cells], pl.String))
    return {"parquet": _parquet(frame), "csv": _csv(frame.with_columns(*flat))}


def _plain(value: Any) -> Any:
    if isinstance(value, Fraction):
        return float(value)
    return list(value) if isinstance(value, tuple) else value


def _parquet(frame: pl.DataFrame) -> bytes:
    written = io.BytesIO()
    # One group of rows: how many there are must not depend on how many threads write them.
    frame.write_parquet(written, compression="zstd", row_group_size=max(1, frame.height))
    return written.getvalue()


def _csv(frame: pl.DataFrame) -> bytes:
    return frame.write_csv(line_terminator="\n").encode("utf-8")
