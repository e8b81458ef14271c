"""From Lark's reductions to the tree: names, values, regions, formulas and expressions."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from lark import Token
from lark.tree import Meta
from lark.visitors import Transformer_NonRecursive, v_args

from alertlang.syntax import tree as t
from alertlang.text.source import Source, Span
from alertlang.units.number import parse_number

Children = list[Any]


@v_args(meta=True)
class Parts(Transformer_NonRecursive[Token, Any]):
    """Builds the nodes inside statements; `source` is set anew for each file that is read.

    Not recursive, so that no text can exhaust the stack.
    """

    source: Source

    def _span(self, meta: Meta) -> Span:
        return Span(self.source, meta.start_pos, meta.end_pos)

    def _word(self, token: Token) -> t.Word:
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
        return t.Word(span, text)

    def _maybe(self, token: Token | None) -> t.Word | None:
        return None if token is None else self._word(token)

    # ---- expressions of `let`

    def constant(self, meta: Meta, c: Children) -> t.Constant:
        return t.Constant(self._span(meta), c[0])

    def read(self, meta: Meta, c: Children) -> t.Read:
        return t.Read(self._span(meta), c[0])

    def grouped(self, meta: Meta, c: Children) -> Any:
        return c[1]

    def add(self, meta: Meta, c: Children) -> t.Arithmetic:
        return t.Arithmetic(self._span(meta), "+", c[0], c[2])

    def subtract(self, meta: Meta, c: Children) -> t.Arithmetic:
        return t.Arithmetic(self._span(meta), "-", c[0], c[2])

    def multiply(self, meta: Meta, c: Children) -> t.Arithmetic:
        return t.Arithmetic(self._span(meta), "*", c[0], c[2])

    def divide(self, meta: Meta, c: Children) -> t.Arithmetic:
        return t.Arithmetic(self._span(meta), "/", c[0], c[2])

    def statistic(self, meta: Meta, c: Children) -> str:
        return str(c[0])

    def trend(self, meta: Meta, c: Children) -> str:
        return str(c[0])

    def statistic_of(self, meta: Meta, c: Children) -> t.Statistic:
        return t.Statistic(self._span(meta), c[0], c[2])

    def trend_of(self, meta: Meta, c: Children) -> t.Trend:
        return t.Trend(self._span(meta), c[0], c[2], self._word(c[4]))

    # ---- regions and formulas

    def subject(self, meta: Meta, c: Children) -> t.Subject:
        index = None
        if len(c) > 1:
            word = self._word(c[2])
            index = t.Value(word.span, parse_number(word.text), None)
        return t.Subject(self._span(meta), self._word(c[0]), index)

    def named_bound(self, meta: Meta, c: Children) -> t.Word:
        return self._word(c[0])

    def within(self, meta: Meta, c: Children) -> t.Region:
        return self._two_sided(meta, c, "within")

    def outside(self, meta: Meta, c: Children) -> t.Region:
        return self._two_sided(meta, c, "outside")

    def _two_sided(self, meta: Meta, c: Children, kind: str) -> t.Region:
        first, second = c[1], c[3]
        # A unit after the second number alone serves both.
        if isinstance(first, t.Value) and first.unit is None and isinstance(second, t.Value):
            first = t.Value(first.span, first.number, second.unit)
        return t.Region(self._span(meta), kind, first, second)

    def failed_region(self, meta: Meta, c: Children) -> t.Region:
        return t.Region(self._span(meta), "failed", t.Value(self._span(meta), Fraction(0), None))

    def named(self, meta: Meta, c: Children) -> t.Named:
        return t.Named(self._span(meta), c[0])

    def compare(self, meta: Meta, c: Children) -> t.Compare:
        return t.Compare(self._span(meta), c[0], c[1], None)

    def compare_any(self, meta: Meta, c: Children) -> t.Compare:
        return t.Compare(self._span(meta), c[1], c[2], "any")

    def compare_every(self, meta: Meta, c: Children) -> t.Compare:
        return t.Compare(self._span(meta), c[1], c[2], "every")

    def failed(self, meta: Meta, c: Children) -> t.Failed:
        return t.Failed(self._span(meta), c[0], None)

    def failed_any(self, meta: Meta, c: Children) -> t.Failed:
        return t.Failed(self._span(meta), c[1], "any")

    def failed_every(self, meta: Meta, c: Children) -> t.Failed:
        return t.Failed(self._span(meta), c[1], "every")

    def is_at(self, meta: Meta, c: Children) -> t.IsAt:
        return t.IsAt(self._span(meta), c[0], self._word(c[2]), False)

    def is_not_at(self, meta: Meta, c: Children) -> t.IsAt:
        return t.IsAt(self._span(meta), c[0], self._word(c[3]), True)

    def parenthesised(self, meta: Meta, c: Children) -> Any:
        return c[1]

    def negation(self, meta: Meta, c: Children) -> t.Not:
        return t.Not(self._span(meta), c[1])

    def both(self, meta: Meta, c: Children) -> t.And:
        return t.And(self._span(meta), tuple(c[::2]))

    def either(self, meta: Meta, c: Children) -> t.Or:
        return t.Or(self._span(meta), tuple(c[::2]))

    def held_at_least(self, meta: Meta, c: Children) -> t.Held:
        return t.Held(self._span(meta), c[0], True, c[2])

    def held_less_than(self, meta: Meta, c: Children) -> t.Held:
        return t.Held(self._span(meta), c[0], False, c[2])

    def below(self, meta: Meta, c: Children) -> t.Region:
        return t.Region(self._span(meta), "below", c[1])

    def above(self, meta: Meta, c: Children) -> t.Region:
        return t.Region(self._span(meta), "above", c[1])

    def at_most(self, meta: Meta, c: Children) -> t.Region:
        return t.Region(self._span(meta), "at_most", c[1])

    def at_least(self, meta: Meta, c: Children) -> t.Region:
        return t.Region(self._span(meta), "at_least", c[1])

    # ---- small parts

    def value(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), c[0].number, self._maybe(c[1]))

    def number(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), parse_number(str(c[0])), None)

    def negative(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), -parse_number(str(c[1])), None)

    def duration(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), parse_number(str(c[0])), self._word(c[1]))

    def colour(self, meta: Meta, c: Children) -> t.Word:
        text = str(c[0])
        return t.Word(self._span(meta), "yellow" if text == "amber" else text)

    def level(self, meta: Meta, c: Children) -> t.Word:
        return self._word(c[0])
