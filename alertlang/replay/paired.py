"""The times that one alert was up under two rule sets, told in pairs: none is left out, and none is told twice."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from alertlang.replay.intervals import TimeInterval


@dataclass(frozen=True, slots=True)
class Pair:
    """What one rule set shows and what the other does in its place, none where that is nothing. `by`: seconds from the
    first difference of the two to the same under the other rule set; none where there is no pair, or where one of them
    does not end."""

    kind: str
    one: TimeInterval | None
    other: TimeInterval | None
    by: Fraction | None = None


def paired(one: Sequence[TimeInterval], other: Sequence[TimeInterval]) -> Iterator[Pair]:
    """Each interval of either side once, in the order of time.

    Two that share a row are a pair, the first with the first: `earlier` or `later` by where the other's begins; where
    both begin at one row `longer` or `shorter` by where it ends; else the `same`. What has no partner is `lost` (only
    the one's) or `new` (only the other's).
    """
    left, right = list(one), list(other)
    while left or right:
        if not right or (left and _is_over(left[0], right[0])):
            yield Pair("lost", left.pop(0), None)
        elif not left or _is_over(right[0], left[0]):
            yield Pair("new", None, right.pop(0))
        else:
            yield _pair(left.pop(0), right.pop(0))


def _is_over(one: TimeInterval, other: TimeInterval) -> bool:
    """Whether it ends before, or at the very row at which, the other begins."""
    return one.end_row is not None and one.end_row <= other.start_row


def _pair(one: TimeInterval, other: TimeInterval) -> Pair:
    if one.start_row != other.start_row:
        kind = "earlier" if other.start_row < one.start_row else "later"
        return Pair(kind, one, other, abs(other.start - one.start))
    if one.end_row == other.end_row:
        return Pair("same", one, other)
    is_longer = other.end_row is None or (one.end_row is not None and other.end_row > one.end_row)
    known = one.end is not None and other.end is not None
    by = abs(other.end - one.end) if known else None  # type: ignore[operator]
    return Pair("longer" if is_longer else "shorter", one, other, by)
