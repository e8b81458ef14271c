"""A sensor that fails and comes back while a limit is broken: the clocks of what guards it may start anew each time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from alertlang.checks.clocks import Interrupted, WatchedLimit, interrupted, reds_of
from alertlang.checks.context import Context, FaultCase
from alertlang.checks.histories import shortest_silence
from alertlang.checks.interrupted_clock import (
    anew_words,
    case_of,
    clocks_of,
    history_lines,
    lasting,
    missing_words,
)
from alertlang.checks.limits import limits, named, where_broken
from alertlang.checks.news import alerts_for
from alertlang.checks.reaction import delay_of
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Reaction, WitnessTruth, finding
from alertlang.logic.solver import Answer
from alertlang.model import ruleset as m
from alertlang.model.snapshot import failed_flag

_NAME = "lost-guard"


def on_and_off(context: Context, name: str, said: set[tuple[str, str]]) -> Iterator[Finding]:
    """Limits on one quantity that stay unguarded while one other sensor fails and comes back, again and again. `said`:
    limits (by label) and sensors of which it is said already that the guard is lost."""
    ruleset = context.ruleset
    shown = {declared.label for declared in limits(context, name)}
    for declared in limits(context, name, lamp_only=True):
        reds = reds_of(ruleset, declared) if declared.label in shown else ()
        for rules, alert in ((reds, False), (alerts_for(ruleset, declared), True)):
            if not any(delay_of(ruleset, rule, alert=alert).seconds for rule in rules):
                continue
            for index, reading in context.elements(declared.quantity, declared.index):
                for sensor in _sensors(context, declared, rules, index):
                    if (declared.label, sensor) not in said:
                        yield from _judged(
                            context, WatchedLimit(declared, index, rules, alert, sensor), reading, sensor, said
                        )


def _judged(
    context: Context, watch: WatchedLimit, reading: str, sensor: str, said: set[tuple[str, str]]
) -> Iterator[Finding]:
    why = interrupted(context, watch)
    # What changes of states do with every sensor working is for interrupted-clock to say.
    if why is Answer.NO or interrupted(context, replace(watch, sensor=None)) is not Answer.NO:
        return
    said.add((watch.one.label, sensor))
    case = None if isinstance(why, Answer) else case_of(context, why, reading)
    if isinstance(why, Answer) or case is None:
        yield undecided(_NAME, watch.one.span, watch.one.quantity, (), watch.one.label)
        return
    yield _finding(context, why, case, reading, sensor)


def _sensors(context: Context, declared: m.Range, rules: tuple[m.Rule, ...], index: int | None) -> list[str]:
    """The sensors that guards read, but those from which the limited reading is worked out; of an array whose elements
    are all treated alike one."""
    ruleset = context.ruleset
    own = ruleset.sensors_read(declared.quantity, index)
    names: set[str] = set()
    for rule in rules:
        names |= ruleset.quantities_read(rule.when, rule.unless)
        if isinstance(rule, m.Band):
            names |= {bound.quantity for bound in rule.region.moving}
    read = {sensor for name in names for sensor in ruleset.sensors_of(name)}
    found: list[str] = []
    for sensor in sorted(read, key=context.encoder.names.place):
        elements = [m.variable(sensor, i) for i in ruleset.quantities[sensor].indexes]
        others = [element for element in elements if element not in own]
        found += others if sensor in ruleset.indexed_arrays else others[:1]
    return found


def _finding(context: Context, why: Interrupted, case: FaultCase, reading: str, sensor: str) -> Finding:
    watch, declared = why.watch, why.watch.one
    silence = shortest_silence(context, why, case.model)
    clocks = clocks_of(context, why)
    where, _ = where_broken(context, declared, case, reading)
    what = " and ".join(missing_words(declared, red=not watch.alert, alert=watch.alert))
    head = f"while {context.subject(sensor)} fails and comes back, {context.subject(reading)} {where}"
    anew = anew_words(clocks, why.free)
    reaction: Reaction | None = None
    lines: tuple[str, ...] = ()
    if silence is None:
        message = (
            f"{head} breaks {named(declared)} and it is not proved that this is shown in time: {anew} each time, and "
            "no "
            f"history was found in which {what} for longer than it may"
        )
    else:
        lasts = silence.times.ends - silence.times.broken
        message = f"{head} can break {named(declared)} {lasting(silence)} and {what}: {anew} each time"
        reaction, lines = Reaction(lasts, watch.allowed), tuple(history_lines(context, why, silence))
    at_fault = clocks or list(watch.rules)
    return finding(
        _NAME,
        message,
        at_fault[0].span,
        quantity=declared.quantity,
        statements=tuple(rule.label for rule in at_fault),
        limit=declared.label,
        witness=case.witness,
        region={failed_flag(sensor): WitnessTruth(True), **case.region},
        reaction=reaction,
        advice=(*lines, f"let one statement hold both while {context.subject(sensor)} works and while it has failed"),
    )
