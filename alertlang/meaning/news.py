"""Whether an alert is news where something is wrong with a reading, told plainly.

An alert is old in such a state if it is up already in another one that differs in that reading alone and in which
nothing is wrong with it. An old alert counts all the same if it is a guard that comes early. What must be so of every
value of the reading is told of those that are given.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.model.changed_readings import ChangedReadings, behind
from alertlang.model.reading import ReadingId

Values = Mapping[str, Fraction]


def moved(instant: Instant, values: Values) -> Instant:
    """The state with other values of some readings. Every open truth stays as it is where that is possible; but a
    condition that is set by what reads one of them is as its set part, what reads one of them has not lasted long
    enough for its `for more than`, and no deadband keeps anything."""
    rules = instant.ruleset
    changed = ChangedReadings(rules, frozenset(values))
    flags = dict(instant.state.flags)
    # What is derived is worked out anew.
    given = {n: v for n, v in instant.state.readings.items() if not rules.quantities[ReadingId(n).quantity].is_computed}
    there = Instant(rules, State({**given, **values}, instant.state.positions, flags), instant.mode)
    # What is told may have open truths of its own, beside those of what there is.
    for told in {s.PLAIN: there.in_mode(s.PLAIN), instant.mode: there}.values():
        _carry_over(told, changed, flags)
    return there


def _carry_over(there: Instant, changed: ChangedReadings, flags: dict[str, bool]) -> None:
    """What becomes of the open truths, in one mode; `flags` are those of the state."""
    rules, mode = there.ruleset, there.mode
    for rule in rules.rules:
        for index in rules.indexes_of(rule):
            if rule.held is not None and changed.read_by_rule(rule, index):
                flags[s.elapsed_flag(rules, rule, index, mode)] = False
            if isinstance(rule, m.Band):
                flags[s.lingers_flag(rules, rule, index, mode)] = False
    for name in _in_order(rules):
        condition = rules.conditions[name]
        if condition.until is None:
            continue
        flag = s.until_flag(rules, name, mode)
        if changed.read_by(condition.formula):
            flags[flag] = there.holds(condition.formula)
        elif flag in flags:
            flags[flag] = there.holds(condition.formula) or (flags[flag] and not there.holds(condition.until))
    for held in rules.held:
        flag = s.held_flag(rules, held, mode)
        if flag in flags:
            flags[flag] = flags[flag] and there.holds(held.part)


def _in_order(rules: m.RuleSet) -> list[str]:
    """Conditions, each after those that it reads."""
    return sorted(rules.conditions, key=lambda name: len(rules.conditions_read(*rules.conditions[name].parts)))


@dataclass(frozen=True, slots=True)
class NewsSubject:
    """What may be wrong with a reading.

    `own`: the limit, if it is one. `ends`: of each side on which it can be broken whether it is.
    """

    quantity: str
    index: int | None
    own: m.Range | None
    ends: tuple[Callable[[Instant], bool], ...]

    # ---- states in which nothing is wrong

    def is_kept(self, there: Instant) -> bool:
        """A possible state in which no limit is broken on the reading or on one it is worked out from. The time that
        another limit allows has just begun."""
        if not _is_possible(there):
            return False
        for name, index in self.readings(there.ruleset):
            for declared in there.ruleset.ranges:
                counts = declared.quantity == name and declared.index in {None, index} and declared.forbids
                if (
                    counts
                    and (declared is self.own or not declared.except_for)
                    and there.in_mode(s.PLAIN).violates(declared, index)
                ):
                    return False
        return True

    def is_below(self, there: Instant, colour: m.Colour) -> bool:
        """Whether the gauges of these readings show no colour as bad as that."""
        shown = [there.colour(name, index, linger=False) for name, index in self.readings(there.ruleset)]
        return all(one is None or one < colour for one in shown)

    def is_calm(self, there: Instant) -> bool:
        return self.is_kept(there) and self.is_below(there, m.Colour.YELLOW)

    def readings(self, rules: m.RuleSet) -> list[tuple[str, int | None]]:
        """The reading itself, then those that it is worked out from."""
        changed = behind(rules, self.quantity, self.index)
        found = [(self.quantity, self.index)]
        found += [(q.name, i) for q in rules.quantities.values() for i in q.indexes if m.variable(q.name, i) in changed]
        return list(dict.fromkeys(found))

    # ---- what is told of an alert

    def already(
        self, instant: Instant, rule: m.Rule, others: Iterable[Values], *, yellow: bool = False
    ) -> Values | None:
        """Values, of some, at which it is up although nothing is wrong; none if it is not old. Yellow is allowed there
        only if none of the others is without, or if it is said so."""
        there = [(values, moved(instant, values)) for values in others]
        fine = [(values, one) for values, one in there if self.is_kept(one) and self.is_below(one, m.Colour.RED)]
        calm = [(values, one) for values, one in fine if self.is_below(one, m.Colour.YELLOW)]
        looked_at = [*calm, *fine] if yellow else calm or fine
        return next((values for values, one in looked_at if one.applies(rule, self.index, linger=False)), None)

    def is_down_below(self, instant: Instant, rule: m.Rule, others: Iterable[Values]) -> bool:
        """Whether it is down at some calm value: of those in a normal range, where there are any."""
        calm = [there for there in (moved(instant, other) for other in others) if self.is_calm(there)]
        normal = [there for there in calm if self.is_normal(there)]
        return any(not there.applies(rule, self.index, eventually=True, linger=False) for there in normal or calm)

    def is_normal(self, there: Instant) -> bool:
        """Whether a normal range holds the reading."""
        return any(
            declared.kind is m.RangeKind.NORMAL
            and declared.quantity == self.quantity
            and declared.index in {None, self.index}
            and there.in_mode(s.PLAIN).is_in(declared, self.index)
            for declared in there.ruleset.ranges
        )  # fmt: skip

    def has_normal(self, instant: Instant, others: Iterable[Values]) -> bool:
        """Whether a normal range holds the reading at some of these values."""
        there = (moved(instant, values) for values in others)
        return any(_is_possible(one) and self.is_normal(one) for one in there)

    def comes_at(self, instant: Instant, rule: m.Rule, end: int, others: Iterable[Values]) -> bool:
        """Whether it is up at every one of some values at which something is wrong at an end."""
        there = [moved(instant, values) for values in others]
        return all(
            one.applies(rule, self.index, eventually=True, linger=False)
            for one in there
            if _is_possible(one) and self.ends[end](one)
        )


def _is_possible(there: Instant) -> bool:
    return there.is_possible() and there.in_mode(s.PLAIN).is_possible()
