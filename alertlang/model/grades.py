"""How much the numbers of a rule set are worth: each by the weakest source that its statement names."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from alertlang.model.expression import inputs
from alertlang.model.ruleset import Assumption, Condition, DocumentSource, Quantity, Range, RuleSet, Weights
from alertlang.text.source import Span

GRADES = ("document", "second hand", "common practice", "from memory")

# The weakest source decides how much a number is worth.
_WEAKEST_FIRST = ("from memory", "second hand", "common practice", "document")
# Texts, comments and the brackets of an array have digits that are no numbers of the trade.
_NO_NUMBER = re.compile(r'"[^"\n]*"|#[^\n]*|\[[^\]\n]*\]')
_NUMBER = re.compile(r"(?<![\w.])[0-9]+(?:\.[0-9]+)?")


def grade_of(sources: tuple[DocumentSource, ...]) -> str | None:
    """One of GRADES; none where no source is named."""
    statuses = {source.status for source in sources}
    return next((status for status in _WEAKEST_FIRST if status in statuses), None)


def citing(ruleset: RuleSet, quantity: str) -> list[Range]:
    """The limits and ranges that read a quantity: they are on it, move with it or depend on it, perhaps by way of
    another derived one."""
    return [declared for declared in ruleset.ranges if _reads(ruleset, declared, quantity)]


def _reads(ruleset: RuleSet, declared: Range, name: str) -> bool:
    found = {declared.quantity, *ruleset.quantities_read(declared.when)}
    found |= {bound.quantity for bound in declared.region.moving}
    pending = list(found)
    while pending:
        derived = ruleset.quantities[pending.pop()].derived
        more = set(inputs(derived)) - found if derived is not None else set()
        found |= more
        pending.extend(more)
    return name in found


def numbers_by_grade(ruleset: RuleSet) -> Mapping[str, int]:
    """How many numbers of the statements that name a source, of the profiles and of the rules, have which grade.

    A `let` or `curve` that names none has those of the limits and ranges that read it. What no source is named for (the
    rules that are checked against all this) is not counted.
    """
    found = dict.fromkeys(GRADES, 0)
    for span, sources in _graded(ruleset):
        grade = grade_of(sources)
        if grade is not None:
            found[grade] += len(_NUMBER.findall(_NO_NUMBER.sub("", span.text)))
    return found


def _graded(ruleset: RuleSet) -> Iterator[tuple[Span, tuple[DocumentSource, ...]]]:
    for quantity in ruleset.quantities.values():
        yield quantity.span, quantity.sources or _cited(ruleset, quantity)
    others: tuple[Condition | Assumption | Range | Weights, ...]
    others = (*ruleset.conditions.values(), *ruleset.assumptions, *ruleset.ranges, *ruleset.weights)
    for other in others:
        yield other.span, other.sources


def _cited(ruleset: RuleSet, quantity: Quantity) -> tuple[DocumentSource, ...]:
    if quantity.derived is None:
        return ()
    return tuple(source for declared in citing(ruleset, quantity.name) for source in declared.sources)
