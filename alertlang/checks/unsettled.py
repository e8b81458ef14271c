"""States in which delayed conditions may not have settled."""

from __future__ import annotations

from alertlang.checks.context import Context
from alertlang.checks.reaction import own_delay
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.model import ruleset as m
from alertlang.model.snapshot import FaultModel

Open = frozenset[tuple[str, bool]]


def everything_open(ruleset: m.RuleSet) -> Open:
    """What delayed conditions may still be, each in the directions in which it has a delay."""
    return frozenset(
        (c, value) for c in ruleset.conditions for value in (True, False) if own_delay(ruleset, c, not value)
    )


def unsettled(context: Context) -> FaultModel:
    """States in which no delayed condition need have settled. What never becomes true is not still true either."""
    return FaultModel(unsettled=_reached(context), suffix=" meanwhile")


def at_some_time(
    context: Context, *formulas: m.Formula | None, beside: tuple[m.Formula | None, ...] = ()
) -> Encoder | None:
    """The encoder of all the states that formulas may be looked at in, settled or not (see `unsettled`); none where
    only settled ones matter. `beside`: what else may not have settled, though nobody asks whether it has failed."""
    ruleset = context.ruleset
    if not any(ruleset.conditions[name].is_delayed for name in ruleset.conditions_read(*formulas, *beside)):
        return None
    return _encoder(context, _reached(context), ruleset.failures_read(*formulas))


def _encoder(context: Context, unsettled: Open, failing: frozenset[str]) -> Encoder:
    told = f" (told without {', '.join(sorted(failing))})" if failing else ""
    still = ", ".join(f"{name} {'true' if value else 'false'}" for name, value in sorted(unsettled))
    return context.encoder.in_mode(FaultModel(unsettled, failing, f" while {still} may be{told}"))


def _reached(context: Context) -> Open:
    known = context.kept.get(("unsettled", ""))
    if known is None:
        found = everything_open(context.ruleset)
        while True:
            never = {(name, True) for name, value in found if value and not _is_reached(context, name, found)}
            if not never:
                break
            found -= never
        known = context.kept["unsettled", ""] = found
    assert isinstance(known, frozenset)
    return known


def _is_reached(context: Context, name: str, unsettled: Open) -> bool:
    """Whether what a condition waits for can come about at all."""
    failing = context.ruleset.failures_read(*context.ruleset.conditions[name].parts)
    return context.is_satisfiable(_encoder(context, unsettled, failing).undelayed(name)) is not Answer.NO
