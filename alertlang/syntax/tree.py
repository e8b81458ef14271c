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
class WordNode(Node):
    """A name or a text (without its quotes)."""

    text: str


@dataclass(frozen=True, slots=True)
class Value(Node):
    """A number with its unit, or without one."""

    number: Fraction
    unit: WordNode | None


@dataclass(frozen=True, slots=True)
class SubjectNode(Node):
    """A name, or one element of an array (`cht[2]`, from 1)."""

    name: WordNode
    index: Value | None


Bound = Value | WordNode


@dataclass(frozen=True, slots=True)
class RegionNode(Node):
    """`kind` is one of `model.RegionKind` in small letters, or below_above, which is what outside is, written as what
    lies below the one end or above the other. Those with two ends have `second`.

    In a band also failed, whose `first` is 0 and says nothing.
    """

    kind: str
    first: Bound
    second: Bound | None = None


# ---- formulas ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class NamedNode(Node):
    """The name of a condition."""

    subject: SubjectNode


@dataclass(frozen=True, slots=True)
class CompareNode(Node):
    """A quantity in a region; `quantifier` is any or every for an array."""

    subject: SubjectNode
    region: RegionNode
    quantifier: str | None


@dataclass(frozen=True, slots=True)
class Failed(Node):
    subject: SubjectNode
    quantifier: str | None


@dataclass(frozen=True, slots=True)
class IsAt(Node):
    """A switch at a position, or not at it."""

    subject: SubjectNode
    position: WordNode
    negated: bool


@dataclass(frozen=True, slots=True)
class NotNode(Node):
    part: Formula


@dataclass(frozen=True, slots=True)
class AndNode(Node):
    parts: tuple[Formula, ...]


@dataclass(frozen=True, slots=True)
class OrNode(Node):
    parts: tuple[Formula, ...]


@dataclass(frozen=True, slots=True)
class HeldNode(Node):
    """`part for at least D` or `part for less than D`."""

    part: Formula
    at_least: bool
    duration: Value


Formula = NamedNode | CompareNode | Failed | IsAt | NotNode | AndNode | OrNode | HeldNode


# ---- expressions of `let` --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Constant(Node):
    value: Value


@dataclass(frozen=True, slots=True)
class ReadNode(Node):
    subject: SubjectNode


@dataclass(frozen=True, slots=True)
class Arithmetic(Node):
    """`operator` is one of + - * /."""

    operator: str
    left: Expression
    right: Expression


@dataclass(frozen=True, slots=True)
class StatisticNode(Node):
    """highest, lowest, spread, average or deviation of an array."""

    kind: str
    subject: SubjectNode


@dataclass(frozen=True, slots=True)
class TrendNode(Node):
    """rise or fall of a quantity per unit of time."""

    kind: str
    subject: SubjectNode
    per: WordNode


Expression = Constant | ReadNode | Arithmetic | StatisticNode | TrendNode


# ---- clauses ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SourceClause(Node):
    name: WordNode
    note: WordNode | None


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
    text: WordNode


# ---- statements ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Header(Node):
    kind: str
    name: WordNode
    version: Value


@dataclass(frozen=True, slots=True)
class Use(Node):
    """`kind` is profile or rules."""

    kind: str
    name: WordNode


@dataclass(frozen=True, slots=True)
class About(Node):
    text: WordNode


@dataclass(frozen=True, slots=True)
class SourceDeclaration(Node):
    """`status` is document, second hand, common practice or from memory."""

    name: WordNode
    status: str
    text: WordNode | None


@dataclass(frozen=True, slots=True)
class EngineStatement(Node):
    facts: tuple[WordNode, ...]


@dataclass(frozen=True, slots=True)
class WeightsStatement(Node):
    """The maximum weight and that of the arcs, at least one of the two."""

    maximum: Value | None
    arcs: Value | None
    sources: tuple[SourceClause, ...]
    repeated: tuple[Value, ...] = ()


@dataclass(frozen=True, slots=True)
class QuantityStatement(Node):
    name: WordNode
    size: Value | None
    title: WordNode | None
    low: Value
    high: Value
    step: Value | None
    accuracy: Value | None
    deadband: Value | None
    sources: tuple[SourceClause, ...]
    repeated: tuple[Value, ...] = ()


@dataclass(frozen=True, slots=True)
class SwitchStatement(Node):
    name: WordNode
    title: WordNode | None
    positions: tuple[WordNode, ...]


@dataclass(frozen=True, slots=True)
class Let(Node):
    name: WordNode
    expression: Expression
    low: Value | None
    high: Value | None
    sources: tuple[SourceClause, ...] = ()


@dataclass(frozen=True, slots=True)
class Curve(Node):
    name: WordNode
    subject: SubjectNode
    points: tuple[tuple[Value, Value], ...]
    otherwise: Value | None
    sources: tuple[SourceClause, ...] = ()


@dataclass(frozen=True, slots=True)
class ConditionStatement(Node):
    name: WordNode
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
class FollowStatement(Node):
    """`as_of`: the date of the certification basis."""

    rule: WordNode
    as_of: WordNode | None = None


@dataclass(frozen=True, slots=True)
class Accept(Node):
    check: WordNode
    target: WordNode
    reason: WordNode
    until: WordNode | None


@dataclass(frozen=True, slots=True)
class Drop(Node):
    target: WordNode
    reason: WordNode


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

    colours: tuple[WordNode, ...]


@dataclass(frozen=True, slots=True)
class LampSequence(Node):
    """`lock_in` is none where neither `with lock-in` nor `without lock-in` is written."""

    name: WordNode
    lock_in: bool | None


@dataclass(frozen=True, slots=True)
class LampStatement(Node):
    """`shows`: levels and labels in the order written, each with whether it is a level."""

    text: WordNode
    shows: tuple[tuple[WordNode, bool], ...]
    sequence: LampSequence | None
    acknowledged_by: WordNode | None
    reset_by: WordNode | None
    repeated: tuple[Node, ...] = ()


@dataclass(frozen=True, slots=True)
class DrawnAs(Node):
    """`shape` is dial, bar or digits."""

    shape: str
    unit: WordNode | None
    resolution: Value | None


@dataclass(frozen=True, slots=True)
class GaugeStatement(Node):
    name: WordNode
    label: WordNode | None
    drawn: DrawnAs | None
    sensor: WordNode | None
    channels: tuple[WordNode, ...]
    repeated: tuple[Node, ...] = ()


@dataclass(frozen=True, slots=True)
class Wired(Node):
    """`to` is ground or supply."""

    to: str
    position: WordNode


@dataclass(frozen=True, slots=True)
class InputStatement(Node):
    name: WordNode
    label: WordNode | None
    wired: Wired | None
    channel: WordNode | None
    repeated: tuple[Node, ...] = ()


@dataclass(frozen=True, slots=True)
class Assume(Node):
    when: Formula | None
    formula: Formula
    sources: tuple[SourceClause, ...]


@dataclass(frozen=True, slots=True)
class RangeStatement(Node):
    """A profile's statement on a quantity: `kind` is limit, avoid, precaution or normal."""

    kind: str
    when: Formula | None
    subject: SubjectNode
    region: RegionNode
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
class BandStatement(Node):
    when: Formula | None
    subject: SubjectNode
    region: RegionNode
    held: HeldFor | None
    colour: WordNode
    alert: AlertClause | None
    tail: Tail


@dataclass(frozen=True, slots=True)
class AlertStatement(Node):
    when: Formula
    held: HeldFor | None
    alert: AlertClause
    tail: Tail


@dataclass(frozen=True, slots=True)
class Prove(Node):
    """`kind` is is, at_least, never, raises, any_raises or quiet; `wanted` is a colour or a level."""

    when: Formula | None
    kind: str
    subject: SubjectNode | None
    region: RegionNode | None
    wanted: str | None
    within: Value | None


Rule = Assume | RangeStatement | BandStatement | AlertStatement | Prove


@dataclass(frozen=True, slots=True)
class Labelled(Node):
    """A rule with a label of its own, or without one."""

    label: WordNode | None
    rule: Rule


@dataclass(frozen=True, slots=True)
class Replace(Node):
    label: WordNode
    rule: Rule


Statement = (
    Header
    | Use
    | About
    | SourceDeclaration
    | EngineStatement
    | WeightsStatement
    | QuantityStatement
    | SwitchStatement
    | Let
    | Curve
    | ConditionStatement
    | Respond
    | FollowStatement
    | Accept
    | Drop
    | Allows
    | TextLength
    | Scan
    | Colours
    | LabelLength
    | LampStatement
    | GaugeStatement
    | InputStatement
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
