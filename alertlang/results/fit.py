"""Whether a rule set fits a display: the hand-over to the output formats."""

from __future__ import annotations

from dataclasses import dataclass

from alertlang.findings.finding import Finding
from alertlang.results.report import FileName
from alertlang.results.result import Result


@dataclass(frozen=True, slots=True)
class CountedRow:
    """One kind of place. `allowed` none: the display does not say. `proved`: the rules cannot do with fewer."""

    what: str
    needed: int
    allowed: int | None
    proved: bool
    uses: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def verdict(self) -> str:
        if self.allowed is None:
            return "not said"
        over = self.needed - self.allowed
        return f"{over} too many" if over > 0 else "fits"


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step of a plan: `loss` in words, `text` the statement as it is written then."""

    kind: str
    labels: tuple[str, ...]
    loss: str
    text: str | None
    lost: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlanRows:
    """What would make it fit. `new`: what the changed rule set has to find that the old one had not."""

    steps: tuple[StepRow, ...]
    proved: bool
    fits: bool
    guarded: bool
    new: tuple[str, ...]


@dataclass(frozen=True, slots=True, repr=False)
class FitReport(Result):
    """`sought`: a plan was looked for; `plan` none then: there is none."""

    rules: FileName
    display: FileName
    rows: tuple[CountedRow, ...]
    findings: tuple[Finding, ...]
    sought: bool
    plan: PlanRows | None
