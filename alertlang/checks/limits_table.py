"""Every limit with what guards it: which red, which alert, how soon at worst."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.checks.late_alert import Guard, allowed_time, guard_of, guards_it, guards_not, worst_reaction
from alertlang.checks.news import alerts_for
from alertlang.findings.finding import Finding
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both
from alertlang.model import ruleset as m

# What is said of a limit that says it is not guarded.
_AGAINST = ("unguarded-limit", "missing-alert", "late-alert", "unwatched-quantity", "short-sensor", "lost-guard")


@dataclass(frozen=True, slots=True)
class Guards:
    """Statements that guard somewhere where the limit is broken, by label: an alert does where it is news.

    `everywhere`: in every such state one of them does; none where the solver gave up. `worst`: the longest time in
    seconds until one does, where one does.
    """

    labels: tuple[str, ...]
    everywhere: bool | None
    worst: Fraction | None


@dataclass(frozen=True, slots=True)
class LimitLine:
    """One limit or avoid range.

    `allowed`: seconds until red and the alert must be there. `against`: what the checks have found against it, with the
    reason where it was accepted.
    """

    one: m.Range
    sources: tuple[str, ...]
    allowed: Fraction
    red: Guards
    alert: Guards | None
    against: tuple[str, ...]


def limits_table(context: Context, findings: Sequence[Finding]) -> tuple[LimitLine, ...]:
    """All limits and avoid ranges in the order of declaration."""
    return tuple(_line(context, declared, findings) for declared in context.ruleset.ranges if declared.forbids)


def _line(context: Context, declared: m.Range, findings: Sequence[Finding]) -> LimitLine:
    ruleset = context.ruleset
    reds = [
        guard_of(ruleset, band, alert=False)
        for band in ruleset.bands_by_quantity[declared.quantity]
        if band.colour is m.Colour.RED
    ]
    loud = [guard_of(ruleset, rule, alert=True) for rule in alerts_for(ruleset, declared)]
    against = [
        f"{f.code.name}" + (f" (accepted: {f.accepted})" if f.accepted is not None else "")
        for f in findings
        if f.code.name in _AGAINST
        and (f.limit == declared.label or (f.limit is None and f.quantity == declared.quantity))
    ]
    return LimitLine(
        declared,
        tuple(source.in_words for source in declared.sources),
        allowed_time(declared),
        _guards(context, declared, reds),
        _guards(context, declared, loud) if declared.needs is not None else None,
        tuple(dict.fromkeys(against)),
    )


def _guards(context: Context, declared: m.Range, guards: list[Guard]) -> Guards:
    labels: dict[str, None] = {}
    everywhere: bool | None = True
    worst: Fraction | None = Fraction(0)
    for index, _ in context.elements(declared.quantity, declared.index):
        broken = context.encoder.violated(declared, index)
        for guard in guards:
            if context.is_satisfiable(both(broken, guards_it(context, declared, guard, index))) is Answer.YES:
                labels[guard.rule.label] = None
        unshown = (guards_not(context, declared, guard, index) for guard in guards)
        answer = context.is_satisfiable(both(broken, *unshown))
        if answer is Answer.UNDECIDED:
            everywhere = None
        elif answer is Answer.YES and everywhere is not None:
            everywhere = False
        found = worst_reaction(context, declared, guards, index) if guards else None
        worst = None if worst is None or found is None else max(worst, found)
    return Guards(tuple(labels), everywhere, worst if labels else None)
