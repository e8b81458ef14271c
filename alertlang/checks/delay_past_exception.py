"""A statement that guards a limit waits longer than the limit itself allows.

## What it finds

A limit or avoid range that in some state is guarded only by statements whose `for more than` is longer than
the limit's own `except for` (than nothing at all, where it has none), although all of them still come within
the time that the limit gives for reacting.

## Why it matters

`except for` says how long the engine may be there. `within` is for what showing takes: sensors, contexts
that settle, an alert that is held back. A `for more than` that lives on a generous `within` lets the limit
be broken and shows nothing, on purpose; and the day `within` is made what it should be, the guard is late.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2550 rpm except for 5 min, needs caution within 2 min, source NOTE
    rpm at most 2550 is green
    rpm above 2550 is yellow
    power_time: rpm above 2550 for more than 6 min is red with caution "PWR TIME"

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2550 rpm except for 5 min, needs caution within 2 min, source NOTE
    rpm at most 2550 is green
    rpm above 2550 is yellow
    power_time: rpm above 2550 for more than 5 min is red with caution "PWR TIME"

## How it is decided

Both times count from the moment in which the values are reached that the limit forbids. The solver is asked
for a state that breaks the limit, in which the statement applies once its time is over and nothing applies
that waits less; red and the alert that is needed are looked at apart. Where late-alert finds something on
the limit, this says nothing.

## What it cannot see

A context that settles late, and an alert held back with `after`: they are added up by late-alert.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.late_alert import allowed_time
from alertlang.checks.limits import limits, named
from alertlang.checks.news import alerts_for, of_limit
from alertlang.checks.reaction import delay_of
from alertlang.checks.seek import stretch_words
from alertlang.checks.suggest import spliced
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Reaction, Suggestion, finding
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m
from alertlang.text.source import Span

NAME = "delay-past-exception"
SEEN = Seen(lambda at: at.broken and at.unguarded, alerts=True, waits=True)
_ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class _Guards:
    """What guards a limit, as red or as the alert it needs, with the longest time each takes."""

    what: str
    nothing: str
    rules: tuple[tuple[m.Rule, Fraction], ...]
    alert: bool


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether a quantity has a limit, and something that waits could guard it."""
    if name is None or not any(declared.forbids for declared in ruleset.ranges_by_quantity[name]):
        return False
    return any(rule.held is not None for rule in ruleset.rules_for(name))


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Each limit and avoid range of one quantity, each statement that waits too long for it once."""
    if not applies(context.ruleset, name):
        return
    shown = {declared.label for declared in limits(context, name)}
    for declared in limits(context, name, lamp_only=True):
        guards = [_reds(context, declared)] if declared.label in shown else []
        if declared.needs is not None:
            guards.append(_alerts(context, declared, declared.needs))
        yield from _judge(context, declared, guards)


def _reds(context: Context, declared: m.Range) -> _Guards:
    reds = (b for b in context.ruleset.bands_by_quantity[declared.quantity] if b.colour is m.Colour.RED)
    return _Guards("red", "it is not red", _timed(context, reds, alert=False), alert=False)


def _alerts(context: Context, declared: m.Range, needs: m.Level) -> _Guards:
    loud = iter(alerts_for(context.ruleset, declared))
    return _Guards(needs.word, f"no {needs.word} is up", _timed(context, loud, alert=True), alert=True)


def _timed(
    context: Context, rules: Iterator[m.Band] | Iterator[m.Rule], *, alert: bool
) -> tuple[tuple[m.Rule, Fraction], ...]:
    return tuple((rule, delay_of(context.ruleset, rule, alert=alert).seconds) for rule in rules)


def _judge(context: Context, declared: m.Range, guards: list[_Guards]) -> Iterator[Finding]:
    late = [_is_late(context, declared, some) for some in guards]
    if Answer.YES in late:
        return
    if Answer.UNDECIDED in late:
        yield undecided(NAME, declared.span, declared.quantity, (), declared.label)
        return
    found: dict[str, tuple[m.Rule, str, FaultCase, list[_Guards]]] = {}
    for some in guards:
        for rule in _waiting(declared, some):
            for index, reading in context.elements(declared.quantity, declared.index):
                case = _alone(context, declared, some, rule, index, reading)
                if case is None:
                    continue
                if isinstance(case, Finding):
                    yield case
                else:
                    found.setdefault(rule.label, (rule, reading, case, []))[3].append(some)
                break
    for rule, reading, case, kinds in found.values():
        yield _finding(context, declared, rule, reading, case, kinds)


def _is_late(context: Context, declared: m.Range, guards: _Guards) -> Answer:
    """Whether late-alert has something to say of the limit."""
    allowed = allowed_time(declared)
    if all(seconds <= allowed for _, seconds in guards.rules):
        return Answer.NO
    encoder = context.encoder
    answers: list[Answer] = []
    for index, _ in context.elements(declared.quantity, declared.index):
        fast = [rule for rule, seconds in guards.rules if seconds <= allowed]
        slow = disjunction(encoder.applies(rule, index, eventually=True) for rule, t in guards.rules if t > allowed)
        goal = both(encoder.violated(declared, index), slow)
        answers.append(_possible(context, goal, declared, guards, fast, index))
    return next((a for a in (Answer.YES, Answer.UNDECIDED) if a in answers), Answer.NO)


def _possible(
    context: Context, goal: Term, declared: m.Range, guards: _Guards, rules: list[m.Rule], index: int | None
) -> Answer:
    """Whether a goal is possible with none of some guards there."""
    # Cheap first: which alerts count is worked out where it can make a difference.
    for exactly in (False, True):
        none = (_not_up(context, declared, guards, rule, index, exactly=exactly) for rule in rules)
        answer = context.is_satisfiable(both(goal, *none))
        if answer is Answer.NO or not guards.alert:
            break
    return answer


def _not_up(
    context: Context, declared: m.Range, guards: _Guards, rule: m.Rule, index: int | None, *, exactly: bool = True
) -> Term:
    """A guard does not show, or it is an alert that is no news. One that waits itself is always news."""
    down = negate(context.encoder.applies(rule, index, eventually=True))
    if not guards.alert:
        return down
    news = of_limit(context, declared, index)
    return disjunction((down, news.bad(rule) if exactly else news.roughly_bad(rule)))


def _waiting(declared: m.Range, guards: _Guards) -> list[m.Rule]:
    """The guards that come in time and wait longer than the limit allows, the quickest first."""
    rules = [rule for rule, seconds in guards.rules if seconds <= allowed_time(declared)]
    return sorted((r for r in rules if _wait(r) > (declared.except_for or _ZERO)), key=_wait)


def _wait(rule: m.Rule) -> Fraction:
    return rule.held or _ZERO


def _alone(
    context: Context, declared: m.Range, guards: _Guards, rule: m.Rule, index: int | None, reading: str
) -> FaultCase | Finding | None:
    """A state that breaks the limit, in which the statement applies in the end and nothing that waits less."""
    encoder = context.encoder
    waiting = _waiting(declared, guards)
    quicker: list[m.Rule] = [r for r, _ in guards.rules if _wait(r) <= (declared.except_for or _ZERO)]
    quicker += waiting[: waiting.index(rule)]
    shows = both(encoder.violated(declared, index), encoder.applies(rule, index, eventually=True))
    if _possible(context, shows, declared, guards, quicker, index) is Answer.NO:
        return None
    goal = both(shows, *(_not_up(context, declared, guards, other, index) for other in quicker))

    def confirm(instant: Instant) -> bool:
        return (
            instant.violates(declared, index)
            and instant.applies(rule, index, eventually=True)
            and all(
                not instant.applies(other, index, eventually=True)
                or (guards.alert and of_limit(context, declared, index).is_bad(instant, other))
                for other in quicker
            )
        )

    formulas = (declared.when, *(f for r, _ in guards.rules for f in (r.when, r.unless)))
    cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=1)
    if cases.undecided:
        return undecided(NAME, declared.span, declared.quantity, (), declared.label)
    return cases.found[0] if cases.found else None


def _finding(
    context: Context, declared: m.Range, rule: m.Rule, reading: str, case: FaultCase, kinds: list[_Guards]
) -> Finding:
    where, rest = stretch_words(context, case, reading)
    allowed = declared.except_for or _ZERO
    longer = m.in_seconds(_wait(rule) - allowed)
    what = " and the ".join(some.what for some in kinds)
    waits = "waits" if len(kinds) == 1 else "wait"
    nothing = " and ".join(some.nothing for some in kinds)
    when = f"only for {m.in_seconds(allowed)}" if allowed else "for no time at all"
    waits = "waits" if len(kinds) == 1 else "wait"
    worst = max(seconds for some in kinds for r, seconds in some.rules if r.label == rule.label)
    return finding(
        NAME,
        f"the {what} of {rule.label} {waits} for {m.in_seconds(_wait(rule))}, but {named(declared)} allows "
        f"{context.subject(reading)} {where} {when}: for {longer} it is broken and {nothing}{rest}",
        rule.span,
        quantity=declared.quantity,
        statements=(rule.label,),
        limit=declared.label,
        witness=case.witness,
        region=case.region,
        reaction=Reaction(worst, allowed_time(declared)),
        suggestion=_shortened(declared, rule),
        advice=(
            "both times count from the moment in which such a value is reached",
            f"it is not late yet, because the limit gives {m.in_seconds(declared.allowed)} more for reacting "
            f"({declared.allowed_by}); that is for showing it, not for waiting",
        ),
    )


def _shortened(declared: m.Range, rule: m.Rule) -> Suggestion | None:
    """The statement with the time that the limit allows, or with none."""
    held = rule.node.held
    if held is None:
        return None
    allowed = declared.node.except_for
    if allowed is None:
        source, end = held.span.source, held.span.end
        while source.text[end : end + 1] == " ":
            end += 1
        return spliced(rule.span, Span(source, held.span.start, end), "")
    return spliced(rule.span, held.duration.span, allowed.span.text)
