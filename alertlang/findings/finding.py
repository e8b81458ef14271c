"""A finding: one thing that is wrong, where, for example when, and the way out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.findings.codes import Code, Severity, code_named
from alertlang.text.short import Short
from alertlang.text.source import Span
from alertlang.units.interval import Interval
from alertlang.units.unit import Unit


@dataclass(frozen=True, slots=True)
class WitnessReading:
    """A value of a quantity in its own unit."""

    value: Fraction
    unit: Unit


@dataclass(frozen=True, slots=True)
class Reach:
    """A stretch of a quantity in its own unit; both ends are given (the sensor's end where nothing narrows it)."""

    interval: Interval
    unit: Unit


@dataclass(frozen=True, slots=True)
class Positions:
    """The positions of a switch for which something holds."""

    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WitnessTruth:
    """Something holds, or does not, for as long as something else does."""

    holds: bool


@dataclass(frozen=True, slots=True)
class ToldOtherwise:
    """Something holds or does not, and the box sees it otherwise, because a sensor has failed."""

    holds: bool
    told: bool


# What a witness says of one name: a quantity's reading, a switch's position, a condition's truth.
Fact = WitnessReading | str | bool | ToldOtherwise
Witness = Mapping[str, Fact]
Region = Mapping[str, Reach | Positions | WitnessTruth]


@dataclass(frozen=True, slots=True)
class Edit:
    """A statement to add to the file that was checked, or to put in the place of what `replaces` covers."""

    text: str
    replaces: Span | None = None


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What is proposed against a finding: a statement as in `Edit`, and the `more` of them that go with it.

    `slip`: the one wrong number that all of them put right, in words.
    """

    text: str
    replaces: Span | None = None
    more: tuple[Edit, ...] = ()
    slip: str = ""

    @property
    def edits(self) -> tuple[Edit, ...]:
        """All statements, those to replace in the order of their places."""
        return (Edit(self.text, self.replaces), *self.more)


@dataclass(frozen=True, slots=True)
class Trial:
    """What came of trying a suggestion in the whole rule set.

    `short_of`: why it does not mend the finding, or what it would take away or bring; empty if it is good.
    `gives_up`: what gets less strict, where that is what the finding asks for.
    """

    short_of: str = ""
    gives_up: tuple[str, ...] = ()

    @property
    def good(self) -> bool:
        return not self.short_of


@dataclass(frozen=True, slots=True)
class Lead:
    """The finding whose suggestion goes for another one too. `why`: in words."""

    code: Code
    path: str
    line: int
    why: str


@dataclass(frozen=True, slots=True)
class Reaction:
    """Worst and allowed reaction time in seconds."""

    worst: Fraction
    allowed: Fraction


@dataclass(frozen=True, slots=True, repr=False)
class Finding(Short):
    """One finding.

    `statements`: labels, the one at fault first (for a pair both), then others involved. `advice`: lines of plain
    text on the way out. `undecided`: the solver gave up, which counts as an error. `accepted`: the reason given by
    an `accept` statement. `trial`: none if the suggestion was not tried. `lead`: the finding whose suggestion goes for
    this one as well, which then has none of its own.
    """

    code: Code
    message: str
    where: Span | None
    path: str
    quantity: str | None = None
    statements: tuple[str, ...] = ()
    limit: str | None = None
    witness: Witness | None = field(default=None, hash=False)
    region: Region | None = field(default=None, hash=False)
    reaction: Reaction | None = None
    suggestion: Suggestion | None = None
    advice: tuple[str, ...] = ()
    accepted: str | None = None
    undecided: bool = False
    severity: Severity = field(default=Severity.ERROR)
    trial: Trial | None = None
    lead: Lead | None = None

    @property
    def sort_key(self) -> tuple[str, int, str, str, str]:
        """Findings are shown in the order of the text, then by code."""
        return (
            self.path,
            self.where.start if self.where else -1,
            self.code.code,
            self.quantity or "",
            self.message,
        )


def finding(
    name: str,
    message: str,
    where: Span | None,
    *,
    path: str | None = None,
    quantity: str | None = None,
    statements: tuple[str, ...] = (),
    limit: str | None = None,
    witness: Witness | None = None,
    region: Region | None = None,
    suggestion: Suggestion | None = None,
    advice: tuple[str, ...] = (),
    undecided: bool = False,
    reaction: Reaction | None = None,
) -> Finding:
    """A finding by the name of its check. `path` is needed only where there is no place in a text."""
    entry = code_named(name)
    return Finding(
        code=entry,
        message=message,
        where=where,
        path=where.source.path if where is not None else path or "",
        quantity=quantity,
        statements=statements,
        limit=limit,
        witness=witness,
        region=region,
        reaction=reaction,
        suggestion=suggestion,
        advice=advice,
        undecided=undecided,
        severity=Severity.ERROR if undecided else entry.severity,
    )
