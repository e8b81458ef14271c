"""Why something is shown, or is not, at one moment of a recording or in a state that was given by hand.

Times are seconds, of a recording as its log counts them, else from when the state began. `since`: the first sample of
the unbroken stretch up to the moment in which something has been as it is.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.findings.finding import Reach, WitnessReading
from alertlang.results.log_clock import LogClock
from alertlang.results.replay import Problem, RestsOnLog
from alertlang.results.report import FileName
from alertlang.results.result import Result
from alertlang.results.scenario import Read
from alertlang.text.source import Span
from alertlang.units.unit import Unit


@dataclass(frozen=True, slots=True)
class NearestChange:
    """The nearest change of one input, all else and every clock as they stand, that changes what is asked about.

    `reach`: the values for which it is so, up to the first that show something else again, of a reading (`to_end`: up
    to the end of its sensor's range); `position` of a switch, or `failed`. `tried`: one of these, with which the
    stepper showed it; none where it is to have failed. `by`: how far the near end is from the value there is, `up`
    whether it lies above it; none where there is no value. `shows`: what is shown then. Of an alert that came up in
    a recording, with the change at that one sample alone: `comes`, when it comes up all the same; none: not at any of
    the samples that were tried, the last of them at `until`.
    """

    input: str
    reach: Reach | None
    position: str | None
    tried: WitnessReading | str | None
    by: Fraction | None
    up: bool | None
    to_end: bool
    shows: str
    comes: Fraction | None = None
    until: Fraction | None = None


@dataclass(frozen=True, slots=True)
class StatementWhy:
    """What became of a statement, for one element of an array. `where` it is written; `colour` of a band, `level` and
    `text` of an alert. `up`: whether its alert is, none where it has none. `beaten_by`: it applies, and the gauge shows
    the colour of this one. `says`: the rest of the sentence."""

    statement: str
    element: int | None
    where: Span
    colour: str | None
    level: str | None
    text: str | None
    applies: bool
    since: Fraction
    up: bool | None
    beaten_by: str | None
    says: str


@dataclass(frozen=True, slots=True)
class GaugeWhy:
    """A gauge: its value (none where failed), its colour (none: no band applies), its bands in the order in which they
    are of interest: the one whose colour it shows, those that lost, those that do not apply."""

    quantity: str
    element: int | None
    value: WitnessReading | None
    colour: str | None
    since: Fraction
    statements: tuple[StatementWhy, ...]
    nearest: tuple[NearestChange, ...]


@dataclass(frozen=True, slots=True)
class AlertWhy:
    """An alert of one statement, up or not. `nearest`: of one that is up what would have kept it from coming up when it
    did, and whether that would only have put it off (in a state that was given: what would take it away now); of
    another what would bring it up now."""

    level: str
    text: str
    up: bool
    since: Fraction
    statement: StatementWhy
    nearest: tuple[NearestChange, ...]


@dataclass(frozen=True, slots=True)
class LampWhy:
    """What a lamp is doing; `lit_by`: the alerts that are up and light it."""

    text: str
    state: str
    light: str
    sound: str
    since: Fraction
    lit_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LimitWhy:
    """How far a limit, or a range to avoid, is from being broken. `counts`: its case is there. `broken`: it is, for
    longer than it allows, since `since`. `left`: how far the reading is from its edge, in `unit`, below zero where it
    is past it; none where something has failed. `says` why it does not count, or for how long it has been past its
    edge."""

    limit: str
    element: int | None
    kind: str
    where: Span
    region: str
    reading: str
    value: Fraction | None
    unit: Unit
    counts: bool
    broken: bool
    since: Fraction
    left: Fraction | None
    says: str


@dataclass(frozen=True, slots=True)
class Later:
    """What comes first if all that is read stays as it is: when, and what is shown then."""

    time: Fraction
    shows: str


@dataclass(frozen=True, slots=True)
class SwitchWhy:
    """The position of a switch, none where it is not known, and since when it has been there."""

    switch: str
    position: str | None
    since: Fraction


@dataclass(frozen=True, slots=True)
class MomentOf:
    """Of a recording: its `log`, the `map` of its columns (none: taken by their names), the segment from 1, the row
    from 1 after the heading, and the sample before, none at the first. `clock`: the log's own, where it has one."""

    log: str
    map: str | None
    segment: int
    row: int
    before: Fraction | None
    clock: LogClock | None = None


@dataclass(frozen=True, slots=True, repr=False)
class Why(RestsOnLog, Result):
    """Everything about one moment. `asked`: about what alone, in words, none for all. `of`: where it comes from, none
    for a state that was given. `read`: all that was read. `nearest`: what would change anything of it (of a given
    state that was asked about as a whole). `not_judged`: gauges and alerts that need what was not given. `broken`:
    assumptions of the rules that do not hold. `switches`: of a recording all of them, whether or not any statement goes
    by them. `problems`: what was found in the log and may not be overlooked; `accepted`: names of those that were
    looked at."""

    rules: FileName
    asked: str | None
    of: MomentOf | None
    time: Fraction
    read: Read = field(hash=False)
    gauges: tuple[GaugeWhy, ...]
    alerts: tuple[AlertWhy, ...]
    lamps: tuple[LampWhy, ...]
    limits: tuple[LimitWhy, ...]
    nearest: tuple[NearestChange, ...] = ()
    later: Later | None = None
    not_judged: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()
    switches: tuple[SwitchWhy, ...] = ()
    problems: tuple[Problem, ...] = ()
    accepted: tuple[str, ...] = ()

    @property
    def up(self) -> tuple[AlertWhy, ...]:
        """The alerts that are up."""
        return tuple(alert for alert in self.alerts if alert.up)
