"""What going through a fleet of logs comes to: the hand-over to the output formats."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from alertlang.results.replay import DISTRUST, Metric, Unexercised
from alertlang.results.report import FileName
from alertlang.results.result import Result


@dataclass(frozen=True, slots=True)
class FleetLog:
    """One log. `failed`: why it could not be used; then all numbers are 0 and `sha256` may be none. `same_as`: the log
    before it that is the same recording, byte for byte, and counts for both; then all numbers are 0, too. `before`: it
    was finished by an earlier start. `problems` counts kinds of what was not as it should be. `limits_broken`: how
    often a limit was broken for longer than it allows, and for how many seconds in all. `aircraft`: which it is of,
    empty where that is not known. `began`: the date and time at which it begins, by its own clock, where that has
    dates. `warnings`: how many of its alerts are. `doubts`: names of what makes it say less than it seems to."""

    log: str
    sha256: str | None
    failed: str | None = None
    same_as: str | None = None
    before: bool = False
    rows: int = 0
    samples: int = 0
    segments: int = 0
    seconds: Fraction = Fraction(0)
    problems: int = 0
    alerts: int = 0
    alerts_per_hour: Fraction | None = None
    limits_broken: int = 0
    limits_broken_seconds: Fraction = Fraction(0)
    chattering: tuple[str, ...] = ()
    fleeting: tuple[str, ...] = ()
    aircraft: str = ""
    began: str | None = None
    warnings: int = 0
    doubts: tuple[str, ...] = ()

    def distrusted(self, accepted: Collection[str]) -> tuple[str, ...]:
        """Those of `doubts` for which its replay may not be trusted. `accepted`: names of problems that were looked at,
        a kind alone for all of that kind."""
        names = [(name, name.partition(":")[0]) for name in self.doubts]
        return tuple(name for name, kind in names if kind in DISTRUST and not {kind, name} & set(accepted))


@dataclass(frozen=True, slots=True)
class LogAlert:
    """One alert of one statement and element in one log, its place among the logs given: how many times, how long in
    all, the first start, and the worst reading where one is known."""

    log: int
    statement: str
    element: int | None
    text: str
    level: str
    times: int
    seconds: Fraction
    first: Fraction
    reading: str | None
    worst: Fraction | None
    unit: str | None


@dataclass(frozen=True, slots=True)
class LogLimit:
    """One limit in one log, likewise; `past`: by how much it was broken at the worst."""

    log: int
    limit: str
    element: int | None
    times: int
    seconds: Fraction
    first: Fraction
    reading: str | None
    worst: Fraction | None
    unit: str | None
    past: Fraction | None


@dataclass(frozen=True, slots=True)
class OftenUp:
    """One statement's alert over the whole fleet: how many times it came up, in how many logs, how long in all."""

    statement: str
    text: str
    level: str
    times: int
    logs: int
    seconds: Fraction


@dataclass(frozen=True, slots=True)
class OftenBroken:
    """One limit over the whole fleet, likewise; `worst`: where it was broken by most."""

    limit: str
    times: int
    logs: int
    seconds: Fraction
    worst: LogLimit | None = None


@dataclass(frozen=True, slots=True)
class OftenOdd:
    """One kind of problem with logs: how many rows or columns in all, in how many logs."""

    kind: str
    count: int
    logs: int
    words: str


@dataclass(frozen=True, slots=True, repr=False)
class FleetResult(Result):
    """All logs in order of their names; alerts and limits the most frequent first. `files`: what was written.

    `metrics` are over all logs together; `levels`: how many alerts of each level, the gravest first. `unexercised`:
    what no log of the fleet says anything about. `ups` and `breaks`: what stands behind the sums, by log. `accepted`:
    names of problems that somebody has looked at.
    """

    rules: FileName
    map: str | None
    files: tuple[str, ...]
    logs: tuple[FleetLog, ...]
    metrics: tuple[Metric, ...]
    levels: tuple[tuple[str, int], ...]
    alerts: tuple[OftenUp, ...]
    limits: tuple[OftenBroken, ...]
    problems: tuple[OftenOdd, ...]
    unexercised: tuple[Unexercised, ...]
    ups: tuple[LogAlert, ...] = ()
    breaks: tuple[LogLimit, ...] = ()
    accepted: tuple[str, ...] = ()

    @property
    def untrusted(self) -> tuple[FleetLog, ...]:
        """The logs whose replay may not be trusted; they count in all sums."""
        return tuple(log for log in self.used if log.distrusted(self.accepted))

    @property
    def trusted(self) -> bool:
        return not self.untrusted

    @property
    def used(self) -> tuple[FleetLog, ...]:
        """The recordings, each once."""
        return tuple(log for log in self.logs if log.failed is None and log.same_as is None)

    @property
    def copies(self) -> tuple[FleetLog, ...]:
        """Logs that are the same recording as one among `used`."""
        return tuple(log for log in self.logs if log.same_as is not None)

    @property
    def failed(self) -> tuple[FleetLog, ...]:
        return tuple(log for log in self.logs if log.failed is not None)

    @property
    def seconds(self) -> Fraction:
        """All that was recorded."""
        return sum((log.seconds for log in self.logs), Fraction(0))
