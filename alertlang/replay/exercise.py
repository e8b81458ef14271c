"""What a log says nothing about: bands that never applied, conditions that never changed, limits that never held."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from alertlang.model import ruleset as m
from alertlang.replay.intervals import IntervalRecording, Track
from alertlang.results.replay import Unexercised

# Before the label of a statement: a condition that holds in the statement's case. No name has a blank in it.
CASE = "case of "


def with_cases(ruleset: m.RuleSet) -> m.RuleSet:
    """The rule set with one more condition for each `when`, which shows when that case was there."""
    conditions = dict(ruleset.conditions)
    statements: tuple[m.Band | m.Alert | m.Range, ...] = (*ruleset.rules, *ruleset.ranges)
    for statement in statements:
        if statement.when is not None:
            name = CASE + statement.label
            conditions[name] = m.Condition(name, statement.when, (), statement.span, statement.origin)
    return replace(ruleset, conditions=conditions)


class Exercise:
    """Takes the segments as they come."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        self._applied: set[str] = set()
        self._up: set[str] = set()
        self._true: set[str] = set()
        self._false: set[str] = set()

    def add(self, recording: IntervalRecording) -> None:
        self._applied |= {label for (label, _), track in recording.applies.items() if _ever(track)}
        self._up |= {label for (label, _), track in recording.alerts.items() if _ever(track)}
        self._true |= {name for name, track in recording.conditions.items() if _ever(track)}
        self._false |= {name for name, track in recording.conditions.items() if not bool(track.values.all())}

    def unexercised(self) -> tuple[Unexercised, ...]:
        return (*self._conditions(), *self._rules(), *self._ranges())

    def _conditions(self) -> Iterator[Unexercised]:
        for name in self.ruleset.conditions:
            if name not in self._true:
                yield Unexercised("condition", name, "never held")
            elif name not in self._false:
                yield Unexercised("condition", name, "held all the time")

    def _rules(self) -> Iterator[Unexercised]:
        for rule in self.ruleset.rules:
            kind = "band" if isinstance(rule, m.Band) else "alert"
            if rule.label not in self._applied:
                yield Unexercised(kind, rule.label, f"never applied{self._because(rule)}")
            elif rule.alert is not None and rule.label not in self._up:
                yield Unexercised("alert", rule.label, "applied, and never for long enough for its alert")

    def _ranges(self) -> Iterator[Unexercised]:
        for declared in self.ruleset.ranges:
            if declared.when is not None and CASE + declared.label not in self._true:
                yield Unexercised(declared.kind, declared.label, "its case never arose")

    def _because(self, rule: m.Band | m.Alert) -> str:
        if isinstance(rule, m.Alert) or rule.when is None:
            return ""
        return "" if CASE + rule.label in self._true else ": its case never arose"


def _ever(track: Track) -> bool:
    return bool(track.values.any())
