"""One failed sensor takes the guard of a limit on another quantity away.

## What it finds

A limit that is guarded as long as every sensor works, and a state in which it is broken and, with one
sensor failed, red or the alert that it needs does not come. While a sensor has failed every comparison with
it is false, and `failed` is true.

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
does not come with one sensor failed. An alert comes where it is news (see missing-alert). It is asked for each
sensor that a guard of the limit reads, one at a time.

## What it cannot see

Two sensors that fail together. A sensor that tells a wrong value. The failure of the limited quantity's own
sensor: nothing can compare what is not there.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Case, Context
from alertlang.checks.guards import Rule, comes, has_come
from alertlang.checks.limits import limits, named, where_broken
from alertlang.checks.news import alerts_for, is_silent, of_limit
from alertlang.checks.suggest import spliced
from alertlang.checks.undecided import undecided
from alertlang.diagnostics.finding import Finding, Suggestion, Truth, finding
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, TRUE, Flag, Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.model.snapshot import Mode, failed_flag
from alertlang.syntax import tree as t

NAME = "lost-guard"


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Limits on one quantity that lean on another one's sensor."""
    ruleset = context.ruleset
    reds: tuple[Rule, ...] = tuple(b for b in ruleset.bands_by_quantity[name] if b.colour is m.Colour.RED)
    said: set[tuple[str, str]] = set()
    watched = list(limits(context, name))
    if _all_kept(context, [(one, reds) for one in watched]) is not Answer.NO:
        for one in watched:
            for sensor, found in _lost(context, one, reds, alerts_for(ruleset, one), reds=True):
                said.add((one.label, sensor))
                yield found
    alerted = [one for one in limits(context, name, lamp_only=True) if one.needs is not None]
    if _all_told(context, alerted) is not Answer.NO:
        for one in alerted:
            # Where red is lost as well that is one finding.
            for sensor, found in _lost(context, one, alerts_for(ruleset, one), (), reds=False):
                if (one.label, sensor) not in said:
                    yield found


def _all_kept(context: Context, watched: list[tuple[m.Range, tuple[Rule, ...]]]) -> Answer:
    """Whether some limit can lose its guards to some one sensor: one question, that most quantities answer with no."""
    parts: list[Term] = []
    # Limits that the same statements guard lose them together.
    together: dict[tuple[str, ...], list[m.Range]] = {}
    guards_of = {tuple(rule.label for rule in guards): guards for _, guards in watched}
    for one, guards in watched:
        together.setdefault(tuple(rule.label for rule in guards), []).append(one)
    for labels, limited in together.items():
        guards = guards_of[labels]
        for sensor in _sensors(context, limited[0], guards):
            broken: dict[int | None, list[Term]] = {}
            for one in limited:
                for index, _ in context.elements(one.quantity, one.index):
                    broken.setdefault(index, []).append(context.encoder.violated(one, index))
            parts += [
                both(_taken(context, guards, sensor, index), disjunction(terms)) for index, terms in broken.items()
            ]
    return context.possible(disjunction(parts)) if parts else Answer.NO


def _all_told(context: Context, watched: list[m.Range]) -> Answer:
    """The same for alerts. Which of them counts, each limit says for itself."""
    asked = [
        (one, guards, sensor, index)
        for one in watched
        for guards in (alerts_for(context.ruleset, one),)
        for sensor in _sensors(context, one, guards)
        for index, _ in context.elements(one.quantity, one.index)
    ]
    answer = Answer.NO
    for how in (_FAR_TOO_MANY, _TOO_MANY):
        answer = context.possible(disjunction(_told(context, *one, how) for one in asked)) if asked else Answer.NO
        if answer is Answer.NO:
            break
    return answer


def _taken(context: Context, guards: tuple[Rule, ...], sensor: str, index: int | None) -> Term:
    """One sensor has failed, and no guard is told of what some guard would tell of with it."""
    flag = failed_flag(sensor)
    told = context.encoder_for(failing=frozenset((sensor,)))
    lost = both(_shown(context.encoder, guards, index), negate(_shown(told, guards, index)))
    # A guard that does not read it cannot be lost with it.
    return both(Flag(flag), lost) if flag in context.encoder.definitions_for(lost.reads)[0] else FALSE


def _goal(
    context: Context, one: m.Range, guards: tuple[Rule, ...], sensor: str, index: int | None, *, reds: bool
) -> Term:
    """With one sensor failed, a limit is broken and what would guard it does not. An alert guards where it is news."""
    broken = context.encoder.violated(one, index)
    if reds:
        taken = _taken(context, guards, sensor, index)
        return FALSE if taken is FALSE else both(taken, broken)
    # Cheap first, also for each sensor by itself.
    roughly = _told(context, one, guards, sensor, index, _TOO_MANY)
    if roughly is FALSE or context.possible(roughly) is Answer.NO:
        return FALSE
    return _told(context, one, guards, sensor, index, _EXACTLY)


# In which states something is said to be so: only the last asks questions of its own.
_FAR_TOO_MANY, _TOO_MANY, _EXACTLY = 0, 1, 2


def _told(context: Context, one: m.Range, guards: tuple[Rule, ...], sensor: str, index: int | None, how: int) -> Term:
    """With one sensor failed, a limit is broken, no alert counts, and with it one does."""
    flag = failed_flag(sensor)
    mode = context.encoder_for(failing=frozenset((sensor,))).mode
    news, blind = of_limit(context, one, index), of_limit(context, one, index, mode)
    kept = (both(comes(context.encoder, r, index), news.good(r) if how == _EXACTLY else TRUE) for r in guards)
    gone = (blind.red_silent, blind.roughly_silent, blind.silent)[how](guards)
    lost = both(disjunction(kept), gone)
    if how == _FAR_TOO_MANY:
        return both(lost, context.encoder.violated(one, index))
    if flag not in context.encoder.definitions_for(lost.reads)[0]:
        return FALSE
    return both(Flag(flag), lost, context.encoder.violated(one, index))


def _lost(
    context: Context, one: m.Range, guards: tuple[Rule, ...], alerts: tuple[Rule, ...], *, reds: bool
) -> Iterator[tuple[str, Finding]]:
    """What one failed sensor takes away from a limit. `guards`: with `reds` the red ones, the `alerts` beside them;
    else the alerts."""
    for sensor in _sensors(context, one, guards):
        mode = context.encoder_for(failing=frozenset((sensor,))).mode
        for index, reading in context.elements(one.quantity, one.index):
            goal = _goal(context, one, guards, sensor, index, reds=reds)
            if goal is FALSE:
                continue

            def confirm(
                instant: Instant, one: m.Range = one, index: int | None = index, sensor: str = sensor, mode: Mode = mode
            ) -> bool:
                blind = instant.in_mode(mode)
                if not (
                    instant.state.flags.get(failed_flag(sensor), False)
                    and blind.is_possible()
                    and instant.violates(one, index)
                ):
                    return False
                if reds:
                    return any(has_come(instant, rule, index) for rule in guards) and not any(
                        has_come(blind, rule, index) for rule in guards
                    )
                news = of_limit(context, one, index)
                return any(
                    has_come(instant, rule, index) and news.is_good(instant, rule) for rule in guards
                ) and is_silent(context, instant, one, index, mode)

            cases = context.cases(goal, confirm, primary=reading, formulas=(one.when,), most=1)
            for case in cases.found:
                blind = context.instant(case.model).in_mode(mode)
                silent = bool(alerts) and not any(has_come(blind, rule, index) for rule in alerts)
                what = _gone(one, red=reds, alert=silent or not reds)
                yield sensor, _finding(context, one, reading, case, sensor, guards, index, what)
            if cases.undecided:
                yield sensor, undecided(NAME, one.span, one.quantity, (), one.label)


def _gone(one: m.Range, *, red: bool, alert: bool) -> str:
    """What does not come, in words."""
    words = ["is not red"] if red else []
    if alert and one.needs is not None:
        words.append(f"no {one.needs.word} is up")
    return " and ".join(words)


def _sensors(context: Context, one: m.Range, guards: tuple[Rule, ...]) -> list[str]:
    """The readings that guards of a limit read and that are not the limited quantity's own, each once; of an array
    whose elements are all treated alike the first."""
    ruleset = context.ruleset
    own = ruleset.sensors_of(one.quantity)
    read: set[str] = set()
    for rule in guards:
        for name in ruleset.quantities_read(rule.when, rule.unless):
            read |= ruleset.sensors_of(name)
        if isinstance(rule, m.Band):
            for bound in rule.region.bounds:
                if isinstance(bound, m.Moving):
                    read |= ruleset.sensors_of(bound.quantity)
    others = sorted(read - own, key=context.encoder.names.place)
    return [m.variable(name, index) for name in others for index in ruleset.elements(name)]


def _shown(encoder: Encoder, guards: tuple[Rule, ...], index: int | None) -> Term:
    return disjunction(comes(encoder, rule, index) for rule in guards)


def _finding(
    context: Context,
    one: m.Range,
    reading: str,
    case: Case,
    sensor: str,
    guards: tuple[Rule, ...],
    index: int | None,
    what: str,
) -> Finding:
    instant = context.instant(case.model)
    lost = [rule for rule in guards if has_come(instant, rule, index)]
    where, rest = where_broken(context, one, case, reading)
    name = context.subject(sensor)
    return finding(
        NAME,
        f"with {name} failed, {context.subject(reading)} {where} breaks {named(one)} and {what}{rest}",
        lost[0].span,
        quantity=one.quantity,
        statements=tuple(rule.label for rule in lost),
        limit=one.label,
        witness=case.witness,
        region={**case.region, failed_flag(sensor): Truth(True)},
        suggestion=_mended(context, lost[0], sensor),
        advice=(
            "its range ends at what is computed from that sensor: give the curve an `otherwise`, or guard with a number"
            if isinstance(lost[0], m.Band) and _loses_an_end(context, lost[0], sensor)
            else "let the guard hold while the probe is missing, or guard the limit without it",
        ),
    )


def _loses_an_end(context: Context, band: m.Band, sensor: str) -> bool:
    """Whether an end of a band's region is gone with the sensor."""
    mode = context.encoder_for(failing=frozenset((sensor,))).mode
    moving = [bound for bound in band.region.bounds if isinstance(bound, m.Moving)]
    return any(context.encoder.names.failed(b.quantity, band.index, mode) is not FALSE for b in moving)


def _mended(context: Context, rule: Rule, sensor: str) -> Suggestion | None:
    """A copy of a guard that holds while the sensor has failed, if its `when` is what is lost."""
    when = rule.node.when
    name = sensor.split("[")[0]
    if isinstance(rule, m.Band) and _loses_an_end(context, rule, sensor):
        return None
    if when is None or name not in {
        s for q in context.ruleset.quantities_read(rule.when) for s in context.ruleset.sensors_of(q)
    }:
        return None
    size = context.ruleset.quantities[name].size
    failed = f"any {name} failed" if size is not None and context.subject(sensor) == name else f"{sensor} failed"
    text = " ".join(when.span.text.split())
    if isinstance(when, t.And):
        text = f"({text})"
    return spliced(rule.span, when.span, f"{text} or {failed}")
