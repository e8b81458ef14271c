"""What is compared: a gauge by the colour it shows, an alert by the level at which its text is up."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.comparison.canonical import rest_key
from alertlang.comparison.joint import Rule
from alertlang.comparison.joint_context import Sides, View
from alertlang.comparison.rename import Renaming
from alertlang.comparison.written import TIMES, WHAT, label_key
from alertlang.logic.terms import TRUE, Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m
from alertlang.results.comparison import Direction

# What a subject may be: a colour or nothing, a level or nothing.
Value = m.Colour | m.Level | None
Pair = tuple[Value, Value]
# A statement and the element it is looked at for.
Source = tuple[Rule, int | None]


def order(value: Value) -> int:
    """By how much it warns: nothing -1, unmarked 0, green, white and blue 1, yellow 2, red 3; levels 1 to 3."""
    if value is None:
        return -1
    return value.rank if isinstance(value, m.Colour) else int(value)


def direction(pair: Pair) -> Direction:
    before, after = order(pair[0]), order(pair[1])
    return Direction.OTHER if before == after else Direction.LESS if after < before else Direction.MORE


def word(value: Value, kind: str) -> str:
    """A colour or a level, or what there is without one."""
    if value is None:
        return "blank" if kind == "colour" else "no alert"
    return value.word


def alert_words(text: str, seen: Pair) -> tuple[str, str]:
    """What became of a text, as a sentence and in brief."""
    one, other = (word(value, "alert") for value in seen)
    if seen[1] is None:
        return f'{one} "{text}" no longer comes up', f'{one} "{text}" lost'
    if seen[0] is None:
        return f'{other} "{text}" now comes up', f'{other} "{text}" new'
    lower = "lowered" if direction(seen) is Direction.LESS else "raised"
    return f'"{text}" is {_a(other)} instead of {_a(one)}', f'{one} "{text}" {lower} to {other}'


def _a(text: str) -> str:
    return f"{'an' if text[0] in 'aeiou' else 'a'} {text}"


@dataclass(slots=True)
class ComparedSubject:
    """One thing to compare. `name` it goes by; `primary` the reading its regions are drawn over.

    `sources`: for each side the statements that make it what it is, with their elements.
    """

    kind: str
    name: str
    primary: str | None
    sources: tuple[list[Source], list[Source]]
    gauge: tuple[tuple[str | None, int | None], tuple[str | None, int | None]] | None = None
    _terms: dict[tuple[int, Value, View], Term] = field(default_factory=dict)
    _differs: dict[tuple[View, tuple[Pair, ...]], Term] = field(default_factory=dict)

    @property
    def identical(self) -> bool:
        """The same formulas on both sides, so that there is nothing to ask."""
        keys = [{(r.label, i, self._value_of(r), *_times(r)) for r, i in side} for side in self.sources]
        moved = self.gauge is not None and self.gauge[0][0] != self.gauge[1][0] and bool(keys[0] or keys[1])
        return keys[0] == keys[1] and not moved

    def _value_of(self, rule: Rule) -> Value:
        if self.kind == "colour":
            assert isinstance(rule.own, m.Band)
            return rule.own.colour
        assert rule.own.alert is not None
        return rule.own.alert.level

    def values(self, side: int) -> list[Value]:
        found = {self._value_of(rule) for rule, _ in self.sources[side]}
        return [None, *sorted(v for v in found if v is not None)]

    def pairs(self) -> list[Pair]:
        """All that may be on one side and on the other, the worst first."""
        found = [(one, other) for one in self.values(0) for other in self.values(1) if one != other]
        return sorted(found, key=lambda p: (-order(p[0]), -order(p[1]), str(p)))

    # ---- terms

    def part(self, sides: Sides, source: Source, view: View) -> Term:
        """One of its statements applies, or its alert is up."""
        rule, index = source
        return sides.applies(rule, index, view) if self.kind == "colour" else sides.up(rule, index, view)

    def term(self, sides: Sides, side: int, value: Value, view: View) -> Term:
        """It is exactly so on a side."""
        known = self._terms.get((side, value, view))
        if known is None:
            known = self._terms[side, value, view] = self._term(sides, side, value, view)
        return known

    def _term(self, sides: Sides, side: int, value: Value, view: View) -> Term:
        own, worse = [], []
        for source in self.sources[side]:
            this = self._value_of(source[0])
            assert this is not None
            if this == value:
                own.append(self.part(sides, source, view))
            elif value is None or int(this) > int(value):
                worse.append(self.part(sides, source, view))
        shown = TRUE if value is None else disjunction(own)
        return both(shown, negate(disjunction(worse)))

    def differs(self, sides: Sides, pairs: Iterable[Pair], view: View) -> Term:
        """It is one of these on the first and the other on the second side."""
        key = view, tuple(pairs)
        known = self._differs.get(key)
        if known is None:
            known = self._differs[key] = disjunction(
                both(self.term(sides, 0, one, view), self.term(sides, 1, other, view)) for one, other in key[1]
            )
        return known

    def seen(self, sides: Sides, joint: Instant, view: View) -> Pair:
        """What it is on either side in a steady state, by the reference evaluator."""
        own = sides.instants(joint, view)
        found: list[Value] = []
        for side in (0, 1):
            if self.gauge is not None:
                found.append(self._colour(sides, side, own[side]))
                continue
            up = [self._value_of(rule) for rule, index in self.sources[side] if sides.applied(rule, index, own[side])]
            found.append(max((v for v in up if v is not None), default=None, key=order))
        return found[0], found[1]

    def _colour(self, sides: Sides, side: int, own: Instant) -> Value:
        """By all bands of the gauge that the rule set itself has, not by those it was asked about."""
        place = self.place(sides, side)
        return None if place is None else own.colour(*place, eventually=True, linger=False)

    def place(self, sides: Sides, side: int) -> tuple[str, int | None] | None:
        """A gauge and its element by a side's own name; none if the side does not have it."""
        assert self.gauge is not None
        joint_name, index = self.gauge[side]
        if joint_name is None or side == 0:
            return None if joint_name is None else (joint_name, index)
        names = sides.joint.names
        return next(n for n in names.quantities if names.gauge(n) == joint_name), index

    def shown(self, sides: Sides, side: int, shown: Shown) -> Value:
        """What it is at a sample of a recording, by the reference stepper."""
        if self.gauge is not None:
            place = self.place(sides, side)
            return None if place is None else shown.colours[place]
        up = [shown.alerts.get((rule.own.label, self._own_index(rule, index))) for rule, index in self.sources[side]]
        return max((text.level for text in up if text is not None), default=None)

    def _own_index(self, rule: Rule, index: int | None) -> int | None:
        return None if isinstance(rule.own, m.Alert) else index

    # ---- times

    def delay(self, rule: Rule) -> Fraction:
        """Seconds from when a statement's rest holds until it shows."""
        held = rule.own.held or Fraction(0)
        return held if self.kind == "colour" else held + (rule.own.after or Fraction(0))

    def within(self, sides: Sides, side: int, least: int, seconds: Fraction | None, view: View) -> Term:
        """In a steady state something at least so bad shows within so many seconds (none: at all)."""
        return disjunction(
            sides.applies(rule, index, view)
            for rule, index in self.sources[side]
            if order(self._value_of(rule)) >= least and (seconds is None or self.delay(rule) <= seconds)
        )

    def soonest(self, sides: Sides, side: int, least: int, joint: Instant, view: View) -> Fraction | None:
        """The same by the reference evaluator: after how many seconds."""
        own = sides.instants(joint, view)[side]
        found = [
            self.delay(rule)
            for rule, index in self.sources[side]
            if order(self._value_of(rule)) >= least and sides.applied(rule, index, own)
        ]
        return min(found, default=None)

    def mentions(
        self, sides: Sides, on: Callable[[int, Rule, int | None], tuple[bool, ...]]
    ) -> frozenset[tuple[str, str]]:
        """The statements that make a difference where `on` says of each whether it applies (and its alert is up)."""
        states: dict[str, list[set[object]]] = {}
        names = sides.joint.first_labels
        for side in (0, 1):
            for rule, index in self.sources[side]:
                label = names.get(rule.own.label, rule.own.label) if side else rule.own.label
                key = states.setdefault(label_key(label), [set(), set()])
                state = on(side, rule, index)
                if any(state):
                    key[side].add((index, self._value_of(rule), state))
        return frozenset((key, part) for key, (one, other) in states.items() if one != other for part in (WHAT, TIMES))

    def delays(self, sides: Sides) -> list[str]:
        """If nothing differs but delays of conditions: which ones, by their joint names."""
        joint = sides.joint
        if not joint.delays:
            return []
        back = Renaming(conditions=dict(joint.delays))
        keys = []
        for side in self.sources:
            key = [(rest_key(back.rule(r.joint, r.label)), i, self._value_of(r), *_times(r)) for r, i in side]
            keys.append(sorted(key, key=str))
        if keys[0] != keys[1]:
            return []
        read = [f for rule, _ in self.sources[1] for f in (rule.joint.when, rule.joint.unless)]
        return sorted(sides.ruleset.conditions_read(*read) & set(joint.delays))

    def goes_by_time(self, sides: Sides) -> bool:
        """Something in it goes by time, so that an open view can differ from a steady one."""
        rules = sides.ruleset
        for side in self.sources:
            for rule, _ in side:
                one = rule.joint
                if rule.own.held or rule.own.after or rule.own.latched:
                    return True
                if isinstance(one, m.Band) and rules.quantities[one.quantity].deadband is not None:
                    return True
                read = [rules.conditions[name] for name in sorted(rules.conditions_read(one.when, one.unless))]
                formulas = [
                    f for f in (one.when, one.unless, *(part for c in read for part in c.parts)) if f is not None
                ]
                if any(c.is_delayed for c in read) or any(
                    isinstance(p, m.Held) for f in formulas for p in m.parts_of(f)
                ):
                    return True
        return False


def _times(rule: Rule) -> tuple[object, ...]:
    one = rule.own
    return one.held, one.in_total, one.after, one.latched


# ---- all of them


def gauges(sides: Sides) -> list[ComparedSubject]:
    """Every gauge of either side, array by element where the elements may differ."""
    found: list[ComparedSubject] = []
    rules = sides.ruleset
    for name, (first, second) in sides.joint.gauges.items():
        either = first or second
        assert either is not None
        # Elements that one side alone has are told as such.
        indexes = dict.fromkeys(
            i
            for q in (first, second)
            if q is not None
            for i in rules.elements(q)
            if all(p is None or sides.joint.has(side, p, i) for side, p in enumerate((first, second)))
        )
        for index in indexes:
            sources: tuple[list[Source], list[Source]] = ([], [])
            for side, quantity in enumerate((first, second)):
                for rule in sides.bands(side, quantity):
                    assert isinstance(rule.joint, m.Band)
                    if rule.joint.index in {None, index}:
                        sources[side].append((rule, index))
            said = m.variable(name, index) if len(indexes) > 1 else name
            primary = sides.encoder.names.reading(either, index, sides.encoder.mode)
            found.append(ComparedSubject("colour", said, primary, sources, ((first, index), (second, index))))
    return found


def alerts(sides: Sides) -> list[ComparedSubject]:
    """Every text that can come up on either side. A statement that was only worded anew goes by its old words."""
    old = _old_texts(sides)
    found: dict[str, tuple[list[Source], list[Source]]] = {}
    for side in (0, 1):
        for rule in sides.sides[side]:
            if rule.own.alert is None:
                continue
            text = old.get(rule.own.label, rule.own.alert.text) if side == 1 else rule.own.alert.text
            for index in _elements(sides, side, rule, text):
                filled = text if index is None else text.replace("{n}", str(index))
                found.setdefault(filled, ([], []))[side].append((rule, index))
    return [ComparedSubject("alert", text, _primary(sides, sources), sources) for text, sources in found.items()]


def _elements(sides: Sides, side: int, rule: Rule, text: str) -> tuple[int | None, ...]:
    """Each element that raises a text of its own; where they share one, all of them."""
    if isinstance(rule.joint, m.Alert):
        return (None,)
    if rule.joint.index is not None:
        return (rule.joint.index,)
    quantity = rule.joint.quantity
    sizes = {sides.joint.size(number, quantity) for number in (0, 1)}
    indexes = tuple(i for i in sides.ruleset.quantities[quantity].indexes if sides.joint.has(side, quantity, i))
    alike = "{n}" in text and len(sizes) == 1
    return sides.ruleset.elements(quantity) if alike else indexes


def _primary(sides: Sides, sources: tuple[list[Source], list[Source]]) -> str | None:
    """The one reading that all its bands are about."""
    names = set()
    for rule, index in (*sources[0], *sources[1]):
        names.add((rule.joint.quantity, index) if isinstance(rule.joint, m.Band) else None)
    if len(names) != 1 or None in names:
        return None
    pair = next(iter(names))
    assert pair is not None
    return sides.encoder.names.reading(pair[0], pair[1], sides.encoder.mode)


def _old_texts(sides: Sides) -> dict[str, str]:
    """By the labels of statements of the second side, what they said on the first."""
    return {
        theirs.own.label: mine.own.alert.text
        for mine, theirs in sides.joint.counterparts
        if mine.own.alert is not None and theirs.own.alert is not None
    }


def reworded(sides: Sides) -> dict[tuple[str, str], list[str]]:
    """Texts that a statement had before and has otherwise now, with the first labels of these statements."""
    found: dict[tuple[str, str], list[str]] = {}
    for mine, theirs in sides.joint.counterparts:
        if mine.own.alert is not None and theirs.own.alert is not None:
            text, new = mine.own.alert.text, theirs.own.alert.text
            if text != new:
                found.setdefault((text, new), []).append(mine.own.label)
    return found
