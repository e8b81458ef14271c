"""Everything that a picture holds still: a state that is as usual as can be, and the same with other readings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, conjunction, in_interval
from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.units.interval import Interval


@dataclass(frozen=True, slots=True)
class HeldStill:
    """What a person wants held still, by name: readings in their own units, switch positions, and formulas that are to
    be true."""

    readings: Mapping[str, Fraction]
    positions: Mapping[str, str]
    when: tuple[m.Formula, ...] = ()


NOTHING = HeldStill({}, {})


def usual_state(
    context: Context, held: HeldStill = NOTHING, *, free: Sequence[str] = (), inner: bool = False
) -> Instant | None:
    """A possible state in which as many normal ranges as can be hold, one after the other as they are declared.

    `free`: readings that a picture moves: of their normal ranges only the contexts count. `inner`: inside the ranges
    where that can be, for at an end what lies beyond it may show. None: what is held is
    impossible together (or the solver could not tell).
    """
    goal = _wanted(context, held)
    if context.is_satisfiable(goal) is not Answer.YES:
        return None
    moving = {m.ReadingId(name).quantity for name in free}
    for declared in context.ruleset.ranges:
        if declared.kind is not m.RangeKind.NORMAL:
            continue
        if declared.quantity in moving:
            more = both(goal, context.encoder.given(declared))
            if context.is_satisfiable(more) is Answer.YES:
                goal = more
            continue
        for index in context.ruleset.quantities[declared.quantity].indexes:
            if declared.index not in (None, index):
                continue
            ways = [context.encoder.interior(declared.quantity, index, declared.region)] if inner else []
            for inside in (*ways, context.encoder.inside(declared, index)):
                more = conjunction((goal, context.encoder.given(declared), inside))
                if context.is_satisfiable(more) is Answer.YES:
                    goal = more
                    break
    model = context.decider.model(goal)
    return None if model is None else context.instant(model)


def _wanted(context: Context, held: HeldStill) -> Term:
    terms = [term for _, term in context.encoder.assumptions]
    terms += [in_interval(name, Interval.closed(value, value)) for name, value in held.readings.items()]
    for name, position in held.positions.items():
        terms.append(context.encoder.formula(_switch_is(context.ruleset, name, position)))
    terms += [context.encoder.formula(formula) for formula in held.when]
    return conjunction(terms)


def _switch_is(ruleset: m.RuleSet, name: str, position: str) -> m.Formula:
    return m.SwitchIs(name, position, False, span=ruleset.switches[name].span)


def moved(instant: Instant, values: Mapping[str, Fraction]) -> Instant:
    """The same state with other values of some readings. What has been before counts as far as it can be so there."""
    state = instant.state
    readings = {**state.readings, **values}

    def with_past(flags: Mapping[str, bool]) -> Instant:
        return Instant(instant.ruleset, State(readings, state.positions, flags), instant.mode)

    there = with_past(state.flags)
    if not state.flags or there.past_fits():
        return there
    # One truth that cannot be here takes no other with it. What one needs may come after it.
    kept: dict[str, bool] = {}
    for _ in range(2):
        for name, true in sorted(state.flags.items()):
            if with_past({**kept, name: true}).past_fits():
                kept[name] = true
    return with_past(kept)
