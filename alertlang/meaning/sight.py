"""Whether what a finding says can be seen at one sample of a run; each check says in its own file how."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from alertlang.findings.finding import Finding
from alertlang.meaning.look import RunLook
from alertlang.model import ruleset as m
from alertlang.model.snapshot import FAILED


@dataclass(frozen=True, slots=True)
class Sight:
    """One sample of a run made for a finding. `lasted`: for how many seconds the state of its witness has been there;
    `index`: the element that the witness is about."""

    look: RunLook
    finding: Finding
    index: int | None
    lasted: Fraction

    @property
    def rules(self) -> m.RuleSet:
        return self.look.ruleset

    @property
    def quantity(self) -> str:
        assert self.finding.quantity is not None
        return self.finding.quantity

    @property
    def colour(self) -> m.Colour | None:
        return self.look.shown.colours[self.quantity, self.index]

    @property
    def one(self) -> m.Range:
        """The limit or range that the finding names."""
        return next(declared for declared in self.rules.ranges if declared.label == self.finding.limit)

    @property
    def level(self) -> m.Level | None:
        """The highest level of the alerts that are up and count for a limit on the quantity."""
        labels = {rule.label for rule in self.rules.rules_for(self.quantity)}
        up = self.look.shown.alerts.items()
        return max((a.level for (label, i), a in up if label in labels and i in {None, self.index}), default=None)

    def applies(self, label: str) -> bool:
        shown = self.look.shown.applies
        return shown.get((label, self.index), shown.get((label, None), False))

    @property
    def outside(self) -> bool:
        """The value is not where the limit wants it, whatever its `when` and `except for` say."""
        inside = self.look.readings.is_in(self.one.region, self.quantity, self.index)
        known = self.look.readings.knows(self.one.region, self.quantity, self.index)
        return inside if self.one.kind is m.RangeKind.AVOID else known and not inside

    @property
    def broken(self) -> bool:
        """The limit is violated, its `except for` being over."""
        return self.look.shown.violated[self.one.label, self.index]

    @property
    def within(self) -> bool:
        """The value is in the precaution or normal range that the finding names."""
        return self.look.holds(self.one.when) and self.look.readings.is_in(self.one.region, self.quantity, self.index)

    @property
    def unguarded(self) -> bool:
        """Not red, or without the alert that the limit needs."""
        return self.colour is not m.Colour.RED or self.too_quiet

    @property
    def too_quiet(self) -> bool:
        """The alert that the limit needs is not up."""
        needs = self.one.needs
        return needs is not None and (self.level is None or self.level < needs)

    # ---- what several checks find

    def is_blank(self) -> bool:
        return self.colour is None

    def is_calm(self) -> bool:
        return self.colour is None or self.colour.calm

    def is_not_red(self) -> bool:
        return self.colour is not m.Colour.RED

    def both_apply(self) -> bool:
        """The two statements that a finding is about."""
        return all(self.applies(label) for label in self.finding.statements[:2])

    def first_applies(self) -> bool:
        return self.applies(self.finding.statements[0])

    def has_lost(self) -> bool:
        """What has failed in the witness is missing."""
        witness = self.finding.witness or {}
        gone = [name.removesuffix(FAILED) for name, fact in witness.items() if name.endswith(FAILED) and fact is True]
        return all(self.look.readings.values[name] is None for name in gone)

    def is_late(self) -> bool:
        """The time that is allowed is over, if it is about one, and nothing shows what is wrong."""
        reaction = self.finding.reaction
        return (reaction is None or self.lasted >= reaction.allowed) and self.outside and self.unguarded


@dataclass(frozen=True, slots=True)
class Seen:
    """How it is recognised at a sample that what a check finds is so. A check without is never claimed to be seen.

    `alerts`: it is about alerts too, so that those of its limit's quantity are expected beside the colour; with `own`
    only those of the statement itself. `waits`: it is to be looked at when the statement's `for more than` is over.
    """

    test: Callable[[Sight], bool]
    alerts: bool = False
    own: bool = False
    waits: bool = False
