"""What going through a fleet of logs comes to: the hand-over to the output formats."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from alertlang.results.replay import Metric, Unexercised
from alertlang.results.report import FileName
from alertlang.results.result import Result


@dataclass(frozen=True, slots=True)
class FleetLog:
    """One log. `failed`: why it could not be used; then all numbers are 0 and `sha256` may be none. `same_as`: the log
    before it that is the same recording, byte for byte, and counts for both; then all numbers are 0, too. `before`: it
    was finished by an earlier start. `problems` counts kinds of what was not as it should be. `limits_broken`: how
    often a limit was broken for longer than it allows, and for how many seconds in all."""

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
    """One limit over the whole fleet, likewise."""

    limit: str
    times: int
    logs: int
    seconds: Fraction


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
    what no log of the fleet says anything about.
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
