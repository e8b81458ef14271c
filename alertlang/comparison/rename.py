"""The statements of one rule set under the names of another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from alertlang.model import expression as e
from alertlang.model import ruleset as m


@dataclass(slots=True)
class Renaming:
    """By their own names, what quantities and conditions are called in the other rule set; the rest keeps its name.

    `bands`: what the bands of a quantity are about, where that is another name. `resized`: arrays that have more
    or fewer elements in the other rule set; open truths that go by words name each element of theirs.
    """

    quantities: dict[str, str] = field(default_factory=dict)
    conditions: dict[str, str] = field(default_factory=dict)
    bands: dict[str, str] = field(default_factory=dict)
    resized: set[str] = field(default_factory=set)

    def gauge(self, quantity: str) -> str:
        """What the bands of a quantity are about."""
        return self.bands.get(quantity) or _get(self.quantities, quantity)

    def region(self, region: m.Region) -> m.Region:
        if not region.moves:
            return region
        second = None if region.second is None else self._bound(region.second)
        return replace(region, first=self._bound(region.first), second=second)

    def _bound(self, bound: m.Bound) -> m.Bound:
        if isinstance(bound, m.Moving):
            return replace(bound, quantity=_get(self.quantities, bound.quantity))
        return bound

    def maybe(self, formula: m.Formula | None) -> m.Formula | None:
        return None if formula is None else self.formula(formula)

    def formula(self, formula: m.Formula) -> m.Formula:
        match formula:
            case m.Compare():
                return replace(
                    formula, quantity=_get(self.quantities, formula.quantity), region=self.region(formula.region)
                )
            case m.ConditionIs():
                return replace(formula, name=_get(self.conditions, formula.name))
            case m.Held():
                return replace(formula, part=self.formula(self._by_element(formula.part)))
        return m.rebuilt(formula, self.formula)

    def _by_element(self, formula: m.Formula) -> m.Formula:
        if isinstance(formula, m.Compare):
            return formula.by_element() if formula.size and formula.quantity in self.resized else formula
        return formula if isinstance(formula, m.Held) else m.rebuilt(formula, self._by_element)

    def expression(self, node: e.Expression) -> e.Expression:
        match node:
            case e.Number():
                return node
            case e.Scaled():
                return replace(node, part=self.expression(node.part))
            case e.Sum():
                return replace(node, parts=tuple(self.expression(part) for part in node.parts))
            case _:
                return replace(node, quantity=_get(self.quantities, node.quantity))

    def range(self, declared: m.Range, label: str) -> m.Range:
        return replace(
            declared,
            label=label,
            when=self.maybe(declared.when),
            quantity=_get(self.quantities, declared.quantity),
            region=self.region(declared.region),
        )

    def assumption(self, assumption: m.Assumption, label: str) -> m.Assumption:
        return replace(
            assumption, label=label, when=self.maybe(assumption.when), formula=self.formula(assumption.formula)
        )

    def claim(self, claim: m.Claim) -> m.Claim:
        region = None if claim.region is None else self.region(claim.region)
        quantity = None if claim.quantity is None else _get(self.quantities, claim.quantity)
        return replace(claim, when=self.maybe(claim.when), quantity=quantity, region=region)

    def rule(self, rule: m.Band | m.Alert, label: str) -> m.Band | m.Alert:
        if isinstance(rule, m.Alert):
            return replace(rule, label=label, when=self.formula(rule.when), unless=self.maybe(rule.unless))
        return replace(
            rule,
            label=label,
            when=self.maybe(rule.when),
            unless=self.maybe(rule.unless),
            quantity=self.gauge(rule.quantity),
            region=self.region(rule.region),
        )


def _get(names: Mapping[str, str], name: str) -> str:
    return names.get(name, name)
