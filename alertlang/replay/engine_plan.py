"""A rule set as nodes. Whatever is said twice, in the same words or not, is one node."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from alertlang.model import ruleset as m
from alertlang.replay.engine_compare import LessThan, LinearTerm, is_sensor
from alertlang.replay.engine_nodes import (
    Always,
    ComparisonNode,
    InTotal,
    Joined,
    Lasted,
    Latch,
    MemoryNode,
    Opposite,
    Switched,
    TruthNode,
    WorkingNode,
)

# A statement's label or a quantity's name, and the element it is about; none where it is about no element of an array.
Place = tuple[str, int | None]


@dataclass(frozen=True, slots=True)
class EvaluationPlan:
    """The nodes to be looked at, in the order of declaration; for each gauge its bands, with their colours' numbers."""

    conditions: Mapping[str, TruthNode]
    applies: Mapping[Place, TruthNode]
    alerts: Mapping[Place, TruthNode]
    violated: Mapping[Place, TruthNode]
    gauges: Mapping[Place, tuple[tuple[int, TruthNode], ...]]


def elements(statement: m.Band | m.Alert | m.Range, ruleset: m.RuleSet) -> tuple[int | None, ...]:
    """The elements a statement is about, each by itself."""
    if isinstance(statement, m.Alert):
        return (None,)
    return ruleset.quantities[statement.quantity].indexes if statement.index is None else (statement.index,)


def plan(ruleset: m.RuleSet) -> EvaluationPlan:
    return _Planner(ruleset).plan()


class _Planner:
    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        self._nodes: dict[Hashable, TruthNode] = {}
        self._conditions: dict[str, TruthNode] = {}
        self._of_sensors: dict[str, list[LessThan]] = {}

    def plan(self) -> EvaluationPlan:
        ruleset = self.ruleset
        conditions = {name: self._condition(name) for name in ruleset.conditions}
        applies: dict[Place, TruthNode] = {}
        alerts: dict[Place, TruthNode] = {}
        for rule in ruleset.rules:
            for index in elements(rule, ruleset):
                node = applies[rule.label, index] = self._applies(rule, index)
                if rule.alert is not None:
                    alerts[rule.label, index] = self._alert(rule, node)
        gauges = {
            (quantity.name, index): tuple(
                (int(band.colour), applies[band.label, index])
                for band in ruleset.bands
                if band.quantity == quantity.name and (band.label, index) in applies
            )
            for quantity in ruleset.quantities.values()
            for index in quantity.indexes
        }
        violated = {
            (declared.label, index): self._violated(declared, index)
            for declared in ruleset.ranges
            if declared.forbids
            for index in elements(declared, ruleset)
        }
        for comparisons in self._of_sensors.values():
            for less in comparisons:
                less.zoned = len(comparisons) > 2
        return EvaluationPlan(conditions, applies, alerts, violated, gauges)

    # ---- nodes, each once

    def _once(self, key: Hashable, make: Callable[[], TruthNode]) -> TruthNode:
        if key not in self._nodes:
            self._nodes[key] = make()
        return self._nodes[key]

    def _always(self, truth: bool) -> TruthNode:
        return self._once(("always", truth), lambda: Always(truth))

    def _not(self, part: TruthNode) -> TruthNode:
        return self._once(("not", part), lambda: Opposite(part))

    def _join(self, parts: list[TruthNode], every: bool) -> TruthNode:
        different = tuple(dict.fromkeys(parts))
        if len(different) == 1:
            return different[0]
        return self._once(("join", every, different), lambda: Joined(different, every))

    def _all(self, *parts: TruthNode) -> TruthNode:
        return self._join(list(parts), True)

    def _any(self, *parts: TruthNode) -> TruthNode:
        return self._join(list(parts), False)

    def _kept(self, sets: TruthNode, clears: TruthNode) -> TruthNode:
        return self._once(("kept", sets, clears), lambda: MemoryNode(sets, clears))

    def _lasted(self, part: TruthNode, duration: Fraction | None, more: bool = False) -> TruthNode:
        """For at least so long; no duration or none at all: now."""
        if not more and not duration:
            return part
        wanted = duration or Fraction(0)
        return self._once(("lasted", part, wanted, more), lambda: Lasted(part, wanted, more))

    # ---- values in regions

    def _variable(self, quantity: str, index: int | None) -> str:
        """A quantity that is no array has its one value, whatever the index."""
        return m.variable(quantity, None if self.ruleset.quantities[quantity].size is None else index)

    def _known(self, term: LinearTerm) -> TruthNode:
        variable = term.variable
        if variable is None:
            return self._always(True)
        return self._once(("known", variable), lambda: WorkingNode(variable))

    def _less(self, left: LinearTerm, right: LinearTerm, strict: bool) -> TruthNode:
        if left.variable is None and right.variable is None:
            return self._always(left.offset < right.offset if strict else left.offset <= right.offset)
        term, other = (left, right) if right.variable is None else (right, left)
        plain = other.variable is None and term.is_plain and term.variable is not None
        sensor = plain and is_sensor(self.ruleset.quantities, term.variable or "")

        def make() -> TruthNode:
            less = LessThan(left, right, strict, sensor)
            if sensor and term.variable is not None:
                self._of_sensors.setdefault(term.variable, []).append(less)
            return ComparisonNode(less)

        return self._once(("less", left, right, strict), make)

    def _terms(self, region: m.Region, quantity: str, index: int | None) -> tuple[LinearTerm, list[LinearTerm]]:
        ends = LinearTerm.ends(region, lambda name: self._variable(name, index))
        return LinearTerm.value(self._variable(quantity, index)), ends

    def _inside(self, region: m.Region, quantity: str, index: int | None) -> TruthNode:
        value, ends = self._terms(region, quantity, index)
        if region.is_failed:
            return self._not(self._known(value))
        return self._among(value, ends, region.kind)

    def _among(self, value: LinearTerm, ends: list[LinearTerm], kind: m.RegionKind) -> TruthNode:
        """In a region of some kind with these ends, all known."""
        if kind.outside:
            out = self._any(self._less(value, ends[0], not kind.low), self._less(ends[1], value, not kind.high))
            return self._all(out, self._known(ends[0]), self._known(ends[1]))
        sides = [] if kind.low is None else [self._less(ends[0], value, not kind.low)]
        return self._all(*sides, *([] if kind.high is None else [self._less(value, ends[-1], not kind.high)]))

    def _outside(self, region: m.Region, quantity: str, index: int | None) -> TruthNode:
        """Not in the region, with everything known."""
        value, ends = self._terms(region, quantity, index)
        return self._always(False) if region.is_failed else self._among(value, ends, region.complement().kind)

    def _near(self, region: m.Region, quantity: str, index: int | None, deadband: Fraction) -> TruthNode:
        """In the region or out of it by less than the deadband."""
        value, ends = self._terms(region, quantity, index)
        kind = region.interior().kind
        by = deadband if kind.outside or kind.is_low else -deadband
        wider = [ends[0].plus(by), *(end.plus(-by) for end in ends[1:])]
        if kind.outside or len(ends) == 1:
            return self._among(value, wider, kind)
        # Between ends that have crossed there is nothing, and nothing near it.
        in_order = self._less(ends[0], ends[1], not (region.kind.low and region.kind.high))
        return self._all(in_order, self._among(value, wider, kind))

    # ---- formulas and conditions

    def _condition(self, name: str) -> TruthNode:
        if name not in self._conditions:
            condition = self.ruleset.conditions[name]
            wanted = self._wanted(condition)
            if condition.is_delayed:
                sets = self._lasted(wanted, condition.set_after)
                wanted = self._kept(sets, self._lasted(self._not(wanted), condition.cleared_after))
            self._conditions[name] = wanted
        return self._conditions[name]

    def _wanted(self, condition: m.Condition) -> TruthNode:
        """What a condition is before its delays."""
        wanted = self._formula(condition.formula)
        return wanted if condition.until is None else self._kept(wanted, self._formula(condition.until))

    def _formula(self, formula: m.Formula) -> TruthNode:
        match formula:
            case m.Compare():
                parts = [self._inside(formula.region, formula.quantity, i) for i in formula.indexes]
                return self._join(parts, formula.quantifier != "any")
            case m.SwitchIs():
                position = self.ruleset.switches[formula.switch].positions.index(formula.position)
                key = ("switch", formula.switch, position, formula.negated)
                return self._once(key, lambda: Switched(formula.switch, position, formula.negated))
            case m.ConditionIs():
                return self._condition(formula.name)
            case m.Held():
                part = self._formula(formula.part)
                long = self._lasted(part, formula.duration)
                return long if formula.at_least else self._all(part, self._not(long))
            case m.Not():
                return self._not(self._formula(formula.part))
            case m.And() | m.Or():
                return self._join([self._formula(part) for part in formula.parts], isinstance(formula, m.And))

    # ---- statements

    def _in_band(self, band: m.Band, index: int | None) -> TruthNode:
        """In the band's region, or kept in it by the deadband."""
        inside = self._inside(band.region, band.quantity, index)
        deadband = self.ruleset.quantities[band.quantity].deadband
        if deadband is None or band.region.is_failed:
            return inside
        return self._kept(inside, self._not(self._near(band.region, band.quantity, index, deadband)))

    def _rest(self, rule: m.Band | m.Alert, index: int | None) -> TruthNode:
        """All that a statement asks for but its time."""
        parts = [self._in_band(rule, index)] if isinstance(rule, m.Band) else []
        if rule.when is not None:
            parts.append(self._formula(rule.when))
        if rule.unless is not None:
            parts.append(self._not(self._formula(rule.unless)))
        return self._all(*parts)

    def _applies(self, rule: m.Band | m.Alert, index: int | None) -> TruthNode:
        rest = self._rest(rule, index)
        if rule.held is None:
            return rest
        if rule.in_total:
            held = rule.held
            return self._once(("total", rest, held), lambda: InTotal(rest, held))
        return self._lasted(rest, rule.held, more=True)

    def _alert(self, rule: m.Band | m.Alert, applies: TruthNode) -> TruthNode:
        due = self._lasted(applies, rule.after)
        return self._once(("latch", due, applies), lambda: Latch(due, applies)) if rule.latched else due

    def _past(self, declared: m.Range, index: int | None) -> TruthNode:
        """Broken, or entered, however short."""
        broken = (self._inside if declared.kind == "avoid" else self._outside)(
            declared.region, declared.quantity, index
        )
        return broken if declared.when is None else self._all(broken, self._formula(declared.when))

    def _violated(self, declared: m.Range, index: int | None) -> TruthNode:
        past = self._past(declared, index)
        return past if declared.except_for is None else self._lasted(past, declared.except_for, more=True)
