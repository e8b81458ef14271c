"""Every history of a small rule set, however long, by walking through all that the stepper can remember.

Two runs that remember the same, times being told by how long ago they were and nothing being older than the longest
time in the rules, go on the same. So few memories are reached, and each is tried with every sample that can follow.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Memory, Shown, Stepper
from alertlang.model import ruleset as m

SECOND = Fraction(1)


@dataclass(frozen=True)
class Input:
    """What there is, and what is told of it."""

    there: dict[str, Fraction]
    told: dict[str, Fraction]
    positions: dict[str, str]


@dataclass
class _Node:
    told: Memory
    there: Memory | None
    silent: Fraction | None


def longest_silence(
    rules: m.RuleSet, one: m.Range, guards: Sequence[m.Band | m.Alert], *, alert: bool, inputs: Sequence[Input]
) -> Fraction:
    """For how long a limit can be broken, its `except for` over, with nothing to show it, looked at once a second; no
    more than a little over its reaction time is told. AssertionError where there is more to remember than expected."""
    enough = one.allowed + SECOND
    rules = _only(rules, one, guards)
    old = _oldest(rules) + 1
    fails = any(what.there != what.told for what in inputs)
    first = _Node(Memory(), Memory() if fails else None, None)
    pending, seen = [(first, Fraction(0))], {_key(first, Fraction(0), old)}
    longest = Fraction(0)
    while pending:
        node, now = pending.pop()
        for what in inputs:
            after, lasted = _next(rules, one, guards, alert, node, now, what)
            longest = max(longest, lasted)
            if longest >= enough:
                return longest
            key = _key(after, now, old)
            if key not in seen:
                seen.add(key)
                pending.append((after, now + SECOND))
        assert len(seen) < 60_000
    return longest


def _only(rules: m.RuleSet, one: m.Range, guards: Sequence[m.Band | m.Alert]) -> m.RuleSet:
    """The limit, what guards it and what these read: the rest would only be more to remember."""
    bands = tuple(rule for rule in guards if isinstance(rule, m.Band))
    alerts = tuple(rule for rule in guards if isinstance(rule, m.Alert))
    read = rules.conditions_read(one.when, *(f for rule in guards for f in (rule.when, rule.unless)))
    conditions = {name: condition for name, condition in rules.conditions.items() if name in read}
    return replace(rules, ranges=(one,), bands=bands, alerts=alerts, conditions=conditions, claims=(), lamps=())


def _next(
    rules: m.RuleSet,
    one: m.Range,
    guards: Sequence[m.Band | m.Alert],
    alert: bool,
    node: _Node,
    now: Fraction,
    what: Input,
) -> tuple[_Node, Fraction]:
    told, there = Stepper(rules), Stepper(rules)
    told.memory = node.told.copy()
    shown = real = told.step(Sample(now, what.told, what.positions))
    if node.there is not None:
        there.memory = node.there.copy()
        real = there.step(Sample(now, what.there, what.positions))
    place = (one.label, None)
    is_broken = real.violated[place]
    silent = (now if node.silent is None else node.silent) if is_broken and not _shows(shown, guards, alert) else None
    after = _Node(told.memory, None if node.there is None else there.memory, silent)
    return after, now - silent if silent is not None else Fraction(0)


def _shows(shown: Shown, guards: Sequence[m.Band | m.Alert], alert: bool) -> bool:
    labels = {rule.label for rule in guards}
    if alert:
        return any(label in labels for label, _ in shown.alerts)
    return any(applies and label in labels for (label, _), applies in shown.applies.items())


def _oldest(rules: m.RuleSet) -> Fraction:
    times = [rule.held for rule in rules.rules] + [rule.after for rule in rules.rules]
    times += [condition.set_after for condition in rules.conditions.values()]
    times += [condition.cleared_after for condition in rules.conditions.values()]
    times += [held.duration for held in rules.held] + [one.except_for for one in rules.ranges]
    return max((time for time in times if time), default=Fraction(0))


def _key(node: _Node, now: Fraction, old: Fraction) -> Hashable:
    def ages(memory: Memory) -> Hashable:
        since = frozenset((key, min(now - time, old)) for key, time in memory.since.items())
        total = frozenset((key, min(time, old)) for key, time in memory.total.items())
        rest = tuple(frozenset(d.items()) for d in (memory.was_set, memory.true, memory.rest, memory.in_band))
        return since, total, rest, frozenset(memory.latched.items())

    silent = None if node.silent is None else now - node.silent
    return ages(node.told), None if node.there is None else ages(node.there), silent
