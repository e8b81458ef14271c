"""A condition with a memory that can never be set or never be cleared, or a time that can never run.

## What it finds

A condition with `until` whose set part no state makes true, so that it never becomes true; or whose clear
part holds in no state in which the set part does not, so that once it is true it stays true for ever. And a
formula `... for at least D` or `... for less than D` whose timed part no state makes true.

## Why it matters

Such a condition looks alive: between its two parts it may be either, and nothing else tells that it will
always be the same. What hangs on it never comes, or never goes away again before the next flight.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    condition cold means oil_temp below 120 F until oil_temp above 325 F
    rpm at most 2750 is green
    rpm above 2750 is red
    when cold then rpm above 2000 is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    condition cold means oil_temp below 120 F until oil_temp above 125 F
    rpm at most 2750 is green
    rpm above 2750 is red
    when cold then rpm above 2000 is red

## How it is decided

Three questions to the solver: is there a state in which the set part holds; one in which the clear part
holds and the set part does not; one in which what is timed holds. A delayed condition that is read may not
have settled in it, unless it can never become true. The assumptions that rule it out are named.

## What it cannot see

A part that can hold for an instant, but never for as long as is asked for. What is always true or never is
told by constant-condition; a context that can never hold by the finding on its statement.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.undecided import undecided
from alertlang.checks.unsettled import at_some_time
from alertlang.findings.finding import Finding, finding
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import TRUE, Term, both, negate
from alertlang.model import ruleset as m
from alertlang.text.source import Span

NAME = "stuck-condition"


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is a condition with a memory, or a time."""
    if any(condition.until is not None for condition in ruleset.conditions.values()):
        return True
    return any(isinstance(part, m.Held) for formula in ruleset.formulas for part in m.parts_of(formula))


def check(context: Context) -> Iterator[Finding]:
    """Named conditions first, then what is timed in the statements."""
    ruleset = context.ruleset
    for condition in ruleset.conditions.values():
        timed = [part for formula in condition.parts for part in m.parts_of(formula) if isinstance(part, m.Held)]
        if condition.until is None and not timed:
            continue
        if _is_constant(context, _encoder(context, *condition.parts).undelayed(condition.name)):
            continue
        if condition.until is not None:
            yield from _until(context, condition, condition.until)
        for formula in condition.parts:
            yield from _timed(context, formula, f"the condition {condition.name}", condition.name)
    for formula, label in _written(ruleset):
        timed = [part for part in m.parts_of(formula) if isinstance(part, m.Held)]
        if timed and not _is_constant(context, _encoder(context, formula).formula(formula)):
            yield from _timed(context, formula, label, label)


def _written(ruleset: m.RuleSet) -> Iterator[tuple[m.Formula, str]]:
    """The formulas that stand in statements, with the labels of these."""
    for rule in ruleset.rules:
        for formula in (rule.when, rule.unless):
            if formula is not None:
                yield formula, rule.label
    others: tuple[m.Range | m.Claim | m.Assumption, ...] = (*ruleset.ranges, *ruleset.claims, *ruleset.assumptions)
    for statement in others:
        if statement.when is not None:
            yield statement.when, statement.label
    for assumption in ruleset.assumptions:
        yield assumption.formula, assumption.label


def _encoder(context: Context, *formulas: m.Formula | None) -> Encoder:
    """Also what holds only until delayed conditions have settled sets and clears."""
    return at_some_time(context, *formulas) or context.encoder_for(*formulas)


def _is_constant(context: Context, term: Term) -> bool:
    """What is always the same is told elsewhere: by constant-condition, or by what hangs on it."""
    return term is TRUE or Answer.NO in (context.is_satisfiable(term), context.is_satisfiable(negate(term)))


def _until(context: Context, condition: m.Condition, clear: m.Formula) -> Iterator[Finding]:
    encoder = _encoder(context, *condition.parts)
    sets, clears = encoder.formula(condition.formula), encoder.formula(clear)
    can_set = context.is_satisfiable(sets)
    if can_set is Answer.NO:
        yield _finding(
            context,
            f"{condition.name} can never become true: no state sets it",
            condition.formula.span,
            condition.name,
            sets,
        )
        return
    can_clear = context.is_satisfiable(both(clears, negate(sets)))
    if Answer.UNDECIDED in (can_set, can_clear):
        yield undecided(NAME, condition.span, None, (condition.name,))
        return
    if can_clear is Answer.NO:
        only_set = context.is_satisfiable(clears) is Answer.YES
        why = "what clears it holds only where it is set as well" if only_set else "no state clears it"
        message = f"once {condition.name} is true it stays true for ever: {why}"
        yield _finding(context, message, clear.span, condition.name, both(clears, negate(sets)))


def _timed(context: Context, formula: m.Formula, where: str, label: str) -> Iterator[Finding]:
    """The timed parts of a formula that can never begin, the innermost ones."""
    encoder = _encoder(context, formula)
    stuck: list[m.Held] = []
    # The parts of a part come after it.
    for part in reversed(m.parts_of(formula)):
        if not isinstance(part, m.Held) or _is_name(part.part):
            continue
        if any(inner in stuck for inner in m.parts_of(part.part)):
            continue
        term = encoder.formula(part.part)
        answer = context.is_satisfiable(term)
        if answer is Answer.UNDECIDED:
            yield undecided(NAME, part.span, None, (label,))
        elif answer is Answer.NO:
            stuck.append(part)
            text = " ".join(part.part.span.text.split())
            how = "at least" if part.at_least else "less than"
            yield _finding(
                context,
                f"in {where}, `{text}` for {how} {m.in_seconds(part.duration)} never holds: no state makes it true "
                "even for an instant",
                part.span,
                label,
                term,
            )


def _is_name(formula: m.Formula) -> bool:
    """A name is judged where it is defined."""
    return isinstance(formula, m.ConditionIs) or (
        isinstance(formula, m.Not) and isinstance(formula.part, m.ConditionIs)
    )


def _finding(context: Context, message: str, where: Span, label: str, term: Term) -> Finding:
    causes, because = context.causes(term)
    return finding(
        NAME,
        f"{message}{because}",
        where,
        statements=(label, *causes),
        advice=("check its numbers against the range of the sensor, and its `and` and `or`",),
    )
