"""What the checks of a range do alike: look for states of each of its elements, and tell of those that are found."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from alertlang.checks.context import Cases, Context, FaultCase
from alertlang.checks.limits import where_broken
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Suggestion, finding
from alertlang.logic.terms import Term
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m

Goal = tuple[Term, Callable[[Instant], bool]]


def seek(
    context: Context,
    check: str,
    declared: m.Range,
    goal: Callable[[int | None], Goal],
    formulas: tuple[m.Formula | None, ...],
    tell: Callable[[FaultCase, int | None, str], Finding],
    chosen: Callable[[Cases, str], Sequence[FaultCase]] = lambda cases, _: cases.found,
) -> Iterator[Finding]:
    """A finding for each case that is chosen of an element's states that reach a goal; and where some were undecided,
    that. `goal`: what is asked of the solver about an element, and the same for the reference evaluator. `formulas`: by
    which a case may be told."""
    for index, reading in context.elements(declared.quantity, declared.index):
        asked, confirm = goal(index)
        cases = context.cases(asked, confirm, primary=reading, formulas=formulas, most=4)
        for case in chosen(cases, reading):
            yield tell(case, index, reading)
        if cases.undecided:
            yield undecided(check, declared.span, declared.quantity, (), declared.label)


def said_by(rules: Iterable[m.Rule], *more: m.Formula | None) -> tuple[m.Formula | None, ...]:
    """The formulas by which the states of a case are told."""
    return (*more, *(formula for rule in rules for formula in (rule.when, rule.unless)))


def found_at(
    check: str,
    message: str,
    declared: m.Range,
    case: FaultCase,
    at_fault: Sequence[m.Rule],
    suggestion: Suggestion | None = None,
    advice: tuple[str, ...] = (),
) -> Finding:
    """A finding about a range in a case, at the first statement that is at fault, else at the range itself."""
    return finding(
        check,
        message,
        at_fault[0].span if at_fault else declared.span,
        quantity=declared.quantity,
        statements=tuple(rule.label for rule in at_fault),
        limit=declared.label,
        witness=case.witness,
        region=case.region,
        suggestion=suggestion,
        advice=advice,
    )


def stretch_words(context: Context, case: FaultCase, reading: str) -> tuple[str, str]:
    """Where a case's reading lies, and the rest of its region, in words."""
    return context.words.stretch(reading, case.reach(reading)), context.words.whenever(case.region, reading)


def breaks_words(context: Context, declared: m.Range, case: FaultCase, reading: str) -> tuple[str, str]:
    """The reading with where it breaks a limit, and the rest of its region, in words."""
    where, rest = where_broken(context, declared, case, reading)
    return f"{context.subject(reading)} {where}", rest
