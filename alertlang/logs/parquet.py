"""A Parquet log, some rows at a time."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang.logs.csv_rows import CsvRows
from alertlang.logs.log_error import LogError
from alertlang.logs.opened import HowFar

if TYPE_CHECKING:
    import polars as pl


def is_parquet(path: Path) -> bool:
    """By its name, or by how it begins."""
    if path.suffix.casefold() in (".parquet", ".pq"):
        return True
    try:
        with path.open("rb") as opened:
            return opened.read(4) == b"PAR1"
    except OSError:
        return False


def parquet_names(path: Path, shown: str) -> tuple[str, ...]:
    """The names of its columns; LogError if it cannot be read."""
    import polars as pl

    try:
        if path.is_dir():
            raise LogError(shown, "is a folder, not a log", "name the files in it")
        return tuple(pl.read_parquet_schema(path))
    except (OSError, pl.exceptions.PolarsError) as problem:
        raise LogError(shown, f"cannot be read as Parquet: {str(problem).splitlines()[0]}", "write it again") from None


def parquet_cells(path: Path, name: str, rows: int = 200) -> list[str]:
    """What is written in a column of text in the first rows; nothing where it is none."""
    import polars as pl

    try:
        found = pl.scan_parquet(path).select(pl.col(name)).head(rows).collect()[name]
    except (OSError, pl.exceptions.PolarsError):  # told when it is read
        return []
    return found.drop_nulls().to_list() if found.dtype == pl.String else []


def parquet_blocks(
    path: Path,
    shown: str,
    names: tuple[str, ...],
    numeric: set[int],
    texts: set[int],
    rows: int,
    exact: int | None = None,
    far: HowFar | None = None,
) -> Iterator[CsvRows]:
    """The wanted columns: numbers as doubles, times as microseconds, all else as text. `exact`: the place of a column
    whose whole numbers are left as text where a double would not hold them. `far` is told how far it is."""
    import polars as pl

    wanted = sorted(numeric | texts)
    first = 1
    frame = pl.scan_parquet(path).select(pl.col(names[i]).alias(f"c{i}") for i in wanted)
    while True:
        try:
            part = frame.slice(first - 1, rows).collect()
        except (OSError, pl.exceptions.PolarsError) as problem:
            raise LogError(shown, f"cannot be read as Parquet: {str(problem).splitlines()[0]}") from None
        if not part.height:
            return
        if far is not None:
            far.size = far.size or pl.scan_parquet(path).select(pl.len()).collect().item()
            far.read = first - 1 + part.height
        long = any(part[name].dtype.is_integer() and _long(part[name]) for name in part.columns)
        table = part.with_columns(
            part[f"c{i}"].cast(pl.String)
            if i == exact and part[f"c{i}"].dtype.is_integer() and _long(part[f"c{i}"])
            else _number(part[f"c{i}"])
            for i in sorted(numeric - texts)
        )
        yield CsvRows(table, first, None, None, long)
        first += part.height


def _number(series: pl.Series) -> pl.Series:
    import polars as pl

    kind = series.dtype
    if kind.is_temporal():
        return series
    if kind == pl.Boolean or kind.is_integer() or kind == pl.Float64:
        return series.cast(pl.Float64)
    if kind == pl.Float32 or kind.is_decimal():
        # By way of what is written: the single nearest to 0.1 means 0.1.
        return series.cast(pl.String).cast(pl.Float64, strict=False)
    return series.cast(pl.String, strict=False)


def _long(series: pl.Series) -> bool:
    import polars as pl

    wide = series.cast(pl.Int64, strict=False).abs().max()
    return isinstance(wide, int) and wide >= 10**15
