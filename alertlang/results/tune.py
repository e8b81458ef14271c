"""What tuning a statement comes to: the hand-over to the output formats."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from alertlang.results.replay import Problem
from alertlang.results.report import FileName
from alertlang.results.result import Result

KNOBS = ("after", "for more than", "threshold", "deadband")
"""What can be tuned, in the order it is told."""


@dataclass(frozen=True, slots=True)
class KnobValue:
    """One value of one knob, in its unit: seconds, or the quantity's own."""

    knob: str
    value: Fraction
    unit: str


@dataclass(frozen=True, slots=True)
class Candidate:
    """One value of one knob, or of two at once (`second`: that of the other); all else as it is.

    `value` in `unit` (seconds, or the quantity's own). `alerts`: times that the statement's alert came up;
    `alerts_per_hour` none where no time was recorded. `chattering`, `fleeting`: how many of its elements do. `up`:
    seconds that it was up in all. `reaction`: seconds until it is up, at worst, all delays in. `unseen`: how often a
    limit was broken and nothing that counts for it came up meanwhile; a limit may allow that for a short time.
    `late`: how often one was broken for longer than it allows before anything came, where it is in time now. `missed`:
    events that were marked, are near an alert as it is now, and would be near none. `breaks`: what the checks find that
    they do not find now, in words. `text`: the statement, to be put in the place of the old one; with a deadband and
    another knob at once two statements, each on lines of its own.
    """

    knob: str
    value: Fraction
    unit: str
    now: bool
    alerts: int
    alerts_per_hour: Fraction | None
    chattering: int
    fleeting: int
    up: Fraction
    reaction: Fraction
    unseen: int
    late: int
    missed: int
    breaks: tuple[str, ...]
    text: str
    second: KnobValue | None = None

    @property
    def harmless(self) -> bool:
        """No new finding, no limit told late and no event missed that was not before."""
        return not self.breaks and not self.late and not self.missed

    @property
    def losses(self) -> tuple[str, ...]:
        """What is lost with it, in words; nothing only where it came up and every broken limit was seen."""
        counts = ((self.unseen, "unseen"), (self.late, "late"), (self.missed, "missed"))
        said = [f"{number} {word}" for number, word in counts if number]
        return (*([] if self.alerts else ["never came up"]), *said, *self.breaks)

    @property
    def reacts(self) -> Fraction | None:
        """The reaction time of what came up; none where nothing did."""
        return self.reaction if self.alerts else None


@dataclass(frozen=True, slots=True, repr=False)
class Tuning(Result):
    """One statement over logs. `place`: for each knob where the statement to change stands, as `FILE line 12`.

    `events`: marks in the logs, `caught` those within `near` seconds of an alert of the statement as it is. `allowed`:
    the shortest time that a limit it guards leaves, in seconds, and `limit` which. `candidates` by knob, then by value;
    that as it is now is among those of each knob. `proposed`: places among the candidates, fewest alerts first, at
    most one for each knob. `doubts`: what makes a log, named first, say less than it seems to.
    """

    rules: FileName
    map: str | None
    statement: str
    alert: str
    level: str
    logs: tuple[str, ...]
    seconds: Fraction
    place: tuple[tuple[str, str], ...]
    near: Fraction
    events: int
    caught: int
    limit: str | None
    allowed: Fraction | None
    candidates: tuple[Candidate, ...]
    proposed: tuple[int, ...]
    doubts: tuple[tuple[str, Problem], ...] = ()

    @property
    def judged(self) -> bool:
        """Whether anything tells a wanted alert from a nuisance: a limit that the statement guards, or a mark."""
        return self.limit is not None or self.events > 0

    def curve(self, knob: str) -> tuple[Candidate, ...]:
        """All candidates of one knob alone, by value: what a picture of alerts against reaction shows."""
        return tuple(one for one in self.candidates if one.knob == knob and one.second is None)

    @property
    def grid(self) -> tuple[tuple[Candidate, ...], ...]:
        """Where two knobs were tried at once: a row for each value of the first, in it one for each of the second."""
        rows: dict[Fraction, list[Candidate]] = {}
        for candidate in self.candidates:
            if candidate.second is not None:
                rows.setdefault(candidate.value, []).append(candidate)
        return tuple(tuple(row) for row in rows.values())
