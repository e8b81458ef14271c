"""What follows when some readings change and all else stays: which values, and which formulas read one of them."""

from __future__ import annotations

from collections.abc import Set

from alertlang.model import formula as f
from alertlang.model.expression import elements
from alertlang.model.reading import ReadingId
from alertlang.model.ruleset import Alert, Band, RuleSet

_Element = tuple[str, int | None]


def behind(ruleset: RuleSet, quantity: str, index: int | None) -> frozenset[ReadingId]:
    """The readings that an element of a quantity is worked out from at one instant: itself, if it is no `let` or
    `curve`. A rise or fall has a value of its own."""
    found: set[ReadingId] = set()
    pending: list[_Element] = [(quantity, index)]
    while pending:
        name, element = pending.pop()
        measured = ruleset.quantities[name]
        if measured.derived is not None and measured.is_computed:
            pending += elements(measured.derived, element)
        else:
            found.add(ruleset.reading(name, element))
    return frozenset(found)


class ChangedReadings:
    """Some readings of a rule set (`rpm`, `cht[2]`) that change."""

    def __init__(self, ruleset: RuleSet, readings: Set[str]) -> None:
        self.ruleset = ruleset
        self.readings = readings
        self._follows: dict[_Element, bool] = {}
        self._is_read: dict[_Element, bool] = {}
        self._conditions: dict[str, bool] = {}

    def follows(self, quantity: str, index: int | None) -> bool:
        """Whether an element's value at one instant is one of them or worked out from one."""
        key = (quantity, index)
        if key not in self._follows:
            self._follows[key] = not self.readings.isdisjoint(behind(self.ruleset, quantity, index))
        return self._follows[key]

    def read_by(self, *formulas: f.Formula | None) -> bool:
        """Whether formulas read one of them, however many steps away: through conditions, what they are cleared by,
        what must have lasted, what is worked out from readings, and how these rise and fall."""
        return any(self._reads(part) for formula in formulas if formula is not None for part in f.parts_of(formula))

    def read_by_rule(self, rule: Band | Alert, index: int | None) -> bool:
        """Whether a statement reads one of them, for an element if it is a band on an array."""
        if self.read_by(rule.when, rule.unless):
            return True
        return isinstance(rule, Band) and (self._reading(rule.quantity, index) or self._ends(rule.region, index))

    def _reads(self, part: f.Formula) -> bool:
        match part:
            case f.Compare():
                return any(self._reading(part.quantity, i) or self._ends(part.region, i) for i in part.indexes)
            case f.ConditionIs():
                if part.name not in self._conditions:
                    self._conditions[part.name] = self.read_by(*self.ruleset.conditions[part.name].parts)
                return self._conditions[part.name]
        return False

    def _ends(self, region: f.Region, index: int | None) -> bool:
        return any(self._reading(bound.quantity, index) for bound in region.moving)

    def _reading(self, quantity: str, index: int | None) -> bool:
        """Whether an element is one of them, or is worked out from one, now or over time."""
        key = (quantity, index)
        if key not in self._is_read:
            derived = self.ruleset.quantities[quantity].derived
            self._is_read[key] = self.ruleset.reading(quantity, index) in self.readings or (
                derived is not None and any(self._reading(*element) for element in elements(derived, index))
            )
        return self._is_read[key]
