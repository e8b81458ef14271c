"""Whether a reaction takes as long as the solver allows for: played on the stepper."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from alertlang.checks.clocks import WatchedLimit
from alertlang.checks.context import Context
from alertlang.checks.histories import durations_of, inputs_of, state_near
from alertlang.checks.played import HeldState, Inputs, Player
from alertlang.logic.solver import Answer, Model
from alertlang.logic.terms import TRUE, Term, both, negate
from alertlang.model import ruleset as m

_MOST_ORDERS = 4


def takes_as_long(context: Context, watch: WatchedLimit, model: Model, seconds: Fraction) -> bool:
    """Whether there is a history in which a state comes that breaks the limit, stays, and is shown no sooner than so
    many seconds later, give or take a sample."""
    formulas = (watch.one.when, *(f for rule in watch.rules for f in (rule.when, rule.unless)))
    read = context.ruleset.conditions_read(*formulas)
    delayed = [name for name in sorted(read) if context.ruleset.conditions[name].is_delayed]
    if not delayed:
        return True
    player = Player(context.ruleset, watch, durations_of(context.ruleset, watch))
    state = inputs_of(context, model)
    settled = sum(player.durations, Fraction(1))
    stays = HeldState(state, seconds + settled)
    nearly = seconds - 3 * player.spacing
    for before in _before(context, watch, model, state, delayed):
        took = player.takes((*before, stays))
        if took is not None and took >= nearly:
            return True
    return False


def _before(
    context: Context, watch: WatchedLimit, model: Model, state: Inputs, delayed: list[str]
) -> Iterator[tuple[HeldState, ...]]:
    """Nothing; then states that last, in which as many delayed conditions as may be are not as they will be, each first
    in turn; those in which the limit is kept first."""
    yield ()
    encoder, declared = context.encoder, watch.one
    instant = context.instant(model)
    reading = m.variable(declared.quantity, watch.index)
    lasts = sum(durations_of(context.ruleset, watch), Fraction(1))
    kept = negate(encoder.violated(declared, watch.index))
    for start in (kept, TRUE):
        for first in delayed[:_MOST_ORDERS]:
            goal: Term = start
            for name in (first, *(other for other in delayed if other != first)):
                is_now = encoder.condition(name)
                other_way = both(goal, negate(is_now) if instant.condition(name) else is_now)
                goal = other_way if context.is_satisfiable(other_way) is Answer.YES else goal
            before = state_near(context, goal, reading, state)
            if before is not None:
                yield (HeldState(before, lasts),)
