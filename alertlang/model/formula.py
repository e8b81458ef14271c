"""Regions and formulas of a resolved rule set: names bound, numbers in the quantity's own unit, times in seconds."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction

from alertlang.text.source import Span
from alertlang.units.interval import Interval, IntervalSet
from alertlang.units.number import show_number, show_value
from alertlang.units.unit import Unit


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


class RegionKind(StrEnum):
    """Which values a region has: `words` with its ends; whether its lower and its upper end are in it, none where it
    has no such end. `outside`: below the first end and above the second, else between the two.

    Where both ends are one number there is nothing in what leaves one of them out and lies between them.
    """

    BELOW = "below", "below {}", None, False
    AT_MOST = "at_most", "at most {}", None, True
    ABOVE = "above", "above {}", False, None
    AT_LEAST = "at_least", "at least {}", True, None
    WITHIN = "within", "from {} to {}", True, True
    FROM_BELOW = "from_below", "from {} to below {}", True, False
    ABOVE_TO = "above_to", "above {} to {}", False, True
    BETWEEN = "between", "above {} to below {}", False, False
    OUTSIDE = "outside", "outside {} to {}", False, False, True
    BELOW_FROM = "below_from", "below {} or at least {}", False, True, True
    TO_ABOVE = "to_above", "at most {} or above {}", True, False, True
    NOT_BETWEEN = "not_between", "at most {} or at least {}", True, True, True
    FAILED = "failed", "failed", None, None

    words: str
    low: bool | None
    high: bool | None
    outside: bool

    def __new__(cls, value: str, words: str, low: bool | None, high: bool | None, outside: bool = False) -> RegionKind:
        kind = str.__new__(cls, value)
        kind._value_ = value
        kind.words, kind.low, kind.high, kind.outside = words, low, high, outside
        return kind

    @staticmethod
    def of(low: bool | None, high: bool | None, outside: bool = False) -> RegionKind:
        """The kind whose ends are in it or not, or are not there at all."""
        return _BY_ENDS[low, high, outside]

    @property
    def is_low(self) -> bool:
        """Below a number, or at most that."""
        return self.low is None and self.high is not None

    @property
    def is_high(self) -> bool:
        """Above a number, or at least that."""
        return self.high is None and self.low is not None


_BY_ENDS = {(kind.low, kind.high, kind.outside): kind for kind in RegionKind}


@dataclass(frozen=True, slots=True)
class Region:
    """Values of a quantity in its own unit. `failed` is a region of no value (`first` is 0 and says nothing); only what
    has two ends has `second`."""

    kind: RegionKind
    first: Bound
    second: Bound | None = None
    span: Span = field(compare=False, repr=False, kw_only=True)

    @property
    def is_failed(self) -> bool:
        return self.kind is RegionKind.FAILED

    @property
    def bounds(self) -> tuple[Bound, ...]:
        if self.is_failed:
            return ()
        return (self.first,) if self.second is None else (self.first, self.second)

    @property
    def numbers(self) -> tuple[Fraction, ...]:
        """The ends that are numbers."""
        return tuple(bound for bound in self.bounds if isinstance(bound, Fraction))

    @property
    def moving(self) -> tuple[Moving, ...]:
        """The ends that are a `let` or a `curve`."""
        return tuple(bound for bound in self.bounds if isinstance(bound, Moving))

    @property
    def moves(self) -> bool:
        """Whether an end is a `let` or a `curve`."""
        return isinstance(self.first, Moving) or isinstance(self.second, Moving)

    # ---- other regions

    def _like(
        self, low: bool | None, high: bool | None, outside: bool, first: Bound, second: Bound | None = None
    ) -> Region:
        return Region(RegionKind.of(low, high, outside), first, second, span=self.span)

    def complement(self) -> Region:
        """The values that are not in it."""
        kind = self.kind
        if self.second is None:
            low, high = (None if end is None else not end for end in (kind.high, kind.low))
            return self._like(low, high, False, self.first)
        return self._like(not kind.low, not kind.high, not kind.outside, self.first, self.second)

    def interior(self) -> Region:
        """The same without its ends."""
        low, high = (None if end is None else False for end in (self.kind.low, self.kind.high))
        return self._like(low, high, self.kind.outside, self.first, self.second)

    def sides(self) -> tuple[Region, ...]:
        """One region for each end: what lies on its side of that end."""
        if self.second is None:
            return (self,)
        low, high = self.kind.low, self.kind.high
        if self.kind.outside:
            return self._like(None, low, False, self.first), self._like(high, None, False, self.second)
        return self._like(low, None, False, self.first), self._like(None, high, False, self.second)

    def inner(self) -> tuple[Region, ...]:
        """The same without its ends, as what lies on the side of each where it is between them."""
        inside = self.interior()
        return (inside,) if inside.kind.outside else inside.sides()

    def pieces(self) -> tuple[Region, ...]:
        """Its stretches, each in one piece."""
        return self.sides() if self.kind.outside else (self,)

    # ---- its values

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

    def _set(self, lower: _End, upper: _End) -> IntervalSet:
        """`lower` and `upper` say which value of a moving end counts for a lower and for an upper end."""
        if self.is_failed:
            return IntervalSet.EMPTY
        found: list[Interval] = []
        for piece in self.pieces():
            kind = piece.kind
            low = None if kind.low is None else lower(piece.first)
            high = None if kind.high is None else upper(piece.bounds[-1])
            if low is None or high is None or low < high or (low == high and kind.low and kind.high):
                found.append(Interval(low, bool(kind.low), high, bool(kind.high)))
        return IntervalSet.of(*found)

    def in_words(self, unit: Unit) -> str:
        """In the words of the language, numbers in the quantity's own unit."""
        return self.kind.words.format(
            *(bound.quantity if isinstance(bound, Moving) else show_value(bound, unit) for bound in self.bounds)
        )


@dataclass(frozen=True, slots=True)
class Compare:
    """A reading is in a region, or has failed where that is the region; of an array of `size` elements `any` or `every`
    one. A failed reading is in no other region."""

    quantity: str
    index: int | None
    region: Region
    span: Span = field(compare=False, repr=False)
    quantifier: str | None = None
    size: int | None = None

    @property
    def indexes(self) -> tuple[int | None, ...]:
        """The elements it is about."""
        return (self.index,) if self.size is None else tuple(range(1, self.size + 1))

    def of_all(self, hits: Iterable[bool]) -> bool:
        """Whether it is true, given of each of its elements whether that is in the region."""
        return any(hits) if self.quantifier == "any" else all(hits)

    def by_element(self) -> Formula:
        """The same said of each element by itself."""
        each = tuple(Compare(self.quantity, index, self.region, self.span) for index in self.indexes)
        return (Or if self.quantifier == "any" else And)(each, self.span)


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


Formula = Compare | SwitchIs | ConditionIs | Held | Not | And | Or


def children(formula: Formula) -> tuple[Formula, ...]:
    """What a formula is directly made of; conditions are not looked into."""
    match formula:
        case Not() | Held():
            return (formula.part,)
        case And() | Or():
            return formula.parts
    return ()


def rebuilt(formula: Formula, change: Callable[[Formula], Formula]) -> Formula:
    """A formula with what it is directly made of changed."""
    match formula:
        case Not() | Held():
            return replace(formula, part=change(formula.part))
        case And() | Or():
            return replace(formula, parts=tuple(map(change, formula.parts)))
    return formula


def parts_of(formula: Formula) -> list[Formula]:
    """A formula and everything in it; conditions are not looked into."""
    found: list[Formula] = []
    pending = [formula]
    while pending:
        one = pending.pop()
        found.append(one)
        pending.extend(children(one))
    return found
