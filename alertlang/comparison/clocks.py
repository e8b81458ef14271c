"""What the open truths of the joint rule set go by, and which of one side's hold only with one of the other's."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from typing import TYPE_CHECKING

from alertlang.comparison.joint import Rule, due_flag, kept_flag
from alertlang.logic.encode import Encoder
from alertlang.logic.history import Clock, Delayed, Lasting, LatchedAlert, Lingering, Until
from alertlang.logic.terms import Flag, Term, both, negate
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s

if TYPE_CHECKING:
    from alertlang.comparison.joint_context import Sides, View

_NONE = Fraction(0)


def clocks(sides: Sides, view: View, rules: Iterable[Rule]) -> dict[str, Clock]:
    """By the name of the open truth, what it is over time, as a view has it: of every condition, and of some rules."""
    encoder = sides.encoder_in(view)
    return {
        **dict(_of_conditions(sides.ruleset, encoder)),
        **dict(_of_statements(sides, view, encoder, rules)),
    }


def _of_conditions(rules: m.RuleSet, encoder: Encoder) -> Iterator[tuple[str, Clock]]:
    mode = encoder.mode
    for name, condition in rules.conditions.items():
        wanted = encoder.formula(condition.formula)
        encoder.condition(name)
        if condition.until is not None:
            flag = s.until_flag(rules, name, mode)
            yield flag, Until(wanted, encoder.formula(condition.until))
            wanted = Flag(flag)
        if condition.is_delayed and {(name, True), (name, False)} & mode.unsettled:
            delays = condition.set_after or _NONE, condition.cleared_after or _NONE
            # What is cleared at once holds as long as it has lasted.
            clock = Delayed(wanted, *delays) if condition.cleared_after else Lasting(wanted, delays[0], False)
            yield s.settling_flag(name, mode), clock
    for part in rules.held:
        encoder.formula(part)
        yield s.held_flag(rules, part, mode), Lasting(encoder.formula(part.part), part.duration, False)


def _of_statements(sides: Sides, view: View, encoder: Encoder, which: Iterable[Rule]) -> Iterator[tuple[str, Clock]]:
    rules, mode = sides.ruleset, view.mode
    for rule in which:
        one = rule.joint
        if not _counts(rules, rule.own, one):
            continue
        for index in rules.indexes_of(one):
            applies = sides.applies(rule, index, view)
            deadband = rules.quantities[one.quantity].deadband if isinstance(one, m.Band) else None
            if isinstance(one, m.Band) and deadband is not None and not one.region.is_failed:
                region = encoder.in_region(one.quantity, index, one.region)
                near = encoder.in_region(one.quantity, index, one.region, deadband)
                yield s.lingers_flag(rules, one, index, mode), Lingering(region, near)
            if one.held is not None:
                rest = encoder.applies(one, index, eventually=True)
                yield s.elapsed_flag(rules, one, index, mode), Lasting(rest, one.held, True, one.in_total)
            if rule.own.alert is not None and (rule.own.after or rule.own.latched):
                sides.up(rule, index, view)
                due = sides.due(rule, index, view)
                if rule.own.after:
                    yield due_flag(rules, rule, index, mode), Lasting(applies, rule.own.after, False)
                if rule.own.latched:
                    yield kept_flag(rules, rule, index, mode), LatchedAlert(applies, due)


def _counts(rules: m.RuleSet, own: m.Band | m.Alert, rule: m.Band | m.Alert) -> bool:
    """Whether a statement goes by anything but this instant."""
    linger = isinstance(rule, m.Band) and rules.quantities[rule.quantity].deadband is not None
    return bool(linger or rule.held is not None or own.after or own.latched)


# ---- ties


def implied(inner: Clock, outer: Clock, never: Callable[[Term], bool]) -> bool:
    """Proved: over every recording the one holds only where the other does. By induction over its samples: it is so
    before the first, and nothing at a sample ends it."""

    def only_with(term: Term, other: Term) -> bool:
        return term is other or never(both(term, negate(other)))

    match inner, outer:
        case Until(), Until():
            if not only_with(inner.sets, outer.sets):
                return False
            return never(both(outer.clears, negate(outer.sets), negate(inner.clears)))
        case Lasting(), Lasting():
            if inner.in_total and not outer.in_total:
                return False
            strict = inner.more, outer.more or outer.in_total
            longer = inner.duration > outer.duration or (inner.duration == outer.duration and strict[0] >= strict[1])
            return longer and only_with(inner.base, outer.base)
        case Lasting(), Delayed():
            return not inner.in_total and inner.duration >= outer.set_after and only_with(inner.base, outer.wanted)
        case Lasting(), Until():
            return only_with(inner.base, outer.sets)
        case Delayed(), Delayed():
            later = inner.set_after >= outer.set_after and inner.cleared_after <= outer.cleared_after
            return later and only_with(inner.wanted, outer.wanted)
        case Lingering(), Lingering():
            return only_with(inner.region, outer.region) and only_with(inner.near, outer.near)
        case LatchedAlert(), LatchedAlert():
            # A press acknowledges what came up sooner, so that one that comes up later may stay longer.
            parts = (inner.applies, outer.applies), (inner.due, outer.due)
            return all(only_with(term, other) and only_with(other, term) for term, other in parts)
    return False


def dead(clock: Clock, never: Callable[[Term], bool]) -> bool:
    """Proved: it never begins, so that it never holds."""
    match clock:
        case Until():
            return never(clock.sets)
        case Lasting():
            return never(clock.base)
        case Delayed():
            return never(clock.wanted)
        case Lingering():
            return never(clock.region)
        case LatchedAlert():
            return never(clock.due)


def implied_unpressed(inner: Clock, outer: Clock, never: Callable[[Term], bool]) -> bool:
    """The same over every recording in which nothing is acknowledged: then what came up stays up."""
    if isinstance(inner, LatchedAlert) and isinstance(outer, LatchedAlert):
        return inner.due is outer.due or never(both(inner.due, negate(outer.due)))
    return False


def unshared(names: tuple[Iterable[str], Iterable[str]], known: dict[str, Clock]) -> Iterator[tuple[str, str]]:
    """Open truths of either side that the other side does not have."""
    first, second = (sorted(name for name in side if name in known) for side in names)
    for text in first:
        for other in second:
            if text not in second and other not in first:
                yield text, other
