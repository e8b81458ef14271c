"""Regions and formulas of a resolved rule set: names bound, numbers in the quantity's own unit, times in seconds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.text.source import Span
from alertlang.units.interval import Interval, IntervalSet
from alertlang.units.number import show_number, show_value
from alertlang.units.unit import Unit


def variable(quantity: str, index: int | None) -> str:
    """The name of one reading: `rpm`, `cht[2]`."""
    return quantity if index is None else f"{quantity}[{index}]"


def in_seconds(duration: Fraction) -> str:
    """A duration in seconds as a person says it: `30 s`, `5 min`, `90 s`."""
    if duration >= 60 and duration % 60 == 0:
        return f"{show_number(duration / 60)} min"
    return f"{show_number(duration)} s"


@dataclass(frozen=True, slots=True)
class Moving:
    """An end of a region that moves: the value of a `let` or a `curve`.

    Its value times `factor` plus `offset` is in the unit of the quantity that is compared; `low` and `high` say
    between which values it moves, in that unit.
    """

    quantity: str
    factor: Fraction
    offset: Fraction
    low: Fraction
    high: Fraction


Bound = Fraction | Moving


_End = Callable[[Bound], Fraction]


def _lowest(bound: Bound) -> Fraction:
    return bound.low if isinstance(bound, Moving) else bound


def _highest(bound: Bound) -> Fraction:
    return bound.high if isinstance(bound, Moving) else bound


@dataclass(frozen=True, slots=True)
class Region:
    """Values of a quantity in its own unit. `kind`: below, above, at_most, at_least, within, outside, failed.

    `failed` is a region of no value (`first` is 0 and says nothing); only within and outside have `second`.
    """

    kind: str
    first: Bound
    second: Bound | None = None
    span: Span = field(compare=False, repr=False, kw_only=True)

    @property
    def moves(self) -> bool:
        """Whether an end is a `let` or a `curve`."""
        return isinstance(self.first, Moving) or isinstance(self.second, Moving)

    @property
    def bounds(self) -> tuple[Bound, ...]:
        if self.kind == "failed":
            return ()
        return (self.first,) if self.second is None else (self.first, self.second)

    @property
    def numbers(self) -> tuple[Fraction, ...]:
        """The ends that are numbers."""
        return tuple(bound for bound in self.bounds if isinstance(bound, Fraction))

    @property
    def values(self) -> IntervalSet:
        """The region as a set of numbers, the sensor's range not yet taken into account.

        With a moving end: every value that can be in it.
        """
        return self._set(_lowest, _highest)

    @property
    def certain(self) -> IntervalSet:
        """The values that are in it wherever its ends are; the same as `values` where no end moves."""
        return self._set(_highest, _lowest)

    def _set(self, low: _End, high: _End) -> IntervalSet:
        """`low` and `high` say which value of a moving end counts for a lower and for an upper end."""
        first, second = self.first, self.second
        match self.kind:
            case "below":
                return IntervalSet.of(Interval.below(high(first)))
            case "above":
                return IntervalSet.of(Interval.above(low(first)))
            case "at_most":
                return IntervalSet.of(Interval.at_most(high(first)))
            case "at_least":
                return IntervalSet.of(Interval.at_least(low(first)))
            case "within":
                assert second is not None
                start, end = low(first), high(second)
                return IntervalSet.of(Interval.closed(start, end)) if start <= end else IntervalSet.EMPTY
            case "outside":
                assert second is not None
                return IntervalSet.of(Interval.below(high(first)), Interval.above(low(second)))
            case _:
                return IntervalSet.EMPTY


@dataclass(frozen=True, slots=True)
class Compare:
    """One reading is in a region. A failed reading is in none."""

    quantity: str
    index: int | None
    region: Region
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Quantified:
    """`any` or `every` element of an array is in a region."""

    quantifier: str
    quantity: str
    size: int
    region: Region
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Failed:
    """A reading is missing. `quantifier` any or every with `size` for an array, else none."""

    quantity: str
    index: int | None
    quantifier: str | None
    size: int | None
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class SwitchIs:
    switch: str
    position: str
    negated: bool
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class ConditionIs:
    """The named condition holds."""

    name: str
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Held:
    """The part holds, and has held without a break for at least `duration` seconds (or, `at_least` false, for less)."""

    part: Formula
    at_least: bool
    duration: Fraction
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Not:
    part: Formula
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class And:
    parts: tuple[Formula, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Or:
    parts: tuple[Formula, ...]
    span: Span = field(compare=False, repr=False)


Formula = Compare | Quantified | Failed | SwitchIs | ConditionIs | Held | Not | And | Or


def parts_of(formula: Formula) -> list[Formula]:
    """A formula and everything in it; conditions are not looked into."""
    found: list[Formula] = []
    pending = [formula]
    while pending:
        one = pending.pop()
        found.append(one)
        if isinstance(one, Not | Held):
            pending.append(one.part)
        elif isinstance(one, And | Or):
            pending.extend(one.parts)
    return found


_REGION_WORDS = {"below": "below", "above": "above", "at_most": "at most", "at_least": "at least"}


def region_words(region: Region, unit: Unit) -> str:
    """A region in the words of the language, numbers in the quantity's own unit."""

    def bound(one: Bound) -> str:
        return one.quantity if isinstance(one, Moving) else show_value(one, unit)

    if region.kind == "failed":
        return "failed"
    if region.second is None:
        return f"{_REGION_WORDS[region.kind]} {bound(region.first)}"
    word = "from" if region.kind == "within" else "outside"
    return f"{word} {bound(region.first)} to {bound(region.second)}"
