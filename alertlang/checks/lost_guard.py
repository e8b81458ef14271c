"""One failed sensor takes the guard of a limit on another quantity away.

## What it finds

A limit that is guarded as long as every sensor works, and a state in which it is broken and, with one
sensor failed, red or the alert that it needs does not come, or comes later than with the sensor working and
later than the limit allows; then the finding says both times. While a sensor has failed every comparison
with it is false, `failed` is true, and whatever is built on them follows. Each element of an array is a
sensor: a dead `cht[2]` may take a guard of `cht[1]` away.

## Why it matters

A guard that asks for a second quantity is as good as that quantity's probe. When the oil temperature probe
dies on a cold morning, "when oil_temp below 120 F" is false, and the engine speed is free. Nothing on the
panel says so.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    when oil_temp below 75 F limit rpm at most 1200 rpm, needs caution, source NOTE
    rpm at least 0 is green
    when oil_temp below 75 F then rpm above 1200 is red with caution "ENGINE COLD"

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    when oil_temp below 75 F limit rpm at most 1200 rpm, needs caution, source NOTE
    rpm at least 0 is green
    when oil_temp below 75 F or oil_temp failed then rpm above 1200 is red with caution "ENGINE COLD"

## How it is decided

The limit is broken by the values there are; what is shown follows from the values that are told. The solver
is asked for a state that breaks the limit, in which red (or the alert) comes while all sensors work and
does not come with one sensor failed. Where some guard waits longer than the limit allows, the same is asked
for each time from the allowed one on at which something may change: sure to be there by then while all
sensors work, however the conditions settle, and not sure with the sensor failed. It is asked for each sensor
that a guard of the limit reads and that the limited reading is not worked out from, one at a time. What
counts as an alert for a limit is said by missing-alert; one that is up already is no news here either.

## What it cannot see

Two sensors that fail together. A sensor that tells a wrong value. The failure of the limited quantity's own
sensor: nothing can compare what is not there. What an `until` missed while its sensor was dead, once that is
back. The state is held as it is, with the sensor failed all the while. With more than six things that have
not settled at once, a guard counts as sure only when all of its delays are over.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.guards import has_come
from alertlang.checks.in_time import (
    Counts,
    Guards,
    Told,
    fast,
    has_shown,
    has_surely_shown,
    hidden,
    mode_at,
    reaction_at,
    surely_shown,
    times_past,
)
from alertlang.checks.late_alert import allowed_time, guard_of
from alertlang.checks.limits import limits, named, where_broken
from alertlang.checks.news import News, alerts_for, may_be_old, of_limit
from alertlang.checks.on_and_off import on_and_off
from alertlang.checks.one_sensor import held_without, loses_an_end, sensors_beside, told_name
from alertlang.checks.shared_condition import in_shared_condition
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Reaction, WitnessTruth, finding
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, TRUE, Term, both, disjunction
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m
from alertlang.model.snapshot import failed_flag, told_without
from alertlang.text.lists import listed

NAME = "lost-guard"
SEEN = Seen(lambda at: at.has_lost() and at.is_late(), alerts=True)
_LATE = ", and red comes only after "


@dataclass(frozen=True, slots=True)
class _Watched:
    """A limit with what guards it: the red statements, or those whose alert it needs, which must be news. `times`: when
    it matters whether they show by then; none: in the end. `beside`: for red these alerts."""

    one: m.Range
    guards: Guards
    what: str
    times: tuple[Fraction | None, ...]
    beside: Guards = ()

    @property
    def asks_news(self) -> bool:
        return self.what != "red" and any(may_be_old(guard.rule) for guard in self.guards)

    def news(self, context: Context, index: int | None, failing: frozenset[str] = frozenset()) -> News | None:
        return of_limit(context, self.one, index, told_without(failing)) if self.asks_news else None

    def sensors(self, context: Context, index: int | None) -> list[str]:
        return sensors_beside(context, self.one.quantity, index, (guard.rule for guard in self.guards))


@dataclass(frozen=True, slots=True)
class _Lost:
    """What one failed sensor takes away from one limit. `seconds`: the time at which it is not there; none: never."""

    watched: _Watched
    sensor: str
    index: int | None
    reading: str
    seconds: Fraction | None

    @property
    def failing(self) -> frozenset[str]:
        return frozenset((self.sensor,))


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Limits on one quantity that lean on another one's sensor."""
    ruleset = context.ruleset
    red = tuple(guard_of(ruleset, b, alert=False) for b in ruleset.bands_by_quantity[name] if b.colour is m.Colour.RED)
    loud = {r.label: guard_of(ruleset, r, alert=True) for r in ruleset.rules_for(name) if r.alert is not None}

    def watched(declared: m.Range, guards: Guards, what: str, beside: Guards = ()) -> _Watched:
        return _Watched(declared, guards, what, (None, *times_past(ruleset, guards, allowed_time(declared))), beside)

    def alerts_of(declared: m.Range) -> Guards:
        return tuple(loud[rule.label] for rule in alerts_for(ruleset, declared))

    reds = [watched(declared, red, "red", alerts_of(declared)) for declared in limits(context, name)]
    needed = ((declared, declared.needs) for declared in limits(context, name, lamp_only=True))
    alerts = [watched(declared, alerts_of(declared), needs.word) for declared, needs in needed if needs is not None]
    can_be = _can_be_lost(context, [*reds, *alerts])
    of_red = dict(_found(context, reds)) if can_be else {}
    of_alerts = dict(_found(context, alerts)) if can_be else {}
    for key, found in of_red.items():
        other = of_alerts.get(key)
        if other is not None and _says(found) == _says(other):
            # Where both are lost or late alike that is one finding.
            del of_alerts[key]
            found = replace(found, message=found.message.replace(_LATE, ", and red and its alert come only after ", 1))
        yield found
    for key, found in of_alerts.items():
        if key not in of_red or of_red[key].reaction is not None:
            yield found
    yield from on_and_off(context, name, {(limit, sensor) for limit, sensor, _ in (*of_red, *of_alerts)})


def _says(found: Finding) -> tuple[object, ...]:
    # With the sensor working the alert may wait where red does not: then the two say different times.
    return (found.statements, found.reaction, found.message.partition(" only after ")[2])


_Key = tuple[str, str, int | None]


def _found(context: Context, watched: list[_Watched]) -> Iterator[tuple[_Key, Finding]]:
    """At most one finding for each limit, sensor and element: what never comes before what comes late."""
    for one in watched:
        never, *times = one.times
        for index, reading in context.elements(one.one.quantity, one.one.index):
            for sensor in one.sensors(context, index):
                lost = [_Lost(one, sensor, index, reading, seconds) for seconds in (never, *reversed(times))]
                found = next((f for f in (_asked(context, case) for case in lost) if f is not None), None)
                if found is not None:
                    yield (one.one.label, sensor, index), found


class _News(Enum):
    """How it is told which alerts count: none that could be old; those that are sure to; or all that do. The first two
    without a question, and so in too many states."""

    NONE, ROUGHLY, EXACTLY = range(3)


def _can_be_lost(context: Context, watched: list[_Watched]) -> bool:
    """Whether some limit can lose its guards to some one sensor, now or for too long: one question, that most
    quantities answer with no; the cheapest first."""
    ways = (_News.NONE, _News.ROUGHLY) if any(one.asks_news for one in watched) else (_News.ROUGHLY,)
    for how in ways:
        asked = disjunction(_ways_to_lose(context, watched, how))
        if asked is FALSE or context.is_satisfiable(asked) is Answer.NO:
            return False
    return True


def _ways_to_lose(context: Context, watched: list[_Watched], how: _News) -> Iterator[Term]:
    # Limits that the same statements guard in the same time lose them together.
    together: dict[tuple[object, ...], list[_Watched]] = {}
    for one in watched:
        # A red statement shows in the end where its alert does. Which alert is news, each limit says for itself.
        key = (
            tuple(guard.rule.label for guard in one.guards),
            one.times,
            one.what if len(one.times) > 1 else "",
            one.one.index,
            one.one.label if one.asks_news and how is not _News.NONE else "",
            one.asks_news,
        )
        together.setdefault(key, []).append(one)
    for some in together.values():
        first = some[0]
        for index, reading in context.elements(first.one.quantity, first.one.index):
            broken = disjunction(context.encoder.violated(one.one, index) for one in some)
            for sensor in first.sensors(context, index):
                for seconds in first.times:
                    taken = _taken(context, _Lost(first, sensor, index, reading, seconds), how)
                    yield FALSE if taken is FALSE else both(taken, broken)


def _taken(context: Context, lost: _Lost, how: _News) -> Term:
    """One sensor has failed, and no guard tells by a time what some guard would be sure to tell of with it."""
    flag, guards, index = failed_flag(lost.sensor), lost.watched.guards, lost.index
    told = context.encoder.in_mode(mode_at(context.ruleset, lost.seconds, lost.failing))
    counts: Counts | None = None
    idle: Counts | None = None
    if how is _News.NONE:
        idle = _if_old if lost.watched.asks_news else None
    else:
        news, blind = (lost.watched.news(context, index, failing) for failing in (frozenset[str](), lost.failing))
        if news is not None and how is _News.EXACTLY:
            counts = news.good
        if blind is not None:
            idle = blind.bad if how is _News.EXACTLY else blind.roughly_bad
    gone = both(
        surely_shown(context, guards, index, lost.seconds, counts), hidden(told, guards, index, lost.seconds, idle)
    )
    # A guard that does not read it cannot be lost with it; but one that could be old is not looked at here.
    reads_it = how is _News.NONE or flag in context.encoder.definitions_for(gone.reads)[0]
    return both(context.encoder.names.flag(flag, TRUE), gone) if reads_it else FALSE


def _if_old(rule: m.Rule) -> Term:
    return TRUE if may_be_old(rule) else FALSE


def _asked(context: Context, lost: _Lost) -> Finding | None:
    """A state in which a limit is broken and has lost what guards it, as a finding."""
    declared, guards, index, seconds = lost.watched.one, lost.watched.guards, lost.index, lost.seconds
    roughly = _taken(context, lost, _News.ROUGHLY)
    broken = context.encoder.violated(declared, index)
    # Cheap first: which alerts are news is worked out where it can make a difference.
    if roughly is FALSE or context.is_satisfiable(both(roughly, broken)) is Answer.NO:
        return None
    taken = _taken(context, lost, _News.EXACTLY)
    mode = mode_at(context.ruleset, seconds, lost.failing)

    def confirm(instant: Instant) -> bool:
        blind = instant.in_mode(mode)
        idle, idle_blind = _idle(context, lost, instant, frozenset()), _idle(context, lost, instant, lost.failing)
        return (
            instant.state.flags.get(failed_flag(lost.sensor), False)
            and blind.is_possible()
            and instant.violates(declared, index)
            and has_shown(instant, guards, index, None, idle)
            and (seconds is None or has_surely_shown(context, instant, guards, index, seconds, idle))
            and not has_shown(blind, guards, index, seconds, idle_blind)
        )

    cases = context.cases(
        both(taken, broken),
        confirm,
        primary=lost.reading,
        formulas=(declared.when, *(f for guard in guards for f in (guard.rule.when, guard.rule.unless))),
        most=1,
        told=mode_at(context.ruleset, None, lost.failing),
    )
    if cases.found:
        return _finding(context, lost, cases.found[0])
    return undecided(NAME, declared.span, declared.quantity, (), declared.label) if cases.undecided else None


def _idle(context: Context, lost: _Lost, instant: Instant, failing: frozenset[str]) -> Told | None:
    """Whether an alert that is up in a state does not count."""
    news = lost.watched.news(context, lost.index, failing)
    if news is None:
        return None
    return (lambda rule: news.is_bad(instant, rule)) if failing else (lambda rule: not news.is_good(instant, rule))


def _finding(context: Context, lost: _Lost, case: FaultCase) -> Finding:
    declared, guards, index, sensor = lost.watched.one, lost.watched.guards, lost.index, lost.sensor
    instant = context.instant(case.model)
    blind = instant.in_mode(mode_at(context.ruleset, None, lost.failing))
    idle, idle_blind = _idle(context, lost, instant, frozenset()), _idle(context, lost, instant, lost.failing)
    counting = tuple(g for g in guards if idle is None or not idle(g.rule))
    left = tuple(g for g in guards if idle_blind is None or not idle_blind(g.rule))
    with_it = [g.rule for g in fast(counting, lost.seconds) if has_come(instant, g.rule, index)]
    gone = [rule for rule in with_it if not has_come(blind, rule, index)] or with_it
    where, rest = where_broken(context, declared, case, lost.reading)
    subject, name = context.subject(lost.reading), told_name(context, sensor, index)
    if name != context.subject(sensor):
        subject = lost.reading
    head = f"with {name} failed, {subject} {where} breaks {named(declared)}"
    statements = tuple(rule.label for rule in gone)
    advice = _advice(context, gone[0], sensor)
    reaction = None
    if lost.seconds is None:
        old = _old(context, lost, instant)
        what = _never(lost.watched, silent=not has_shown(blind, lost.watched.beside, index, None))
        message = f"{head} and {what}{rest}{f': {listed(old)}' if old else ''}"
    else:
        working = reaction_at(context, case.model, counting, index)
        late = reaction_at(context, case.model, left, index, lost.failing)
        assert working is not None
        assert late is not None
        slow = min((g for g in left if has_come(blind, g.rule, index)), key=lambda g: g.delay.seconds)
        instead = m.in_seconds(working) if working else "at once"
        comes = _LATE if lost.watched.what == "red" else f", and {lost.watched.what} comes only after "
        message = f"{head}{rest}{comes}{m.in_seconds(late)} instead of {instead}: {slow.delay.in_words}"
        allowed = allowed_time(declared)
        statements = tuple(dict.fromkeys((*statements, slow.rule.label)))
        advice = (f"it must be there within {m.in_seconds(allowed)} ({declared.allowed_by})", *advice)
        reaction = Reaction(late, allowed)
    return finding(
        NAME,
        message,
        gone[0].span,
        quantity=declared.quantity,
        statements=statements,
        limit=declared.label,
        witness=case.witness,
        region={**case.region, failed_flag(sensor): WitnessTruth(True)},
        reaction=reaction,
        suggestion=in_shared_condition(context, gone[0], sensor) or held_without(context, gone[0], sensor, index),
        advice=advice,
    )


def _old(context: Context, lost: _Lost, instant: Instant) -> tuple[str, ...]:
    """The alerts that are up with the sensor failed and do not count, each with where it is up already."""
    news = lost.watched.news(context, lost.index, lost.failing)
    return () if news is None else tuple(news.old_ones(instant, (g.rule for g in lost.watched.guards)).values())


def _never(watched: _Watched, *, silent: bool) -> str:
    """What does not come, in words."""
    needs = watched.one.needs
    words = ["is not red"] if watched.what == "red" else []
    if needs is not None and (silent or watched.what != "red"):
        words.append(f"no {needs.word} comes up")
    return " and ".join(words)


def _advice(context: Context, rule: m.Rule, sensor: str) -> tuple[str, ...]:
    if isinstance(rule, m.Band) and loses_an_end(context, rule, sensor):
        end = "its range ends at what is computed from that sensor"
        return (f"{end}: give the curve an `otherwise`, or guard with a number",)
    return ("let the guard hold while the probe is missing, or guard the limit without it",)
