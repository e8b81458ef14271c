"""Whether statements show by some time after a state begins, also with a sensor failed (see late-alert, lost-guard)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import product

from alertlang.checks.context import Context
from alertlang.checks.guards import comes, has_come
from alertlang.checks.late_alert import Guard
from alertlang.checks.normal_operation import exactly
from alertlang.checks.reaction import of_condition, unsettled_after
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer, Model
from alertlang.logic.terms import Term, both, conjunction, disjunction, negate, with_flag
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.model.snapshot import UNSETTLED, FaultModel, told_without

_MOST = 6
"""Unsettled truths of which every combination is looked at."""

# Not the words of `mode_after`, in whose states less is open: open truths are told apart by their names.
_LATER = " later"

Guards = tuple[Guard, ...]
# What is asked of a statement beside that it shows, so that it counts as a guard (or not); and the same in a state.
Counts = Callable[[m.Rule], Term]
Told = Callable[[m.Rule], bool]


def times(ruleset: m.RuleSet, guards: Guards) -> list[Fraction]:
    """The times after a state begins at which something that guards can change, in order; after that nothing does."""
    read = ruleset.conditions_read(*(f for guard in guards for f in (guard.rule.when, guard.rule.unless)))
    found = {Fraction(0)} | {guard.delay.seconds for guard in guards}
    return sorted(found | {of_condition(ruleset, name, to).seconds for name in read for to in (True, False)})


def times_past(ruleset: m.RuleSet, guards: Guards, allowed: Fraction) -> list[Fraction]:
    """Those at which it matters whether something has been shown, where it must be shown by the time that is allowed.
    What shows by the last of all times shows in the end, which is another question."""
    slowest = max((guard.delay.seconds for guard in guards), default=allowed)
    if slowest <= allowed:
        return []
    return [allowed, *(time for time in times(ruleset, guards) if allowed < time < slowest)]


def mode_at(ruleset: m.RuleSet, seconds: Fraction | None, failing: frozenset[str] = frozenset()) -> FaultModel:
    """So long after a state began what has not settled may be either way; none: in the end all has."""
    told = told_without(failing)
    unsettled = frozenset() if seconds is None else unsettled_after(ruleset, seconds)
    if not unsettled:
        return told
    assert seconds is not None
    return replace(told, unsettled=unsettled, suffix=f"{told.suffix} {m.in_seconds(seconds)}{_LATER}", told=told.suffix)


def fast(guards: Guards, seconds: Fraction | None) -> list[Guard]:
    """The guards that show by then, if their conditions are as they are then. One that waits counts once all of its
    delays are over: what it waits for may have begun only when its conditions had settled."""
    return [g for g in guards if seconds is None or not g.waits.seconds or g.delay.seconds <= seconds]


def shown(
    encoder: Encoder, guards: Guards, index: int | None, seconds: Fraction | None, counts: Counts | None = None
) -> Term:
    """Some guard shows by then, and counts, what has not settled being as it happens to be. Not to be negated where
    something is asked of what counts: that is `hidden`."""
    every = ((guard.rule, comes(encoder, guard.rule, index)) for guard in fast(guards, seconds))
    return disjunction(term if counts is None else both(term, counts(rule)) for rule, term in every)


def hidden(
    encoder: Encoder, guards: Guards, index: int | None, seconds: Fraction | None, idle: Counts | None = None
) -> Term:
    """No guard shows by then, or none but those that do not count. Not to be negated where something is asked of it."""
    every = ((guard.rule, negate(comes(encoder, guard.rule, index))) for guard in fast(guards, seconds))
    return conjunction(term if idle is None else disjunction((term, idle(rule))) for rule, term in every)


def has_shown(
    instant: Instant, guards: Guards, index: int | None, seconds: Fraction | None, idle: Told | None = None
) -> bool:
    """Whether some guard shows by then, in a state, and counts."""
    up = (guard.rule for guard in fast(guards, seconds) if has_come(instant, guard.rule, index))
    return any(idle is None or not idle(rule) for rule in up)


def surely_shown(
    context: Context, guards: Guards, index: int | None, seconds: Fraction | None, counts: Counts | None = None
) -> Term:
    """With every sensor working some guard shows by then, whichever way what has not settled may be."""
    encoder = context.encoder.in_mode(mode_at(context.ruleset, seconds))
    open_ = _unsettled_in(encoder, shown(encoder, guards, index, seconds))
    if len(open_) > _MOST:
        assert seconds is not None
        settled = tuple(guard for guard in guards if guard.delay.seconds <= seconds)
        return shown(context.encoder, settled, index, None, counts)
    whole = shown(encoder, guards, index, seconds, counts)
    if open_:
        whole = disjunction([*(negate(encoder.definition(name)) for name in open_), whole])
    for name in open_:
        whole = both(with_flag(whole, name, True), with_flag(whole, name, False))
    return whole


def has_surely_shown(
    context: Context, instant: Instant, guards: Guards, index: int | None, seconds: Fraction, idle: Told | None = None
) -> bool:
    """The same in a state."""
    mode = mode_at(context.ruleset, seconds)
    encoder = context.encoder.in_mode(mode)
    open_ = _unsettled_in(encoder, shown(encoder, guards, index, seconds))
    if len(open_) > _MOST:
        return has_shown(instant, tuple(g for g in guards if g.delay.seconds <= seconds), index, None, idle)
    state = instant.state
    found = (dict(zip(open_, way, strict=True)) for way in product((True, False), repeat=len(open_)))
    ways = (Instant(context.ruleset, replace(state, flags={**state.flags, **way}), mode) for way in found)
    return all(has_shown(way, guards, index, seconds, idle) for way in ways if way.is_possible())


def _unsettled_in(encoder: Encoder, term: Term) -> list[str]:
    """The open truths that a term is about only because something has not settled."""
    if not encoder.mode.unsettled:
        return []
    names = encoder.definitions_for(term.reads)[0]
    return sorted(name for name in names if encoder.is_flag(name) and name.endswith(encoder.mode.suffix))


def reaction_at(
    context: Context, model: Model, guards: Guards, index: int | None, failing: frozenset[str] = frozenset()
) -> Fraction | None:
    """The first time by which a guard is sure to show in one state; none where none is."""
    past = {name: holds for name, holds in model.flags.items() if UNSETTLED not in name and not name.endswith(_LATER)}
    here = exactly(Model(model.readings, model.positions, past))
    for seconds in times(context.ruleset, guards):
        encoder = context.encoder.in_mode(mode_at(context.ruleset, seconds, failing))
        if context.is_satisfiable(both(here, negate(shown(encoder, guards, index, seconds)))) is Answer.NO:
            return seconds
    return None
