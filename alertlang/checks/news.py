"""Which alerts count as guards of a limit: the one place that says so.

Every check that asks whether a broken limit has its alert asks here: which statements may count (`alerts_for`), the
states in which none of them does (`silent`, for the solver), and the same told in one state (`is_silent`, by the
reference evaluator).
"""

from __future__ import annotations

from alertlang.checks.context import Context
from alertlang.checks.guards import Rule, comes, has_come
from alertlang.logic.terms import Term, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.model.snapshot import PLAIN, Mode


def alerts_for(ruleset: m.RuleSet, one: m.Range, level: m.Level | None = None) -> tuple[Rule, ...]:
    """The statements whose alert may count for a limit: bands of its quantity and alerts on their own whose `when` reads
    it, of at least a level (none given: the one that the limit needs; where it needs none there are none)."""
    least = one.needs if level is None else level
    if least is None:
        return ()
    rules = ruleset.rules_for(one.quantity)
    return tuple(rule for rule in rules if rule.alert is not None and rule.alert.level >= least)


def silent(context: Context, one: m.Range, index: int | None, mode: Mode = PLAIN, level: m.Level | None = None) -> Term:
    """No alert that counts for a broken limit is up for an element, as it is told in a mode, whatever the time.

    To be asked together with the limit being broken, and never to be negated.
    """
    told = context.encoder.in_mode(mode)
    return negate(disjunction(comes(told, rule, index) for rule in alerts_for(context.ruleset, one, level)))


def is_silent(instant: Instant, one: m.Range, index: int | None, level: m.Level | None = None) -> bool:
    """The same in a state; `instant` is in the mode in which it is told."""
    return not any(has_come(instant, rule, index) for rule in alerts_for(instant.ruleset, one, level))
