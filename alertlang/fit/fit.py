"""A rule set and the display it is to be shown on: what the checks of display fit work with."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from alertlang.checks.context import Context
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, finding
from alertlang.fit.need import Need, Resource
from alertlang.logic.solver import WORK_LIMIT
from alertlang.model import ruleset as m
from alertlang.model.display import Display
from alertlang.model.reading import ReadingId


@dataclass(frozen=True, slots=True)
class Fit:
    """`need`: what the rules ask of a box; `context`: the rules by themselves."""

    ruleset: m.RuleSet
    display: Display
    need: Need
    context: Context

    @property
    def named(self) -> str:
        return f"the display {self.display.name}"


def fit_of(ruleset: m.RuleSet, display: Display, work_limit: int = WORK_LIMIT) -> Fit:
    """The two, with nothing worked out yet."""
    return Fit(ruleset, display, Need(ruleset, display, work_limit), Context(ruleset, work_limit))


# ---- something that is counted and does not fit, in words


# So many are named; more would hide the message.
_MOST = 12


def too_many(fit: Fit, name: str, resource: Resource, who: str, what: str) -> Iterator[Finding]:
    """By how much it does not fit, at the first statement that finds no place. `who` needs how many of `what`."""
    if not resource.over:
        return
    unit = resource.first_over
    quantity = ReadingId(resource.subject).quantity if resource.subject is not None else None
    if not resource.proved:
        yield undecided(name, unit.span, quantity, unit.users)
        return
    units = [place.words for place in resource.units]
    more = f"; and {len(units) - _MOST} more" if len(units) > _MOST else ""
    yield finding(
        name,
        f"{who} {resource.needed} {what}, and {fit.named} has room for {resource.allowed}: {resource.over} too many",
        unit.span,
        quantity=quantity,
        statements=unit.users,
        advice=(f"needed: {'; '.join(units[:_MOST])}{more}", "`alertlang fit RULES DISPLAY` says what can go"),
    )
