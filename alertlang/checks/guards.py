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


def comes(encoder: Encoder, rule: Rule, index: int | None) -> Term:
    """A statement is sure to come in the end, its own waiting over: what a guard counts by."""
    return up(encoder, rule, index, eventually=True, linger=False)


def has_come(instant: Instant, rule: Rule, index: int | None) -> bool:
    """The same in a state."""
    return is_up(instant, rule, index, eventually=True, linger=False)


def quantities_of(ruleset: m.RuleSet, rule: Rule) -> tuple[str, ...]:
    """The quantities that a statement is about: a band's own, those that the `when` of an alert on its own reads."""
    if isinstance(rule, m.Band):
        return (rule.quantity,)
    return tuple(sorted(ruleset.quantities_read(rule.when)))


def readings_of(ruleset: m.RuleSet, rule: Rule, index: int | None) -> list[tuple[str, int | None]]:
    """The same with the elements: of a band the one that is asked about, of an alert on its own those that its `when`
    reads, conditions looked into."""
    if isinstance(rule, m.Band):
        return [(rule.quantity, index)]
    found: set[tuple[str, int | None]] = set()
    pending: list[m.Formula] = [rule.when]
    seen: set[str] = set()
    while pending:
        for part in m.parts_of(pending.pop()):
            if isinstance(part, m.ConditionIs):
                if part.name not in seen:
                    seen.add(part.name)
                    pending.extend(ruleset.conditions[part.name].parts)
            elif isinstance(part, m.Compare | m.Quantified | m.Failed):
                found |= _elements(ruleset, part)
    return [(name, i) for name, quantity in ruleset.quantities.items() for i in quantity.indexes if (name, i) in found]


def _elements(ruleset: m.RuleSet, part: m.Compare | m.Quantified | m.Failed) -> set[tuple[str, int | None]]:
    """What a part of a formula reads, the ends that move included."""
    bounds = () if isinstance(part, m.Failed) else part.region.bounds
    names = (part.quantity, *(bound.quantity for bound in bounds if isinstance(bound, m.Moving)))
    one = None if isinstance(part, m.Quantified) else part.index
    found: set[tuple[str, int | None]] = set()
    for name in names:
        indexes = ruleset.quantities[name].indexes
        found |= {(name, i) for i in ((one,) if one in indexes else indexes)}
    return found
