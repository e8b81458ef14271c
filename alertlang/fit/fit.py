"""A rule set and the display it is to be shown on: what the checks of display fit work with."""

from __future__ import annotations

from dataclasses import dataclass

from alertlang.checks.context import Context
from alertlang.fit.need import Need
from alertlang.logic.solver import WORK_LIMIT
from alertlang.model import ruleset as m
from alertlang.model.display import Display


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
