"""What a card has to show, and for each a stimulus that shows it: found by the solver, so that where there is none,
that is proved."""

from __future__ import annotations

from collections.abc import Callable

from alertlang.groundtest.band_goals import BandGoals
from alertlang.groundtest.decision_goals import DecisionGoals
from alertlang.groundtest.decisions import decisions
from alertlang.groundtest.goal import Goal, Goals
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m

__all__ = ["Goal", "Goals", "goals"]


def goals(ruleset: m.RuleSet) -> Goals:
    """Everything that a card for a rule set has to show."""
    return _All(ruleset).all()


class _All(BandGoals, DecisionGoals):
    def all(self) -> Goals:
        for band in self.ruleset.bands:
            for index in self.ruleset.quantities[band.quantity].indexes:
                if band.index in (None, index):
                    self.band(band, index)
        for decision in decisions(self.ruleset):
            self.decision(decision)
        for condition in self.ruleset.conditions.values():
            if condition.until is not None:
                self.until(condition)
        for name in self.sensors():
            away = {**self.base, name: None}
            self.add(f"{name} failed alone", "sensor failure", (away,), _failed(name), alone=True)
        return self.made


def _failed(name: str) -> Callable[[Shown], bool]:
    return lambda shown: shown.values[name] is None
