"""A resolved rule set: what the rules say, with every name bound and every number in its quantity's own unit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from fractions import Fraction
from functools import cached_property

from alertlang.syntax import tree as t
from alertlang.text.source import Span
from alertlang.units.interval import Interval, IntervalSet
from alertlang.units.unit import Unit


class Colour(IntEnum):
    """Colours by rank: the gauge shows the worst that applies. Green, white and blue rank equal."""

    UNMARKED = 0
    BLUE = 1
    WHITE = 2
    GREEN = 3
    YELLOW = 4
    RED = 5

    @property
    def rank(self) -> int:
        """unmarked 0; green, white and blue 1; yellow 2; red 3."""
        return {0: 0, 1: 1, 2: 1, 3: 1, 4: 2, 5: 3}[int(self)]

    @property
    def word(self) -> str:
        return self.name.lower()

    @property
    def calm(self) -> bool:
        """Neither yellow nor red."""
        return self < Colour.YELLOW


class Level(IntEnum):
    ADVISORY = 1
    CAUTION = 2
    WARNING = 3

    @property
    def word(self) -> str:
        return self.name.lower()


@dataclass(frozen=True, slots=True)
class Origin:
    """The file a statement comes from. `depth` 0 is the file that was asked for."""

    kind: str
    name: str
    version: int
    path: str
    depth: int


@dataclass(frozen=True, slots=True)
class DocumentSource:
    """Where a number comes from. `status` is document, second hand, common practice or from memory."""

    name: str
    status: str
    text: str | None
    note: str | None = None

    @property
    def in_words(self) -> str:
        """For example `FAA TCDS number (table 2)`, or `common practice, no source`."""
        said = {
            "document": "",
            "second hand": "second hand, to be checked against the document: ",
            "common practice": "common practice, no source",
            "from memory": "from memory, to be confirmed",
        }[self.status]
        if self.status in {"document", "second hand"}:
            said += self.text or ""
        elif self.text:
            said += f": {self.text}"
        return f"{said} ({self.note})" if self.note else said


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something a sensor reads, in `unit`, from `low` to `high`; `size` is the number of elements of an array."""

    name: str
    title: str | None
    size: int | None
    unit: Unit
    low: Fraction
    high: Fraction
    step: Fraction | None
    accuracy: Fraction | None
    deadband: Fraction | None
    sources: tuple[DocumentSource, ...]
    span: Span
    origin: Origin

    @property
    def range(self) -> Interval:
        return Interval.closed(self.low, self.high)

    @property
    def indexes(self) -> tuple[int | None, ...]:
        """The elements, from 1; a single None for a quantity that is no array."""
        return (None,) if self.size is None else tuple(range(1, self.size + 1))


@dataclass(frozen=True, slots=True)
class Switch:
    name: str
    title: str | None
    positions: tuple[str, ...]
    span: Span
    origin: Origin


def variable(quantity: str, index: int | None) -> str:
    """The name of one reading: `rpm`, `cht[2]`."""
    return quantity if index is None else f"{quantity}[{index}]"


# ---- regions and formulas --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Region:
    """Values of a quantity in its own unit. `kind`: below, above, at_most, at_least, within, outside."""

    kind: str
    first: Fraction
    second: Fraction | None
    span: Span = field(compare=False, repr=False)

    @property
    def values(self) -> IntervalSet:
        """The region as a set of numbers, the sensor's range not yet taken into account."""
        first, second = self.first, self.second
        match self.kind:
            case "below":
                return IntervalSet.of(Interval.below(first))
            case "above":
                return IntervalSet.of(Interval.above(first))
            case "at_most":
                return IntervalSet.of(Interval.at_most(first))
            case "at_least":
                return IntervalSet.of(Interval.at_least(first))
            case "within":
                assert second is not None
                return IntervalSet.of(Interval.closed(first, second))
            case _:
                assert second is not None
                return IntervalSet.of(Interval.below(first), Interval.above(second))

    @property
    def numbers(self) -> tuple[Fraction, ...]:
        return (self.first,) if self.second is None else (self.first, self.second)


@dataclass(frozen=True, slots=True)
class Compare:
    """One reading is in a region."""

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


Formula = Compare | Quantified | SwitchIs | ConditionIs | Not | And | Or


# ---- statements ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Condition:
    name: str
    formula: Formula
    sources: tuple[DocumentSource, ...]
    span: Span
    origin: Origin


@dataclass(frozen=True, slots=True)
class Assumption:
    """`when` none: always. `label` is written or derived."""

    label: str
    when: Formula | None
    formula: Formula
    sources: tuple[DocumentSource, ...]
    span: Span
    origin: Origin


@dataclass(frozen=True, slots=True)
class Range:
    """A limit, avoid, precaution or normal range. `index` none on an array: each element by itself."""

    label: str
    kind: str
    when: Formula | None
    quantity: str
    index: int | None
    region: Region
    needs: Level | None
    sources: tuple[DocumentSource, ...]
    span: Span
    origin: Origin
    node: t.Range = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class AlertText:
    level: Level
    text: str


@dataclass(frozen=True, slots=True)
class Band:
    """`index` none on an array: each element by itself."""

    label: str
    labelled: bool
    when: Formula | None
    quantity: str
    index: int | None
    region: Region
    colour: Colour
    alert: AlertText | None
    unless: Formula | None
    span: Span
    origin: Origin
    node: t.Band = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Alert:
    """An alert on its own."""

    label: str
    when: Formula
    alert: AlertText
    unless: Formula | None
    span: Span
    origin: Origin
    node: t.Alert = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Claim:
    """`kind` is is, at_least, never, raises, any_raises or quiet."""

    label: str
    kind: str
    when: Formula | None
    quantity: str | None
    index: int | None
    region: Region | None
    colour: Colour | None
    level: Level | None
    span: Span
    origin: Origin


@dataclass(frozen=True, slots=True)
class Acceptance:
    """`until` is an ISO date after which it no longer counts."""

    check: str
    target: str
    reason: str
    until: str | None
    span: Span
    origin: Origin


@dataclass(frozen=True)
class RuleSet:
    """Everything that holds together: the file asked for and all it uses, in the order it was loaded.

    `quantities`, `switches` and `conditions` keep the order of declaration.
    """

    origin: Origin
    about: tuple[str, ...]
    origins: tuple[Origin, ...]
    quantities: Mapping[str, Quantity]
    switches: Mapping[str, Switch]
    conditions: Mapping[str, Condition]
    assumptions: tuple[Assumption, ...]
    ranges: tuple[Range, ...]
    bands: tuple[Band, ...]
    alerts: tuple[Alert, ...]
    claims: tuple[Claim, ...]
    acceptances: tuple[Acceptance, ...]
    engine: tuple[str, ...]
    sources: tuple[tuple[Origin, DocumentSource], ...]
    drops: tuple[tuple[str, str], ...]

    @property
    def name(self) -> str:
        return self.origin.name

    @property
    def version(self) -> int:
        return self.origin.version

    @property
    def path(self) -> str:
        return self.origin.path

    @property
    def profiles(self) -> tuple[Origin, ...]:
        """The profiles it uses, in the order they were loaded."""
        return tuple(o for o in self.origins if o.kind == "profile")

    @property
    def rules(self) -> tuple[Band | Alert, ...]:
        """Bands, then alerts on their own."""
        return (*self.bands, *self.alerts)

    def rules_for(self, quantity: str) -> tuple[Band | Alert, ...]:
        """The bands of a quantity, then the alerts on their own whose condition reads it."""
        return (*self.bands_by_quantity[quantity], *self.alerts_by_quantity[quantity])

    @cached_property
    def bands_by_quantity(self) -> Mapping[str, tuple[Band, ...]]:
        found: dict[str, list[Band]] = {name: [] for name in self.quantities}
        for band in self.bands:
            found[band.quantity].append(band)
        return {name: tuple(bands) for name, bands in found.items()}

    @cached_property
    def ranges_by_quantity(self) -> Mapping[str, tuple[Range, ...]]:
        found: dict[str, list[Range]] = {name: [] for name in self.quantities}
        for one in self.ranges:
            found[one.quantity].append(one)
        return {name: tuple(ranges) for name, ranges in found.items()}

    @cached_property
    def alerts_by_quantity(self) -> Mapping[str, tuple[Alert, ...]]:
        """Alerts on their own by every quantity that their `when` reads; what only `unless` reads does not count."""
        found: dict[str, list[Alert]] = {name: [] for name in self.quantities}
        for alert in self.alerts:
            for name in sorted(self.quantities_read(alert.when)):
                found[name].append(alert)
        return {name: tuple(alerts) for name, alerts in found.items()}

    @cached_property
    def indexed_arrays(self) -> frozenset[str]:
        """Arrays of which some statement names a single element, so that their elements may differ."""
        found: set[str] = set()
        statements: tuple[Band | Range | Claim, ...] = (*self.bands, *self.ranges, *self.claims)
        for statement in statements:
            if statement.index is not None and statement.quantity is not None:
                found.add(statement.quantity)
        for formula in self._all_formulas():
            for part in parts_of(formula):
                if isinstance(part, Compare) and part.index is not None:
                    found.add(part.quantity)
        return frozenset(found)

    def elements(self, quantity: str) -> tuple[int | None, ...]:
        """The elements worth asking about: of an array whose elements are all treated alike the first will do."""
        indexes = self.quantities[quantity].indexes
        return indexes if quantity in self.indexed_arrays else indexes[:1]

    def conditions_read(self, *formulas: Formula | None) -> frozenset[str]:
        """Names of the conditions that formulas read, and those that these read in turn."""
        found: set[str] = set()
        pending = [f for f in formulas if f is not None]
        while pending:
            for part in parts_of(pending.pop()):
                if isinstance(part, ConditionIs) and part.name not in found:
                    found.add(part.name)
                    pending.append(self.conditions[part.name].formula)
        return frozenset(found)

    def quantities_read(self, *formulas: Formula | None) -> frozenset[str]:
        """Names of the quantities that formulas read, conditions looked into."""
        given = [f for f in formulas if f is not None]
        given.extend(self.conditions[name].formula for name in self.conditions_read(*given))
        return frozenset(
            part.quantity for formula in given for part in parts_of(formula) if isinstance(part, Compare | Quantified)
        )

    def switches_read(self, *formulas: Formula | None) -> frozenset[str]:
        """Names of the switches that formulas read, conditions looked into."""
        given = [f for f in formulas if f is not None]
        given.extend(self.conditions[name].formula for name in self.conditions_read(*given))
        return frozenset(part.switch for formula in given for part in parts_of(formula) if isinstance(part, SwitchIs))

    def _all_formulas(self) -> list[Formula]:
        found: list[Formula | None] = [c.formula for c in self.conditions.values()]
        for assumption in self.assumptions:
            found += [assumption.when, assumption.formula]
        found += [r.when for r in self.ranges]
        for rule in self.rules:
            found += [rule.when, rule.unless]
        found += [c.when for c in self.claims]
        return [f for f in found if f is not None]

    @cached_property
    def formulas(self) -> tuple[Formula, ...]:
        """Every formula of every statement, conditions' own included."""
        return tuple(self._all_formulas())


def parts_of(formula: Formula) -> list[Formula]:
    """A formula and everything in it; conditions are not looked into."""
    found: list[Formula] = []
    pending = [formula]
    while pending:
        one = pending.pop()
        found.append(one)
        if isinstance(one, Not):
            pending.append(one.part)
        elif isinstance(one, And | Or):
            pending.extend(one.parts)
    return found
