"""From the tree to pieces: statements, each clause in the order it was written in."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction
from functools import partial
from typing import assert_never

from alertlang.format.pieces import (
    CLAUSE,
    FORMULA,
    GLUED,
    LAST,
    OPENED,
    PART,
    SPACE,
    TIGHT,
    LineInMaking,
    Piece,
    of_one_or_more,
)
from alertlang.syntax import tree as t
from alertlang.units.number import show_number

_ONE_SIDED = {"below": "below", "above": "above", "at_most": "at most", "at_least": "at least"}
# Before the first end, and before the second.
_TWO_SIDED = {
    "within": ("from", ("to",)),
    "from_below": ("from", ("to", "below")),
    "above_to": ("above", ("to",)),
    "between": ("above", ("to", "below")),
    "outside": ("outside", ("to",)),
    "below_above": ("below", ("or", "above")),
    "below_from": ("below", ("or", "at least")),
    "to_above": ("at most", ("or", "above")),
    "not_between": ("at most", ("or", "at least")),
}

# From what binds last to what binds first; what stands inside another needs parentheses if it binds later than that
# one asks for. (`not` is before `for at least` because `not x for at least D` is not in the language.)
_OR, _AND, _HELD, _NOT, _ATOM = range(5)

# What can be told in a row: words as they are, parts of the tree, and nothing for what is not there.
Part = str | t.WordNode | t.Value | t.SubjectNode | t.RegionNode | t.Formula | None
# A clause: where it was written, and what puts it.
Clause = tuple[int, Callable[[], None]]


def pieces_of(statement: t.Statement) -> tuple[Piece, ...]:
    """A statement in pieces. AssertionError for a node that is not known here: nothing is ever left out.

    Clauses of one statement come in the order of their places (in the grammar's order where there are none).
    """
    printer = _Printer()
    printer.statement(statement)
    return tuple(printer.pieces)


def _text(word: t.WordNode | None) -> str | None:
    return None if word is None else f'"{word.text}"'


class _Printer(LineInMaking):
    def say(self, *parts: Part, gap: int = SPACE) -> None:
        """One after the other; `gap` before the first, which is there."""
        for i, part in enumerate(parts):
            match part:
                case None:
                    pass
                case str():
                    self.put(part, SPACE if i else gap)
                case t.WordNode():
                    self.put(part.text, SPACE if i else gap)
                case t.Value():
                    self._value(part)
                case t.SubjectNode():
                    self._subject(part)
                case t.RegionNode():
                    self._region(part)
                case _:
                    self._formula(part)

    def statement(self, node: t.Statement) -> None:
        match node:
            case t.Header():
                self.say(node.kind, _text(node.name), "version")
                self._number(node.version.number)
            case t.Use():
                self.say("use", node.kind, _text(node.name))
            case t.About():
                self.say("about")
                self.say(_text(node.text), gap=LAST)
            case t.SourceDeclaration():
                self.say("source", node.name, node.status if node.status != "document" else None)
                self.say(_text(node.text), gap=CLAUSE)
            case t.EngineStatement():
                self.say("engine")
                self.listed(map(self._said, node.facts))
            case t.WeightsStatement():
                weights = [*self._valued("maximum weight", node.maximum), *self._valued("arcs at", node.arcs)]
                self._clauses(*weights, *self._cited(node.sources), first=True)
            case t.QuantityStatement():
                self._quantity(node)
            case t.SwitchStatement():
                self.say("switch", node.name, _text(node.title))
                self.listed(map(self._said, node.positions), PART)
            case t.Let():
                self._let(node)
            case t.Curve():
                self._curve(node)
            case t.ConditionStatement():
                self._condition(node)
            case t.Respond():
                self.say("respond within", node.within)
            case t.FollowStatement():
                self.say("follow", _text(node.rule))
                if node.as_of is not None:
                    self.say("as of", node.as_of, gap=CLAUSE)
            case t.Accept():
                self.say("accept", node.check, "on", node.target)
                self.say("because", _text(node.reason), gap=CLAUSE)
                if node.until is not None:
                    self.say("until", node.until, gap=CLAUSE)
            case t.Drop():
                self.say("drop", node.target)
                self.say("because", _text(node.reason), gap=CLAUSE)
            case t.Allows():
                self.say("allows")
                self.listed(
                    partial(self._of_one_or_more, allowance.number, allowance.what) for allowance in node.allowances
                )
            case t.TextLength():
                self.say("text up to")
                self._of_one_or_more(node.characters, "characters")
            case t.LabelLength():
                self.say("labels up to")
                self._of_one_or_more(node.characters, "characters")
            case t.LampStatement():
                self._lamp(node)
            case t.GaugeStatement():
                self._gauge(node)
            case t.InputStatement():
                self.say("input", node.name, *self._labelled(node.label))
                wired = node.wired
                self._clauses(
                    *([] if wired is None else self._clause(wired, "wired to", wired.to, "when", wired.position)),
                    *self._clause(node.channel, "channel", _text(node.channel)),
                )
            case t.Scan():
                self.say("scan every", node.period)
            case t.Colours():
                self.say("colours")
                self.listed(map(self._said, node.colours))
            case t.Labelled():
                self.say(None if node.label is None else f"{node.label.text}:")
                self._rule(node.rule)
            case t.Replace():
                self.say("replace", f"{node.label.text}:")
                self._rule(node.rule)
            case _:
                assert_never(node)

    # ---- declarations

    def _quantity(self, node: t.QuantityStatement) -> None:
        self.say("quantity", node.name)
        if node.size is not None:
            self._element(node.size)
        self.say(_text(node.title))
        self.say("from", gap=PART)
        self._ends(node.low, node.high)
        self._clauses(
            *self._valued("step", node.step),
            *self._valued("accuracy", node.accuracy),
            *self._valued("deadband", node.deadband),
            *self._cited(node.sources),
        )

    def _let(self, node: t.Let) -> None:
        self.say("let", node.name, "=")
        self.gap(LAST)
        self._expression(node.expression)
        if node.low is not None and node.high is not None:
            self.put(",", GLUED)
            self.say("from", gap=CLAUSE)
            self._ends(node.low, node.high)
        self._clauses(*self._cited(node.sources))

    def _curve(self, node: t.Curve) -> None:
        self.say("curve", node.name, "over", node.subject)
        self.put(":", GLUED)
        points: list[Callable[[], None]] = [partial(self.say, x, "->", y) for x, y in node.points]
        if node.otherwise is not None:
            points.append(partial(self.say, "otherwise", node.otherwise))
        self.listed(points, LAST)
        self._clauses(*self._cited(node.sources))

    def _condition(self, node: t.ConditionStatement) -> None:
        self.say("condition", node.name, "means")
        self.gap(LAST)
        self._formula(node.formula)
        if node.until is not None:
            self.say("until", node.until, gap=CLAUSE)
        self._clauses(
            *self._valued("set after", node.set_after),
            *self._valued("cleared after", node.cleared_after),
            *self._cited(node.sources),
        )

    # ---- the panel

    def _lamp(self, node: t.LampStatement) -> None:
        self.say("lamp", _text(node.text), "shows")
        for i, (shown, _) in enumerate(node.shows):
            self.say(*(["and"] if i else []), shown)
        found: list[Clause] = []
        if node.sequence is not None:
            lock_in = {True: "with lock-in", False: "without lock-in", None: None}[node.sequence.lock_in]
            found += self._clause(node.sequence, "sequence", node.sequence.name, lock_in)
        found += self._clause(node.acknowledged_by, "acknowledged by", node.acknowledged_by)
        self._clauses(*found, *self._clause(node.reset_by, "reset by", node.reset_by))

    def _gauge(self, node: t.GaugeStatement) -> None:
        self.say("gauge", node.name, *self._labelled(node.label))
        found: list[Clause] = []
        drawn = node.drawn
        if drawn is not None:
            unit = None if drawn.unit is None else "in"
            steps = None if drawn.resolution is None else "to"
            found += self._clause(drawn, "drawn as", drawn.shape, unit, drawn.unit, steps, drawn.resolution)
        self._clauses(*found, *self._clause(node.sensor, "sensor", _text(node.sensor)))
        # Last, whatever the places say: the language has them nowhere else.
        if node.channels:
            self.put(",", GLUED)
            self.say("channels" if len(node.channels) > 1 else "channel", gap=CLAUSE)
            self.listed(partial(self.say, _text(channel)) for channel in node.channels)

    def _labelled(self, label: t.WordNode | None) -> tuple[Part, ...]:
        return () if label is None else ("labelled", _text(label))

    # ---- rules

    def _rule(self, node: t.Rule) -> None:
        match node:
            case t.Assume():
                self.say("assume")
                self._when(node.when)
                self._formula(node.formula)
                self._clauses(*self._cited(node.sources))
            case t.RangeStatement():
                self._range(node)
            case t.BandStatement():
                self._when(node.when)
                self.say(node.subject, node.region)
                self._held(node.held)
                self.say("is", node.colour, gap=PART)
                if node.alert is not None:
                    self.say("with", node.alert.level, _text(node.alert.text), gap=CLAUSE)
                self._tail(node.tail)
            case t.AlertStatement():
                self.say("when", node.when)
                self._held(node.held)
                self.say("then")
                self.gap(CLAUSE)
                self.say(node.alert.level, _text(node.alert.text))
                self._tail(node.tail)
            case t.Prove():
                self.say("prove")
                self._when(node.when)
                self._claim(node)
            case _:
                assert_never(node)

    def _when(self, when: t.Formula | None) -> None:
        if when is not None:
            self.say("when", when, "then")
            self.gap(CLAUSE)

    def _range(self, node: t.RangeStatement) -> None:
        if node.when is not None:
            # `then` is allowed here and says nothing: the word after it tells enough.
            self.say("when", node.when)
            self.gap(CLAUSE)
        self.say(node.kind, node.subject, node.region)
        if node.except_for is not None:
            self.say("except for", node.except_for, gap=PART)
        needs = [
            (need.span.start, partial(self.say, "needs", need.level, *_within(need.within))) for need in node.needs
        ]
        self._clauses(*needs, *self._cited(node.sources))

    def _held(self, node: t.HeldFor | None) -> None:
        if node is not None:
            self.say("for more than", node.duration, "in total" if node.in_total else None, gap=PART)

    def _tail(self, tail: t.Tail) -> None:
        clauses = [
            *self._valued("after", tail.after),
            *self._clause(tail.latched, "latched"),
            *self._clause(tail.unless, "unless", tail.unless),
        ]
        for put in _in_order(clauses):
            self.gap(CLAUSE)
            put()

    def _claim(self, node: t.Prove) -> None:
        if node.kind == "quiet":
            self.say("quiet")
            return
        assert node.wanted is not None
        if node.kind == "any_raises":
            self.say("raises", node.wanted, *_within(node.within))
            return
        assert node.subject is not None
        self.say(node.subject, node.region)
        match node.kind:
            case "raises":
                self.say("raises", node.wanted, *_within(node.within), gap=PART)
            case "is" | "at_least" | "never":
                how = {"is": None, "at_least": "at least", "never": "never"}[node.kind]
                self.say("is", how, node.wanted, gap=PART)
            case _:
                raise AssertionError(f"a claim of the kind {node.kind} is not known")

    # ---- clauses

    def _clauses(self, *clauses: Clause, first: bool = False) -> None:
        """Each after a comma; `first`: but for the first."""
        for put in _in_order(clauses):
            if not first:
                self.put(",", GLUED)
                self.gap(CLAUSE)
            first = False
            put()

    def _clause(self, node: t.Node | None, *parts: Part) -> list[Clause]:
        return [] if node is None else [(node.span.start, partial(self.say, *parts))]

    def _valued(self, word: str, value: t.Value | None) -> list[Clause]:
        return self._clause(value, word, value)

    def _cited(self, sources: tuple[t.SourceClause, ...]) -> list[Clause]:
        return [
            clause
            for source_clause in sources
            for clause in self._clause(source_clause, "source", source_clause.name, _text(source_clause.note))
        ]

    def _said(self, part: Part) -> Callable[[], None]:
        return partial(self.say, part)

    # ---- values and regions

    def _number(self, number: Fraction, gap: int = SPACE) -> None:
        """Digits, exactly. ValueError for a fraction, which the language cannot write; text never gives one."""
        shown = show_number(number)
        if "/" in shown:
            raise ValueError(f"{shown} cannot be written as a decimal")
        if number < 0:
            self.put("-", gap)
            gap = GLUED
        self.put(shown.removeprefix("-"), gap, is_number=True)

    def _of_one_or_more(self, number: t.Value, what: str) -> None:
        self._number(number.number)
        self.say(of_one_or_more(what, number.number))

    def _value(self, value: t.Value, *, with_unit: bool = True) -> None:
        self._number(value.number)
        if value.unit is not None and with_unit:
            self.put(value.unit.text, TIGHT)

    def _ends(self, low: t.Bound, high: t.Bound, between: tuple[str, ...] = ("to",)) -> None:
        """`X to Y`: one unit, after Y, serves both."""
        if isinstance(low, t.Value) and isinstance(high, t.Value) and low.unit == high.unit:
            self._value(low, with_unit=False)
        else:
            self.say(low)
        self.say(*between, high)

    def _subject(self, subject: t.SubjectNode) -> None:
        self.say(subject.name)
        if subject.index is not None:
            self._element(subject.index)

    def _element(self, index: t.Value) -> None:
        """An index or a size, in its brackets."""
        self.put("[", GLUED)
        self._number(index.number, GLUED)
        self.put("]", GLUED)

    def _region(self, region: t.RegionNode) -> None:
        if region.kind == "failed":
            self.say("failed")
        elif region.second is None:
            self.say(_ONE_SIDED[region.kind], region.first)
        else:
            first, second = _TWO_SIDED[region.kind]
            self.say(first)
            self._ends(region.first, region.second, second)

    # ---- formulas: `or` of `and` of `not` of the rest

    def _formula(self, node: t.Formula, depth: int = FORMULA) -> None:
        match node:
            case t.NamedNode():
                self.say(node.subject)
            case t.CompareNode():
                self.say(node.quantifier, node.subject, node.region)
            case t.Failed():
                self.say(node.quantifier, node.subject, "failed")
            case t.IsAt():
                self.say(node.subject, "is", "not" if node.negated else None, node.position)
            case t.NotNode():
                self.say("not")
                self._inside(node.part, _NOT, depth)
            case t.AndNode():
                self._several("and", node.parts, _HELD, depth)
            case t.OrNode():
                self._several("or", node.parts, _AND, depth)
            case t.HeldNode():
                self._inside(node.part, _ATOM, depth)
                self.say("for at least" if node.at_least else "for less than", node.duration)
            case _:
                assert_never(node)

    def _several(self, word: str, parts: tuple[t.Formula, ...], least: int, depth: int) -> None:
        for i, part in enumerate(parts):
            if i > 0:
                self.put(word, depth)
            self._inside(part, least, depth + 1)

    def _inside(self, node: t.Formula, least: int, depth: int) -> None:
        if _strength(node) >= least:
            self._formula(node, depth)
        else:
            self._bracketed(partial(self._formula, node, depth + 1))

    def _bracketed(self, put: Callable[[], None]) -> None:
        self.say("(")
        self.gap(OPENED)
        put()
        self.put(")", GLUED)

    # ---- expressions

    def _expression(self, node: t.Expression, depth: int = FORMULA) -> None:
        match node:
            case t.Constant():
                self.say(node.value)
            case t.ReadNode():
                self.say(node.subject)
            case t.StatisticNode():
                self.say(node.kind, "of", node.subject)
            case t.TrendNode():
                self.say(node.kind, "of", node.subject, "per", node.per)
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
        if apart:
            self._bracketed(partial(self._expression, node, depth + 2))
        else:
            self._expression(node, depth)


def _within(value: t.Value | None) -> tuple[Part, ...]:
    return () if value is None else ("within", value)


def _in_order(clauses: Iterable[Clause]) -> list[Callable[[], None]]:
    """What puts each, in the order of their places."""
    return [put for _, put in sorted(clauses, key=lambda clause: clause[0])]


def _strength(node: t.Formula) -> int:
    return {t.OrNode: _OR, t.AndNode: _AND, t.HeldNode: _HELD, t.NotNode: _NOT}.get(type(node), _ATOM)


def _is_sum(node: t.Expression) -> bool:
    return isinstance(node, t.Arithmetic) and node.operator in "+-"
