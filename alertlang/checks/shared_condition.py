"""A guard that is lost with a sensor is mended where it leans on it: in the condition that many statements share."""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.suggest import spliced
from alertlang.findings.finding import Suggestion
from alertlang.model import ruleset as m


def in_shared_condition(context: Context, rule: m.Rule, sensor: str) -> Suggestion | None:
    """The condition of the own file that a statement reads a sensor by, holding while that has failed as well; none if
    it is not the only way, or nothing else asks for the condition: then the statement itself is changed."""
    ruleset = context.ruleset
    if rule.when is None:
        return None
    named = list(_named(ruleset, rule.when, True))
    reading = [name for name, _ in named if name and _reads(ruleset, ruleset.conditions[name].formula, sensor)]
    if len(set(reading)) != 1 or _reads(ruleset, rule.when, sensor) or (reading[0], False) in named:
        return None
    condition = ruleset.conditions[reading[0]]
    sharing = [one for one in ruleset.rules if condition.name in ruleset.conditions_read(one.when, one.unless)]
    if len(sharing) < 2 or condition.span.source.path != ruleset.origin.path:
        return None
    name = m.ReadingId(sensor).quantity
    alike = ruleset.quantities[name].size is not None and context.subject(sensor) == name
    failed = f"any {name} failed" if alike else f"{sensor} failed"
    formula = condition.formula
    text = formula.span.text
    if isinstance(formula, m.And):
        text = f"({text})"
    return spliced(condition.span, formula.span, f"{text} or {failed}")


def _named(ruleset: m.RuleSet, formula: m.Formula, holds: bool) -> Iterator[tuple[str, bool]]:
    """The conditions that a formula names, those in them too, each with whether it is asked to hold."""
    match formula:
        case m.ConditionIs():
            yield formula.name, holds
            yield from _named(ruleset, ruleset.conditions[formula.name].formula, holds)
        case m.Not():
            yield from _named(ruleset, formula.part, not holds)
        case m.And() | m.Or():
            for part in formula.parts:
                yield from _named(ruleset, part, holds)
        case m.Held():
            yield from _named(ruleset, formula.part, holds)
        case _:
            return


def _reads(ruleset: m.RuleSet, formula: m.Formula, sensor: str) -> bool:
    """Whether a formula reads a sensor itself, not by a condition."""
    name = m.ReadingId(sensor).quantity
    return any(
        name in ruleset.sensors_of(part.quantity)
        for part in m.parts_of(formula)
        if isinstance(part, m.Compare) and not part.region.is_failed
    )
