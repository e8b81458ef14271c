"""A resolved rule set: what the rules say, with every name bound and every number in its quantity's own unit."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from enum import IntEnum, StrEnum
from fractions import Fraction
from functools import cached_property

from alertlang.model.expression import CurveOver, Expression, ReadingOf, Trend, elements, inputs, nodes
from alertlang.model.formula import And as And
from alertlang.model.formula import Bound as Bound
from alertlang.model.formula import Compare as Compare
from alertlang.model.formula import ConditionIs as ConditionIs
from alertlang.model.formula import Formula as Formula
from alertlang.model.formula import Held as Held
from alertlang.model.formula import Moving as Moving
from alertlang.model.formula import Not as Not
from alertlang.model.formula import Or as Or
from alertlang.model.formula import Region as Region
from alertlang.model.formula import RegionKind as RegionKind
from alertlang.model.formula import SwitchIs as SwitchIs
from alertlang.model.formula import children as children
from alertlang.model.formula import in_seconds as in_seconds
from alertlang.model.formula import parts_of as parts_of
from alertlang.model.formula import rebuilt as rebuilt
from alertlang.model.panel import PanelGauge as PanelGauge
from alertlang.model.panel import PanelInput as PanelInput
from alertlang.model.panel import PanelLamp as PanelLamp
from alertlang.model.panel import Sequence as Sequence
from alertlang.model.reading import ReadingId as ReadingId
from alertlang.model.reading import variable as variable
from alertlang.syntax import tree as t
from alertlang.text.short import Short
from alertlang.text.source import Span
from alertlang.units.interval import Interval
from alertlang.units.number import say_value
from alertlang.units.unit import UNITS, Unit, convert


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
    """The file a statement comes from. `depth` 0 is the file that was asked for; `sha256` of its bytes; `text`: all of
    it."""

    kind: str
    name: str
    version: int
    path: str
    depth: int
    sha256: str = ""
    text: str = field(default="", compare=False, repr=False)


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
    """Something a sensor reads, in `unit`, from `low` to `high`; `size` is the number of elements of an array.

    A `let` or `curve` is one too: `derived` says how it is computed. `difference`: its values are differences, which
    convert without a temperature's offset; `per` is the unit of time of a rise or fall.
    """

    name: str
    unit: Unit
    low: Fraction
    high: Fraction
    span: Span
    origin: Origin
    title: str | None = None
    size: int | None = None
    step: Fraction | None = None
    accuracy: Fraction | None = None
    deadband: Fraction | None = None
    sources: tuple[DocumentSource, ...] = ()
    derived: Expression | None = None
    difference: bool = False
    per: str | None = None

    @property
    def range(self) -> Interval:
        return Interval.closed(self.low, self.high)

    @property
    def is_trend(self) -> bool:
        """A rise or fall: at one instant a value of its own."""
        return isinstance(self.derived, Trend)

    @property
    def is_computed(self) -> bool:
        """A function of other readings at the same instant."""
        return self.derived is not None and not self.is_trend

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


# ---- statements ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Condition:
    """With `until` it is set by `formula` and cleared by `until`. Delays are in seconds, none where none is written."""

    name: str
    formula: Formula
    sources: tuple[DocumentSource, ...]
    span: Span
    origin: Origin
    until: Formula | None = None
    set_after: Fraction | None = None
    cleared_after: Fraction | None = None

    @property
    def parts(self) -> tuple[Formula, ...]:
        """All it reads."""
        return (self.formula,) if self.until is None else (self.formula, self.until)

    @property
    def is_delayed(self) -> bool:
        return bool(self.set_after or self.cleared_after)


@dataclass(frozen=True, slots=True)
class Assumption:
    """`when` none: always. `label` is written or derived."""

    label: str
    when: Formula | None
    formula: Formula
    sources: tuple[DocumentSource, ...]
    span: Span
    origin: Origin


class RangeKind(StrEnum):
    LIMIT = "limit"
    AVOID = "avoid"
    PRECAUTION = "precaution"
    NORMAL = "normal"

    @property
    def noun(self) -> str:
        """What a range of it is called."""
        return f"{self} range" if self in (RangeKind.AVOID, RangeKind.NORMAL) else self.value

    @property
    def forbids(self) -> bool:
        """Whether it can be broken."""
        return self in (RangeKind.LIMIT, RangeKind.AVOID)

    @property
    def tells_normal(self) -> bool:
        """Whether it says what is usual: to be in a normal range, or within a limit."""
        return self in (RangeKind.LIMIT, RangeKind.NORMAL)


@dataclass(frozen=True, slots=True)
class Range:
    """A limit, avoid, precaution or normal range. `index` none on an array: each element by itself.

    `except_for` seconds it may be broken before that is a violation; within `allowed` seconds of that red and the
    alert it needs must be up, `allowed_by` says why (`within`, `respond within`, or common practice).
    """

    label: str
    kind: RangeKind
    when: Formula | None
    quantity: str
    index: int | None
    region: Region
    needs: Level | None
    sources: tuple[DocumentSource, ...]
    span: Span
    origin: Origin
    node: t.RangeStatement = field(compare=False, repr=False)
    except_for: Fraction | None = None
    allowed: Fraction = Fraction(2)
    allowed_by: str = "common practice, no source"

    @property
    def forbids(self) -> bool:
        """Whether it is a limit or a range to avoid: what can be broken."""
        return self.kind.forbids

    @property
    def broken(self) -> Region:
        """The values that break it."""
        return self.region if self.kind is RangeKind.AVOID else self.region.complement()


@dataclass(frozen=True, slots=True)
class AlertText:
    level: Level
    text: str


@dataclass(frozen=True, slots=True)
class Band:
    """`index` none on an array: each element by itself. A region of kind failed applies while the reading is missing.

    `held`: the rest must have lasted more than so many seconds, `in_total` with breaks counted out. `after` seconds
    hold back the alert alone.
    """

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
    node: t.BandStatement = field(compare=False, repr=False)
    held: Fraction | None = None
    in_total: bool = False
    after: Fraction | None = None
    latched: bool = False


@dataclass(frozen=True, slots=True)
class Alert:
    """An alert on its own; its times are those of a band."""

    label: str
    when: Formula
    alert: AlertText
    unless: Formula | None
    span: Span
    origin: Origin
    node: t.AlertStatement = field(compare=False, repr=False)
    held: Fraction | None = None
    in_total: bool = False
    after: Fraction | None = None
    latched: bool = False


Rule = Band | Alert


class ClaimKind(StrEnum):
    IS = "is"
    AT_LEAST = "at_least"
    NEVER = "never"
    RAISES = "raises"
    ANY_RAISES = "any_raises"
    QUIET = "quiet"

    @property
    def raises(self) -> bool:
        """Whether it asks for an alert."""
        return self in (ClaimKind.RAISES, ClaimKind.ANY_RAISES)


@dataclass(frozen=True, slots=True)
class Claim:
    """`within` seconds, for the kinds that raise."""

    label: str
    kind: ClaimKind
    when: Formula | None
    quantity: str | None
    index: int | None
    region: Region | None
    colour: Colour | None
    level: Level | None
    span: Span
    origin: Origin
    within: Fraction | None = None

    def refuted_by_level(self, level: Level | None) -> bool:
        """Whether a claim about alerts is not so where this is the highest of those it is about."""
        if self.kind is ClaimKind.QUIET:
            return level is not None and level >= Level.CAUTION
        assert self.level is not None
        return level is None or level < self.level

    def refuted_by_colours(self, colours: Collection[Colour]) -> bool:
        """Whether a claim about a colour is not so where bands of these colours apply."""
        assert self.colour is not None
        rank = max((colour.rank for colour in colours), default=-1)
        if self.kind is ClaimKind.AT_LEAST:
            return rank < self.colour.rank
        worst = {colour for colour in colours if colour.rank == rank}
        return self.colour in worst if self.kind is ClaimKind.NEVER else worst != {self.colour}


@dataclass(frozen=True, slots=True)
class Follow:
    """A published rule that the rule set is held to, as it is written. `as_of`: the ISO date whose text counts; none
    for the text that is in force."""

    rule: str
    span: Span
    origin: Origin
    as_of: str | None = None


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight in the unit it was written in, which measures mass."""

    number: Fraction
    unit: Unit

    @property
    def in_kilograms(self) -> Fraction:
        return convert(self.number, self.unit, UNITS["kg"])

    @property
    def in_words(self) -> str:
        """For example `1310 kg`."""
        return say_value(self.number, self.unit)


@dataclass(frozen=True, slots=True)
class Weights:
    """One statement of weights: what it is the first to say, none for the rest. `arcs`: that of the airspeed arcs."""

    maximum: Weight | None
    arcs: Weight | None
    sources: tuple[DocumentSource, ...]
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


@dataclass(frozen=True, repr=False)
class RuleSet(Short):
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
    follows: tuple[Follow, ...] = ()
    weights: tuple[Weights, ...] = ()
    lamps: tuple[PanelLamp, ...] = ()
    gauges: tuple[PanelGauge, ...] = ()
    inputs: tuple[PanelInput, ...] = ()

    def __hash__(self) -> int:
        # Of what is equal these are, and of a whole rule set they are enough to tell most apart.
        return hash((self.origin, len(self.bands), len(self.ranges)))

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
    def maximum_weight(self) -> Weight | None:
        return next((weights.maximum for weights in self.weights if weights.maximum is not None), None)

    @property
    def arc_weight(self) -> Weight | None:
        """The weight at which the arcs of the airspeed indicator are."""
        return next((weights.arcs for weights in self.weights if weights.arcs is not None), None)

    @property
    def profiles(self) -> tuple[Origin, ...]:
        """The profiles it uses, in the order they were loaded."""
        return tuple(o for o in self.origins if o.kind == "profile")

    @cached_property
    def acknowledge_inputs(self) -> tuple[str, ...]:
        """The buttons that acknowledge lamps, and with them every latched alert; in the order of the lamps."""
        return tuple(dict.fromkeys(lamp.acknowledge for lamp in self.lamps if lamp.acknowledge is not None))

    @cached_property
    def reset_inputs(self) -> tuple[str, ...]:
        """The buttons that reset lamps, in the order of the lamps."""
        return tuple(dict.fromkeys(lamp.reset for lamp in self.lamps if lamp.reset is not None))

    @property
    def buttons(self) -> tuple[str, ...]:
        """Every button of the panel."""
        return (*self.acknowledge_inputs, *self.reset_inputs)

    @property
    def rules(self) -> tuple[Rule, ...]:
        """Bands, then alerts on their own."""
        return (*self.bands, *self.alerts)

    def rules_for(self, quantity: str) -> tuple[Rule, ...]:
        """The bands of a quantity, then the alerts on their own whose condition reads it."""
        return (*self.bands_by_quantity[quantity], *self.alerts_by_quantity[quantity])

    @cached_property
    def bands_by_quantity(self) -> Mapping[str, tuple[Band, ...]]:
        """Bands that colour values; one that shows that the sensor has failed colours none."""
        found: dict[str, list[Band]] = {name: [] for name in self.quantities}
        for band in self.bands:
            if not band.region.is_failed:
                found[band.quantity].append(band)
        return {name: tuple(bands) for name, bands in found.items()}

    @cached_property
    def ranges_by_quantity(self) -> Mapping[str, tuple[Range, ...]]:
        found: dict[str, list[Range]] = {name: [] for name in self.quantities}
        for declared in self.ranges:
            found[declared.quantity].append(declared)
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
        for formula in self.formulas:
            for part in parts_of(formula):
                if isinstance(part, Compare) and part.index is not None:
                    found.add(part.quantity)
        for quantity in self.quantities.values():
            for node in () if quantity.derived is None else nodes(quantity.derived):
                if isinstance(node, ReadingOf | Trend | CurveOver) and node.index is not None:
                    found.add(node.quantity)
        return self._with_kin(found)

    def _with_kin(self, found: set[str]) -> frozenset[str]:
        """Also what is computed from these arrays element by element, and what these are computed from."""
        grew = True
        while grew:
            grew = False
            for quantity in self.quantities.values():
                if quantity.derived is None or quantity.size is None:
                    continue
                kin = {quantity.name, *(n for n in inputs(quantity.derived) if self.quantities[n].size is not None)}
                if not found.isdisjoint(kin) and not kin <= found:
                    found |= kin
                    grew = True
        return frozenset(found)

    def indexes_of(self, statement: Band | Alert | Range) -> tuple[int | None, ...]:
        """The elements that a statement is about, each by itself; a single None for an alert on its own."""
        if isinstance(statement, Alert):
            return (None,)
        return self.quantities[statement.quantity].indexes if statement.index is None else (statement.index,)

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
                    pending.extend(self.conditions[part.name].parts)
        return frozenset(found)

    def is_momentary(self, formula: Formula) -> bool:
        """Whether a formula goes by its own instant alone: no memory, no delay, nothing that must have lasted, and no
        rise or fall, which may still have failed where the reading has come back."""
        if any(self._is_rate(name) for name in self.quantities_read(formula)):
            return False
        conditions = [self.conditions[name] for name in self.conditions_read(formula)]
        if any(condition.until is not None or condition.is_delayed for condition in conditions):
            return False
        return not any(isinstance(part, Held) for part in self.parts_read(formula))

    def _is_rate(self, name: str) -> bool:
        """Whether a quantity is a rise or fall, or worked out from one."""
        derived = self.quantities[name].derived
        return isinstance(derived, Trend) or (derived is not None and any(self._is_rate(n) for n in inputs(derived)))

    def parts_read(self, *formulas: Formula | None) -> list[Formula]:
        """Every part of formulas and of the conditions they read."""
        given = [f for f in formulas if f is not None]
        given.extend(part for name in sorted(self.conditions_read(*given)) for part in self.conditions[name].parts)
        return [part for formula in given for part in parts_of(formula)]

    def quantities_read(self, *formulas: Formula | None) -> frozenset[str]:
        """Names of the quantities that formulas read, conditions looked into; derived ones as themselves."""
        found: set[str] = set()
        for part in self.parts_read(*formulas):
            if isinstance(part, Compare):
                found.update((part.quantity, *(bound.quantity for bound in part.region.moving)))
        return frozenset(found)

    def failures_read(self, *formulas: Formula | None) -> frozenset[ReadingId]:
        """The readings for whose failure formulas ask, conditions looked into; sensors only."""
        asked = (part for part in self.parts_read(*formulas) if isinstance(part, Compare) and part.region.is_failed)
        return frozenset[ReadingId]().union(
            *(self.sensors_read(part.quantity, index) for part in asked for index in part.indexes)
        )

    def sensors_told_by(self, rule: Rule, index: int | None) -> frozenset[ReadingId]:
        """The readings with a sensor of their own without which a statement can be told otherwise: what its `when` and
        `unless` read, and the ends of its region that move, for one element if it is a band on an array."""
        found: set[ReadingId] = set()
        for part in self.parts_read(rule.when, rule.unless):
            if isinstance(part, Compare):
                for name in (part.quantity, *(bound.quantity for bound in part.region.moving)):
                    indexes = self.quantities[name].indexes if part.index is None else (part.index,)
                    found = found.union(*(self.sensors_read(name, i) for i in indexes))
        if isinstance(rule, Band):
            found = found.union(*(self.sensors_read(bound.quantity, index) for bound in rule.region.moving))
        return frozenset(found)

    def reading(self, quantity: str, index: int | None) -> ReadingId:
        """The reading of an element; of a quantity that is no array its one reading, whatever the element."""
        return variable(quantity, None if self.quantities[quantity].size is None else index)

    def sensors_read(self, quantity: str, index: int | None) -> frozenset[ReadingId]:
        """The readings with a sensor of their own that an element of a quantity depends on."""
        found: set[ReadingId] = set()
        pending: list[tuple[str, int | None]] = [(quantity, index)]
        while pending:
            name, element = pending.pop()
            derived = self.quantities[name].derived
            if derived is None:
                found.add(self.reading(name, element))
            else:
                pending += elements(derived, element)
        return frozenset(found)

    def switches_read(self, *formulas: Formula | None) -> frozenset[str]:
        """Names of the switches that formulas read, conditions looked into."""
        return frozenset(part.switch for part in self.parts_read(*formulas) if isinstance(part, SwitchIs))

    def sensors_of(self, quantity: str) -> frozenset[str]:
        """The quantities with a sensor of their own that a quantity depends on: itself, if it is not derived."""
        return self._sensors[quantity]

    @cached_property
    def _sensors(self) -> Mapping[str, frozenset[str]]:
        return {
            name: frozenset(read.quantity for index in quantity.indexes for read in self.sensors_read(name, index))
            for name, quantity in self.quantities.items()
        }

    @cached_property
    def formulas(self) -> tuple[Formula, ...]:
        """Every formula of every statement, conditions' own included."""
        return tuple(formula for _, formula in self.written)

    @cached_property
    def written(self) -> tuple[tuple[str, Formula], ...]:
        """The same, each with the label of its statement, or the name of its condition."""
        found: list[tuple[str, Formula | None]] = [(c.name, part) for c in self.conditions.values() for part in c.parts]
        found += [(a.label, part) for a in self.assumptions for part in (a.when, a.formula)]
        found += [(r.label, r.when) for r in self.ranges]
        found += [(rule.label, part) for rule in self.rules for part in (rule.when, rule.unless)]
        found += [(c.label, c.when) for c in self.claims]
        return tuple((label, formula) for label, formula in found if formula is not None)

    @cached_property
    def held(self) -> tuple[Held, ...]:
        """Every part of a formula that goes by how long something has held."""
        return tuple(part for formula in self.formulas for part in parts_of(formula) if isinstance(part, Held))
