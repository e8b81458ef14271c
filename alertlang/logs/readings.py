"""What the readings of a log came to, each in its quantity's unit, and what makes one of them doubtful."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from alertlang.logs.bind import Binding
from alertlang.logs.holds import is_on_change, steady_hold
from alertlang.logs.table import exact
from alertlang.logs.tally import Tally
from alertlang.logs.wanted import Wanted
from alertlang.results.replay import ReadingUse
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

OFTEN = Fraction(1, 20)
"""What an alert or a limit goes by is failed too often where more than this of the samples are. Common practice, no
source."""

STILL = 100
"""A value that is the same in so many rows is told: so looks a sensor that is stuck. Common practice, no source."""


class Readings:
    """Takes the rows of a log as they come. The same whatever the size of a block."""

    def __init__(self, wanted: Wanted, numbers: tuple[Binding, ...], switches: Mapping[str, str]) -> None:
        """`switches`: the column of each that has one."""
        self._wanted, self._numbers, self._switches = wanted, numbers, switches
        self._unknown = dict.fromkeys(switches, 0)
        # Of what is not held over: how many cells are empty, and the first rows (ticks, values, where empty).
        self._blank: dict[str, int] = {}
        self._first: dict[str, list[NDArray[Any]]] = {}
        self._tick = Fraction(1)
        # Of rows that do not count, as a later one has their time.
        self._left = 0
        self._left_failed: dict[str, int] = {}
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
        some = {"": rows[start :: self._stride]} | {key: array[start :: self._stride] for key, array in raw.items()}
        if self._kept:
            some = {key: np.concatenate((self._kept[key], array)) for key, array in some.items()}
        while len(some[""]) > SAMPLE:
            self._stride *= 2
            chosen = (some[""] - 1) % self._stride == 0
            some = {key: array[chosen] for key, array in some.items()}
        # Not parts of a block, which would keep all of it.
        self._kept = {key: array if self._kept else array.copy() for key, array in some.items()}

    def written(self, fields: Mapping[str, Any], blank: Mapping[str, NDArray[np.bool_]], tick: Fraction) -> None:
        """Rows with a time. `blank`: where cells are empty, of each reading and switch that is not held over and has
        some in these rows or may have."""
        import numpy as np

        self._tick = tick
        height = len(fields["#rows"])
        for key, name in (
            *(("n" + number.name, number.name) for number in self._numbers),
            *(("s" + name, name) for name in self._switches),
        ):
            empty = blank.get(name, np.zeros(height, np.bool_))
            self._blank[name] = self._blank.get(name, 0) + int(empty.sum())
            kept = self._first.setdefault(
                name, [np.zeros(0, array.dtype) for array in (fields["#ticks"], fields[key], empty)]
            )
            room = SAMPLE - len(kept[0])
            if room > 0:
                parts = (fields["#ticks"], fields[key], empty)
                self._first[name] = [np.concatenate((old, new[:room])) for old, new in zip(kept, parts, strict=True)]

    def add(self, fields: Mapping[str, Any]) -> None:
        """Rows with a time, as they are used: NaN where failed."""
        import numpy as np

        self._rows += len(fields["#rows"])
        for binding in self._numbers:
            numbers = fields["n" + binding.name]
            if not len(numbers):
                continue
            failed = 0
            low, high = numbers.min(), numbers.max()
            if low != low:
                failed = int(np.isnan(numbers).sum())
                low = np.fmin.reduce(numbers, initial=np.inf)
                high = np.fmax.reduce(numbers, initial=-np.inf)
            self._failed[binding.name] = self._failed.get(binding.name, 0) + failed
            known = self._ends.get(binding.name, (np.inf, -np.inf))
            self._ends[binding.name] = min(known[0], float(low)), max(known[1], float(high))
        for name in self._switches:
            self._unknown[name] += int((fields["s" + name] < 0).sum())

    def leave_out(self, fields: Mapping[str, Any]) -> None:
        """Rows of those that are no samples after all."""
        import numpy as np

        self._left += len(fields["#rows"])
        for binding in self._numbers:
            failed = int(np.isnan(fields["n" + binding.name]).sum())
            self._left_failed[binding.name] = self._left_failed.get(binding.name, 0) + failed
        for name in self._switches:
            failed = int((fields["s" + name] < 0).sum())
            self._left_failed[name] = self._left_failed.get(name, 0) + failed

    def tell(self, tally: Tally) -> None:
        """Columns that are failed too much, units that are doubtful, values that never change."""
        for binding in self._numbers:
            failed = self._failed.get(binding.name, 0)
            said = f"{binding.name}, read in {_named(binding.unit)}, is failed"
            if failed > self._rows * MOST:
                words = (
                    f"{_percent(Fraction(failed, self._rows))} of {said}: nothing is known of it there, and no limit "
                    "on it is seen to break; look at the column and its unit"
                )
                words += self._hold_words(binding.name, failed)
                tally.add("mostly-failed", failed, None, binding.column, words)
            else:
                self._often(binding.name, binding.column, failed, said, tally)
            low, high = self._ends.get(binding.name, (0.0, 1.0))
            if low == high and self._rows - failed >= STILL:
                words = f"{binding.name} has the same value in every row: a sensor that is stuck looks like that"
                tally.add("never-changes", self._rows - failed, None, binding.column, words)
            self._unit(binding, tally)
        for name, column in self._switches.items():
            unknown = self._unknown[name]
            if unknown == self._rows:
                words = (
                    f"no cell names a position of {name}, which is unknown throughout: look at its positions in the map"
                )
                tally.add("no-position", unknown, None, column, words)
            else:
                self._often(name, column, unknown, f"{name} names no position", tally)

    def _often(self, name: str, column: str, failed: int, said: str, tally: Tally) -> None:
        if name not in self._wanted.judged:
            return
        samples, lost = self._rows - self._left, failed - self._left_failed.get(name, 0)
        if lost > samples * OFTEN:
            words = f"in {_percent(Fraction(lost, samples))} of the samples {said}: what goes by it is not judged there"
            words += self._hold_words(name, failed)
            tally.add("often-failed", lost, None, column, words)

    def _hold_words(self, name: str, failed: int) -> str:
        """What would mend it in the map, where most of what is failed are empty cells."""
        import numpy as np

        blank = self._blank.get(name, 0)
        if blank * 2 <= failed:
            return ""
        said = f". {blank} of its {self._rows} cells are empty"
        ticks, values, empty = self._first[name]
        if name in self._switches:
            shown = np.where(empty, -1, values).tolist()
            if is_on_change(shown, (~empty).tolist()):
                return (
                    f"{said}, and each that is written differs from the one before: if it is written only where it "
                    f'changes, write hold = "until changed" for {name} in the column map'
                )
        steady = steady_hold(ticks * float(self._tick), ~empty)
        if steady is not None:
            hold, usual = (show_number(seconds) for seconds in steady)
            return f'{said}, and it is written every {usual} s: write hold = "{hold} s" for {name} in the column map'
        return (
            f'{said}: if it is written only where it changes, write hold = "until changed" for {name} in the column '
            'map; if every so often, for how long it stands, as hold = "2 s"'
        )

    def _unit(self, binding: Binding, tally: Tally) -> None:
        import numpy as np

        numbers = self._kept.get(binding.name)
        if numbers is None:
            return
        numbers = numbers[np.isfinite(numbers)]
        if not len(numbers):
            return
        wanted = next(reading for reading in self._wanted.readings if reading.name == binding.name)
        change = convert_difference if wanted.difference else convert
        shares = {}
        for unit in UNITS.values():
            if unit.dimension == wanted.unit.dimension:
                zero = change(Fraction(0), unit, wanted.unit)
                with np.errstate(over="ignore"):  # what overflows is in no range
                    values = numbers * float(change(Fraction(1), unit, wanted.unit) - zero) + float(zero)
                inside = np.zeros(len(values), np.bool_)
                for low, high in wanted.sensible:
                    inside |= (values >= low) & (values <= high)
                shares[unit.name] = Fraction(int(inside.sum()), len(values))
        mine = shares.get(binding.unit.name, MOST)
        best = max(shares, key=lambda name: shares[name], default="")
        if mine <= FEW and shares[best] >= MOST:
            words = (
                f"read in {_named(binding.unit)}, {_percent(mine)} of {binding.name} is where it is meant to be (in "
                "the "
                f"sensor's range, in green or normal); read in {best} it would be {_percent(shares[best])}: is its "
                f"unit {best}? A wrong unit hides what is past a limit"
            )
            tally.add("unit-doubtful", 1, None, binding.column, words)

    def used(self) -> tuple[ReadingUse, ...]:
        """Every reading that a column can feed, in the order of declaration."""
        return tuple(self._used())

    def _used(self) -> Iterator[ReadingUse]:
        by_name = {number.name: number for number in self._numbers}
        for wanted in self._wanted.readings:
            name, unit = wanted.name, wanted.unit
            binding = by_name.get(name)
            if binding is None:
                yield ReadingUse(name, None, None, unit, None, None, self._rows, self._rows)
                continue
            low, high = self._ends.get(name, (1.0, 0.0))
            ends = [None if low > high else binding.scale * exact(end) + binding.offset for end in (low, high)]
            failed = self._failed.get(name, 0)
            yield ReadingUse(name, binding.column, binding.unit, unit, ends[0], ends[1], self._rows, failed)


def _named(unit: Unit) -> str:
    return unit.name or "plain numbers"


def _percent(share: Fraction) -> str:
    """Whole percents; not all and not nothing where it is neither."""
    whole = round(share * 100)
    if whole == 100 and share < 1:
        return "more than 99 %"
    return "less than 1 %" if whole == 0 and share else f"{show_number(Fraction(whole))} %"
