"""Which alerts are news where time, memory and derived readings come in, told anew state by state.

For rule sets over `q` and `r` from 0 to 15, a switch `s`, all numbers multiples of 5, perhaps `let d = q - r` or
`let top = r + 5` as a moving end. The values that are tried stand for all: between any two of the numbers, of the
differences and of the moving ends.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product

from alertlang.model import ruleset as m
from tests.helpers.cells import inside, subformulas

# `r` takes numbers and middles, `q` also what lies between these.
R_VALUES = [Fraction(n, 2) for n in range(0, 31, 5)]
Q_VALUES = [Fraction(n, 4) for n in range(0, 61, 5)]


@dataclass(frozen=True)
class Told:
    """One state: `memory` of the condition with `until`, and whether `part` of `lasting` has lasted."""

    q: Fraction
    r: Fraction
    s: str
    memory: bool
    lasting: bool


class Everything:
    """All states of a rule set, and what it says in each."""

    def __init__(self, rules: m.RuleSet) -> None:
        self.rules = rules
        states = (Told(*one) for one in product(Q_VALUES, R_VALUES, ("off", "on"), (False, True), (False, True)))
        self.states = [one for one in states if self.is_possible(one)]

    # ---- one state

    def value(self, name: str, one: Told) -> Fraction:
        return {"q": one.q, "r": one.r, "d": one.q - one.r, "top": one.r + 5}[name]

    def is_in(self, name: str, region: m.Region, one: Told) -> bool:
        ends = [self.value(b.quantity, one) if isinstance(b, m.Moving) else b for b in region.bounds]
        numbers = replace(region, first=ends[0], second=ends[1] if len(ends) == 2 else None)
        return inside(numbers, self.value(name, one))

    def holds(self, formula: m.Formula | None, one: Told) -> bool:
        match formula:
            case None:
                return True
            case m.Compare():
                return self.is_in(formula.quantity, formula.region, one)
            case m.SwitchIs():
                return (one.s == formula.position) is not formula.negated
            case m.Not():
                return not self.holds(formula.part, one)
            case m.And():
                return all(self.holds(part, one) for part in formula.parts)
            case m.Or():
                return any(self.holds(part, one) for part in formula.parts)
            case m.Held():
                return self.holds(formula.part, one) and one.lasting is formula.at_least
            case m.ConditionIs():
                condition = self.rules.conditions[formula.name]
                return one.memory if condition.until is not None else self.holds(condition.formula, one)
        raise AssertionError(formula)

    def parts(self) -> Iterator[m.Held]:
        for condition in self.rules.conditions.values():
            yield from (part for part in subformulas(condition.formula) if isinstance(part, m.Held))

    def is_possible(self, one: Told) -> bool:
        for condition in self.rules.conditions.values():
            if condition.until is not None:
                is_set = self.holds(condition.formula, one)
                if (is_set and not one.memory) or (not is_set and self.holds(condition.until, one) and one.memory):
                    return False
        if one.lasting and not all(self.holds(part.part, one) for part in self.parts()):
            return False
        return all(not self.holds(a.when, one) or self.holds(a.formula, one) for a in self.rules.assumptions)

    # ---- beside it

    def reads(self, formula: m.Formula | None, moved: set[str]) -> bool:
        made_of = {"d": {"q", "r"}, "top": {"r"}}
        for part in subformulas(formula):
            if isinstance(part, m.Compare):
                names = {part.quantity, *(b.quantity for b in part.region.bounds if isinstance(b, m.Moving))}
                if any(moved & made_of.get(name, {name}) for name in names):
                    return True
            if isinstance(part, m.Held) and self.reads(part.part, moved):
                return True
            if isinstance(part, m.ConditionIs):
                condition = self.rules.conditions[part.name]
                if self.reads(condition.formula, moved) or self.reads(condition.until, moved):
                    return True
        return False

    def beside(self, one: Told, moved: set[str]) -> Iterator[Told]:
        """Every state that differs in what is moved, whatever becomes of it."""
        for q in Q_VALUES:
            for r in R_VALUES if "r" in moved else (one.r,):
                there = replace(one, q=q, r=r)
                # `lasting` is not built on `memory`, nor the other way round.
                if not all(self.holds(part.part, there) for part in self.parts()):
                    there = replace(there, lasting=False)
                for condition in self.rules.conditions.values():
                    if condition.until is not None:
                        is_set, clears = self.holds(condition.formula, there), self.holds(condition.until, there)
                        stays = not self.reads(condition.formula, moved) and one.memory and not clears
                        there = replace(there, memory=is_set or stays)
                if self.keeps(there):
                    yield there

    def keeps(self, one: Told) -> bool:
        return all(not self.holds(a.when, one) or self.holds(a.formula, one) for a in self.rules.assumptions)

    # ---- statements

    def broken(self, limit: m.Range, one: Told) -> bool:
        return self.holds(limit.when, one) and self.is_in(limit.quantity, limit.region, one) is (limit.kind == "avoid")

    def ends(self, limit: m.Range, one: Told) -> set[int]:
        """The ends at which a limit is broken."""
        if not self.broken(limit, one):
            return set()
        own = limit.kind == "avoid"
        if limit.region.second is None or limit.region.kind.outside is not own:
            return {0}
        low, high = (self.value(b.quantity, one) if isinstance(b, m.Moving) else b for b in limit.region.bounds)
        value = self.value(limit.quantity, one)
        at = (limit.region.kind.low is own, limit.region.kind.high is own)
        wrongs = value < low or (at[0] and value == low), value > high or (at[1] and value == high)
        return {end for end, wrong in enumerate(wrongs) if wrong}

    def context(self, rule: m.Band | m.Alert, one: Told) -> bool:
        return self.holds(rule.when, one) and not (rule.unless is not None and self.holds(rule.unless, one))

    def up(self, rule: m.Band | m.Alert, one: Told) -> bool:
        """Whatever the time."""
        return self.context(rule, one) and (isinstance(rule, m.Alert) or self.is_in(rule.quantity, rule.region, one))

    def shown(self, names: set[str], one: Told) -> int:
        """The worst colour of some readings beside a state, 3 for red and 2 for yellow: what waits has not waited."""
        rank = {"red": 3, "yellow": 2}
        here = (b for b in self.rules.bands if b.quantity in names and not b.held and self.up(b, one))
        return max((rank.get(b.colour.word, 1) for b in here), default=0)

    # ---- the answer

    def silent(self, limit: m.Range) -> list[Told]:
        """The states that break a limit without an alert that counts."""
        moved = {"d": {"q", "r"}}.get(limit.quantity, {limit.quantity})
        looked_at = {limit.quantity, *moved}
        loud = [
            rule
            for rule in self.rules.rules
            if rule.alert is not None
            and limit.needs is not None
            and rule.alert.level >= limit.needs
            and (
                rule.quantity == limit.quantity
                if isinstance(rule, m.Band)
                else limit.quantity in self.rules.quantities_read(rule.when)
            )
        ]
        always = {
            (rule.label, end): all(self.up(rule, t) for t in self.memoryless(moved) if end in self.ends(limit, t))
            for rule in loud
            for end in (0, 1)
        }
        normal = [t for t in self.memoryless(moved) if self.is_normal(limit.quantity, t)]
        outside = {rule.label: bool(normal) and not any(self.up(rule, t) for t in normal) for rule in loud}
        found: list[Told] = []
        known: dict[Told, tuple[list[Told], list[Told], list[Told], list[Told]]] = {}
        for one in self.states:
            ends = self.ends(limit, one)
            if not ends:
                continue
            # What is beside a state does not depend on what is moved.
            same = replace(one, q=Q_VALUES[0], r=R_VALUES[0] if "r" in moved else one.r)
            if same not in known:
                there = list(self.beside(one, moved))
                kept = [t for t in there if self.is_fine(limit, looked_at, t) and self.shown(looked_at, t) < 3]
                calm = [t for t in kept if self.shown(looked_at, t) < 2]
                known[same] = there, kept, calm, [t for t in calm if self.is_normal(limit.quantity, t)]
            there, kept, calm, in_normal = known[same]

            counting = False
            for rule in loud:
                if not self.up(rule, one):
                    continue
                # An alert that waits and reads what is moved has not waited long enough.
                counting |= bool(rule.held) or not any(self.up(rule, t) for t in calm or kept)
                some_normal = any(self.is_normal(limit.quantity, t) for t in there)
                counting |= all(
                    (
                        outside[rule.label]
                        and some_normal
                        and all(self.up(rule, t) for t in there if end in self.ends(limit, t))
                    )
                    or (always[rule.label, end] and any(not self.up(rule, t) for t in in_normal or calm))
                    for end in ends
                )
            if not counting:
                found.append(one)
        return found

    def memoryless(self, moved: set[str]) -> list[Told]:
        """All states in which a memory of what is moved is as its set part."""
        found = []
        for one in self.states:
            for condition in self.rules.conditions.values():
                if condition.until is not None and self.reads(condition.formula, moved):
                    one = replace(one, memory=self.holds(condition.formula, one))
            if self.is_possible(one):
                found.append(one)
        return found

    def is_normal(self, quantity: str, one: Told) -> bool:
        here = (n for n in self.rules.ranges if n.kind == "normal" and n.quantity == quantity)
        return any(self.holds(n.when, one) and self.is_in(quantity, n.region, one) for n in here)

    def is_fine(self, limit: m.Range, looked_at: set[str], one: Told) -> bool:
        return not any(
            self.broken(other, one)
            for other in self.rules.ranges
            if other.kind in {"limit", "avoid"} and other.quantity in looked_at
            if other is limit or not other.except_for
        )
