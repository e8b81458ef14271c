"""Cells to numbers, positions and presses; what is none of these is counted, and failed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from alertlang.logs.bind import Binding
from alertlang.logs.csv_rows import CsvRows
from alertlang.logs.table import Column
from alertlang.logs.tally import Tally

if TYPE_CHECKING:
    import numpy as np
    import polars as pl
    from numpy.typing import NDArray

_AROUND = " \t\r\"'\u00a0"
_PRESSED = frozenset({"true", "on", "yes", "pressed", "down", "x"})
_NOT_PRESSED = frozenset({"", "false", "off", "no", "released", "up"})


class NumericColumns:
    """Numeric columns of one log."""

    def __init__(self, decimal: str, thousands: str | None, tally: Tally) -> None:
        self._decimal, self._thousands, self._tally = decimal, thousands, tally

    def read(
        self, block: CsvRows, place: int, column: str, keep: NDArray[np.bool_] | None, *, held: bool = False
    ) -> NDArray[np.float64]:
        """The numbers of a column, NaN where there is none. `keep`: rows that are rows at all, for counting. `held`:
        empty cells are told by who fills them."""
        import numpy as np
        import polars as pl

        series = block.table[f"c{place}"]
        # polars takes a point for a decimal sign beside the comma, and both may part thousands.
        if series.dtype != pl.Float64 or series.null_count() or self._thousands is not None or self._decimal == ",":
            texts = block.texts([place])[f"c{place}"]
            series = self._patiently(texts, block, column, keep, held)
        numbers = series.to_numpy()
        if numbers.dtype != np.float64:
            numbers = numbers.astype(np.float64)
        if len(numbers) and not np.isfinite(numbers.sum()):
            odd = ~np.isfinite(numbers)
            if series.null_count():
                odd &= ~series.is_null().to_numpy()
            if odd.any():
                self._told("not-finite", odd, block, column, "cells hold no number that ends (NaN, inf): failed")
                numbers = np.where(np.isinf(numbers), np.nan, numbers)
        if block.long_numbers:
            long = _has_many_digits(block.texts([place])[f"c{place}"]) & ~np.isnan(numbers)
            self._told(
                "many-digits", long, block, column, "numbers have more than fifteen digits: the nearest of those"
            )
        return numbers

    def time(self, block: CsvRows, place: int, column: str) -> tuple[NDArray[np.float64], NDArray[Any] | None]:
        """The same of the column of time, where what is no number is told as no time and not here; and what is written
        there, with a point for the decimal sign, where numbers do not hold all of it."""
        found = NumericColumns(self._decimal, self._thousands, Tally()).read(block, place, column, None)
        if not block.long_numbers:
            return found, None
        texts = block.texts([place])[f"c{place}"]
        if not _has_many_digits(texts).any():
            return found, None
        bare = texts.str.strip_chars(_AROUND)
        if self._thousands is not None:
            bare = bare.str.replace_all(self._thousands, "", literal=True)
        return found, bare.str.replace(self._decimal, ".", literal=True).to_numpy()

    def _patiently(
        self, texts: pl.Series, block: CsvRows, column: str, keep: NDArray[np.bool_] | None, held: bool
    ) -> pl.Series:
        import polars as pl

        bare = texts.str.strip_chars(_AROUND)
        empty = (bare.fill_null("") == "").to_numpy()
        if keep is not None:
            empty = empty & keep
        if not held:
            self._told("empty-cell", empty, block, column, "cells are empty: failed")
        if self._thousands is not None:
            sign = "\\" + self._thousands
            whole = rf"^[-+]?\d{{1,3}}(?:{sign}\d{{3}})+(?:\{self._decimal}\d*)?$"
            parted = bare.str.replace_all(self._thousands, "", literal=True)
            bare = bare.zip_with(~bare.str.contains(whole).fill_null(False), parted)
        if self._decimal == ",":
            # A point is no sign of a number here.
            bare = bare.str.replace_all(".", "#", literal=True).str.replace_all(",", ".", literal=True)
        numbers = bare.cast(pl.Float64, strict=False)
        odd = (numbers.is_null() & (bare.fill_null("") != "")).to_numpy()
        self._told("not-a-number", odd, block, column, "cells hold something else than a number: failed")
        return numbers

    def _told(self, kind: str, mask: NDArray[np.bool_], block: CsvRows, column: str, words: str) -> None:
        if mask.any():
            self._tally.add(kind, int(mask.sum()), block.first + int(mask.argmax()), column, words)

    def in_range(self, numbers: NDArray[np.float64], binding: Binding, block: CsvRows) -> NDArray[np.float64]:
        """The same, NaN where outside the sensor's range; compared exactly."""
        import numpy as np

        column = Column(numbers, binding.scale, binding.offset)
        low, low_side = column.compared(binding.low)
        high, high_side = column.compared(binding.high)
        least, most = np.fmin.reduce(numbers, initial=np.inf), np.fmax.reduce(numbers, initial=-np.inf)
        if least > low and most < high:
            return numbers
        outside = (numbers < low) | (numbers > high)
        if low_side < 0:
            outside |= numbers == low
        if high_side > 0:
            outside |= numbers == high
        if not outside.any():
            return numbers
        self._told(
            "out-of-range", outside, block, binding.column, f"cells are outside the range of {binding.name}: failed"
        )
        return np.where(outside, np.nan, numbers)


def _has_many_digits(texts: pl.Series) -> NDArray[np.bool_]:
    digits = texts.str.strip_chars().str.replace(r"[eE].*$", "").str.replace_all(r"[^0-9]", "")
    digits = digits.str.strip_chars_start("0").str.strip_chars_end("0")
    found: NDArray[np.bool_] = (digits.str.len_bytes() > 15).fill_null(False).to_numpy()
    return found


def empty_cells(block: CsvRows, place: int) -> NDArray[np.bool_]:
    texts = block.texts([place])[f"c{place}"]
    found: NDArray[np.bool_] = (texts.str.strip_chars(_AROUND).fill_null("") == "").to_numpy()
    return found


def positions(
    block: CsvRows, place: int, column: str, table: Mapping[str, int], tally: Tally, *, held: bool = False
) -> tuple[NDArray[np.int8], NDArray[np.bool_]]:
    """The number of the position in each row, -1 where the cell says none, and where it is empty and that is no
    position. `held`: as in `NumericColumns.read`."""
    import numpy as np

    numeric = {number: at for text, at in table.items() if (number := _number(text)) is not None}

    def meant(text: str) -> int:
        if not text.strip(_AROUND):
            return table.get(text, -2)
        number = _number(text)
        return table.get(text, -1 if number is None else numeric.get(number, -1))

    found = _mapped(block, place, meant).astype(np.int8)
    empty, odd = found == -2, found == -1
    words = "cells name no position of the switch: unknown"
    tally.add("unknown-position", int(odd.sum()), block.first + int(odd.argmax()), column, words)
    if not held:
        blank = empty if block.empty is None else empty & ~block.empty
        tally.add("empty-cell", int(blank.sum()), block.first + int(blank.argmax()), column, "cells are empty: unknown")
    return np.maximum(found, -1), empty


def pressed(block: CsvRows, place: int, column: str, tally: Tally) -> NDArray[np.bool_]:
    """Where a button is held down. What is no clear press is none: a press can take a warning away."""

    def meant(text: str) -> int:
        number = _number(text)
        if number is not None:
            return -1 if number != number else int(number != 0)
        return 1 if text.casefold() in _PRESSED else 0 if text.casefold() in _NOT_PRESSED else -1

    found = _mapped(block, place, meant)
    odd = found < 0
    words = "cells say neither pressed nor not: taken as not pressed"
    tally.add("unknown-press", int(odd.sum()), block.first + int(odd.argmax()) if odd.any() else None, column, words)
    return found > 0


def marked(block: CsvRows, place: int) -> NDArray[np.bool_]:
    """Rows that the pilot marked: the cell holds something, and neither 0 nor a no."""
    return _mapped(block, place, lambda text: int(is_mark(text))) > 0


def is_mark(text: str) -> bool:
    number = _number(text)
    return text.casefold() not in _NOT_PRESSED - {"up"} if number is None else number != 0


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def _mapped(block: CsvRows, place: int, meaning: object) -> NDArray[np.int64]:
    """A number for each row, by what is written there; each text is looked at once."""
    import polars as pl

    texts = block.table[f"c{place}"].cast(pl.String).str.strip_chars(' \t\r"').fill_null("")
    known = texts.unique(maintain_order=True).to_list()
    assert callable(meaning)
    return texts.replace_strict(known, [meaning(one) for one in known], return_dtype=pl.Int64).to_numpy()
