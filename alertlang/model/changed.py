"""What follows when some readings change and all else stays: which values, and which formulas read one of them."""

from __future__ import annotations

from alertlang.model import formula as f
from alertlang.model.expression import CurveOver, Reading, Statistic, Trend, nodes
from alertlang.model.formula import variable
from alertlang.model.ruleset import Alert, Band, RuleSet

_Element = tuple[str, int | None]


def behind(ruleset: RuleSet, quantity: str, index: int | None) -> frozenset[str]:
    """The readings that an element of a quantity is worked out from at one instant: itself, if it is no `let` or
    `curve`. A rise or fall has a value of its own."""
    found: set[str] = set()
    pending: list[_Element] = [(quantity, index)]
    while pending:
        name, element = pending.pop()
        if ruleset.quantities[name].is_computed:
            pending += _inputs(ruleset, name, element)
        else:
            found.add(_variable(ruleset, name, element))
    return frozenset(found)


class Changed:
    """Some readings of a rule set (`rpm`, `cht[2]`) that change."""

    def __init__(self, ruleset: RuleSet, readings: frozenset[str]) -> None:
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
                return self._reading(part.quantity, part.index) or self._ends(part.region, part.index)
            case f.Quantified():
                each = range(1, part.size + 1)
                return any(self._reading(part.quantity, i) or self._ends(part.region, i) for i in each)
            case f.Failed():
                indexes = (part.index,) if part.size is None else range(1, part.size + 1)
                return any(self._reading(part.quantity, i) for i in indexes)
            case f.ConditionIs():
                if part.name not in self._conditions:
                    self._conditions[part.name] = self.read_by(*self.ruleset.conditions[part.name].parts)
                return self._conditions[part.name]
        return False

    def _ends(self, region: f.Region, index: int | None) -> bool:
        return any(isinstance(bound, f.Moving) and self._reading(bound.quantity, index) for bound in region.bounds)

    def _reading(self, quantity: str, index: int | None) -> bool:
        """Whether an element is one of them, or is worked out from one, now or over time."""
        key = (quantity, index)
        if key not in self._is_read:
            found = _variable(self.ruleset, quantity, index) in self.readings
            derived = self.ruleset.quantities[quantity].derived
            self._is_read[key] = found or (
                derived is not None and any(self._reading(*one) for one in _inputs(self.ruleset, quantity, index))
            )
        return self._is_read[key]


def _variable(ruleset: RuleSet, quantity: str, index: int | None) -> str:
    return variable(quantity, None if ruleset.quantities[quantity].size is None else index)


def _inputs(ruleset: RuleSet, quantity: str, index: int | None) -> list[_Element]:
    """The elements that a `let`, a `curve`, a rise or a fall is worked out from."""
    found: list[_Element] = []
    derived = ruleset.quantities[quantity].derived
    assert derived is not None
    for node in nodes(derived):
        if isinstance(node, Statistic):
            found += [(node.quantity, i) for i in range(1, node.size + 1)]
        elif isinstance(node, Reading | Trend | CurveOver):
            found.append((node.quantity, node.index if node.index is not None else index))
    return found
