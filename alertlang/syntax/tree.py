"""The tree of a file: what was written, with its place, nothing resolved.

Places do not take part in comparing: two trees are equal when they say the same thing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.text.source import Source, Span


@dataclass(frozen=True, slots=True)
class Node:
    """Everything in a tree has a place."""

    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Word(Node):
    """A name or a text (without its quotes)."""

    text: str


@dataclass(frozen=True, slots=True)
class Value(Node):
    """A number with its unit, or without one."""

    number: Fraction
    unit: Word | None


@dataclass(frozen=True, slots=True)
class Subject(Node):
    """A name, or one element of an array (`cht[2]`, from 1)."""

    name: Word
    index: Value | None


Bound = Value | Word


@dataclass(frozen=True, slots=True)
class Region(Node):
    """`kind` is below, above, at_most, at_least, within or outside; only the last two have `second`.

    In a band also failed, whose `first` is 0 and says nothing.
    """

    kind: str
    first: Bound
    second: Bound | None = None


# ---- formulas ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Named(Node):
    """The name of a condition."""

    subject: Subject


@dataclass(frozen=True, slots=True)
class Compare(Node):
    """A quantity in a region; `quantifier` is any or every for an array."""

    subject: Subject
    region: Region
    quantifier: str | None


@dataclass(frozen=True, slots=True)
class Failed(Node):
    subject: Subject
    quantifier: str | None


@dataclass(frozen=True, slots=True)
class IsAt(Node):
    """A switch at a position, or not at it."""

    subject: Subject
    position: Word
    negated: bool


@dataclass(frozen=True, slots=True)
class Not(Node):
    part: Formula


@dataclass(frozen=True, slots=True)
class And(Node):
    parts: tuple[Formula, ...]


@dataclass(frozen=True, slots=True)
class Or(Node):
    parts: tuple[Formula, ...]


@dataclass(frozen=True, slots=True)
class Held(Node):
    """`part for at least D` or `part for less than D`."""

    part: Formula
    at_least: bool
    duration: Value


Formula = Named | Compare | Failed | IsAt | Not | And | Or | Held


# ---- expressions of `let` --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Constant(Node):
    value: Value


@dataclass(frozen=True, slots=True)
class Read(Node):
    subject: Subject


@dataclass(frozen=True, slots=True)
class Arithmetic(Node):
    """`operator` is one of + - * /."""

    operator: str
    left: Expression
    right: Expression


@dataclass(frozen=True, slots=True)
class Statistic(Node):
    """highest, lowest, spread, average or deviation of an array."""

    kind: str
    subject: Subject


@dataclass(frozen=True, slots=True)
class Trend(Node):
    """rise or fall of a quantity per unit of time."""

    kind: str
    subject: Subject
    per: Word


Expression = Constant | Read | Arithmetic | Statistic | Trend


# ---- clauses ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SourceClause(Node):
    name: Word
    note: Word | None


@dataclass(frozen=True, slots=True)
class Needs(Node):
    level: str
    within: Value | None


@dataclass(frozen=True, slots=True)
class HeldFor(Node):
    """`for more than D`, with `in total` or without."""

    duration: Value
    in_total: bool


@dataclass(frozen=True, slots=True)
class AlertClause(Node):
    level: str
    text: Word


# ---- statements ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Header(Node):
    kind: str
    name: Word
    version: Value


@dataclass(frozen=True, slots=True)
class Use(Node):
    """`kind` is profile or rules."""

    kind: str
    name: Word


@dataclass(frozen=True, slots=True)
class About(Node):
    text: Word


@dataclass(frozen=True, slots=True)
class SourceDeclaration(Node):
    """`status` is document, second hand, common practice or from memory."""

    name: Word
    status: str
    text: Word | None


@dataclass(frozen=True, slots=True)
class Engine(Node):
    facts: tuple[Word, ...]


@dataclass(frozen=True, slots=True)
class Weights(Node):
    """The maximum weight and that of the arcs, at least one of the two."""

    maximum: Value | None
    arcs: Value | None
    sources: tuple[SourceClause, ...]
    repeated: tuple[Value, ...] = ()


@dataclass(frozen=True, slots=True)
class Quantity(Node):
    name: Word
    size: Value | None
    title: Word | None
    low: Value
    high: Value
    step: Value | None
    accuracy: Value | None
    deadband: Value | None
    sources: tuple[SourceClause, ...]
    repeated: tuple[Value, ...] = ()


@dataclass(frozen=True, slots=True)
class Switch(Node):
    name: Word
    title: Word | None
    positions: tuple[Word, ...]


@dataclass(frozen=True, slots=True)
class Let(Node):
    name: Word
    expression: Expression
    low: Value | None
    high: Value | None
    sources: tuple[SourceClause, ...] = ()


@dataclass(frozen=True, slots=True)
class Curve(Node):
    name: Word
    subject: Subject
    points: tuple[tuple[Value, Value], ...]
    otherwise: Value | None
    sources: tuple[SourceClause, ...] = ()


@dataclass(frozen=True, slots=True)
class Condition(Node):
    name: Word
    formula: Formula
    until: Formula | None
    set_after: Value | None
    cleared_after: Value | None
    sources: tuple[SourceClause, ...]
    repeated: tuple[Value, ...] = ()


@dataclass(frozen=True, slots=True)
class Respond(Node):
    within: Value


@dataclass(frozen=True, slots=True)
class Follow(Node):
    """`as_of`: the date of the certification basis."""

    rule: Word
    as_of: Word | None = None


@dataclass(frozen=True, slots=True)
class Accept(Node):
    check: Word
    target: Word
    reason: Word
    until: Word | None


@dataclass(frozen=True, slots=True)
class Drop(Node):
    target: Word
    reason: Word


@dataclass(frozen=True, slots=True)
class Allowance(Node):
    """`what` is bands per quantity, contexts, timers, alerts or lamps."""

    number: Value
    what: str


@dataclass(frozen=True, slots=True)
class Allows(Node):
    """What a display has room for."""

    allowances: tuple[Allowance, ...]


@dataclass(frozen=True, slots=True)
class TextLength(Node):
    """`text up to N characters`, of a display."""

    characters: Value


@dataclass(frozen=True, slots=True)
class LabelLength(Node):
    """`labels up to N characters`, of a display: the short labels of its gauges."""

    characters: Value


@dataclass(frozen=True, slots=True)
class Scan(Node):
    """`scan every D`, of a display."""

    period: Value


@dataclass(frozen=True, slots=True)
class Colours(Node):
    """The colours that a display has."""

    colours: tuple[Word, ...]


@dataclass(frozen=True, slots=True)
class LampSequence(Node):
    """`lock_in` is none where neither `with lock-in` nor `without lock-in` is written."""

    name: Word
    lock_in: bool | None


@dataclass(frozen=True, slots=True)
class Lamp(Node):
    """`shows`: levels and labels in the order written, each with whether it is a level."""

    text: Word
    shows: tuple[tuple[Word, bool], ...]
    sequence: LampSequence | None
    acknowledged_by: Word | None
    reset_by: Word | None
    repeated: tuple[Node, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawn(Node):
    """`shape` is dial, bar or digits."""

    shape: str
    unit: Word | None
    resolution: Value | None


@dataclass(frozen=True, slots=True)
class Gauge(Node):
    name: Word
    label: Word | None
    drawn: Drawn | None
    sensor: Word | None
    channels: tuple[Word, ...]
    repeated: tuple[Node, ...] = ()


@dataclass(frozen=True, slots=True)
class Wired(Node):
    """`to` is ground or supply."""

    to: str
    position: Word


@dataclass(frozen=True, slots=True)
class Input(Node):
    name: Word
    label: Word | None
    wired: Wired | None
    channel: Word | None
    repeated: tuple[Node, ...] = ()


@dataclass(frozen=True, slots=True)
class Assume(Node):
    when: Formula | None
    formula: Formula
    sources: tuple[SourceClause, ...]


@dataclass(frozen=True, slots=True)
class Range(Node):
    """A profile's statement on a quantity: `kind` is limit, avoid, precaution or normal."""

    kind: str
    when: Formula | None
    subject: Subject
    region: Region
    except_for: Value | None
    needs: tuple[Needs, ...]
    sources: tuple[SourceClause, ...]


@dataclass(frozen=True, slots=True)
class Tail:
    """What may follow a band or an alert."""

    after: Value | None = None
    latched: Node | None = None
    unless: Formula | None = None
    repeated: tuple[Node, ...] = ()


@dataclass(frozen=True, slots=True)
class Band(Node):
    when: Formula | None
    subject: Subject
    region: Region
    held: HeldFor | None
    colour: Word
    alert: AlertClause | None
    tail: Tail


@dataclass(frozen=True, slots=True)
class Alert(Node):
    when: Formula
    held: HeldFor | None
    alert: AlertClause
    tail: Tail


@dataclass(frozen=True, slots=True)
class Prove(Node):
    """`kind` is is, at_least, never, raises, any_raises or quiet; `wanted` is a colour or a level."""

    when: Formula | None
    kind: str
    subject: Subject | None
    region: Region | None
    wanted: str | None
    within: Value | None


Rule = Assume | Range | Band | Alert | Prove


@dataclass(frozen=True, slots=True)
class Labelled(Node):
    """A rule with a label of its own, or without one."""

    label: Word | None
    rule: Rule


@dataclass(frozen=True, slots=True)
class Replace(Node):
    label: Word
    rule: Rule


Statement = (
    Header
    | Use
    | About
    | SourceDeclaration
    | Engine
    | Weights
    | Quantity
    | Switch
    | Let
    | Curve
    | Condition
    | Respond
    | Follow
    | Accept
    | Drop
    | Allows
    | TextLength
    | Scan
    | Colours
    | LabelLength
    | Lamp
    | Gauge
    | Input
    | Labelled
    | Replace
)


@dataclass(frozen=True, slots=True)
class Comment:
    """A comment with its `#`."""

    span: Span
    text: str


@dataclass(frozen=True, slots=True)
class File:
    """One file: its statements in order, and every comment in it.

    `broken` are the stretches of the statements that could not be read, in order, and `lost` the names and labels
    that they would have given.
    """

    source: Source
    statements: tuple[Statement, ...]
    comments: tuple[Comment, ...]
    lost: frozenset[str] = frozenset()
    broken: tuple[Span, ...] = ()
