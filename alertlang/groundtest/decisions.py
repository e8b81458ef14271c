"""The decisions of a rule set: each named condition, and what a statement as a whole waits for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from alertlang.logic.encode import Encoder
from alertlang.logic.terms import FALSE, TRUE, Term, both, conjunction, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.model.snapshot import formula_words


def leaves(formula: m.Formula) -> tuple[m.Formula, ...]:
    """The conditions of a decision, in the order in which they stand; named ones and held ones are not looked into."""
    match formula:
        case m.Not():
            return leaves(formula.part)
        case m.And() | m.Or():
            return tuple(leaf for part in formula.parts for leaf in leaves(part))
    return (formula,)


def outcome(formula: m.Formula, row: Sequence[bool]) -> bool:
    """What a decision comes to, given its conditions."""
    return _outcome(formula, iter(row))


def _outcome(formula: m.Formula, values: Iterator[bool]) -> bool:
    match formula:
        case m.Not():
            return not _outcome(formula.part, values)
        case m.And() | m.Or():
            parts = [_outcome(part, values) for part in formula.parts]
            return all(parts) if isinstance(formula, m.And) else any(parts)
    return next(values)


def as_term(formula: m.Formula, terms: Sequence[Term]) -> Term:
    """A decision as a term, given those of its conditions."""
    return _as_term(formula, iter(terms))


def _as_term(formula: m.Formula, terms: Iterator[Term]) -> Term:
    match formula:
        case m.Not():
            return negate(_as_term(formula.part, terms))
        case m.And():
            return conjunction([_as_term(part, terms) for part in formula.parts])
        case m.Or():
            return disjunction([_as_term(part, terms) for part in formula.parts])
    return next(terms)


def decides(formula: m.Formula, terms: Sequence[Term], place: int) -> Term:
    """That one condition alone decides the outcome, the others being as they are."""
    yes = as_term(formula, [*terms[:place], TRUE, *terms[place + 1 :]])
    no = as_term(formula, [*terms[:place], FALSE, *terms[place + 1 :]])
    return disjunction((both(yes, negate(no)), both(no, negate(yes))))


@dataclass(frozen=True, slots=True)
class Decision:
    """`name` as a person reads it; `condition` or `rule` it belongs to."""

    name: str
    formula: m.Formula
    condition: str | None = None
    rule: m.Band | m.Alert | None = None

    @property
    def conditions(self) -> tuple[m.Formula, ...]:
        return leaves(self.formula)

    def terms(self, encoder: Encoder) -> tuple[Term, ...]:
        return tuple(encoder.formula(leaf) for leaf in self.conditions)

    def words(self, ruleset: m.RuleSet) -> tuple[str, ...]:
        return tuple(formula_words(ruleset, leaf) for leaf in self.conditions)


def decisions(ruleset: m.RuleSet) -> tuple[Decision, ...]:
    """Of every condition that a statement on the panel reads, then of every statement that has a context."""
    seen = ruleset.conditions_read(*(part for rule in ruleset.rules for part in (rule.when, rule.unless)))
    found = [
        Decision(f"condition {c.name}", c.formula, condition=c.name)
        for c in ruleset.conditions.values()
        if c.name in seen
    ]
    for rule in ruleset.rules:
        formula = context_of(rule)
        if formula is not None:
            found.append(Decision(rule.label, formula, rule=rule))
    return tuple(found)


def context_of(rule: m.Band | m.Alert) -> m.Formula | None:
    """`when` and not `unless`, as far as they are written."""
    if rule.unless is None:
        return rule.when
    without = m.Not(rule.unless, span=rule.span)
    return without if rule.when is None else m.And((rule.when, without), span=rule.span)
