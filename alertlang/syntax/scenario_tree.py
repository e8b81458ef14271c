"""The tree of a scenario: what was written, with its place, nothing resolved.

Header, `use` and `about` are those of `tree`. Places do not take part in comparing.
"""

from __future__ import annotations

from dataclasses import dataclass

from alertlang.syntax.tree import About, Comment, Header, Node, SubjectNode, Use, Value, WordNode
from alertlang.text.source import Source, Span


@dataclass(frozen=True, slots=True)
class SampleEvery(Node):
    """How far apart the samples are."""

    duration: Value


@dataclass(frozen=True, slots=True)
class PlaceNode(Node):
    """A name or one element; `every` element of an array if that is written."""

    subject: SubjectNode
    every: bool


# ---- what is read ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Given(Node):
    """`rpm 2100 rpm`."""

    place: PlaceNode
    value: Value


@dataclass(frozen=True, slots=True)
class RampNode(Node):
    """`rpm to 2700 rpm by 30 s`, or with the value it starts at."""

    place: PlaceNode
    first: Value | None
    last: Value
    by: Value


@dataclass(frozen=True, slots=True)
class Lost(Node):
    """`rpm failed`."""

    place: PlaceNode


@dataclass(frozen=True, slots=True)
class Turned(Node):
    """`canopy open`."""

    place: PlaceNode
    position: WordNode


@dataclass(frozen=True, slots=True)
class Pressed(Node):
    """`acknowledge`."""


Input = Given | RampNode | Lost | Turned | Pressed


# ---- what must be shown ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Shows(Node):
    """`rpm red`, or `rpm blank`: then `colour` is none."""

    place: PlaceNode
    colour: str | None


@dataclass(frozen=True, slots=True)
class Alerts(Node):
    """`caution "TEXT"`, or `no caution "TEXT"`: then `up` is false."""

    level: str
    text: WordNode
    up: bool


@dataclass(frozen=True, slots=True)
class Quiet(Node):
    """No caution and no warning is up."""


@dataclass(frozen=True, slots=True)
class Holds(Node):
    """`cold`, or `not cold`."""

    subject: SubjectNode
    holds: bool


@dataclass(frozen=True, slots=True)
class LampIs(Node):
    """`lamp "TEXT" flashing`: `light` is off, steady, flashing or slow flashing."""

    text: WordNode
    light: str


@dataclass(frozen=True, slots=True)
class Expectation(Node):
    """What must be shown at the time of its line; with `by` from that time on; with `until` before that time."""

    what: Shows | Alerts | Quiet | Holds | LampIs
    by: Value | None
    until: Value | None


@dataclass(frozen=True, slots=True)
class AtStatement(Node):
    """A line: what is read from this time on, and what must be shown."""

    time: Value
    inputs: tuple[Input, ...]
    expectations: tuple[Expectation, ...]


Statement = Header | Use | About | SampleEvery | AtStatement


@dataclass(frozen=True, slots=True)
class ScenarioFile:
    """A text that was read. `broken`: the statements that could not be read, which are not among `statements`."""

    source: Source
    statements: tuple[Statement, ...]
    comments: tuple[Comment, ...]
    broken: tuple[Span, ...]
