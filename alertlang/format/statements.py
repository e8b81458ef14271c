"""From the tree to pieces: statements, each clause in the order it was written in."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import assert_never

from alertlang.format.panel import Clause, PanelPrinter, in_order
from alertlang.format.parts import of_one_or_more
from alertlang.format.pieces import CLAUSE, GLUED, LAST, PART, Piece
from alertlang.syntax import tree as t


def pieces_of(statement: t.Statement) -> tuple[Piece, ...]:
    """A statement in pieces. AssertionError for a node that is not known here: nothing is ever left out.

    Clauses of one statement come in the order of their places (in the grammar's order where there are none).
    """
    printer = _Printer()
    printer.statement(statement)
    return tuple(printer.pieces)


class _Printer(PanelPrinter):
    def statement(self, node: t.Statement) -> None:
        match node:
            case t.Header():
                self.put(node.kind)
                self.text(node.name)
                self.put("version")
                self.number(node.version.number)
            case t.Use():
                self.put("use")
                self.put(node.kind)
                self.text(node.name)
            case t.About():
                self.put("about")
                self.gap(LAST)
                self.text(node.text)
            case t.SourceDeclaration():
                self._source_declaration(node)
            case t.Engine():
                self.put("engine")
                self.listed([partial(self.word, fact) for fact in node.facts])
            case t.Weights():
                self._weights(node)
            case t.Quantity():
                self._quantity(node)
            case t.Switch():
                self.put("switch")
                self.word(node.name)
                self.text(node.title)
                self.listed([partial(self.word, position) for position in node.positions], PART)
            case t.Let():
                self._let(node)
            case t.Curve():
                self._curve(node)
            case t.Condition():
                self._condition(node)
            case t.Respond():
                self.put("respond within")
                self.value(node.within)
            case t.Follow():
                self.put("follow")
                self.text(node.rule)
                if node.as_of is not None:
                    self.put("as of", CLAUSE)
                    self.word(node.as_of)
            case t.Accept():
                self.put("accept")
                self.word(node.check)
                self.put("on")
                self.word(node.target)
                self._because(node.reason)
                if node.until is not None:
                    self.put("until", CLAUSE)
                    self.word(node.until)
            case t.Drop():
                self.put("drop")
                self.word(node.target)
                self._because(node.reason)
            case t.Allows():
                self.put("allows")
                self.listed([partial(self._allowance, one) for one in node.allowances])
            case t.TextLength():
                self.put("text up to")
                self.number(node.characters.number)
                self.put(of_one_or_more("characters", node.characters.number))
            case t.LabelLength():
                self.put("labels up to")
                self.number(node.characters.number)
                self.put(of_one_or_more("characters", node.characters.number))
            case t.Lamp() | t.Gauge() | t.Input():
                self.panel(node)
            case t.Scan():
                self.put("scan every")
                self.value(node.period)
            case t.Colours():
                self.put("colours")
                self.listed([partial(self.word, colour) for colour in node.colours])
            case t.Labelled():
                if node.label is not None:
                    self.put(f"{node.label.text}:")
                self._rule(node.rule)
            case t.Replace():
                self.put("replace")
                self.put(f"{node.label.text}:")
                self._rule(node.rule)
            case _:
                assert_never(node)

    def _source_declaration(self, node: t.SourceDeclaration) -> None:
        self.put("source")
        self.word(node.name)
        if node.status != "document":
            self.put(node.status)
        self.gap(CLAUSE)
        self.text(node.text)

    def _because(self, reason: t.Word) -> None:
        self.put("because", CLAUSE)
        self.text(reason)

    def _allowance(self, node: t.Allowance) -> None:
        self.number(node.number.number)
        self.put(of_one_or_more(node.what, node.number.number))

    # ---- declarations

    def _weights(self, node: t.Weights) -> None:
        first, *others = in_order(
            [
                *self._valued("maximum weight", node.maximum),
                *self._valued("arcs at", node.arcs),
                *self._cited(node.sources),
            ]
        )
        first()
        for put in others:
            self.put(",", GLUED)
            self.gap(CLAUSE)
            put()

    def _quantity(self, node: t.Quantity) -> None:
        self.put("quantity")
        self.word(node.name)
        if node.size is not None:
            self.element(node.size)
        self.text(node.title)
        self.put("from", PART)
        self.ends(node.low, node.high)
        self.clauses(
            *self._valued("step", node.step),
            *self._valued("accuracy", node.accuracy),
            *self._valued("deadband", node.deadband),
            *self._cited(node.sources),
        )

    def _let(self, node: t.Let) -> None:
        self.put("let")
        self.word(node.name)
        self.put("=")
        self.gap(LAST)
        self.expression(node.expression)
        if node.low is not None and node.high is not None:
            self.put(",", GLUED)
            self.put("from", CLAUSE)
            self.ends(node.low, node.high)
        self.clauses(*self._cited(node.sources))

    def _curve(self, node: t.Curve) -> None:
        self.put("curve")
        self.word(node.name)
        self.put("over")
        self.subject(node.subject)
        self.put(":", GLUED)
        points: list[Callable[[], None]] = [partial(self._point, *point) for point in node.points]
        if node.otherwise is not None:
            points.append(partial(self._after_word, "otherwise", node.otherwise))
        self.listed(points, LAST)
        self.clauses(*self._cited(node.sources))

    def _point(self, x: t.Value, y: t.Value) -> None:
        self.value(x)
        self.put("->")
        self.value(y)

    def _condition(self, node: t.Condition) -> None:
        self.put("condition")
        self.word(node.name)
        self.put("means")
        self.gap(LAST)
        self.formula(node.formula)
        if node.until is not None:
            self.put("until", CLAUSE)
            self.formula(node.until)
        self.clauses(
            *self._valued("set after", node.set_after),
            *self._valued("cleared after", node.cleared_after),
            *self._cited(node.sources),
        )

    # ---- rules

    def _rule(self, node: t.Rule) -> None:
        match node:
            case t.Assume():
                self.put("assume")
                self._when(node.when)
                self.formula(node.formula)
                self.clauses(*self._cited(node.sources))
            case t.Range():
                self._range(node)
            case t.Band():
                self._when(node.when)
                self.subject(node.subject)
                self.region(node.region)
                self._held(node.held)
                self.put("is", PART)
                self.word(node.colour)
                if node.alert is not None:
                    self.put("with", CLAUSE)
                    self._alert(node.alert)
                self._tail(node.tail)
            case t.Alert():
                self.put("when")
                self.formula(node.when)
                self._held(node.held)
                self.put("then")
                self.gap(CLAUSE)
                self._alert(node.alert)
                self._tail(node.tail)
            case t.Prove():
                self.put("prove")
                self._when(node.when)
                self._claim(node)
            case _:
                assert_never(node)

    def _when(self, when: t.Formula | None) -> None:
        if when is not None:
            self.put("when")
            self.formula(when)
            self.put("then")
            self.gap(CLAUSE)

    def _range(self, node: t.Range) -> None:
        if node.when is not None:
            # `then` is allowed here and says nothing: the word after it tells enough.
            self.put("when")
            self.formula(node.when)
            self.gap(CLAUSE)
        self.put(node.kind)
        self.subject(node.subject)
        self.region(node.region)
        if node.except_for is not None:
            self.put("except for", PART)
            self.value(node.except_for)
        self.clauses(
            *((needs.span.start, partial(self._needs, needs)) for needs in node.needs),
            *self._cited(node.sources),
        )

    def _needs(self, node: t.Needs) -> None:
        self.put("needs")
        self._level(node.level, node.within)

    def _level(self, level: str | None, within: t.Value | None) -> None:
        assert level is not None
        self.put(level)
        if within is not None:
            self._after_word("within", within)

    def _held(self, node: t.HeldFor | None) -> None:
        if node is not None:
            self.put("for more than", PART)
            self.value(node.duration)
            if node.in_total:
                self.put("in total")

    def _alert(self, node: t.AlertClause) -> None:
        self.put(node.level)
        self.text(node.text)

    def _tail(self, tail: t.Tail) -> None:
        clauses: list[Clause] = []
        if tail.after is not None:
            clauses.append((tail.after.span.start, partial(self._after_word, "after", tail.after)))
        if tail.latched is not None:
            clauses.append((tail.latched.span.start, partial(self.put, "latched")))
        if tail.unless is not None:
            clauses.append((tail.unless.span.start, partial(self._unless, tail.unless)))
        for put in in_order(clauses):
            self.gap(CLAUSE)
            put()

    def _unless(self, formula: t.Formula) -> None:
        self.put("unless")
        self.formula(formula)

    def _claim(self, node: t.Prove) -> None:
        match node.kind:
            case "quiet":
                self.put("quiet")
            case "any_raises":
                self.put("raises")
                self._level(node.wanted, node.within)
            case "raises":
                self._shown(node)
                self.put("raises", PART)
                self._level(node.wanted, node.within)
            case "is" | "at_least" | "never":
                assert node.wanted is not None
                self._shown(node)
                self.put("is", PART)
                if node.kind != "is":
                    self.put("at least" if node.kind == "at_least" else "never")
                self.put(node.wanted)
            case _:
                raise AssertionError(f"a claim of the kind {node.kind} is not known")

    def _shown(self, node: t.Prove) -> None:
        assert node.subject is not None
        assert node.region is not None
        self.subject(node.subject)
        self.region(node.region)

    # ---- clauses

    def _valued(self, word: str, value: t.Value | None) -> list[Clause]:
        return [] if value is None else [(value.span.start, partial(self._after_word, word, value))]

    def _cited(self, sources: tuple[t.SourceClause, ...]) -> list[Clause]:
        return [(source.span.start, partial(self._source, source)) for source in sources]

    def _source(self, node: t.SourceClause) -> None:
        self.put("source")
        self.word(node.name)
        self.text(node.note)

    def _after_word(self, word: str, value: t.Value) -> None:
        self.put(word)
        self.value(value)
