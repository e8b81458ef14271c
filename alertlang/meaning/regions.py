"""What it means that a value is in a region: told once for one instant and for a run of samples.

The solver (`logic.encode`) and the replay (`replay.engine_plan`) tell it anew, each in its own way: that the three
agree is evidence, and they must not share this.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from alertlang.model import ruleset as m

# The value of a quantity's element in its own unit; none where it has failed. A quantity that is no array is asked for
# with whatever element is looked at, and gives its one value.
Read = Callable[[str, int | None], Fraction | None]


def ends_of(region: m.Region, index: int | None, read: Read) -> list[Fraction] | None:
    """The ends of a region as numbers; none if one of them has failed. `failed` is a region without ends."""
    ends: list[Fraction] = []
    for bound in region.bounds:
        end: Fraction | None
        if isinstance(bound, m.Moving):
            value = read(bound.quantity, index)
            end = None if value is None else value * bound.factor + bound.offset
        else:
            end = bound
        if end is None:
            return None
        ends.append(end)
    return ends


def is_in(region: m.Region, quantity: str, index: int | None, read: Read) -> bool:
    """Whether a reading is in a region. In the region `failed` it is where it has failed; else a failed one is in none,
    and none is in a region of which an end has failed."""
    value, ends = read(quantity, index), ends_of(region, index, read)
    if region.is_failed:
        return value is None
    return value is not None and ends is not None and _is_in(region.kind, value, ends)


def is_near(region: m.Region, quantity: str, index: int | None, read: Read, deadband: Fraction) -> bool:
    """Whether a reading is in a region or out of it by less than the deadband.

    Nothing is near a region between two ends that have crossed, for there is nothing in it.
    """
    value, ends = read(quantity, index), ends_of(region, index, read)
    if value is None or not ends:
        return False
    kind, lower, upper = region.kind, ends[0], ends[-1]
    if kind.outside:
        return value < lower + deadband or value > upper - deadband
    if len(ends) == 2 and (lower > upper or (lower == upper and not (kind.low and kind.high))):
        return False
    return (kind.low is None or value > lower - deadband) and (kind.high is None or value < upper + deadband)


def _is_in(kind: m.RegionKind, value: Fraction, ends: Sequence[Fraction]) -> bool:
    """`below` and `above` leave their number out, `at most`, `at least`, `from` and `to` take it in."""
    lower, upper = ends[0], ends[-1]
    if kind.outside:
        below = value <= lower if kind.low else value < lower
        above = value >= upper if kind.high else value > upper
        return below or above
    from_lower = kind.low is None or (value >= lower if kind.low else value > lower)
    to_upper = kind.high is None or (value <= upper if kind.high else value < upper)
    return from_lower and to_upper
