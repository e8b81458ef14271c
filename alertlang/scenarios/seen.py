"""Whether what a finding or a refuted claim says can be seen at one sample of a run: one test for each kind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from alertlang.findings.finding import Finding
from alertlang.meaning.look import Look
from alertlang.model import ruleset as m
from alertlang.model.snapshot import FAILED


@dataclass(frozen=True, slots=True)
class Sight:
    """One sample of a run made for a finding. `lasted`: for how many seconds the state of its witness has been there;
    `index`: the element that the witness is about."""

    look: Look
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
        return next(one for one in self.rules.ranges if one.label == self.finding.limit)

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
        return inside if self.one.kind == "avoid" else known and not inside

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
        needs = self.one.needs
        return self.colour is not m.Colour.RED or (needs is not None and (self.level is None or self.level < needs))


def _both_apply(at: Sight) -> bool:
    return all(at.applies(label) for label in at.finding.statements[:2])


def _missing_alert(at: Sight) -> bool:
    needs = at.one.needs
    return at.broken and needs is not None and (at.level is None or at.level < needs)


def _late(at: Sight) -> bool:
    reaction = at.finding.reaction
    return reaction is not None and at.lasted >= reaction.allowed and at.outside and at.unguarded


def _lost(at: Sight) -> bool:
    witness = at.finding.witness or {}
    gone = [name.removesuffix(FAILED) for name, holds in witness.items() if name.endswith(FAILED) and holds is True]
    reaction = at.finding.reaction
    if reaction is not None and at.lasted < reaction.allowed:
        return False
    return all(at.look.readings.values[name] is None for name in gone) and at.outside and at.unguarded


def _blank(at: Sight) -> bool:
    return at.colour in {None, m.Colour.UNMARKED}


def _set_and_cleared(at: Sight) -> bool:
    condition = at.rules.conditions[at.finding.statements[0]]
    return condition.until is not None and at.look.holds(condition.formula) and at.look.holds(condition.until)


def _nuisance(at: Sight) -> bool:
    return any(label == at.finding.statements[0] for label, _ in at.look.shown.alerts)


def _calm(at: Sight) -> bool:
    return at.colour is None or at.colour.calm


def _not_red(at: Sight) -> bool:
    return at.colour is not m.Colour.RED


SEEN: dict[str, Callable[[Sight], bool]] = {
    "gap": lambda at: at.colour is None,
    "hairline-gap": lambda at: at.colour is None,
    "transient-gap": lambda at: at.colour is None,
    "conflict": _both_apply,
    "disagreement": _both_apply,
    "unguarded-limit": lambda at: at.broken and _not_red(at),
    "missing-alert": _missing_alert,
    "late-alert": _late,
    "unmarked-precaution": lambda at: at.within and _calm(at),
    "normal-not-green": lambda at: at.within and at.colour is not m.Colour.GREEN,
    "nuisance": _nuisance,
    "lost-guard": _lost,
    "blank-on-failure": _blank,
    "delay-past-exception": lambda at: at.broken and at.unguarded,
    "set-clear-overlap": _set_and_cleared,
    "silent-danger": lambda at: at.applies(at.finding.statements[0]) and at.level is None,
    "green-past-limit": lambda at: at.outside and at.applies(at.finding.statements[0]),
    "takeoff-not-yellow": _calm,
    "restricted-not-red": lambda at: at.outside and _not_red(at),
    "wrong-airspeed-arc": lambda at: at.applies(at.finding.statements[0]),
    "missing-fuel-arc": _not_red,
    "one-sense": lambda at: at.colour is m.Colour.RED and (at.level is None or at.level < m.Level.CAUTION),
}
"""By the name of the finding. One that is not here is never claimed to be seen: where a mark stands on the dial
(unmarked-limit) no single sample shows, nor what comes of states that change (interrupted-clock)."""


def refuted(claim: m.Claim, look: Look, index: int | None, lasted: Fraction) -> bool:
    """Whether a sample shows that a claim is not so; `lasted` and `index` as in Sight."""
    if not look.holds(claim.when) or (claim.within is not None and lasted < claim.within):
        return False
    rules = look.ruleset
    if claim.kind in {"quiet", "any_raises"}:
        level = max((alert.level for alert in look.shown.alerts.values()), default=None)
        if claim.kind == "quiet":
            return level is not None and level >= m.Level.CAUTION
        assert claim.level is not None
        return level is None or level < claim.level
    assert claim.quantity is not None
    assert claim.region is not None
    if not look.readings.is_in(claim.region, claim.quantity, index):
        return False
    if claim.kind == "raises":
        labels = {rule.label for rule in rules.rules_for(claim.quantity)}
        up = look.shown.alerts.items()
        level = max((a.level for (label, i), a in up if label in labels and i in {None, index}), default=None)
        assert claim.level is not None
        return level is None or level < claim.level
    bands = [b for b in rules.bands if b.quantity == claim.quantity]
    colours = {b.colour for b in bands if look.shown.applies.get((b.label, index), False)}
    rank = max((colour.rank for colour in colours), default=-1)
    assert claim.colour is not None
    if claim.kind == "at_least":
        return rank < claim.colour.rank
    worst = {colour for colour in colours if colour.rank == rank}
    return claim.colour in worst if claim.kind == "never" else worst != {claim.colour}


ABOUT_ALERTS = frozenset(
    {"missing-alert", "late-alert", "nuisance", "lost-guard", "delay-past-exception", "silent-danger", "one-sense"}
)
"""Findings that are about alerts too, so that these are expected beside the colour."""
