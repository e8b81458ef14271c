"""What running one scenario comes to: the hand-over to the output formats."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.findings.finding import Finding, WitnessReading
from alertlang.results.replay import Problem, RestsOnLog
from alertlang.results.report import FileName
from alertlang.results.result import Result
from alertlang.text.short import Short
from alertlang.text.source import Span

# A value, the position of a switch, or none where a sensor has failed or a position is not known.
Read = Mapping[str, WitnessReading | str | None]


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something is, or is not, shown: one statement (or condition) and what became of it.

    `label` with the element it is about in brackets; `where` it is written; `says`: the rest of the sentence.
    """

    label: str
    where: Span
    applies: bool
    says: str


@dataclass(frozen=True, slots=True)
class Difference:
    """The first sample at which something that was expected is not so.

    `time` in seconds; `expected` as it is written, at `where`; `message` says what is shown instead. `since`: the
    seconds from which it had to be so. `read`: the values on which it depends.
    """

    time: Fraction
    since: Fraction
    where: Span
    expected: str
    message: str
    read: Read = field(hash=False)
    reasons: tuple[Reason, ...]
    more: int = 0


@dataclass(frozen=True, slots=True, repr=False)
class ScenarioReport(Result):
    """One scenario. `findings`: why it could not be read, or what else there is to say. `expectations` and `samples`
    count; `seconds` from the first sample to the last. Without a difference, and readable, everything is as said."""

    file: FileName
    rules: FileName | None
    readable: bool
    findings: tuple[Finding, ...]
    expectations: int = 0
    samples: int = 0
    seconds: Fraction = Fraction(0)
    difference: Difference | None = None

    @property
    def as_said(self) -> bool:
        return self.readable and self.difference is None


@dataclass(frozen=True, slots=True, repr=False)
class RecordedScenario(RestsOnLog, Short):
    """A stretch as the text of a scenario, `name` without its ending. Times of the log: the scenario `begins`, what it
    expects goes from `first` to `last`. `lines` of so many `samples`; `failed`: inputs that were never known, as no
    column feeds them or nothing was read. `problems`: what was found in the log and may not be overlooked."""

    name: str
    text: str
    begins: Fraction
    first: Fraction
    last: Fraction
    samples: int
    lines: int
    failed: tuple[str, ...]
    problems: tuple[Problem, ...] = ()
    accepted: tuple[str, ...] = ()
