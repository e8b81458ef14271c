"""How long a statement takes to react, and what that is made of (see late-alert)."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from alertlang.model import ruleset as m

_ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Delay:
    """The longest a statement may take from the moment in which all it asks for is there, in seconds, and the delays
    that make it up in words."""

    seconds: Fraction
    parts: tuple[str, ...]

    def __add__(self, other: Delay) -> Delay:
        return Delay(self.seconds + other.seconds, (*self.parts, *other.parts))

    @property
    def in_words(self) -> str:
        return " + ".join(self.parts) if self.parts else "no delay"


NONE = Delay(_ZERO, ())


def _longest(*delays: Delay) -> Delay:
    return max(delays, key=lambda d: d.seconds, default=NONE)


def delay_of(ruleset: m.RuleSet, rule: m.Band | m.Alert, *, alert: bool) -> Delay:
    """The delay of a statement's colour, or with `alert` of its alert."""
    found = _longest(_of_formula(ruleset, rule.when, True), _of_formula(ruleset, rule.unless, False))
    if rule.held:
        found += Delay(rule.held, (f"{m.in_seconds(rule.held)} (for more than, {rule.label})",))
    if alert and rule.after:
        found += Delay(rule.after, (f"{m.in_seconds(rule.after)} (after, {rule.label})",))
    return found


def _of_formula(ruleset: m.RuleSet, formula: m.Formula | None, to: bool) -> Delay:
    """How long a formula may take to become true (`to`) or false, through the delays of the conditions it reads."""
    match formula:
        case m.ConditionIs():
            return of_condition(ruleset, formula.name, to)
        case m.Not():
            return _of_formula(ruleset, formula.part, not to)
        case m.Held():
            return _of_formula(ruleset, formula.part, to)
        case m.And() | m.Or():
            return _longest(*(_of_formula(ruleset, part, to) for part in formula.parts))
    return NONE


def of_condition(ruleset: m.RuleSet, name: str, to: bool) -> Delay:
    """How long a condition may take to become true (`to`) or false, conditions it is built on included."""
    condition = ruleset.conditions[name]
    if to:
        below = _of_formula(ruleset, condition.formula, True)
        own, word = condition.set_after, "set after"
    else:
        below = _of_formula(ruleset, condition.formula, False)
        if condition.until is not None:
            below = _longest(below, _of_formula(ruleset, condition.until, True))
        own, word = condition.cleared_after, "cleared after"
    if not own:
        return below
    return below + Delay(own, (f"{m.in_seconds(own)} ({word}, {name})",))
