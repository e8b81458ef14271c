"""What the readings of a log came to, each in its quantity's unit, and what makes one of them doubtful."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from alertlang.logs.table import exact
from alertlang.logs.tally import Tally
from alertlang.model import ruleset as m
from alertlang.replay.bind import Binding, elements
from alertlang.results.replay import Reading
from alertlang.units.number import show_number
from alertlang.units.unit import UNITS, Unit, convert, convert_difference

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SAMPLE = 8192
"""At most so many rows of each column are kept to judge its unit by, evenly over the log."""

FEW, MOST = Fraction(1, 10), Fraction(1, 2)
"""A unit is doubtful where at most `FEW` of what was read makes sense in it, and in another at least `MOST` would. A
column is mostly failed where more than `MOST` of it is. Common practice, no source."""


class Readings:
    """Takes the rows of a log as they come. The same whatever the size of a block."""

    def __init__(self, ruleset: m.RuleSet, numbers: tuple[Binding, ...]) -> None:
        self._ruleset, self._numbers = ruleset, numbers
        self._ends: dict[str, tuple[float, float]] = {}
        self._failed: dict[str, int] = {}
        self._rows = 0
        self._stride = 1
        self._kept: dict[str, NDArray[Any]] = {}

    def sample(self, rows: NDArray[np.int64], raw: Mapping[str, NDArray[np.float64]]) -> None:
        """Numbers as they stand in the log, in the sensor's range or not. `rows`: one after the other."""
        import numpy as np

        if not len(rows):
            return
        start = -(int(rows[0]) - 1) % self._stride
        some = {"": rows[start :: self._stride]} | {key: one[start :: self._stride] for key, one in raw.items()}
        if self._kept:
            some = {key: np.concatenate((self._kept[key], one)) for key, one in some.items()}
        while len(some[""]) > SAMPLE:
            self._stride *= 2
            chosen = (some[""] - 1) % self._stride == 0
            some = {key: one[chosen] for key, one in some.items()}
        # Not parts of a block, which would keep all of it.
        self._kept = {key: one if self._kept else one.copy() for key, one in some.items()}

    def add(self, fields: Mapping[str, Any]) -> None:
        """Rows with a time, as they are used: NaN where failed."""
        import numpy as np

        self._rows += len(fields["#rows"])
        for one in self._numbers:
            numbers = fields["n" + one.name]
            if not len(numbers):
                continue
            failed = 0
            low, high = numbers.min(), numbers.max()
            if low != low:
                failed = int(np.isnan(numbers).sum())
                low = np.fmin.reduce(numbers, initial=np.inf)
                high = np.fmax.reduce(numbers, initial=-np.inf)
            self._failed[one.name] = self._failed.get(one.name, 0) + failed
            known = self._ends.get(one.name, (np.inf, -np.inf))
            self._ends[one.name] = min(known[0], float(low)), max(known[1], float(high))

    def tell(self, tally: Tally) -> None:
        """Columns that are mostly failed, and units that are doubtful."""
        for one in self._numbers:
            failed = self._failed.get(one.name, 0)
            if failed > self._rows * MOST:
                words = (
                    f"{_percent(Fraction(failed, self._rows))} of {one.name}, read in {_named(one.unit)}, is failed: "
                    "nothing is known of it there, and no limit on it is seen to break; look at the column and its unit"
                )
                tally.add("mostly-failed", failed, None, one.column, words)
            self._unit(one, tally)

    def _unit(self, one: Binding, tally: Tally) -> None:
        import numpy as np

        numbers = self._kept.get(one.name)
        if numbers is None:
            return
        numbers = numbers[np.isfinite(numbers)]
        if not len(numbers):
            return
        name, _, element = one.name.rstrip("]").partition("[")
        quantity = self._ruleset.quantities[name]
        wanted = _sensible(quantity, int(element) if element else None, self._ruleset)
        change = convert_difference if quantity.difference else convert
        shares = {}
        for unit in UNITS.values():
            if unit.dimension == quantity.unit.dimension:
                zero = change(Fraction(0), unit, quantity.unit)
                values = numbers * float(change(Fraction(1), unit, quantity.unit) - zero) + float(zero)
                inside = np.zeros(len(values), np.bool_)
                for low, high in wanted:
                    inside |= (values >= low) & (values <= high)
                shares[unit.name] = Fraction(int(inside.sum()), len(values))
        mine = shares.get(one.unit.name, MOST)
        best = max(shares, key=lambda name: shares[name], default="")
        if mine <= FEW and shares[best] >= MOST:
            words = (
                f"read in {_named(one.unit)}, {_percent(mine)} of {one.name} is where it is meant to be (in the "
                f"sensor's range, in green or normal); read in {best} it would be {_percent(shares[best])}: is its "
                f"unit {best}? A wrong unit hides what is past a limit"
            )
            tally.add("unit-doubtful", 1, None, one.column, words)

    def used(self) -> tuple[Reading, ...]:
        """Every reading that a column can feed, in the order of declaration."""
        return tuple(self._used())

    def _used(self) -> Iterator[Reading]:
        by_name = {one.name: one for one in self._numbers}
        for name, quantity in elements(self._ruleset):
            one = by_name.get(name)
            if one is None:
                yield Reading(name, None, None, quantity.unit, None, None, self._rows, self._rows)
                continue
            low, high = self._ends.get(name, (1.0, 0.0))
            ends = [None if low > high else one.scale * exact(end) + one.offset for end in (low, high)]
            failed = self._failed.get(name, 0)
            yield Reading(name, one.column, one.unit, quantity.unit, ends[0], ends[1], self._rows, failed)


def _sensible(quantity: m.Quantity, index: int | None, ruleset: m.RuleSet) -> list[tuple[float, float]]:
    """Where the quantity is when all is well: what is green or normal in some case, else the sensor's range."""
    low, high = float(quantity.low), float(quantity.high)
    regions = [
        band.region
        for band in ruleset.bands_by_quantity[quantity.name]
        if band.colour is m.Colour.GREEN and band.index in (None, index)
    ]
    regions += [
        one.region
        for one in ruleset.ranges_by_quantity[quantity.name]
        if one.kind == "normal" and one.index in (None, index)
    ]
    found = []
    for region in regions:
        for part in region.values.parts:
            begin = low if part.low is None else max(low, float(part.low))
            end = high if part.high is None else min(high, float(part.high))
            if begin <= end:
                found.append((begin, end))
    return found or [(low, high)]


def _named(unit: Unit) -> str:
    return unit.name or "plain numbers"


def _percent(share: Fraction) -> str:
    """Whole percents; not all and not nothing where it is neither."""
    whole = round(share * 100)
    if whole == 100 and share < 1:
        return "more than 99 %"
    return "less than 1 %" if whole == 0 and share else f"{show_number(Fraction(whole))} %"
