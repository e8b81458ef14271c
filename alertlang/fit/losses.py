"""What is lost with a statement: nothing, a calm colour, a warning, or the guard of a limit."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from enum import IntEnum

from alertlang.checks import (
    gap,
    hairline_gap,
    late_alert,
    lost_guard,
    missing_alert,
    redundant_band,
    unguarded_limit,
    unmarked_precaution,
    unwatched_quantity,
)
from alertlang.checks.context import Context
from alertlang.checks.guards import quantities_of
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m

# What a statement may be there for, quantity by quantity.
_GUARDS: tuple[Callable[[Context, str], Iterator[Finding]], ...] = (
    gap.check_quantity,
    hairline_gap.check_quantity,
    unguarded_limit.check_quantity,
    missing_alert.check_quantity,
    late_alert.check_quantity,
    lost_guard.check_quantity,
    unmarked_precaution.check_quantity,
    unwatched_quantity.check_quantity,
)


class Loss(IntEnum):
    """How much a step loses; the least comes first."""

    NOTHING = 1
    CALM = 2
    WARNING = 3
    GUARD = 4


class Losses:
    """What is lost with each statement of one rule set by itself."""

    def __init__(self, context: Context) -> None:
        self.context = context
        self.ruleset = context.ruleset
        self._before: dict[str, frozenset[tuple[str, str]]] = {}
        self._drops: dict[str, tuple[Loss, tuple[str, ...]]] = {}
        # Each is redundant while the others in it are gone, too.
        self.redundant = frozenset(
            finding.statements[0] for finding in redundant_band.check(context) if not finding.undecided
        )

    def of_drop(self, rule: m.Rule) -> tuple[Loss, tuple[str, ...]]:
        """How bad it is to take a statement out, and what is found then that was not found before."""
        known = self._drops.get(rule.label)
        if known is None:
            known = self._drops[rule.label] = self._of_drop(rule)
        return known

    def _of_drop(self, rule: m.Rule) -> tuple[Loss, tuple[str, ...]]:
        if rule.label in self.redundant:
            return Loss.NOTHING, ()
        new = self.new_without(rule)
        if new:
            return Loss.GUARD, new
        calm = isinstance(rule, m.Band) and rule.alert is None and rule.colour.calm
        return (Loss.CALM if calm else Loss.WARNING), ()

    def new_without(self, rule: m.Rule) -> tuple[str, ...]:
        """What the checks on gaps and guards find without a statement, and did not find with it."""
        changed = without(self.ruleset, frozenset((rule.label,)))
        context = Context(changed, self.context.decider.work_limit)
        names = [name for name in self.ruleset.quantities if name in quantities_of(self.ruleset, rule)]
        return tuple(message for name in names for code, message in sorted(_found(context, name) - self._known(name)))

    def _known(self, name: str) -> frozenset[tuple[str, str]]:
        if name not in self._before:
            self._before[name] = _found(self.context, name)
        return self._before[name]


def _found(context: Context, name: str) -> frozenset[tuple[str, str]]:
    return frozenset((finding.code.name, finding.message) for check in _GUARDS for finding in check(context, name))


def without(ruleset: m.RuleSet, labels: frozenset[str]) -> m.RuleSet:
    """A rule set without some of its bands and alerts."""
    return with_rules(
        ruleset,
        tuple(band for band in ruleset.bands if band.label not in labels),
        tuple(alert for alert in ruleset.alerts if alert.label not in labels),
    )


def with_rules(
    ruleset: m.RuleSet, bands: tuple[m.Band, ...], alerts: tuple[m.Alert, ...], into: Mapping[str, str] | None = None
) -> m.RuleSet:
    """A rule set with other bands and alerts. A lamp that names one that is gone is lit by the others that it names;
    where it shows nothing any more, it is gone too. `into`: labels of merged bands by those of their parts."""
    rules: tuple[m.Rule, ...] = (*bands, *alerts)
    alerting = {rule.label for rule in rules if rule.alert is not None}
    lamps = []
    for lamp in ruleset.lamps:
        named = dict.fromkeys((into or {}).get(label, label) for label in lamp.labels)
        left = tuple(label for label in named if label in alerting)
        if left or lamp.levels:
            lamps.append(replace(lamp, labels=left))
    return replace(ruleset, bands=bands, alerts=alerts, lamps=tuple(lamps))
