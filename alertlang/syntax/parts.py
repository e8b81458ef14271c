"""From Lark's reductions to the tree: names, values, regions, formulas and expressions."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from lark import Token
from lark.tree import Meta
from lark.visitors import Transformer_NonRecursive, v_args

from alertlang.syntax import tree as t
from alertlang.text.source import Source, Span
from alertlang.units.number import parse_number

Children = list[Any]
Build = Callable[..., Any]
"""Builds what one rule of the grammar stands for: (builder, where it stands, what it is made of)."""

# ---- what most rules are built by


def node(kind: Callable[..., t.Node], *places: int) -> Build:
    """A node of what stands in some places."""

    def build(self: Parts, meta: Meta, c: Children) -> t.Node:
        return kind(self._span(meta), *(self._plain(c[place]) for place in places))

    return build


def only(place: int) -> Build:
    """What stands in one place."""
    return lambda self, _, c: self._plain(c[place])


def clause(name: str, place: int = 1) -> Build:
    """The same, by the name of its clause."""
    return lambda self, _, c: (name, self._plain(c[place]))


def text(_: Parts, __: Meta, c: Children) -> str:
    """Words as they are written."""
    return " ".join(map(str, c))


def every_other(start: int) -> Build:
    """The parts of a list, without what stands between them."""
    return lambda _, __, c: tuple(c[start::2])


def _one_sided(kind: str) -> Build:
    return lambda self, meta, c: t.RegionNode(self._span(meta), kind, self._plain(c[1]))


def _two_sided(kind: str) -> Build:
    def build(self: Parts, meta: Meta, c: Children) -> t.RegionNode:
        return t.RegionNode(self._span(meta), kind, *self._in_one_unit(c[1], c[-1]))

    return build


def _held(at_least: bool) -> Build:
    return lambda self, meta, c: t.HeldNode(self._span(meta), c[0], at_least, c[2])


@v_args(meta=True)
class Parts(Transformer_NonRecursive[Token, Any]):
    """Builds the nodes inside statements; `source` is set anew for each file that is read.

    Not recursive, so that no text can exhaust the stack.
    """

    source: Source

    def _span(self, meta: Meta) -> Span:
        return Span(self.source, meta.start_pos, meta.end_pos)

    def _word(self, token: Token) -> t.WordNode:
        assert token.start_pos is not None
        assert token.end_pos is not None
        span = Span(self.source, token.start_pos, token.end_pos)
        text = str(token)
        if token.type == "STRING":
            text = text[1:-1]
        elif token.type == "LABEL":
            text = text[:-1].rstrip()
            span = Span(self.source, token.start_pos, token.start_pos + len(text))
        elif token.type == "FACT":
            text = " ".join(text.split())
        return t.WordNode(span, text)

    def _plain(self, part: Any) -> Any:
        """A token as a word; everything else as it is."""
        return self._word(part) if isinstance(part, Token) else part

    def _count(self, token: Token) -> t.Value:
        word = self._word(token)
        return t.Value(word.span, parse_number(word.text), None)

    def _in_one_unit(self, first: Any, second: Any) -> tuple[Any, Any]:
        """A unit after the second number alone serves both."""
        if isinstance(first, t.Value) and first.unit is None and isinstance(second, t.Value):
            first = t.Value(first.span, first.number, second.unit)
        return first, second

    # ---- head of a file

    def header(self, meta: Meta, c: Children) -> t.Header:
        return t.Header(self._span(meta), str(c[0]), self._word(c[1]), self._count(c[3]))

    def use(self, meta: Meta, c: Children) -> t.Use:
        return t.Use(self._span(meta), str(c[1]), self._word(c[2]))

    use_profile = use_rules = use
    about = node(t.About, 1)

    # ---- expressions of `let`

    constant = node(t.Constant, 0)
    read = node(t.ReadNode, 0)
    grouped = parenthesised = only(1)

    def add(self, meta: Meta, c: Children) -> t.Arithmetic:
        return t.Arithmetic(self._span(meta), str(c[1]), c[0], c[2])

    subtract = multiply = divide = add
    statistic = trend = text
    statistic_of = node(t.StatisticNode, 0, 2)
    trend_of = node(t.TrendNode, 0, 2, 4)

    # ---- regions and formulas

    def subject(self, meta: Meta, c: Children) -> t.SubjectNode:
        return t.SubjectNode(self._span(meta), self._word(c[0]), self._count(c[2]) if len(c) > 1 else None)

    named_bound = only(0)
    below, above, at_most, at_least = map(_one_sided, ("below", "above", "at_most", "at_least"))
    within, from_below, above_to, between = map(_two_sided, ("within", "from_below", "above_to", "between"))
    outside, below_above, below_from = map(_two_sided, ("outside", "below_above", "below_from"))
    to_above, not_between = map(_two_sided, ("to_above", "not_between"))

    def failed_region(self, meta: Meta, c: Children) -> t.RegionNode:
        return t.RegionNode(self._span(meta), "failed", t.Value(self._span(meta), Fraction(0), None))

    named = node(t.NamedNode, 0)

    def compare(self, meta: Meta, c: Children) -> t.CompareNode:
        return t.CompareNode(self._span(meta), c[-2], c[-1], str(c[0]) if len(c) > 2 else None)

    def failed(self, meta: Meta, c: Children) -> t.Failed:
        return t.Failed(self._span(meta), c[-2], str(c[0]) if len(c) > 2 else None)

    def is_at(self, meta: Meta, c: Children) -> t.IsAt:
        return t.IsAt(self._span(meta), c[0], self._word(c[-1]), len(c) > 3)

    def both(self, meta: Meta, c: Children) -> t.AndNode:
        return t.AndNode(self._span(meta), tuple(c[::2]))

    def either(self, meta: Meta, c: Children) -> t.OrNode:
        return t.OrNode(self._span(meta), tuple(c[::2]))

    compare_any = compare_every = compare
    failed_any = failed_every = failed
    is_not_at = is_at
    negation = node(t.NotNode, 1)
    held_at_least, held_less_than = map(_held, (True, False))

    # ---- small parts

    def value(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), c[0].number, self._plain(c[1]))

    def number(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), parse_number(str(c[0])), None)

    def negative(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), -parse_number(str(c[1])), None)

    def duration(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), parse_number(str(c[0])), self._word(c[1]))

    def colour(self, meta: Meta, c: Children) -> t.WordNode:
        text = str(c[0])
        return t.WordNode(self._span(meta), "yellow" if text == "amber" else text)

    level = only(0)
