"""Why a formula holds or does not, in words, with the values that decide it."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from alertlang.meaning.look import RunLook
from alertlang.model import ruleset as m
from alertlang.model.snapshot import formula_words
from alertlang.text.lists import listed
from alertlang.units.number import say_value, show_number

# So many values of an array are listed.
_MOST_VALUES = 8


def how_long(seconds: Fraction) -> str:
    """A time as a person says it: `30 s`, `5 min`, `4 min 30 s`."""
    minutes, rest = divmod(seconds, 60)
    if minutes < 2 and (minutes < 1 or rest):
        return f"{_decimal(seconds)} s"
    return f"{minutes} min" + (f" {_decimal(rest)} s" if rest else "")


def _decimal(number: Fraction) -> str:
    return show_number(number) if (number * 1000).denominator == 1 else f"about {show_number(round(number, 3))}"


class Because:
    """Says things about one sample of a run."""

    def __init__(self, look: RunLook) -> None:
        self.look = look
        self.ruleset = look.ruleset

    def formula(self, formula: m.Formula) -> str:
        """Why a formula is as it is: `oil_temp 80 F is not below 75 F`."""
        truth = self.look.holds(formula)
        match formula:
            case m.Compare(quantifier=None):
                return self.region(formula.quantity, formula.index, formula.region, truth)
            case m.Compare():
                return self._failed(formula, truth) if formula.region.is_failed else self._quantified(formula, truth)
            case m.SwitchIs():
                position = self.look.readings.positions.get(formula.switch)
                where = "at no known position" if position is None else position
                wanted = "" if truth or formula.negated else f", not {formula.position}"
                return f"{formula.switch} is {where}{wanted}"
            case m.ConditionIs():
                return self.condition(formula.name)
            case m.Held():
                return self._held(formula, truth)
            case m.Not():
                return self.formula(formula.part)
            case m.And():
                decisive = formula.parts if truth else [p for p in formula.parts if not self.look.holds(p)]
                return self._all(decisive)
            case m.Or():
                decisive = [p for p in formula.parts if self.look.holds(p)][:1] if truth else formula.parts
                return self._all(decisive)

    def _all(self, parts: Iterable[m.Formula]) -> str:
        return " and ".join(dict.fromkeys(self.formula(part) for part in parts))

    # ---- values

    def region(self, quantity: str, index: int | None, region: m.Region, truth: bool) -> str:
        """`rpm 2100 rpm is above 2000 rpm`, or is not."""
        unit = self.ruleset.quantities[quantity].unit
        name = m.variable(quantity, index)
        value = self.look.readings.value(quantity, index)
        if region.is_failed:
            return f"{name} has failed" if truth else f"{name} has not failed"
        if value is None:
            return f"{name} has failed"
        ends: list[str] = []
        for bound in region.moving:
            end = self.look.readings.value(bound.quantity, index)
            if end is None:
                return f"{bound.quantity} has failed"
            ends.append(f"{bound.quantity} is {say_value(end * bound.factor + bound.offset, unit)}")
        said = f"{name} {say_value(value, unit)} is {'' if truth else 'not '}{region.in_words(unit)}"
        return f"{said} ({listed(dict.fromkeys(ends))})" if ends else said

    def _quantified(self, formula: m.Compare, truth: bool) -> str:
        indexes = formula.indexes
        hits = [i for i in indexes if self.look.readings.is_in(formula.region, formula.quantity, i)]
        if formula.quantifier == "any" and truth:
            return self.region(formula.quantity, hits[0], formula.region, True)
        if formula.quantifier == "every" and not truth:
            out = next(i for i in indexes if i not in hits)
            return self.region(formula.quantity, out, formula.region, False)
        quantity = self.ruleset.quantities[formula.quantity]
        word = "every" if truth else "no"
        values = [self.look.readings.value(formula.quantity, i) for i in indexes]
        told = ["failed" if value is None else say_value(value, quantity.unit) for value in values[:_MOST_VALUES]]
        more = ", ..." if len(values) > _MOST_VALUES else ""
        return f"{word} {formula.quantity} is {formula.region.in_words(quantity.unit)} ({', '.join(told)}{more})"

    def _failed(self, formula: m.Compare, truth: bool) -> str:
        name = formula.quantity
        gone = [i for i in formula.indexes if self.look.readings.value(name, i) is None]
        if formula.quantifier == "any":
            return f"{m.variable(name, gone[0])} has failed" if truth else f"no {name} has failed"
        there = next((i for i in formula.indexes if i not in gone), None)
        return f"every {name} has failed" if there is None else f"{m.variable(name, there)} has not failed"

    # ---- time

    def _held(self, held: m.Held, truth: bool) -> str:
        lasted = self.look.held(held)
        if lasted is None:
            return self.formula(held.part)
        words = formula_words(self.ruleset, held.part)
        what = words if not isinstance(held.part, m.Not | m.Held) else f"({words})"
        said = f"{what} has held for {how_long(lasted)}"
        if held.at_least:
            return said if truth else f"{said}, not yet for {how_long(held.duration)}"
        return f"{said}, {'' if truth else 'not '}less than {how_long(held.duration)}"

    def condition(self, name: str) -> str:
        """Why a condition holds or does not, its delays and its memory with it."""
        condition, found = self.ruleset.conditions[name], self.look.condition(name)
        if found.holds:
            if not found.wanted:
                assert condition.cleared_after is not None
                waits = f"cleared after {how_long(condition.cleared_after)}, {how_long(found.lasted)} so far"
                return f"{name} still holds ({waits}: {self._undelayed(condition)})"
            return f"{name} holds ({self._undelayed(condition)})"
        if found.wanted:
            assert condition.set_after is not None
            waits = f"set after {how_long(condition.set_after)}, {how_long(found.lasted)} so far"
            return f"{name} does not hold yet ({waits})"
        return f"{name} does not hold ({self._undelayed(condition)})"

    def _undelayed(self, condition: m.Condition) -> str:
        """Why a condition is as it is but for its delays."""
        wanted = self.look.condition(condition.name).wanted
        because = self.formula(condition.formula)
        if condition.until is None or self.look.holds(condition.formula):
            return because
        if self.look.holds(condition.until):
            return self.formula(condition.until)
        if wanted:
            return f"it was set, and is not cleared: {self.formula(condition.until)}"
        return f"{because}, and it was not set before"
