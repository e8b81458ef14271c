"""What checking one file comes to: the hand-over to the output formats."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum
from typing import Any

from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding, Region, Witness
from alertlang.results.result import Result
from alertlang.text.short import Short
from alertlang.text.source import Span


class Verdict(Enum):
    PROVED = "proved"
    REFUTED = "refuted"
    VACUOUS = "vacuous"
    UNDECIDED = "undecided"

    @property
    def badness(self) -> int:
        """The lower, the better."""
        return (Verdict.PROVED, Verdict.VACUOUS, Verdict.UNDECIDED, Verdict.REFUTED).index(self)


@dataclass(frozen=True, slots=True, repr=False)
class ClaimResult(Short):
    """What became of a claim. `assumptions`: labels of those that the proof needs. `shown`: what a witness shows, or
    why it is undecided where that is not because the solver gave up. `covers`: what a proof about times says."""

    label: str
    text: str
    verdict: Verdict
    where: Span
    witness: Witness | None = field(default=None, hash=False)
    region: Region | None = field(default=None, hash=False)
    assumptions: tuple[str, ...] = ()
    shown: str | None = None
    covers: str = ""


def worse_claims(before: Iterable[ClaimResult], after: Iterable[ClaimResult]) -> Iterator[ClaimResult]:
    """The claims of which less is proved than was; a new one that is not proved is worse than none."""
    had = {claim.label: claim.verdict for claim in before}
    return (one for one in after if one.verdict.badness > had.get(one.label, Verdict.PROVED).badness)


@dataclass(frozen=True, slots=True)
class Proof:
    """A check found nothing on a quantity (none: on the rule set as a whole), after so many questions."""

    check: str
    quantity: str | None
    queries: int


@dataclass(frozen=True, slots=True)
class FileName:
    """A file by kind, name, version and path; `version` none where the header could not be read."""

    kind: str
    name: str
    version: int | None
    path: str

    @classmethod
    def of(cls, origin: Any) -> FileName:
        """Of what a rule set, or a display, says of the file that it was read from."""
        return cls(origin.kind, origin.name, origin.version, origin.path)


@dataclass(frozen=True, slots=True)
class Basis:
    """What every answer about a rule set rests on: its assumptions by label, and how many of the numbers that have a
    source are of which grade."""

    assumptions: tuple[str, ...] = ()
    numbers: Mapping[str, int] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True, repr=False)
class Report(Result):
    """Everything about one file that was asked for. `readable`: it could be read, parsed and resolved."""

    file: FileName
    profiles: tuple[FileName, ...]
    readable: bool
    findings: tuple[Finding, ...]
    claims: tuple[ClaimResult, ...] = ()
    proved: tuple[Proof, ...] = ()
    basis: Basis = Basis()

    def worst(self) -> Severity | None:
        """The worst severity that counts: accepted findings do not, a claim that is not proved is an error."""
        found = [f.severity for f in self.findings if f.accepted is None]
        if any(c.verdict in {Verdict.REFUTED, Verdict.UNDECIDED} for c in self.claims):
            found.append(Severity.ERROR)
        return max(found, default=None)


@dataclass(frozen=True, slots=True)
class SheetEntry:
    """One statement of a profile. `status` is that of its weakest source; none where it states no number."""

    kind: str
    label: str
    text: str
    sources: tuple[str, ...]
    status: str | None


@dataclass(frozen=True, slots=True, repr=False)
class ProfileSheet(Result):
    """A profile for reading: what it says and where each number comes from. `reaction_times`: how soon red and an
    alert are asked for where a limit does not say it itself. `numbers`: how many of each grade. `comparisons`: how what
    another document says came out (agrees, supports, disagrees), and what it says. `confirmed`, `in_conflict`: how many
    numbers another document agrees with, and disagrees with. `searched`: the day on which none was found."""

    file: FileName
    about: tuple[str, ...]
    engine: tuple[str, ...]
    sources: tuple[str, ...]
    entries: tuple[SheetEntry, ...]
    reaction_times: tuple[str, ...] = ()
    numbers: Mapping[str, int] = field(default_factory=dict, hash=False)
    comparisons: tuple[tuple[str, str], ...] = ()
    confirmed: int = 0
    in_conflict: int = 0
    searched: date | None = None
