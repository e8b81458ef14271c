"""What is compared: a gauge by the colour it shows, an alert by the level at which its text is up."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.comparison.joint import Rule
from alertlang.comparison.sides import Sides, View
from alertlang.diagnostics.comparison import Direction
from alertlang.logic.terms import TRUE, Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m

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


@dataclass(slots=True)
class Subject:
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

    def _part(self, sides: Sides, source: Source, view: View) -> Term:
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
                own.append(self._part(sides, source, view))
            elif value is None or int(this) > int(value):
                worse.append(self._part(sides, source, view))
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
        """What it is on either side, by the reference evaluator."""
        own = sides.instants(joint, view)
        found: list[Value] = []
        for side in (0, 1):
            if self.gauge is not None:
                found.append(self._colour(sides, side, own[side], view))
                continue
            up = [
                self._value_of(rule)
                for rule, index in self.sources[side]
                if sides.is_up(rule, index, own[side], joint, view)
            ]
            found.append(max((v for v in up if v is not None), default=None, key=order))
        return found[0], found[1]

    def _colour(self, sides: Sides, side: int, own: Instant, view: View) -> Value:
        """By all bands of the gauge that the rule set itself has, not by those it was asked about."""
        assert self.gauge is not None
        joint_name, index = self.gauge[side]
        if joint_name is None:
            return None
        name = joint_name
        if side == 1:
            name = next(n for n, j in sides.joint.names.quantities.items() if j == joint_name)
        return own.colour(name, index, eventually=view.steady, linger=not view.steady)

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
            if order(self._value_of(rule)) >= least and sides.applied(rule, index, own, view)
        ]
        return min(found, default=None)

    @property
    def has_clock(self) -> bool:
        """Something in it goes by time, so that an open view can differ from a steady one."""
        return any(r.own.held or r.own.after or r.own.latched for side in self.sources for r, _ in side)


def _times(rule: Rule) -> tuple[object, ...]:
    one = rule.own
    return one.held, one.in_total, one.after, one.latched


# ---- all of them


def gauges(sides: Sides) -> list[Subject]:
    """Every gauge of either side, array by element where the elements may differ."""
    found: list[Subject] = []
    rules = sides.ruleset
    for name, (first, second) in sides.joint.gauges.items():
        either = first or second
        assert either is not None
        indexes = dict.fromkeys(i for q in (first, second) if q is not None for i in rules.elements(q))
        for index in indexes:
            sources: tuple[list[Source], list[Source]] = ([], [])
            for side, quantity in enumerate((first, second)):
                for rule in sides.bands(side, quantity):
                    assert isinstance(rule.joint, m.Band)
                    if rule.joint.index in {None, index}:
                        sources[side].append((rule, index))
            said = m.variable(name, index) if len(indexes) > 1 else name
            primary = sides.encoder.names.reading(either, index, sides.encoder.mode)
            found.append(Subject("colour", said, primary, sources, ((first, index), (second, index))))
    return found


def alerts(sides: Sides) -> list[Subject]:
    """Every text that can come up on either side; a text that was only worded anew goes by its old words."""
    old = {new: text for text, new in reworded(sides)}
    found: dict[str, tuple[list[Source], list[Source]]] = {}
    for side in (0, 1):
        for rule in sides.sides[side]:
            if rule.own.alert is None:
                continue
            text = rule.own.alert.text
            text = old.get(text, text) if side == 1 else text
            for index in _elements(sides, rule, text):
                filled = text if index is None else text.replace("{n}", str(index))
                found.setdefault(filled, ([], []))[side].append((rule, index))
    return [Subject("alert", text, _primary(sides, sources), sources) for text, sources in found.items()]


def _elements(sides: Sides, rule: Rule, text: str) -> tuple[int | None, ...]:
    """Each element that raises a text of its own; where they share one, all of them."""
    if isinstance(rule.joint, m.Alert):
        return (None,)
    if rule.joint.index is not None:
        return (rule.joint.index,)
    quantity = rule.joint.quantity
    return sides.ruleset.elements(quantity) if "{n}" in text else sides.ruleset.quantities[quantity].indexes


def _primary(sides: Sides, sources: tuple[list[Source], list[Source]]) -> str | None:
    """The one reading that all its bands are about."""
    names = set()
    for rule, index in (*sources[0], *sources[1]):
        names.add((rule.joint.quantity, index) if isinstance(rule.joint, m.Band) else None)
    if len(names) != 1 or None in names:
        return None
    one = next(iter(names))
    assert one is not None
    return sides.encoder.names.reading(one[0], one[1], sides.encoder.mode)


def reworded(sides: Sides) -> list[tuple[str, str]]:
    """Texts that one statement had before and has otherwise now, if nothing else says either of them."""
    texts = [{r.own.alert.text for r in side if r.own.alert is not None} for side in sides.sides]
    by_label = {r.own.label: r for r in sides.sides[0]}
    pairs = [*sides.joint.pairs]
    paired = {other.own.label for _, other in pairs}
    for rule in sides.sides[1]:
        mine = by_label.get(rule.own.label)
        if mine is not None and rule.own.label not in paired and type(mine.own) is type(rule.own):
            pairs.append((mine, rule))
    found: dict[str, str] = {}
    for mine, theirs in pairs:
        if mine.own.alert is None or theirs.own.alert is None:
            continue
        text, new = mine.own.alert.text, theirs.own.alert.text
        replaced = text not in texts[1] and new not in texts[0] and ("{n}" in text) == ("{n}" in new)
        if text != new and replaced and text not in found and new not in found.values():
            found[text] = new
    return list(found.items())
