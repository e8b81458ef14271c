"""From the tree to pieces: values, regions, formulas and expressions."""

from __future__ import annotations

from fractions import Fraction
from typing import assert_never

from alertlang.format.pieces import FORMULA, GLUED, OPENED, SPACE, TIGHT, Line
from alertlang.syntax import tree as t
from alertlang.units.number import show_number

_ONE_SIDED = {"below": "below", "above": "above", "at_most": "at most", "at_least": "at least"}
_TWO_SIDED = {"within": "from", "outside": "outside"}

# From what binds last to what binds first; what stands inside another needs parentheses if it binds later than that
# one asks for. (`not` is before `for at least` because `not x for at least D` is not in the language.)
_OR, _AND, _HELD, _NOT, _ATOM = range(5)

# Words for several of a thing, and for one.
ONE = {
    "bands": "band",
    "contexts": "context",
    "timers": "timer",
    "alerts": "alert",
    "lamps": "lamp",
    "characters": "character",
    "channels": "channel",
}


def of_one_or_more(what: str, number: Fraction) -> str:
    """For example `8 bands per quantity`, `1 band per quantity`: the words after the number."""
    first, *rest = what.split()
    return " ".join([ONE[first], *rest]) if number == 1 else what


class PartPrinter(Line):
    """Puts the parts of statements. A node it does not know raises AssertionError: nothing is ever left out."""

    def word(self, word: t.Word | None) -> None:
        if word is not None:
            self.put(word.text)

    def text(self, word: t.Word | None) -> None:
        if word is not None:
            self.put(f'"{word.text}"')

    def number(self, number: Fraction, gap: int = SPACE) -> None:
        """Digits, exactly. ValueError for a fraction, which the language cannot write; text never gives one."""
        shown = show_number(number)
        if "/" in shown:
            raise ValueError(f"{shown} cannot be written as a decimal")
        if number < 0:
            self.put("-", gap)
            gap = GLUED
        self.put(shown.removeprefix("-"), gap, is_number=True)

    def value(self, value: t.Value, *, with_unit: bool = True) -> None:
        self.number(value.number)
        if value.unit is not None and with_unit:
            self.put(value.unit.text, TIGHT)

    def ends(self, low: t.Bound, high: t.Bound) -> None:
        """`X to Y`: one unit, after Y, serves both."""
        shared = isinstance(low, t.Value) and isinstance(high, t.Value) and low.unit == high.unit
        self.bound(low, with_unit=not shared)
        self.put("to")
        self.bound(high)

    def bound(self, bound: t.Bound, *, with_unit: bool = True) -> None:
        match bound:
            case t.Value():
                self.value(bound, with_unit=with_unit)
            case t.Word():
                self.word(bound)
            case _:
                assert_never(bound)

    def subject(self, subject: t.Subject) -> None:
        self.word(subject.name)
        if subject.index is not None:
            self.element(subject.index)

    def element(self, index: t.Value) -> None:
        """An index or a size, in its brackets."""
        self.put("[", GLUED)
        self.number(index.number, GLUED)
        self.put("]", GLUED)

    def region(self, region: t.Region) -> None:
        if region.kind == "failed":
            self.put("failed")
        elif region.second is None:
            self.put(_ONE_SIDED[region.kind])
            self.bound(region.first)
        else:
            self.put(_TWO_SIDED[region.kind])
            self.ends(region.first, region.second)

    # ---- formulas: `or` of `and` of `not` of the rest

    def formula(self, node: t.Formula, depth: int = FORMULA) -> None:
        match node:
            case t.Named():
                self.subject(node.subject)
            case t.Compare():
                self._quantifier(node.quantifier)
                self.subject(node.subject)
                self.region(node.region)
            case t.Failed():
                self._quantifier(node.quantifier)
                self.subject(node.subject)
                self.put("failed")
            case t.IsAt():
                self.subject(node.subject)
                self.put("is")
                if node.negated:
                    self.put("not")
                self.word(node.position)
            case t.Not():
                self.put("not")
                self._within(node.part, _NOT, depth)
            case t.And():
                self._several("and", node.parts, _HELD, depth)
            case t.Or():
                self._several("or", node.parts, _AND, depth)
            case t.Held():
                self._within(node.part, _ATOM, depth)
                self.put("for at least" if node.at_least else "for less than")
                self.value(node.duration)
            case _:
                assert_never(node)

    def _several(self, word: str, parts: tuple[t.Formula, ...], least: int, depth: int) -> None:
        for i, part in enumerate(parts):
            if i > 0:
                self.put(word, depth)
            self._within(part, least, depth + 1)

    def _within(self, node: t.Formula, least: int, depth: int) -> None:
        if _strength(node) >= least:
            self.formula(node, depth)
            return
        self.put("(")
        self.gap(OPENED)
        self.formula(node, depth + 1)
        self.put(")", GLUED)

    def _quantifier(self, word: str | None) -> None:
        if word is not None:
            self.put(word)

    # ---- expressions

    def expression(self, node: t.Expression, depth: int = FORMULA) -> None:
        match node:
            case t.Constant():
                self.value(node.value)
            case t.Read():
                self.subject(node.subject)
            case t.Statistic():
                self.put(node.kind)
                self.put("of")
                self.subject(node.subject)
            case t.Trend():
                self.put(node.kind)
                self.put("of")
                self.subject(node.subject)
                self.put("per")
                self.word(node.per)
            case t.Arithmetic():
                # Left to right, * and / before + and -.
                weak = node.operator in "+-"
                self._operand(node.left, depth, apart=not weak and _is_sum(node.left))
                self.put(node.operator, depth if weak else depth + 1)
                right = node.right
                self._operand(right, depth, apart=_is_sum(right) or (not weak and isinstance(right, t.Arithmetic)))
            case _:
                assert_never(node)

    def _operand(self, node: t.Expression, depth: int, *, apart: bool) -> None:
        if not apart:
            self.expression(node, depth)
            return
        self.put("(")
        self.gap(OPENED)
        self.expression(node, depth + 2)
        self.put(")", GLUED)


def _strength(node: t.Formula) -> int:
    match node:
        case t.Or():
            return _OR
        case t.And():
            return _AND
        case t.Held():
            return _HELD
        case t.Not():
            return _NOT
        case _:
            return _ATOM


def _is_sum(node: t.Expression) -> bool:
    return isinstance(node, t.Arithmetic) and node.operator in "+-"
