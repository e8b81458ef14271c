"""What comparing two rule sets comes to: the hand-over to the output formats."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction

from alertlang.findings.finding import Region, Witness
from alertlang.results.report import FileName
from alertlang.results.result import Result
from alertlang.text.short import Short


class Direction(Enum):
    """What a change does to the warning that a pilot gets. `OTHER`: neither more nor less, or nobody can say."""

    LESS = "less strict"
    MORE = "stricter"
    OTHER = "other"


SUMMARY_WIDTH = 200

# Kinds of change, in the order they are told. The last two are of what has no colour of its own, and of what is said in
# other words with no effect that any other change tells.
KINDS = ("colour", "alert", "text", "reaction", "failure", "timing", "limit", "assumption", "statement", "written")


@dataclass(frozen=True, slots=True)
class RecordedMoment:
    """One sample of a recording in which the two differ. `facts`: readings and switches; `failed`: the readings that
    are missing."""

    time: Fraction
    facts: Witness = field(hash=False)
    failed: tuple[str, ...] = ()
    acknowledged: bool = False


@dataclass(frozen=True, slots=True, repr=False)
class Change(Short):
    """One difference.

    `kind` is one of KINDS; `subject` the gauge, the alert or the statement it is about. `message` is a sentence
    without a full stop; `short` the same for a change log. `before` and `after`: what either shows in the region, each
    confirmed by the reference evaluator at `witness`; a change of a statement has neither region nor witness.
    `undecided`: nothing is known here, since the solver gave up, or since no recording was found that shows it and no
    proof that there is none. `complete` is false if there are more regions like this one that are not told.

    `history`: where it takes more than one instant, a recording at whose last sample the two differ, run through both
    by the reference stepper. `covers`: which parts of which statements it tells, so that none is forgotten.
    """

    kind: str
    subject: str
    direction: Direction
    message: str
    short: str
    before: str | None = None
    after: str | None = None
    witness: Witness | None = field(default=None, hash=False)
    region: Region | None = field(default=None, hash=False)
    undecided: bool = False
    complete: bool = True
    history: tuple[RecordedMoment, ...] = ()
    covers: frozenset[tuple[str, str]] = field(default=frozenset(), compare=False, repr=False)


@dataclass(frozen=True, slots=True, repr=False)
class Comparison(Result):
    """Everything in which `after` differs from `before`.

    `identical` and `asked` name the gauges and alerts whose statements are the same formula on both sides, which needs
    no solver, and those that questions were asked about; `questions` counts them.
    """

    before: FileName
    after: FileName
    changes: tuple[Change, ...]
    identical: tuple[str, ...]
    asked: tuple[str, ...]
    questions: int

    @property
    def undecided(self) -> bool:
        """Something was not decided; then nothing is proved."""
        return any(change.undecided for change in self.changes)

    @property
    def complete(self) -> bool:
        """No region was left out and nothing is undecided. What differs for a time or with a sensor failed is told only
        where it adds a direction to what is told already."""
        return all(change.complete and not change.undecided for change in self.changes)

    @property
    def same(self) -> bool:
        """Proved: there is no difference, in meaning or in words. Only labels of statements, comments, layout and the
        header may be others."""
        return not self.changes

    @property
    def shows_the_same(self) -> bool:
        """Proved: what is shown, when, and what is asked of it is the same; words may differ."""
        return all(change.kind == "written" for change in self.changes)

    @property
    def less_strict(self) -> bool:
        """Something got less strict: a calmer colour, an alert lost, lower or later, a limit or a claim taken away."""
        return any(change.direction is Direction.LESS for change in self.changes)

    @property
    def counts(self) -> Mapping[str, int]:
        """Changes by direction, what was not decided apart."""
        decided = [change for change in self.changes if not change.undecided]
        found = {direction.value: sum(1 for c in decided if c.direction is direction) for direction in Direction}
        found["undecided"] = len(self.changes) - len(decided)
        return found

    @property
    def summary(self) -> str:
        """One line for a change log, of at most SUMMARY_WIDTH characters: counts, then the changes that matter most."""
        if self.same:
            return "no difference"
        counts = ", ".join(f"{count} {word}" for word, count in self.counts.items() if count)
        order = {Direction.LESS: 0, Direction.MORE: 2, Direction.OTHER: 3}
        ranked = sorted(self.changes, key=lambda c: (1 if c.undecided else order[c.direction], KINDS.index(c.kind)))
        said: list[str] = []
        shorts = list(dict.fromkeys(" ".join(change.short.split()) for change in ranked))
        for i, short in enumerate(shorts):
            rest = f"; and {len(shorts) - i - 1} more" if i + 1 < len(shorts) else ""
            if len("; ".join([counts, *said, short])) + len(rest) > SUMMARY_WIDTH:
                break
            said.append(short)
        left = len(shorts) - len(said)
        more = [f"and {left} more"] if left and said else []
        return f"{counts}: {'; '.join([*said, *more])}" if said else counts
