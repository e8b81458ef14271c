"""Bands and alerts alike: whether a statement is up."""

from __future__ import annotations

from alertlang.logic.encode import Encoder
from alertlang.logic.terms import Term
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m


def comes(encoder: Encoder, rule: m.Rule, index: int | None) -> Term:
    """A statement is sure to come in the end, its own waiting over: what a guard counts by."""
    return encoder.applies(rule, index, eventually=True, linger=False)


def has_come(instant: Instant, rule: m.Rule, index: int | None) -> bool:
    """The same in a state."""
    return instant.applies(rule, index, eventually=True, linger=False)


def quantities_of(ruleset: m.RuleSet, rule: m.Rule) -> tuple[str, ...]:
    """The quantities that a statement is about: a band's own, those that the `when` of an alert on its own reads."""
    if isinstance(rule, m.Band):
        return (rule.quantity,)
    return tuple(sorted(ruleset.quantities_read(rule.when)))


def readings_of(ruleset: m.RuleSet, rule: m.Rule, index: int | None) -> list[tuple[str, int | None]]:
    """The same with the elements: of a band the one that is asked about, of an alert on its own those that its `when`
    reads, conditions looked into."""
    if isinstance(rule, m.Band):
        return [(rule.quantity, index)]
    found: set[tuple[str, int | None]] = set()
    for part in ruleset.parts_read(rule.when):
        if isinstance(part, m.Compare):
            for name in (part.quantity, *(bound.quantity for bound in part.region.moving)):
                indexes = ruleset.quantities[name].indexes
                found |= {(name, i) for i in ((part.index,) if part.index in indexes else indexes)}
    return [(name, i) for name, quantity in ruleset.quantities.items() for i in quantity.indexes if (name, i) in found]
