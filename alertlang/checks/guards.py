"""Bands and alerts alike: whether a statement is up."""

from __future__ import annotations

from alertlang.logic.encode import Encoder
from alertlang.logic.terms import Term
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m

Rule = m.Band | m.Alert


def up(encoder: Encoder, rule: Rule, index: int | None, *, eventually: bool = False, linger: bool = True) -> Term:
    """A statement applies, to an element if it is a band on an array."""
    if isinstance(rule, m.Alert):
        return encoder.alerts(rule, eventually=eventually)
    return encoder.applies(rule, index, eventually=eventually, linger=linger)


def is_up(instant: Instant, rule: Rule, index: int | None, *, eventually: bool = False, linger: bool = True) -> bool:
    """The same in a state."""
    if isinstance(rule, m.Alert):
        return instant.alerts(rule, eventually=eventually)
    return instant.applies(rule, index, eventually=eventually, linger=linger)


def quantities_of(ruleset: m.RuleSet, rule: Rule) -> tuple[str, ...]:
    """The quantities that a statement is about: a band's own, those that the `when` of an alert on its own reads."""
    if isinstance(rule, m.Band):
        return (rule.quantity,)
    return tuple(sorted(ruleset.quantities_read(rule.when)))
