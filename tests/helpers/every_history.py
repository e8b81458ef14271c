"""Everything that can ever happen to a small rule set: the stepper over every history of some few inputs.

Samples come one second apart and delays are whole seconds, so only finitely many pasts differ: how long something has
lasted no longer matters once it is longer than every delay. The search goes on until no new past is found, so what it
does not reach no such history reaches.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Memory, Shown, Stepper
from alertlang.model import ruleset as m

_SECOND = Fraction(1)
_NOW = Fraction(0)


@dataclass(frozen=True)
class Moment:
    """What is put in and what is then shown, after some history. `before`: the conditions at the sample before."""

    readings: dict[str, Fraction]
    positions: dict[str, str]
    shown: Shown
    before: Mapping[str, bool]


def every_moment(rules: m.RuleSet, inputs: Iterable[tuple[dict[str, Fraction], dict[str, str]]]) -> Iterator[Moment]:
    """Every moment that differs from others by what is put in or by its past. The rule set latches nothing, has no
    rises or falls and counts nothing in total."""
    every = list(inputs)
    longest = max((*_durations(rules), _NOW)) + _SECOND
    pending = [Memory()]
    known: set[object] = set()
    while pending:
        memory = pending.pop()
        for readings, positions in every:
            stepper = Stepper(rules)
            stepper.memory = memory.copy()
            shown = stepper.step(Sample(_SECOND, readings, positions, False, frozenset()))
            after = _moved_back(stepper.memory, longest)
            key = (tuple(readings.items()), tuple(positions.items()), frozenset(memory.true.items()), _key(after))
            if key in known:
                continue
            known.add(key)
            pending.append(after)
            yield Moment(readings, positions, shown, memory.true)


def _durations(rules: m.RuleSet) -> Iterator[Fraction]:
    for condition in rules.conditions.values():
        yield from (d for d in (condition.set_after, condition.cleared_after) if d is not None)
    for rule in rules.rules:
        yield from (d for d in (rule.held, rule.after) if d is not None)
    for held in rules.held:
        yield held.duration


def _moved_back(memory: Memory, longest: Fraction) -> Memory:
    """The same past told as if now were 0."""
    assert memory.readings is not None
    assert not memory.latched
    since = {key: max(time - _SECOND, -longest) for key, time in memory.since.items()}
    return replace(memory, since=since, readings=replace(memory.readings, time=_NOW))


def _key(memory: Memory) -> object:
    parts = (memory.since, memory.was_set, memory.true, memory.in_band)
    return tuple(frozenset(part.items()) for part in parts)
