"""One rule set made of two, so that one question can look at both.

Everything that means the same in both has one name in it: sensors, computed quantities, conditions, and the rests of
statements, whose clocks therefore run alike. What differs is there twice, that of the second rule set under a name that
ends with ` (after)`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from alertlang.comparison.canonical import expression_key, key_of, rest_key
from alertlang.comparison.rename import Renaming
from alertlang.model import expression as e
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.units.unit import convert

AFTER = " (after)"


@dataclass(frozen=True, slots=True)
class Rule:
    """A statement as it is written, and under the joint names (with the times of its counterpart, if it has one)."""

    own: m.Band | m.Alert
    joint: m.Band | m.Alert

    @property
    def label(self) -> str:
        return self.joint.label


def due_flag(rules: m.RuleSet, rule: Rule, index: int | None, mode: s.FaultModel) -> str:
    """Whether a statement has applied for as long as its alert waits."""
    assert rule.own.after is not None
    return f"{m.variable(rule.label, index)} after {m.in_seconds(rule.own.after)} due{_suffix(rules, rule, mode)}"


def kept_flag(rules: m.RuleSet, rule: Rule, index: int | None, mode: s.FaultModel) -> str:
    """Whether a latched alert is still up although its cause may be gone."""
    after = f" after {m.in_seconds(rule.own.after)}" if rule.own.after else ""
    return f"{m.variable(rule.label, index)}{after} kept up{_suffix(rules, rule, mode)}"


def _suffix(rules: m.RuleSet, rule: Rule, mode: s.FaultModel) -> str:
    return mode.suffix if mode.touches_rule(rules, rule.joint) else ""


@dataclass(frozen=True, slots=True)
class Forced:
    """What was proved to mean the same although it is written in another way: by its own name in the second rule set,
    its name in the first."""

    conditions: Mapping[str, str] = field(default_factory=dict)
    rules: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Joint:
    """`before` and `after`: the statements of each side. `pairs`: statements of both with the same rest.

    `gauges`: for each quantity of either side its name in the joint rule set, on the first and on the second side.
    `counterparts`: pairs, then statements of one label. `delays`: conditions of the second that differ from one of the
    first in nothing but their delays, by their joint names.
    """

    first: m.RuleSet
    second: m.RuleSet
    ruleset: m.RuleSet
    names: Renaming
    before: tuple[Rule, ...]
    after: tuple[Rule, ...]
    pairs: tuple[tuple[Rule, Rule], ...]
    ranges: tuple[tuple[m.Range, ...], tuple[m.Range, ...]]
    gauges: Mapping[str, tuple[str | None, str | None]]
    delays: Mapping[str, str]
    counterparts: tuple[tuple[Rule, Rule], ...]

    def size(self, side: int, quantity: str) -> int | None:
        """How many elements an array of the joint rule set has on a side."""
        if side == 0:
            return self.first.quantities[quantity].size if quantity in self.first.quantities else None
        names = ((own, {joint, self.names.gauge(own)}) for own, joint in self.names.quantities.items())
        return next((self.second.quantities[own].size for own, joint in names if quantity in joint), None)

    def has(self, side: int, quantity: str, index: int | None) -> bool:
        """Whether a side has an element of a quantity that it has."""
        size = self.size(side, quantity)
        return index is None or size is None or index <= size

    def name_on(self, side: int, quantity: str) -> str:
        """What a quantity of a side is called there, by its joint name."""
        names = self.names.quantities if side else {}
        return next((own for own, joint in names.items() if joint == quantity), quantity)

    @property
    def first_labels(self) -> dict[str, str]:
        """By its own label on the second side, what a statement is called on the first."""
        return {theirs.own.label: mine.own.label for mine, theirs in self.counterparts}


def join(first: m.RuleSet, second: m.RuleSet, forced: Forced | None = None) -> Joint:
    """Both in one."""
    return _Joiner(first, second, forced or Forced()).joined()


class _Joiner:
    def __init__(self, first: m.RuleSet, second: m.RuleSet, forced: Forced) -> None:
        self.first = first
        self.second = second
        self.forced = forced
        self.names = Renaming()
        self.delays: dict[str, str] = {}
        self.quantities: dict[str, m.Quantity] = dict(first.quantities)
        self.conditions: dict[str, m.Condition] = dict(first.conditions)
        self.computed = {
            (expression_key(q.derived), q.unit.name, q.size is None, (q.low, q.high) if q.is_trend else None): name
            for name, q in reversed(list(first.quantities.items()))
            if q.derived is not None
        }

    def joined(self) -> Joint:
        first, second = self.first, self.second
        for name in second.quantities:
            self._quantity(name)
        for name in second.conditions:
            self._condition(name)
        before = tuple(Rule(rule, rule) for rule in first.rules)
        after, pairs = self._rules(before)
        labels = {declared.label for declared in first.ranges}
        theirs = tuple(self.names.range(declared, _free(declared.label, labels)) for declared in second.ranges)
        switches = {**second.switches, **first.switches}
        for name in set(first.switches) & set(second.switches):
            mine = first.switches[name].positions
            more = tuple(p for p in second.switches[name].positions if p not in mine)
            switches[name] = replace(first.switches[name], positions=mine + more)
        rules = [one.joint for one in (*before, *after)]
        ruleset = replace(
            first,
            quantities=self.quantities,
            switches=switches,
            conditions=self.conditions,
            assumptions=(*self._assumptions(), *self._positions()),
            ranges=(*first.ranges, *theirs),
            bands=tuple(r for r in rules if isinstance(r, m.Band)),
            alerts=tuple(r for r in rules if isinstance(r, m.Alert)),
            claims=(),
            acceptances=(),
        )
        ranges = first.ranges, theirs
        sides = before, after, pairs, ranges
        return Joint(
            first, second, ruleset, self.names, *sides, self._gauges(), self.delays, _counterparts(before, after, pairs)
        )

    # ---- quantities

    def _quantity(self, name: str) -> str:
        known = self.names.quantities.get(name)
        if known is not None:
            return known
        quantity, mine = self.second.quantities[name], self.first.quantities.get(name)
        if quantity.derived is not None:
            return self._computed(quantity, mine)
        found = name
        if mine is None:
            self.quantities[name] = quantity
        elif self._same_elements(mine, quantity) and mine.unit == quantity.unit and _common(mine, quantity):
            low, high = max(mine.low, quantity.low), min(mine.high, quantity.high)
            self.quantities[name] = replace(mine, low=low, high=high, size=_widest(mine, quantity))
            if mine.deadband != quantity.deadband:
                # Its bands leave later or sooner; the value is the same one.
                twin, same = name + AFTER, e.Scaled(e.ReadingOf(name, None), Fraction(1), Fraction(0))
                self.quantities[twin] = replace(quantity, name=twin, low=low, high=high, derived=same)
                self.names.bands[name] = twin
        elif self._same_elements(mine, quantity) and mine.unit.dimension == quantity.unit.dimension:
            found = self._in_other_unit(mine, quantity)
        else:
            found = name + AFTER
            self.quantities[found] = replace(quantity, name=found)
        self.names.quantities[name] = found
        return found

    def _same_elements(self, mine: m.Quantity, quantity: m.Quantity) -> bool:
        """One sensor, or arrays of some; elements that one side alone has are its own."""
        if mine.derived is not None or (mine.size is None) != (quantity.size is None):
            return False
        if mine.size != quantity.size:
            self.names.resized.add(quantity.name)
        return True

    def _in_other_unit(self, mine: m.Quantity, quantity: m.Quantity) -> str:
        """The same sensor told in another unit: a value computed from it."""
        offset = convert(Fraction(0), mine.unit, quantity.unit)
        factor = convert(Fraction(1), mine.unit, quantity.unit) - offset
        ends = [convert(end, quantity.unit, mine.unit) for end in (quantity.low, quantity.high)]
        found = quantity.name + AFTER
        low, high = max(mine.low, ends[0]), min(mine.high, ends[1])
        if low >= high:
            self.quantities[found] = replace(quantity, name=found)
            return found
        self.quantities[quantity.name] = replace(mine, low=low, high=high, size=_widest(mine, quantity))
        self.quantities[found] = replace(
            quantity,
            name=found,
            low=low * factor + offset,
            high=high * factor + offset,
            derived=e.Scaled(e.ReadingOf(quantity.name, None), factor, offset),
        )
        return found

    def _computed(self, quantity: m.Quantity, mine: m.Quantity | None) -> str:
        assert quantity.derived is not None
        for read in e.inputs(quantity.derived):
            self._quantity(read)
        derived = self.names.expression(quantity.derived)
        key = (
            expression_key(derived),
            quantity.unit.name,
            quantity.size is None,
            (quantity.low, quantity.high) if quantity.is_trend else None,
        )
        found = self.computed.get(key)
        if mine is not None and mine.derived is not None and found is not None:
            own = (expression_key(mine.derived), mine.unit.name, mine.size is None, key[3] if mine.is_trend else None)
            if own == key and (not mine.is_trend or (mine.low, mine.high) == (quantity.low, quantity.high)):
                found = quantity.name
        if found is None:
            found = _free(quantity.name, self.quantities)
            self.quantities[found] = replace(quantity, name=found, derived=derived)
        elif self.quantities[found].size != quantity.size:
            # Worked out of each element of an array that has more or fewer of them now.
            self.names.resized.add(quantity.name)
            self.quantities[found] = replace(self.quantities[found], size=_widest(self.quantities[found], quantity))
        self.names.quantities[quantity.name] = found
        return found

    def _gauges(self) -> dict[str, tuple[str | None, str | None]]:
        """Gauges by the name they go by: those of the first, then those that only the second has."""
        found: dict[str, tuple[str | None, str | None]] = {name: (name, None) for name in self.first.quantities}
        for name in self.names.quantities:
            joint = self.names.gauge(name)
            if self._is_same_gauge(name):
                found[name] = (name, joint)
            elif joint not in self.first.quantities:
                found[joint] = (None, joint)
            elif joint not in self.second.quantities:
                found[joint] = (joint, joint)
            elif self.names.gauge(joint) != joint:
                found[name] = (None, joint)
        return found

    def _is_same_gauge(self, name: str) -> bool:
        """The same sensor, or worked out under the same name, maybe in another way."""
        mine, theirs = self.first.quantities.get(name), self.second.quantities[name]
        if mine is None or (mine.size is None) != (theirs.size is None):
            return False
        if mine.derived is None and theirs.derived is None:
            joint = self.names.quantities[name]
            return joint == name or self.quantities[joint].derived is not None
        return mine.derived is not None and theirs.derived is not None

    # ---- conditions

    def _condition(self, name: str) -> str:
        known = self.names.conditions.get(name)
        if known is not None:
            return known
        condition = self.second.conditions[name]
        for read in sorted(
            {p.name for part in condition.parts for p in m.parts_of(part) if isinstance(p, m.ConditionIs)}
        ):
            self._condition(read)
        joint = replace(
            condition, formula=self.names.formula(condition.formula), until=self.names.maybe(condition.until)
        )
        found = self.forced.conditions.get(name) or self._like(joint)
        if found is None:
            found = _free(name, self.conditions)
            self.conditions[found] = replace(joint, name=found)
            mine = self.first.conditions.get(name)
            if mine is not None and (key_of(mine.formula), key_of(mine.until)) == (
                key_of(joint.formula),
                key_of(joint.until),
            ):
                self.delays[found] = name
        self.names.conditions[name] = found
        return found

    def _like(self, condition: m.Condition) -> str | None:
        """A condition of the first rule set with the same formulas and delays: that of the same name before all
        others."""
        same = [c for c in self.first.conditions.values() if _condition_key(c) == _condition_key(condition)]
        return next((c.name for c in sorted(same, key=lambda c: c.name != condition.name)), None)

    # ---- statements

    def _rules(self, before: tuple[Rule, ...]) -> tuple[tuple[Rule, ...], tuple[tuple[Rule, Rule], ...]]:
        by_rest: dict[str, list[Rule]] = {}
        for one in before:
            by_rest.setdefault(rest_key(one.joint), []).append(one)
        by_label = {one.label: one for one in before}
        taken: set[str] = set()
        renamed = [self.names.rule(rule, rule.label) for rule in self.second.rules]
        found: dict[int, Rule] = {}
        # The surest matches first, so that none takes what belongs to another.
        for sure in range(4):
            for i, (own, joint) in enumerate(zip(self.second.rules, renamed, strict=True)):
                if i in found:
                    continue
                forced = self.forced.rules.get(own.label)
                choices = [by_label[forced]] if forced is not None else by_rest.get(rest_key(joint), [])
                for mine in choices:
                    if mine.label not in taken and _alike(mine.own, own, sure):
                        taken.add(mine.label)
                        found[i] = mine
                        break
        labels = set(by_label)
        after: list[Rule] = []
        pairs: list[tuple[Rule, Rule]] = []
        for i, (own, joint) in enumerate(zip(self.second.rules, renamed, strict=True)):
            match = found.get(i)
            if match is None:
                label = _free(own.label, labels)
                labels.add(label)
                after.append(Rule(own, replace(joint, label=label)))
                continue
            # Its clock is that of its counterpart, unless it is another one.
            label = match.label
            if (own.held, own.in_total) != (match.own.held, match.own.in_total):
                label = _free(own.label, labels)
                labels.add(label)
            after.append(Rule(own, _with_rest(joint, match.joint, label)))
            pairs.append((match, after[-1]))
        return tuple(after), tuple(pairs)

    # ---- which states are looked at

    def _assumptions(self) -> list[m.Assumption]:
        """States that either side allows: a difference there is one, whoever it was that ruled them out."""
        mine = {assumption_key(a): a for a in self.first.assumptions}
        theirs = [self.names.assumption(a, a.label) for a in self.second.assumptions]
        keys = {assumption_key(a) for a in theirs}
        common = [a for key, a in mine.items() if key in keys]
        only = [a for key, a in mine.items() if key not in keys]
        more = [a for a in theirs if assumption_key(a) not in mine]
        if only and more:
            span = only[0].span
            either = m.Or((_all(only), _all(more)), span)
            common.append(replace(only[0], label="assumed on either side", when=None, formula=either))
        return common

    def _positions(self) -> list[m.Assumption]:
        """Only positions that both sides know."""
        found = []
        for name, mine in self.first.switches.items():
            theirs = self.second.switches.get(name)
            if theirs is None or set(theirs.positions) == set(mine.positions):
                continue
            known = [m.SwitchIs(name, p, False, mine.span) for p in mine.positions if p in theirs.positions]
            found.append(
                m.Assumption(f"positions of {name}", None, m.Or(tuple(known), mine.span), (), mine.span, mine.origin)
            )
        return found


def _with_rest(rule: m.Band | m.Alert, like: m.Band | m.Alert, label: str) -> m.Band | m.Alert:
    """A statement whose rest holds exactly when that of another one does."""
    if isinstance(rule, m.Band) and isinstance(like, m.Band):
        return replace(rule, label=label, when=like.when, unless=like.unless, region=like.region)
    assert isinstance(rule, m.Alert)
    assert like.when is not None
    return replace(rule, label=label, when=like.when, unless=like.unless)


def _alike(mine: m.Band | m.Alert, own: m.Band | m.Alert, sure: int) -> bool:
    """How well two statements with the same rest fit: label and times, all that is shown and times, times, at all."""
    times = (mine.held, mine.in_total) == (own.held, own.in_total)
    shown = mine.alert == own.alert and getattr(mine, "colour", None) == getattr(own, "colour", None)
    match sure:
        case 0:
            return mine.label == own.label and times
        case 1:
            return shown and times
        case 2:
            return times
    return mine.label == own.label or shown


def _counterparts(
    before: tuple[Rule, ...], after: tuple[Rule, ...], pairs: tuple[tuple[Rule, Rule], ...]
) -> tuple[tuple[Rule, Rule], ...]:
    """Statements of both sides that are one and the same: those with the same rest, then those of one label."""
    found = list(pairs)
    taken = [{pair[side].own.label for pair in pairs} for side in (0, 1)]
    by_label = {r.own.label: r for r in before if r.own.label not in taken[0]}
    for rule in after:
        mine = by_label.get(rule.own.label)
        if mine is None or rule.own.label in taken[1] or type(mine.own) is not type(rule.own):
            continue
        if isinstance(mine.own, m.Band) and isinstance(rule.own, m.Band) and mine.own.quantity != rule.own.quantity:
            continue
        found.append((mine, rule))
    return tuple(found)


def _condition_key(condition: m.Condition) -> tuple[object, ...]:
    return key_of(condition.formula), key_of(condition.until), condition.set_after or 0, condition.cleared_after or 0


def _widest(quantity: m.Quantity, other: m.Quantity) -> int | None:
    return None if quantity.size is None or other.size is None else max(quantity.size, other.size)


def _common(quantity: m.Quantity, other: m.Quantity) -> bool:
    return max(quantity.low, other.low) < min(quantity.high, other.high)


def _free(name: str, taken: object) -> str:
    found = name
    while found in taken:  # type: ignore[operator]
        found += AFTER
    return found


def assumption_key(assumption: m.Assumption) -> tuple[str, str]:
    """The same for assumptions that say the same."""
    return key_of(assumption.when), key_of(assumption.formula)


def _all(assumptions: list[m.Assumption]) -> m.Formula:
    parts: list[m.Formula] = [
        assumption.formula
        if assumption.when is None
        else m.Or((m.Not(assumption.when, assumption.span), assumption.formula), assumption.span)
        for assumption in assumptions
    ]
    return m.And(tuple(parts), assumptions[0].span)
