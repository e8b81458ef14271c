"""What replaying a recorded run comes to: the hand-over to the output formats.

Times are seconds as the log counts them. A log in which time runs backwards has several segments, and a time says
nothing without the number of its segment, from 1. What has no `end` is still so at the last sample of its segment;
`seconds` then counts up to that sample.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction

from alertlang.results.log_clock import LogClock
from alertlang.results.report import FileName
from alertlang.results.result import Result
from alertlang.units.unit import Unit

DISTRUST = (
    "time-doubtful", "mostly-failed", "often-failed", "no-position", "column-twice", "map-doubtful", "other-heading",
    "unit-differs",
)  # fmt: skip
"""Kinds of problems with which a replay may not be trusted, unless somebody says that the log was looked at."""

GRAVE = (
    *DISTRUST,
    "left-out-limit",
    "unit-doubtful",
    "never-changes",
    "no-time",
    "broken-quote",
    "repeated-time",
)
"""Kinds of problems that can make a quiet replay say nothing: told first, and apart, in this order."""


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in the log that was not as it should be. `first_row` counts from 1 after the heading, none where it is
    about no row; `column` is the log's own name."""

    kind: str
    count: int
    first_row: int | None
    column: str | None
    words: str

    @property
    def grave(self) -> bool:
        return self.kind in GRAVE

    @property
    def name(self) -> str:
        """What it is accepted by: its kind, with the column where it is about one."""
        return self.kind if self.column is None else f"{self.kind}:{self.column}"

    def distrusts(self, accepted: Collection[str]) -> bool:
        """Whether the replay may not be trusted for it. `accepted`: names of problems that were looked at, a kind
        alone for all of that kind."""
        return self.kind in DISTRUST and self.kind not in accepted and self.name not in accepted


@dataclass(frozen=True, slots=True)
class SegmentTimes:
    """One segment of the log: its samples and the times of the first and the last."""

    samples: int
    first: Fraction
    last: Fraction

    @property
    def seconds(self) -> Fraction:
        return self.last - self.first


@dataclass(frozen=True, slots=True)
class Worst:
    """The worst that was read while something lasted: `value` of the reading (`rpm`, `cht[2]`) in `unit`, first at
    `time`. `past`: by how much it is past the edge of the statement's region, below zero where it is not in it."""

    reading: str
    value: Fraction
    unit: Unit
    time: Fraction
    past: Fraction


@dataclass(frozen=True, slots=True)
class Margin:
    """How much was left at the worst value up to the nearest limit that always holds; below zero: so much past it."""

    limit: str
    left: Fraction
    unit: Unit


@dataclass(frozen=True, slots=True)
class AlertUp:
    """One time that an alert was up. `acknowledged`: when a button that acknowledges was first pressed meanwhile.
    `worst` none where the statement looks at no single reading, or nothing was read."""

    statement: str
    element: int | None
    text: str
    level: str
    segment: int
    start: Fraction
    end: Fraction | None
    seconds: Fraction
    acknowledged: Fraction | None
    worst: Worst | None
    margin: Margin | None


@dataclass(frozen=True, slots=True)
class Coloured:
    """One colour of a gauge, from when to when. `colour` none: no band applied."""

    quantity: str
    element: int | None
    colour: str | None
    segment: int
    start: Fraction
    end: Fraction | None
    seconds: Fraction


@dataclass(frozen=True, slots=True)
class ColourTime:
    """How long a gauge was of one colour in all, and how many times it became so."""

    quantity: str
    element: int | None
    colour: str | None
    seconds: Fraction
    times: int


@dataclass(frozen=True, slots=True)
class BandTime:
    """How long a band applied in all, and how many times; whether or not a worse one hid its colour."""

    statement: str
    quantity: str
    element: int | None
    colour: str
    seconds: Fraction
    times: int


@dataclass(frozen=True, slots=True)
class MarkedRows:
    """Rows that were marked, one after the other count as one. `row`: of the first, from 1 after the heading.

    `alerts`: what was up at the first of them, as (statement, element, text, level). `colours`: what was yellow or red,
    as (quantity, element, colour). `lamps`: what was not normal, as (text, state).
    """

    segment: int
    time: Fraction
    row: int
    alerts: tuple[tuple[str, int | None, str, str], ...]
    colours: tuple[tuple[str, int | None, str], ...]
    lamps: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Lit:
    """What a lamp was doing, from when to when."""

    text: str
    state: str
    light: str
    sound: str
    segment: int
    start: Fraction
    end: Fraction | None
    seconds: Fraction


@dataclass(frozen=True, slots=True)
class Violation:
    """One time that a limit was broken or an avoid range entered, for longer than it allows."""

    limit: str
    element: int | None
    segment: int
    start: Fraction
    end: Fraction | None
    seconds: Fraction
    worst: Worst | None


@dataclass(frozen=True, slots=True)
class ReadingUse:
    """A quantity, or an element of an array, as it was used: the lowest and the highest value read, in `unit`; none
    where nothing was. `column` and `read_in` are the log's: none where no column feeds it. `rows`: with a time;
    `failed`: those of them in which nothing is known of it."""

    name: str
    column: str | None
    read_in: Unit | None
    unit: Unit
    low: Fraction | None
    high: Fraction | None
    rows: int
    failed: int


@dataclass(frozen=True, slots=True)
class PositionTime:
    """How long a switch was at a position in all, and how many times it came to it. `position` none: unknown."""

    position: str | None
    seconds: Fraction
    times: int


@dataclass(frozen=True, slots=True)
class AtPosition:
    """A position of a switch, from when to when. `position` none: unknown."""

    position: str | None
    segment: int
    start: Fraction
    end: Fraction | None
    seconds: Fraction


@dataclass(frozen=True, slots=True)
class SwitchUse:
    """A switch as it was used. `column`: the log's, none where no column feeds it; then nothing more is told.
    `positions`: how long it was at each, in the order of declaration. `changes`: each time that it came to one."""

    name: str
    column: str | None
    positions: tuple[PositionTime, ...]
    changes: tuple[AtPosition, ...]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What holds at rows that do not count because a later one has their time. `kind`: limit, avoid range, red band or
    warning. `rows`: how many, `first_row` from 1 after the heading. `value` of `reading`, in `unit`, is the worst among
    them, `past` how much it is past the edge; all none where the statement looks at no single reading."""

    statement: str
    element: int | None
    kind: str
    rows: int
    first_row: int
    reading: str | None
    value: Fraction | None
    unit: Unit | None
    past: Fraction | None


@dataclass(frozen=True, slots=True)
class HeldAgainst:
    """A published figure that a number is held against. `met` none where it gives no number to hold it against."""

    words: str
    source: str
    status: str
    met: bool | None

    @property
    def verdict(self) -> str:
        """The same words wherever it is told."""
        return {True: "kept", False: "not kept", None: "not judged"}[self.met]


@dataclass(frozen=True, slots=True)
class Metric:
    """One number on how much the rules nag, with what defines it. `names`: the alerts it lists, where it lists some;
    `value` none: there was no time to count over. `fits_aircraft`: it says something of a flight, and not only of a
    plant that runs day and night with somebody at a desk."""

    name: str
    value: Fraction | None
    names: tuple[str, ...] | None
    words: str
    source: str
    status: str
    held_against: tuple[HeldAgainst, ...]
    fits_aircraft: bool


@dataclass(frozen=True, slots=True)
class Unexercised:
    """What this log says nothing about. `kind`: band, alert, condition, limit, avoid, precaution, normal; `why`: the
    rest of the sentence."""

    kind: str
    name: str
    why: str


@dataclass(frozen=True, slots=True)
class Judged:
    """Whether this log could have tested a statement, for one element of an array: that it never showed says something
    only then.

    `kind`: alert (with `level` and `text`), limit or avoid. `inputs`: the readings and switches that it needs to know,
    `missing`: those that no column feeds. `context`: in which share of the time its context held, none where it needs
    none; `share`: in which of it all that it needs was known too. `why` not, where not.
    """

    statement: str
    element: int | None
    kind: str
    level: str | None
    text: str | None
    inputs: tuple[str, ...]
    missing: tuple[str, ...]
    context: Fraction | None
    share: Fraction
    judged: bool
    why: str


class RestsOnLog:
    """What rests on a log: the problems of that, and the names of those that somebody has looked at."""

    __slots__ = ()
    problems: tuple[Problem, ...]
    accepted: tuple[str, ...]

    @property
    def doubts(self) -> tuple[Problem, ...]:
        """The problems for which it may not be trusted."""
        return tuple(problem for problem in self.problems if problem.distrusts(self.accepted))

    @property
    def trusted(self) -> bool:
        return not self.doubts


@dataclass(frozen=True, slots=True, repr=False)
class ReplayResult(RestsOnLog, Result):
    """One log over one rule set, everything in the order of declaration and then of time.

    `rows`: all under the heading; samples are those that count. `levels`: how many alerts of each level, the gravest
    first. `map`: the column map, none where columns were taken by their names. `left_out`: what holds at rows that do
    not count. `judged`: of every alert and limit whether this log could have tested it. `clock`: the log's own.
    `accepted`: names of problems that somebody has looked at. `unused`: the log's columns of which nothing is read;
    `marks_read`: whether one is read for the pilot's marks.
    """

    log: str
    rules: FileName
    map: str | None
    rows: int
    segments: tuple[SegmentTimes, ...]
    problems: tuple[Problem, ...]
    alerts: tuple[AlertUp, ...]
    colours: tuple[Coloured, ...]
    colour_times: tuple[ColourTime, ...]
    band_times: tuple[BandTime, ...]
    marks: tuple[MarkedRows, ...]
    lamps: tuple[Lit, ...]
    violations: tuple[Violation, ...]
    metrics: tuple[Metric, ...]
    levels: tuple[tuple[str, int], ...]
    unexercised: tuple[Unexercised, ...]
    left_out: tuple[LeftOut, ...] = ()
    readings: tuple[ReadingUse, ...] = ()
    judged: tuple[Judged, ...] = ()
    switches: tuple[SwitchUse, ...] = ()
    clock: LogClock | None = None
    accepted: tuple[str, ...] = ()
    unused: tuple[str, ...] = ()
    marks_read: bool = False

    @property
    def not_judged(self) -> tuple[Judged, ...]:
        """The alerts and limits of which this log says nothing."""
        return tuple(judged for judged in self.judged if not judged.judged)

    @property
    def numbers(self) -> Mapping[AlertUp, int]:
        """Each alert with its number, from 1, in the order of time: by it one is asked about (`why_recorded`)."""
        in_order = sorted(self.alerts, key=lambda alert: (alert.segment, alert.start))
        return {alert: number for number, alert in enumerate(in_order, 1)}

    @property
    def samples(self) -> int:
        return sum(segment.samples for segment in self.segments)

    @property
    def seconds(self) -> Fraction:
        """All that was recorded; what lies between segments is not in it."""
        return sum((segment.seconds for segment in self.segments), Fraction(0))


@dataclass(frozen=True, slots=True)
class SampleReading:
    """A reading at one sample; `value` none where it had failed."""

    reading: str
    value: Fraction | None
    unit: Unit


@dataclass(frozen=True, slots=True)
class ReplayDifference:
    """One stretch over which two rule sets show something different.

    `kind` colour: `quantity` and `element` say of which gauge, `one` and `other` are the colours (none: no band, or no
    such gauge). `kind` alert: `text` and `level` say of which, `one` and `other` are "up" or none; `statements` are
    those it comes from, where it is up. `first` and `last`: what was read at the first and the last sample of it.
    """

    kind: str
    quantity: str | None
    element: int | None
    text: str | None
    level: str | None
    statements: tuple[str, ...]
    segment: int
    start: Fraction
    end: Fraction | None
    seconds: Fraction
    one: str | None
    other: str | None
    first: SampleReading | None
    last: SampleReading | None


@dataclass(frozen=True, slots=True)
class AlertSpan:
    """One time that an alert was up under one rule set, from whatever statement. `first_row` and `last_row`: the first
    and the last sample at which it was, as rows from 1 after the heading. `statements`: those it came from."""

    start: Fraction
    end: Fraction | None
    seconds: Fraction
    first_row: int
    last_row: int
    statements: tuple[str, ...]


CHANGES = ("new", "lost", "later", "shorter", "earlier", "longer", "same")
"""What became of an alert, what is less safe than it was not last."""


@dataclass(frozen=True, slots=True)
class AlertChange:
    """One time that an alert was up under either rule set, and what the other does then.

    `kind`: `new` (the other alone has it), `lost` (the one alone), `earlier` or `later` (the other's begins before, or
    after, the one's, `by` so many seconds), `longer` or `shorter` (both begin at one row, and the other's ends after,
    or before, `by` so many seconds; none where either is still up at the end), or the `same`. Every time that it was up
    under either is in exactly one of them.
    """

    kind: str
    text: str
    level: str
    segment: int
    one: AlertSpan | None
    other: AlertSpan | None
    by: Fraction | None


@dataclass(frozen=True, slots=True, repr=False)
class ReplayComparison(RestsOnLog, Result):
    """Two rule sets over one log. `problems` are those of reading it for either, in turn. `differences`: stretches over
    which something else is shown. `alerts`: each time that an alert was up, the same ones too. `clock`: the log's own.
    `accepted`: names of problems that somebody has looked at."""

    log: str
    rules: FileName
    against: FileName
    map: str | None
    rows: int
    segments: tuple[SegmentTimes, ...]
    problems: tuple[Problem, ...]
    differences: tuple[ReplayDifference, ...]
    alerts: tuple[AlertChange, ...] = ()
    clock: LogClock | None = None
    accepted: tuple[str, ...] = ()

    @property
    def same(self) -> bool:
        """Nothing differs on this log, which says nothing about any other."""
        return not self.differences
