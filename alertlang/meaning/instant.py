"""What a rule set means at one instant. No solver, no cleverness: this is the text the others are held against."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TypeVar

from alertlang.meaning.derived import computed
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.model.expression import CurveOver, Reading, Statistic, Trend, nodes

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class State:
    """Readings in their own units by name (`rpm`, `cht[2]`), switch positions by name, and by their names in
    `model.snapshot` the truths that one instant leaves open. What is derived from other readings need not be given.

    `moved`: other values of some readings, by the name of what was asked of them (see `meaning.news`)."""

    readings: Mapping[str, Fraction]
    positions: Mapping[str, str]
    flags: Mapping[str, bool] = field(default_factory=dict)
    moved: Mapping[str, Mapping[str, Fraction]] = field(default_factory=dict)


def in_region(kind: str, value: Fraction, first: Fraction, second: Fraction | None) -> bool:
    """`below` and `above` leave their number out, `at most`, `at least` and `from ... to` take it in."""
    match kind:
        case "below":
            return value < first
        case "above":
            return value > first
        case "at_most":
            return value <= first
        case "at_least":
            return value >= first
        case "within":
            assert second is not None
            return first <= value <= second
        case "outside":
            assert second is not None
            return value < first or value > second
    raise AssertionError(kind)


class Instant:
    """One state of a rule set. A reading or position that the state does not give is a KeyError; an open truth that
    it does not give is as if nothing had happened before: not held yet, not elapsed, not kept, settled, healthy."""

    def __init__(self, ruleset: m.RuleSet, state: State, mode: s.Mode = s.PLAIN) -> None:
        self.ruleset = ruleset
        self.state = state
        self.mode = mode

    def in_mode(self, mode: s.Mode) -> Instant:
        """The same state looked at in another mode."""
        return Instant(self.ruleset, self.state, mode)

    # ---- readings

    def reading(self, quantity: str, index: int | None) -> Fraction:
        """The value there is, whether or not its sensor tells it."""
        value = self._value(quantity, index, frozenset())
        assert value is not None
        return value

    def told(self, quantity: str, index: int | None) -> Fraction | None:
        """The value as it is told: none where a sensor it needs has failed."""
        return self._value(quantity, index, self.mode.may_fail)

    def _value(self, name: str, index: int | None, failing: frozenset[str]) -> Fraction | None:
        quantity = self.ruleset.quantities[name]
        element = None if quantity.size is None else index
        variable = m.variable(name, element)
        if quantity.is_computed:
            return computed(quantity, element, lambda n, i: self._value(n, i, failing))
        if quantity.is_trend and self._is_missing(name, element, failing):
            return None
        if variable in failing and self.state.flags.get(s.failed_flag(variable), False):
            return None
        return self.state.readings[variable]

    def _is_missing(self, name: str, index: int | None, failing: frozenset[str]) -> bool:
        """Whether a reading has failed, without needing a value. A rise or fall has failed with what it is of, and
        while that was missing at the sample before."""
        quantity = self.ruleset.quantities[name]
        derived = quantity.derived
        variable = m.variable(name, None if quantity.size is None else index)
        if derived is None:
            return variable in failing and self.state.flags.get(s.failed_flag(variable), False)
        if isinstance(derived, CurveOver) and derived.otherwise is not None:
            return False
        read: list[tuple[str, int | None]] = []
        for node in nodes(derived):
            if isinstance(node, Statistic):
                read += [(node.quantity, i) for i in range(1, node.size + 1)]
            elif isinstance(node, Reading | Trend | CurveOver):
                read.append((node.quantity, index if node.index is None else node.index))
        if any(self._is_missing(of, element, failing) for of, element in read):
            return True
        return quantity.is_trend and any(self._was_missing(of, element, failing) for of, element in read)

    def _was_missing(self, name: str, index: int | None, failing: frozenset[str]) -> bool:
        """The same of the sample before, if it can be missing at all."""
        variable = m.variable(name, None if self.ruleset.quantities[name].size is None else index)
        may_be = not failing.isdisjoint(self.ruleset.sensors_read(name, index))
        return may_be and self.state.flags.get(s.missed_flag(variable), False)

    def is_in_region(self, quantity: str, index: int | None, region: m.Region, *, told: bool = True) -> bool:
        """Whether a reading is in a region; nothing that has failed is. `told` false: the value there is counts."""
        value = self.told(quantity, index) if told else self.reading(quantity, index)
        if region.kind == "failed":
            return value is None
        ends = [self._bound(bound, index, told) for bound in region.bounds]
        known = [end for end in ends if end is not None]
        if value is None or len(known) < len(ends):
            return False
        return in_region(region.kind, value, known[0], known[1] if len(known) == 2 else None)

    def _bound(self, bound: m.Bound, index: int | None, told: bool) -> Fraction | None:
        if not isinstance(bound, m.Moving):
            return bound
        value = self.told(bound.quantity, index) if told else self.reading(bound.quantity, index)
        return None if value is None else value * bound.factor + bound.offset

    # ---- formulas

    def holds(self, formula: m.Formula | None) -> bool:
        """Whether a formula is true; none is."""
        match formula:
            case None:
                return True
            case m.Compare():
                return self.is_in_region(formula.quantity, formula.index, formula.region)
            case m.Quantified():
                hits = [self.is_in_region(formula.quantity, i, formula.region) for i in range(1, formula.size + 1)]
                return any(hits) if formula.quantifier == "any" else all(hits)
            case m.Failed():
                if formula.size is None:
                    return self.told(formula.quantity, formula.index) is None
                gone = [self.told(formula.quantity, i) is None for i in range(1, formula.size + 1)]
                return any(gone) if formula.quantifier == "any" else all(gone)
            case m.SwitchIs():
                return (self.state.positions[formula.switch] == formula.position) is not formula.negated
            case m.ConditionIs():
                return self.condition(formula.name)
            case m.Held():
                long = self._has_held(formula)
                return self.holds(formula.part) and long is formula.at_least
            case m.Not():
                return not self.holds(formula.part)
            case m.And():
                return all(self.holds(part) for part in formula.parts)
            case m.Or():
                return any(self.holds(part) for part in formula.parts)

    def condition(self, name: str) -> bool:
        """Whether a named condition holds."""
        condition = self.ruleset.conditions[name]
        may_be = self._may_still_be(name)
        settling = self.state.flags.get(s.settling_flag(name, self.mode)) if may_be else None
        return self._undelayed(condition) if settling is None else settling

    def _may_still_be(self, name: str) -> set[bool]:
        """What a condition may still be although its undelayed value is not."""
        return {value for value in (True, False) if (name, value) in self.mode.unsettled}

    def _undelayed(self, condition: m.Condition) -> bool:
        if condition.until is not None:
            known = self.state.flags.get(s.until_flag(self.ruleset, condition.name, self.mode))
            if known is not None:
                return known
        return self.holds(condition.formula)

    # ---- which states there are

    def is_possible(self) -> bool:
        """Every reading within its sensor's range, every assumption kept that this state can tell of, and no open
        truth that contradicts the rest."""
        for name, value in self.state.readings.items():
            quantity = self.ruleset.quantities.get(name.split("[")[0])
            if quantity is None:
                continue
            if not quantity.low <= value <= quantity.high:
                return False
            if quantity.is_computed and self._differs(name, value):
                return False
        for name, position in self.state.positions.items():
            if position not in self.ruleset.switches[name].positions:
                return False
        return all(_unless_unknown(self._keeps, one) for one in self.ruleset.assumptions) and self.past_fits()

    def past_fits(self) -> bool:
        """No open truth contradicts the rest."""
        return (
            all(_unless_unknown(self._until_fits, condition) for condition in self.ruleset.conditions.values())
            and all(_unless_unknown(self._settling_fits, c) for c in self.ruleset.conditions.values())
            and all(_unless_unknown(self._held_fits, part) for part in self.ruleset.held)
            and all(_unless_unknown(self._elapsed_fits, rule) for rule in self.ruleset.rules)
        )

    def _differs(self, name: str, value: Fraction) -> bool:
        index = int(name.split("[")[1][:-1]) if "[" in name else None
        try:
            return self.reading(name.split("[")[0], index) != value
        except KeyError:
            return False

    def _keeps(self, assumption: m.Assumption) -> bool:
        # An assumption is about what there is, whatever is told or still settling.
        there = self.in_mode(s.PLAIN)
        return not there.holds(assumption.when) or there.holds(assumption.formula)

    def _until_fits(self, condition: m.Condition) -> bool:
        known = self.state.flags.get(s.until_flag(self.ruleset, condition.name, self.mode))
        if condition.until is None or known is None:
            return True
        if not self._same_in_all(condition, known):
            return False
        if self.holds(condition.formula):
            return known
        return not (known and self.holds(condition.until))

    def _same_in_all(self, condition: m.Condition, known: bool) -> bool:
        """What is set and cleared by the same formulas is the same, delays aside."""
        others = [one for one in self._alike(condition) if one.until is not None]
        flags = [self.state.flags.get(s.until_flag(self.ruleset, one.name, self.mode), known) for one in others]
        return all(flag is known for flag in flags)

    def _settling_fits(self, condition: m.Condition) -> bool:
        may_be = self._may_still_be(condition.name)
        if not may_be:
            return True
        known = self.state.flags.get(s.settling_flag(condition.name, self.mode))
        if known and not all(self.condition(name) for name in self._sooner(condition)):
            return False
        if known is None or known is self._undelayed(condition):
            return True
        # What has not settled was due to be as it is, no longer ago than its delay.
        before = self.mode.before(condition.name, known)
        return known in may_be and (before is None or self.in_mode(before)._undelayed(condition) is known)

    def _sooner(self, condition: m.Condition) -> list[str]:
        """The conditions on the same formula that are set no later and cleared no sooner than one."""
        return [
            other.name
            for other in self._alike(condition)
            if (other.set_after or 0) <= (condition.set_after or 0)
            and (other.cleared_after or 0) >= (condition.cleared_after or 0)
        ]

    def _alike(self, condition: m.Condition) -> list[m.Condition]:
        """The conditions that are set and cleared by the same formulas."""

        def parts(one: m.Condition) -> tuple[m.Formula, ...]:
            if one.until is None and isinstance(one.formula, m.ConditionIs):
                # Another name for something is what it names, unless that comes later.
                named = self.ruleset.conditions[one.formula.name]
                return one.parts if named.is_delayed else parts(named)
            return one.parts

        return [one for one in self.ruleset.conditions.values() if parts(one) == parts(condition)]

    def _held_fits(self, held: m.Held) -> bool:
        flags = self.state.flags
        if not self._has_held(held):
            return not self._part_has_held(held)
        if not self.holds(held.part):
            return False
        # What has lasted long has also lasted less long.
        return all(
            flags.get(s.held_flag(self.ruleset, other, self.mode), True)
            for formula in self.ruleset.formulas
            for other in m.parts_of(formula)
            if isinstance(other, m.Held) and other.part == held.part and other.duration < held.duration
        )

    def _has_held(self, held: m.Held) -> bool:
        """Whether it has lasted so long; where nothing is said of it, it has only if it must."""
        known = self.state.flags.get(s.held_flag(self.ruleset, held, self.mode))
        return self._part_has_held(held) if known is None else known

    def _part_has_held(self, held: m.Held) -> bool:
        """Whether one part of an `or` has lasted so long, so that the `or` has. What there is counts too, if each
        failure that may be told is another part: where that part is told otherwise than it is, something has failed."""
        if not isinstance(held.part, m.Or):
            return False
        named = self.ruleset.failures_read(*(part for part in held.part.parts if isinstance(part, m.Failed)))
        for other in self.ruleset.held:
            if other.part not in held.part.parts or other.duration < held.duration:
                continue
            modes = [self.mode]
            if self.mode.may_fail <= named and self.ruleset.is_momentary(other.part):
                modes.append(s.PLAIN)
            if any(self.in_mode(mode)._has_held(other) for mode in modes):
                return True
        return False

    def _elapsed_fits(self, rule: m.Band | m.Alert) -> bool:
        if rule.held is None:
            return True
        if isinstance(rule, m.Alert):
            elapsed = self.state.flags.get(s.elapsed_flag(self.ruleset, rule, None, self.mode), False)
            return not elapsed or self._in_context(rule)
        for index in self.ruleset.quantities[rule.quantity].indexes:
            elapsed = self.state.flags.get(s.elapsed_flag(self.ruleset, rule, index, self.mode), False)
            if elapsed and not (self._in_context(rule) and self._in_band(rule, index, linger=True)):
                return False
        return True

    # ---- statements

    def _in_context(self, rule: m.Band | m.Alert) -> bool:
        return self.holds(rule.when) and not (rule.unless is not None and self.holds(rule.unless))

    def _in_band(self, band: m.Band, index: int | None, linger: bool) -> bool:
        """In the band's region; with `linger` also where the deadband keeps it."""
        if self.is_in_region(band.quantity, index, band.region):
            return True
        deadband = self.ruleset.quantities[band.quantity].deadband
        if (
            not linger
            or deadband is None
            or not self.state.flags.get(s.lingers_flag(self.ruleset, band, index, self.mode), False)
        ):
            return False
        value = self.told(band.quantity, index)
        ends = [self._bound(bound, index, True) for bound in band.region.bounds]
        known = [end for end in ends if end is not None]
        if value is None or len(known) < len(ends) or not known:
            return False
        match band.region.kind:
            case "below" | "at_most":
                return value < known[0] + deadband
            case "above" | "at_least":
                return value > known[0] - deadband
            case "within":
                # Where its ends have crossed there is nothing in it that could be kept.
                return known[0] <= known[1] and known[0] - deadband < value < known[1] + deadband
            case "outside":
                return value < known[0] + deadband or value > known[1] - deadband
        raise AssertionError(band.region.kind)

    def applies(self, band: m.Band, index: int | None, *, eventually: bool = False, linger: bool = True) -> bool:
        """Whether a band applies to an element. `eventually`: its `for more than` counts as over."""
        if band.index is not None and band.index != index:
            return False
        if not (self._in_context(band) and self._in_band(band, index, linger)):
            return False
        if band.held is None or eventually:
            return True
        return self.state.flags.get(s.elapsed_flag(self.ruleset, band, index, self.mode), False)

    def alerts(self, alert: m.Alert, *, eventually: bool = False) -> bool:
        """Whether an alert on its own is up."""
        if not self._in_context(alert):
            return False
        if alert.held is None or eventually:
            return True
        return self.state.flags.get(s.elapsed_flag(self.ruleset, alert, None, self.mode), False)

    def colours(
        self, quantity: str, index: int | None, *, eventually: bool = False, linger: bool = True
    ) -> list[m.Colour]:
        """The colours of all bands that apply."""
        return [
            b.colour
            for b in self.ruleset.bands
            if b.quantity == quantity and self.applies(b, index, eventually=eventually, linger=linger)
        ]

    def colour(
        self, quantity: str, index: int | None, *, eventually: bool = False, linger: bool = True
    ) -> m.Colour | None:
        """The worst colour that applies, which is what the gauge shows; none if no band applies."""
        return max(self.colours(quantity, index, eventually=eventually, linger=linger), default=None)

    def violates(self, one: m.Range, index: int | None) -> bool:
        """Whether a limit is broken or an avoid range entered (its `except for` aside), by the value there is."""
        inside = self.is_in_region(one.quantity, index, one.region, told=False)
        return self.holds(one.when) and (inside if one.kind == "avoid" else not inside)

    def is_in(self, one: m.Range, index: int | None) -> bool:
        """Whether a precaution or normal range holds the reading."""
        return self.holds(one.when) and self.is_in_region(one.quantity, index, one.region, told=False)

    def level_for(
        self, quantity: str, index: int | None, *, eventually: bool = False, linger: bool = True
    ) -> m.Level | None:
        """The highest level of the alerts that are up and count for a limit on the quantity."""
        levels = [
            band.alert.level
            for band in self.ruleset.bands
            if band.quantity == quantity
            and band.alert is not None
            and self.applies(band, index, eventually=eventually, linger=linger)
        ]
        levels += [
            alert.alert.level
            for alert in self.ruleset.alerts
            if quantity in self.ruleset.quantities_read(alert.when) and self.alerts(alert, eventually=eventually)
        ]
        return max(levels, default=None)

    def level(self, *, eventually: bool = False, linger: bool = True) -> m.Level | None:
        """The highest level of all alerts that are up."""
        levels = [
            band.alert.level
            for band in self.ruleset.bands
            if band.alert is not None
            and any(
                self.applies(band, index, eventually=eventually, linger=linger)
                for index in self.ruleset.quantities[band.quantity].indexes
            )
        ]
        levels += [alert.alert.level for alert in self.ruleset.alerts if self.alerts(alert, eventually=eventually)]
        return max(levels, default=None)


def _unless_unknown(test: Callable[[_T], bool], one: _T) -> bool:
    """A test that counts as passed where it reads what the state does not give."""
    try:
        return test(one)
    except KeyError:
        return True
