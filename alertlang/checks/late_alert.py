"""Red, or the alert that a limit needs, comes later than the limit allows.

## What it finds

A limit that is guarded in the end, but in some state only by statements whose delays add up to more than
the limit allows. It may be broken for as long as its `except for` says; after that, red and the alert it
needs must be up within its `within` (or the profile's `respond within`, or 2 s: common practice, no
source). The finding says the worst reaction time and which delays make it up.

## Why it matters

Every delay has a reason, and they are written in different places: a context that must settle, a `for more
than` against nuisance, an `after` on the alert. Nobody adds them up, and the sum is what the engine has to
stand.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    limit oil_pressure at least 25 psi, needs warning within 5 s, source NOTE
    oil_pressure at least 25 psi is green
    oil_pressure below 25 psi is red with warning "OIL PRESS" after 10 s

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    limit oil_pressure at least 25 psi, needs warning within 5 s, source NOTE
    oil_pressure at least 25 psi is green
    oil_pressure below 25 psi is red with warning "OIL PRESS" after 3 s

## How it is decided

A statement's delay is its `for more than`, for its alert also its `after`, and what the conditions that its
context reads take to settle: `set after` where one must become true, `cleared after` where it must become
false, one after the other along conditions built on conditions where they can follow each other. For each
time at which some delay can be over the solver is asked for a state that breaks the limit and that something
shows in the end, but that nothing is sure to show by then. A statement that waits counts if it was sure to
apply for as long as it waits; a condition that has not settled may be either way, as far as what it goes by
was so no longer ago than its delay. The worst reaction time is the first for which there is no such state.
It counts from the moment at which the limit is broken, and the state is then held as it is: where the
limit's own context is a delayed condition nothing is broken before that is set. The time is played on the
stepper, after states that leave the conditions the other way; "at most" says that none took so long. An alert
shows it where it is news (see missing-alert): one that is up already for something else is not the alert that
comes in time.

## What it cannot see

A state that goes on changing, and a limit whose own context ends while all else lasts. What the display and
the sensor add: their own time is not in the rules. A limit that nothing guards at all: see unguarded-limit
and missing-alert.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.checks.clocks import WatchedLimit
from alertlang.checks.context import Context, FaultCase
from alertlang.checks.guards import comes, has_come
from alertlang.checks.limits import limits, named, where_broken
from alertlang.checks.news import alerts_for, of_limit
from alertlang.checks.reached import takes_as_long
from alertlang.checks.reaction import Delay, delay_of, mode_after, own_wait, paths
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Reaction, finding
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m
from alertlang.model.snapshot import PLAIN, FaultModel
from alertlang.text.lists import listed

NAME = "late-alert"
SEEN = Seen(lambda at: at.finding.reaction is not None and at.is_late(), alerts=True)
_LATE = " and red comes only after "


@dataclass(frozen=True, slots=True)
class Guard:
    """A statement that guards, with its delay. `waits`: the part of it that is its own, beside that of its conditions.
    `alert`: it is its alert that guards, which counts where it is news."""

    rule: m.Rule
    delay: Delay
    waits: Delay
    alert: bool

    def mode_at(self, ruleset: m.RuleSet, seconds: Fraction) -> FaultModel | None:
        """Where to look whether it shows so long after a state began: it does if it has applied for as long as it waits
        by then, and it applied that long before if it was sure to. None: it cannot show yet."""
        left = seconds - self.waits.seconds
        if left < 0:
            return None
        return mode_after(ruleset, left, (self.rule.label,) if self.waits.seconds else ())

    def paths(self, ruleset: m.RuleSet) -> dict[Fraction, Delay]:
        """What can make it up, by how long that takes."""
        some = (path + self.waits for path in paths(ruleset, self.rule.when, self.rule.unless).values())
        return {path.seconds: path for path in some}


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Red first, then the alert, of each limit and avoid range of one quantity."""
    ruleset = context.ruleset
    reds: list[Finding] = []
    red = [guard_of(ruleset, b, alert=False) for b in ruleset.bands_by_quantity[name] if b.colour is m.Colour.RED]
    for declared in limits(context, name):
        reds += _late(context, declared, red, "red")
    alerts: list[Finding] = []
    loud = {r.label: guard_of(ruleset, r, alert=True) for r in ruleset.rules_for(name) if r.alert is not None}
    for declared in limits(context, name, lamp_only=True):
        if declared.needs is not None:
            guards = [loud[rule.label] for rule in alerts_for(ruleset, declared)]
            alerts += _late(context, declared, guards, declared.needs.word)
    yield from _together(reds, alerts)


def _together(reds: list[Finding], alerts: list[Finding]) -> Iterator[Finding]:
    """A band whose colour and alert are late alike is one finding."""
    left = list(alerts)
    for red in reds:
        same = [f for f in left if (f.statements, f.limit, f.reaction) == (red.statements, red.limit, red.reaction)]
        if same and _LATE in red.message:
            left.remove(same[0])
            red = replace(red, message=red.message.replace(_LATE, " and red and its alert come only after ", 1))
        yield red
    yield from left


def allowed_time(declared: m.Range) -> Fraction:
    """Seconds from the moment in which a limit's values are first reached until red and its alert must be up."""
    return (declared.except_for or Fraction(0)) + declared.allowed


def guard_of(ruleset: m.RuleSet, rule: m.Rule, *, alert: bool) -> Guard:
    """A statement as a guard: by its colour, or by its alert."""
    return Guard(rule, delay_of(ruleset, rule, alert=alert), own_wait(rule, alert=alert), alert)


def guards_it(context: Context, declared: m.Range, guard: Guard, index: int | None, *, exactly: bool = True) -> Term:
    """A statement shows in the end that a limit is broken. Not to be negated: that is `guards_not`. Not `exactly`: an
    alert does so also where it is no news."""
    shows = comes(context.encoder, guard.rule, index)
    return both(shows, of_limit(context, declared, index).good(guard.rule)) if guard.alert and exactly else shows


def guards_not(
    context: Context,
    declared: m.Range,
    guard: Guard,
    index: int | None,
    mode: FaultModel = PLAIN,
    *,
    exactly: bool = True,
) -> Term:
    """It does not, by what has settled in a mode. Not to be negated. Not `exactly`: in too many states."""
    shows_not = negate(comes(context.encoder.in_mode(mode), guard.rule, index))
    if not guard.alert:
        return shows_not
    news = of_limit(context, declared, index)
    return disjunction((shows_not, news.bad(guard.rule) if exactly else news.roughly_bad(guard.rule)))


def _late(context: Context, declared: m.Range, guards: list[Guard], what: str) -> Iterator[Finding]:
    allowed = allowed_time(declared)
    if all(guard.delay.seconds <= allowed for guard in guards):
        return
    for index, reading in context.elements(declared.quantity, declared.index):
        worst = worst_reaction(context, declared, guards, index, allowed)
        if worst is None:
            yield undecided(NAME, declared.span, declared.quantity, (), declared.label)
            continue
        if worst <= allowed:
            continue
        # The state in which it takes longest is the one to show.
        before = max(t for t in _moments(context.ruleset, declared, guards, allowed) if t < worst)
        goal = _only_slower(context, declared, guards, before, index)
        modes = [(guard, mode) for guard in guards if (mode := guard.mode_at(context.ruleset, before)) is not None]

        def confirm(
            instant: Instant,
            declared: m.Range = declared,
            index: int | None = index,
            modes: list[tuple[Guard, FaultModel]] = modes,
        ) -> bool:
            then = [instant.in_mode(mode) for _, mode in modes]
            news = of_limit(context, declared, index)
            return (
                all(one_then.is_possible() and one_then.violates(declared, index) for one_then in (instant, *then))
                and all(
                    not has_come(seen, guard.rule, index) or (guard.alert and news.is_bad(instant, guard.rule))
                    for seen, (guard, _) in zip(then, modes, strict=True)
                )
                and any(
                    has_come(instant, guard.rule, index) and (not guard.alert or news.is_good(instant, guard.rule))
                    for guard in guards
                )
            )

        formulas = (declared.when, *(f for guard in guards for f in (guard.rule.when, guard.rule.unless)))
        cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=1)
        for case in cases.found:
            instant = context.instant(case.model)
            news = of_limit(context, declared, index)
            # What is there by then is not slow.
            there = {g.rule.label for g, mode in modes if has_come(instant.in_mode(mode), g.rule, index)}
            counting = [
                guard
                for guard in guards
                if not (guard.alert and news.is_exact(guard.rule) and news.is_bad(instant, guard.rule))
            ]
            up = [g for g in counting if has_come(instant, g.rule, index) and g.rule.label not in there]
            slow = min(up, key=lambda guard: (worst not in guard.paths(context.ruleset), guard.delay.seconds))
            # What shows at first and goes again shows it, too.
            watch = WatchedLimit(declared, index, tuple(guard.rule for guard in counting), alert=what != "red")
            most = "" if takes_as_long(context, watch, case.model, worst) else "at most "
            old = list(news.old_ones(instant, [guard.rule for guard in guards if guard.alert]).values())
            yield _finding(
                context, declared, reading, case, slow, f"{most}{m.in_seconds(worst)}", worst, what, allowed, old
            )
        if cases.undecided:
            yield undecided(NAME, declared.span, declared.quantity, (), declared.label)


def worst_reaction(
    context: Context, declared: m.Range, guards: list[Guard], index: int | None, at_least: Fraction = Fraction(0)
) -> Fraction | None:
    """The longest time in seconds until some guard shows, over all states that break a limit and that some guard shows
    in the end; not less than `at_least`. None if the solver gave up."""
    times = _moments(context.ruleset, declared, guards, at_least)
    for seconds in times[:-1]:
        answer = context.is_satisfiable(_only_slower(context, declared, guards, seconds, index, exactly=False))
        if answer is not Answer.NO and any(guard.alert for guard in guards):
            # Cheap first: which alerts count is worked out where it can make a difference.
            answer = context.is_satisfiable(_only_slower(context, declared, guards, seconds, index))
        if answer is Answer.UNDECIDED:
            return None
        if answer is Answer.NO:
            return seconds
    # After the last delay everything has settled.
    return times[-1]


def _moments(ruleset: m.RuleSet, declared: m.Range, guards: list[Guard], at_least: Fraction) -> list[Fraction]:
    """The times at which something that guards, or the limit's context, can change, in order."""
    times = {guard.delay.seconds for guard in guards} | paths(ruleset, declared.when).keys()
    for guard in guards:
        times |= guard.paths(ruleset).keys()
    return [at_least, *sorted(t for t in times if t > at_least)]


def _only_slower(
    context: Context,
    declared: m.Range,
    guards: list[Guard],
    seconds: Fraction,
    index: int | None,
    *,
    exactly: bool = True,
) -> Term:
    """The limit is broken, nothing is sure to show it some seconds after that began, and in the end something does. Not
    `exactly`: in too many states.

    Where the limit's context settles late it is broken only from then on, and so it is at every time that is looked at.
    """
    broken = {PLAIN: context.encoder.violated(declared, index)}
    not_yet: list[Term] = []
    slow: list[Term] = []
    for guard in guards:
        shows = guards_it(context, declared, guard, index, exactly=exactly)
        mode = guard.mode_at(context.ruleset, seconds)
        if mode is not None:
            then = context.encoder.in_mode(mode)
            broken.setdefault(mode, then.violated(declared, index))
            not_yet.append(guards_not(context, declared, guard, index, mode, exactly=exactly))
            # What is sure to be there by then is not slow, also where it cannot be told whether it counts.
            shows = both(shows, negate(comes(then, guard.rule, index)))
        slow.append(shows)
    return both(*broken.values(), *not_yet, disjunction(slow))


def _finding(
    context: Context,
    declared: m.Range,
    reading: str,
    case: FaultCase,
    slow: Guard,
    time: str,
    worst: Fraction,
    what: str,
    allowed: Fraction,
    old: list[str],
) -> Finding:
    rule, delay = slow.rule, slow.paths(context.ruleset).get(worst, slow.delay)
    where, rest = where_broken(context, declared, case, reading)
    grace = f" after the {m.in_seconds(declared.except_for)} it allows" if declared.except_for else ""
    return finding(
        NAME,
        f"{context.subject(reading)} {where} breaks {named(declared)} and {what} comes only after "
        f"{time}{rest}: {delay.in_words}{f'; {listed(old)}' if old else ''}",
        rule.span,
        quantity=declared.quantity,
        statements=(rule.label,),
        limit=declared.label,
        witness=case.witness,
        region=case.region,
        reaction=Reaction(worst, allowed),
        advice=(
            f"it must be there within {m.in_seconds(allowed)}: {m.in_seconds(declared.allowed)}{grace} "
            f"({declared.allowed_by})",
            "shorten a delay, or add a faster statement for this limit",
        ),
    )
