"""A limit is broken without end, and clocks that start anew again and again keep it from being shown.

## What it finds

A limit that is red, or has the alert it needs, in time as long as one state lasts, and not where states
change: the statements that guard it wait (`for more than`, `after`, conditions with `set after`), and each of
them starts its time anew when something changes that the limit does not ask for. The finding says what
changes, and shows the shortest history that was found in which the limit stays unguarded.

## Why it matters

Every single state is proved to be guarded, and an engine does not stay in one. With a limit of five minutes
and one timed band for each position of the flaps, nothing is ever called out while the flaps move every four.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch flaps up, down
    limit rpm at most 2600 rpm except for 5 min, needs caution, source NOTE
    rpm at most 2600 is green
    rpm above 2600 is yellow
    when flaps is up then rpm above 2600 for more than 5 min is red with caution "HIGH UP"
    when flaps is down then rpm above 2600 for more than 5 min is red with caution "HIGH DOWN"

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch flaps up, down
    limit rpm at most 2600 rpm except for 5 min, needs caution, source NOTE
    rpm at most 2600 is green
    rpm above 2600 is yellow
    rpm above 2600 for more than 5 min is red with caution "HIGH"

## How it is decided

A limit is guarded in time, its red and its alert each, by statements that together apply wherever it is
broken and whose delays come to at most 2 s; or by one statement that, its clock aside, applies wherever it is
broken (also where others show red at once) and whose delays are no longer than `except for` and reaction time
together. The solver is asked for a state that breaks the limit in which none of the quick ones applies, and
for each slow one for a state in which it does not. A delayed condition counts as settled, with its delay,
only if the limit's context does not read it and its undelayed value is the same wherever the limit is broken;
otherwise it may be either way, and has no delay. Histories that hold such states in turn are then played on
the stepper; where it confirms none the finding says "not proved". Where unguarded-limit, missing-alert or
late-alert speak of the limit, this says nothing.

## What it cannot see

Statements that hand over to each other within 2 s: those are taken for good. A rate of change, a deadband or
a memory that no history can bring about as the solver has it: where in doubt it warns, with "not proved". A
sensor that fails and comes back: see lost-guard.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from alertlang.checks import late_alert, missing_alert, unguarded_limit
from alertlang.checks.clocks import Interrupted, WatchedLimit, interrupted, reds_of
from alertlang.checks.context import Context, FaultCase
from alertlang.checks.guards import has_come
from alertlang.checks.histories import Silence, shortest_silence
from alertlang.checks.limits import broken_words, limits, named, where_broken
from alertlang.checks.news import alerts_for
from alertlang.checks.suggest import is_high, suggested
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Reaction, Suggestion, finding
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.text.lists import listed
from alertlang.units.number import show_value

NAME = "interrupted-clock"
_SAYING = (unguarded_limit, missing_alert, late_alert)
SAID_BY = frozenset(check.NAME for check in _SAYING)


def is_same(found: Finding, other: Finding) -> bool:
    """Whether another finding speaks of the same limit."""
    return found.limit == other.limit


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether a quantity has a limit and something that could guard it."""
    if name is None or not any(declared.forbids for declared in ruleset.ranges_by_quantity[name]):
        return False
    return bool(ruleset.rules_for(name))


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Each limit and avoid range of one quantity, its red and its alert."""
    ruleset = context.ruleset
    shown = {declared.label for declared in limits(context, name)}
    for declared in limits(context, name, lamp_only=True):
        watches = (
            [WatchedLimit(declared, None, reds_of(ruleset, declared), alert=False)] if declared.label in shown else []
        )
        watches.append(WatchedLimit(declared, None, alerts_for(ruleset, declared), alert=True))
        yield from _judged(context, declared, watches)


@dataclass(frozen=True, slots=True)
class _Interruption:
    why: Interrupted
    reading: str
    case: FaultCase
    silence: Silence | None


def _judged(context: Context, declared: m.Range, watches: list[WatchedLimit]) -> Iterator[Finding]:
    """The red and the alert of a limit; where the same statements and the same history are behind both, as one."""
    found: list[_Interruption] = []
    for watch in watches:
        for index, reading in context.elements(declared.quantity, declared.index):
            why = interrupted(context, WatchedLimit(declared, index, watch.rules, watch.alert))
            if why is Answer.NO:
                continue
            # Of what is said already no history is looked for, and nothing is proved.
            case = None if isinstance(why, Answer) or _is_said(context, declared) else case_of(context, why, reading)
            if isinstance(why, Answer) or case is None:
                yield undecided(NAME, declared.span, declared.quantity, (), declared.label)
                break
            found.append(_Interruption(why, reading, case, shortest_silence(context, why, case.model)))
            break
    if len(found) == 2 and _is_same(found[0], found[1]):
        yield _finding(context, found[0], also=found[1])
    else:
        for some in found:
            yield _finding(context, some)


def _is_said(context: Context, declared: m.Range) -> bool:
    """Whether another check speaks of the limit already (see SAID_BY)."""
    said = (finding for check in _SAYING for finding in context.findings(check.check_quantity, declared.quantity))
    return any(finding.limit == declared.label for finding in said)


def _is_same(red: _Interruption, alert: _Interruption) -> bool:
    if (red.silence is None) is not (alert.silence is None) or red.why.slow != alert.why.slow:
        return False
    if red.silence is None or alert.silence is None:
        return True
    return (red.silence.history, red.silence.endless) == (alert.silence.history, alert.silence.endless)


def case_of(context: Context, why: Interrupted, reading: str) -> FaultCase | None:
    """A state that breaks the limit and that nothing quick shows."""
    watch = why.watch
    there, told = why.there.mode, why.told.mode

    def confirm(instant: Instant) -> bool:
        seen = instant.in_mode(told)
        return (
            seen.is_possible()
            and instant.in_mode(there).violates(watch.one, watch.index)
            and not any(has_come(seen, rule, watch.index) for rule in why.quick)
        )

    formulas = (watch.one.when, *(f for rule in watch.rules for f in (rule.when, rule.unless)))
    cases = context.cases(why.unshown, confirm, primary=reading, formulas=formulas, most=1)
    return cases.found[0] if cases.found else None


# ---- in words ----------------------------------------------------------------------------------------------------


def _finding(context: Context, some: _Interruption, also: _Interruption | None = None) -> Finding:
    why, silence = some.why, some.silence
    watch, declared = why.watch, why.watch.one
    where, _ = where_broken(context, declared, some.case, some.reading)
    clocks = clocks_of(context, why)
    missing = missing_words(declared, red=not watch.alert, alert=watch.alert or also is not None)
    anew = anew_words(clocks, why.free)
    subject = context.subject(some.reading)
    if silence is None:
        message = (
            f"that {subject} {where}, which breaks {named(declared)}, is shown in time is not proved: {anew} when "
            "something "
            f"changes, and no history was found in which {' and '.join(missing)} for longer than it may"
        )
        advice: tuple[str, ...] = ()
    else:
        message = (
            f"{subject} {where} can break {named(declared)} {lasting(silence)} and {' and '.join(missing)}: {anew} "
            "when "
            f"{_changes(silence)}"
        )
        advice = tuple(history_lines(context, why, silence))
    at_fault = clocks or list(watch.rules)
    return finding(
        NAME,
        message,
        at_fault[0].span,
        quantity=declared.quantity,
        statements=tuple(rule.label for rule in at_fault),
        limit=declared.label,
        witness=some.case.witness,
        region=some.case.region,
        reaction=None if silence is None else Reaction(silence.times.ends - silence.times.broken, watch.allowed),
        suggestion=_one_for_all(context, some, alert=watch.alert or also is not None),
        advice=(*advice, "one statement that waits and applies wherever the limit is broken is enough, beside these"),
    )


def lasting(silence: Silence) -> str:
    """For how long a limit is broken in a history, in words."""
    shown = m.in_seconds(silence.times.ends - silence.times.broken)
    return f"for {shown}" if silence.endless is None else f"without end (the first {shown} are told below)"


def _changes(silence: Silence) -> str:
    if not silence.changing:
        return "its state begins"
    return f"{listed(silence.changing)} {'changes' if len(silence.changing) == 1 else 'change'}"


def missing_words(declared: m.Range, *, red: bool, alert: bool) -> list[str]:
    words = ["it is not red"] if red else []
    return [*words, f"no {declared.needs.word} is up"] if alert and declared.needs is not None else words


def clocks_of(context: Context, why: Interrupted) -> list[m.Rule]:
    """The slow statements that can have to do with it."""
    return [rule for rule in why.slow if context.is_satisfiable(both(why.broken, why.applies(rule))) is not Answer.NO]


def anew_words(clocks: list[m.Rule], conditions: frozenset[str]) -> str:
    """Whose time starts anew, in words."""
    parts: list[str] = []
    if clocks:
        names = listed(rule.label for rule in clocks)
        parts.append(f"the clocks of {names} start anew" if len(clocks) > 1 else f"the clock of {names} starts anew")
    if conditions:
        parts.append(f"{listed(sorted(conditions))} {'have' if len(conditions) > 1 else 'has'} to settle anew")
    return " and ".join(parts)


def history_lines(context: Context, why: Interrupted, silence: Silence) -> Iterator[str]:
    """A history in words, and what becomes of it if it goes on."""
    names = context.decider.cone_of_influence(
        why.broken.reads.union(*(why.applies(rule).reads for rule in why.watch.rules))
    )[0]
    told: list[str] = []
    begins = -silence.times.broken
    before = None
    for stretch in silence.history:
        inputs = stretch.inputs
        changed = [name for name in (*inputs.readings, *inputs.positions) if name in names]
        if before is not None:
            changed = inputs.changed(before)
        said = []
        for name in changed:
            if name in inputs.positions:
                said.append(f"{name} {inputs.positions[name]}")
            elif name in inputs.failed:
                said.append(f"{name} failed")
            else:
                said.append(f"{name} {show_value(inputs.readings[name], context.quantity(name).unit)}")
        told.append(f"{m.in_seconds(begins)}: {', '.join(said)}")
        begins, before = begins + stretch.seconds, inputs
    shown = [*told[:5], "and so on", told[-1]] if len(told) > 6 else told
    yield f"{'; '.join(shown)}; so up to {m.in_seconds(begins)} (allowed: {m.in_seconds(why.watch.allowed)})"
    if silence.endless is not None:
        yield f"held in turn for {m.in_seconds(silence.endless)} each, nothing ever comes"


def _one_for_all(context: Context, some: _Interruption, *, alert: bool) -> Suggestion | None:
    """One statement for the limit as a whole, with its own time."""
    watch, declared = some.why.watch, some.why.watch.one
    subject = context.subject(some.reading)
    is_array = context.is_array(subject)
    own = "" if declared.when is None or declared.node.when is None else " ".join(declared.node.when.span.text.split())
    held = "" if declared.node.except_for is None else f" for more than {declared.node.except_for.span.text}"
    region = broken_words(context, declared)
    level = declared.needs if alert and declared.needs is not None and declared.needs > m.Level.ADVISORY else None
    told = ""
    if level is not None:
        high, each = is_high(declared, some.case.reach(some.reading)), is_array and not watch.alert
        told = f'{level.word} "{context.words.alert_text(declared.quantity, high, level, each)}"'
    if watch.alert:
        whole = f"{'any ' if is_array else ''}{subject} {region}"
        return suggested(f"when {f'({own}) and ' if own else ''}{whole}{held} then {told}") if told else None
    red = f"{subject} {region}{held} is red{f' with {told}' if told else ''}"
    return suggested(f"when {own} then {red}" if own else red)
