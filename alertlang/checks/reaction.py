"""How long a statement takes to react, and what that is made of (see late-alert)."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from alertlang.model import ruleset as m
from alertlang.model.snapshot import PLAIN, FaultModel

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


def delay_of(ruleset: m.RuleSet, rule: m.Rule, *, alert: bool, free: frozenset[str] = frozenset()) -> Delay:
    """The delay of a statement's colour, or with `alert` of its alert. `free`: conditions whose delays are not counted,
    because they are looked at with either value."""
    context = _longest(_of_formula(ruleset, rule.when, True, free), _of_formula(ruleset, rule.unless, False, free))
    return context + own_wait(rule, alert=alert)


def own_wait(rule: m.Rule, *, alert: bool) -> Delay:
    """The part of it that is the statement's own."""
    found = NONE
    if rule.held:
        found += Delay(rule.held, (f"{m.in_seconds(rule.held)} (for more than, {rule.label})",))
    if alert and rule.after:
        found += Delay(rule.after, (f"{m.in_seconds(rule.after)} (after, {rule.label})",))
    return found


_NOBODY: frozenset[str] = frozenset()


def _of_formula(ruleset: m.RuleSet, formula: m.Formula | None, to: bool, free: frozenset[str] = _NOBODY) -> Delay:
    """How long a formula may take to become true (`to`) or false, through the delays of the conditions it reads."""
    match formula:
        case m.ConditionIs():
            return NONE if formula.name in free else of_condition(ruleset, formula.name, to, free)
        case m.Not():
            return _of_formula(ruleset, formula.part, not to, free)
        case m.Held():
            return _of_formula(ruleset, formula.part, to, free)
        case m.And() | m.Or():
            return _longest(*(_of_formula(ruleset, part, to, free) for part in formula.parts))
    return NONE


def own_delay(ruleset: m.RuleSet, name: str, to: bool) -> Fraction:
    """The delay that a condition itself adds before it becomes true (`to`) or false."""
    condition = ruleset.conditions[name]
    return (condition.set_after if to else condition.cleared_after) or _ZERO


def of_condition(ruleset: m.RuleSet, name: str, to: bool, free: frozenset[str] = _NOBODY) -> Delay:
    """How long a condition may take to become true (`to`) or false, conditions it is built on included."""
    condition = ruleset.conditions[name]
    if to:
        below = _of_formula(ruleset, condition.formula, True, free)
        word = "set after"
    else:
        below = _of_formula(ruleset, condition.formula, False, free)
        if condition.until is not None:
            below = _longest(below, _of_formula(ruleset, condition.until, True, free))
        word = "cleared after"
    own = own_delay(ruleset, name, to)
    if not own:
        return below
    return below + Delay(own, (f"{m.in_seconds(own)} ({word}, {name})",))


def unsettled_after(ruleset: m.RuleSet, seconds: Fraction) -> frozenset[tuple[str, bool]]:
    """The conditions that may still be true (or false) so long after everything else has stopped changing."""
    return frozenset(
        (name, value)
        for name in ruleset.conditions
        for value in (True, False)
        if own_delay(ruleset, name, not value) and of_condition(ruleset, name, not value).seconds > seconds
    )


def mode_after(ruleset: m.RuleSet, seconds: Fraction, whose: tuple[str, ...] = ()) -> FaultModel:
    """What may not have settled so long after everything else has stopped changing.

    `whose`: the statement, and then the conditions, for whose sake it is asked: each has open truths of its own, for
    what kept one waiting may have been so at another moment than what kept another.
    """
    names = ruleset.conditions_read(*ruleset.conditions[whose[-1]].parts) if len(whose) > 1 else ruleset.conditions
    unsettled: set[tuple[str, bool]] = set()
    earlier: list[tuple[str, bool, FaultModel]] = []
    for name in sorted(names):
        for value in (True, False):
            own = own_delay(ruleset, name, not value)
            if own and of_condition(ruleset, name, not value).seconds > seconds:
                unsettled.add((name, value))
                if own <= seconds:
                    earlier.append((name, value, mode_after(ruleset, seconds - own, (*(whose or ("",)), name))))
    if not unsettled:
        return PLAIN
    of = " ".join(part for part in whose if part)
    suffix = f" after {m.in_seconds(seconds)}{f' ({of})' if of else ''}"
    return FaultModel(frozenset(unsettled), suffix=suffix, earlier=tuple(earlier))


def paths(ruleset: m.RuleSet, *formulas: m.Formula | None) -> dict[Fraction, Delay]:
    """What can keep formulas from settling, by how long it takes: nothing at all, and the delays of conditions, those
    of conditions they are built on added up in every way."""
    found = {_ZERO: NONE}
    for formula in formulas:
        for part in () if formula is None else reversed(m.parts_of(formula)):
            if not isinstance(part, m.ConditionIs):
                continue
            condition = ruleset.conditions[part.name]
            for below in paths(ruleset, *condition.parts).values():
                for word, own in (("set after", condition.set_after), ("cleared after", condition.cleared_after)):
                    whole = below
                    if own:
                        whole += Delay(own, (f"{m.in_seconds(own)} ({word}, {part.name})",))
                    found.setdefault(whole.seconds, whole)
    return found
