"""Derived quantities: `let` and `curve` bound to what they read, dimensions checked, ranges worked out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TypeVar

from alertlang.model import expression as e
from alertlang.model import ruleset as m
from alertlang.model.scope import Scope
from alertlang.syntax import tree as t
from alertlang.text.source import Span
from alertlang.units.number import show_number, show_value
from alertlang.units.unit import PLAIN, Unit, convert, convert_difference

_ZERO = Fraction(0)
_T = TypeVar("_T")
# A value in a unit; its last argument says of what it is.
_Convert = Callable[[t.Value, Unit, str], Fraction | None]

# So many derived quantities may be built one on the other: no reader could follow more, nor recursion.
_DEEPEST = 30


@dataclass(frozen=True, slots=True)
class _Typed:
    """An expression with what it is: its unit, whether it is a difference, its elements, and between what it lies.

    A number that is written stands for an amount: as a difference for temperatures.
    """

    node: e.Expression
    unit: Unit
    difference: bool
    size: int | None
    low: Fraction
    high: Fraction
    # The unit of time of a rise or fall.
    per: str | None = None

    @property
    def is_number(self) -> bool:
        return isinstance(self.node, e.Number)

    def quantity(self, name: str, span: Span, origin: m.Origin, sources: tuple[m.DocumentSource, ...]) -> m.Quantity:
        """The quantity of a name that is computed so."""
        found = m.Quantity(name, self.unit, self.low, self.high, span, origin, size=self.size, sources=sources)
        return replace(found, derived=self.node, difference=self.difference, per=self.per)

    def scaled(self, factor: Fraction, offset: Fraction, unit: Unit, difference: bool) -> _Typed:
        if isinstance(self.node, e.Number):
            node: e.Expression = e.Number(self.node.value * factor + offset)
        elif factor == 1 and offset == 0:
            node = self.node
        else:
            node = e.Scaled(self.node, factor, offset)
        ends = sorted((self.low * factor + offset, self.high * factor + offset))
        return _Typed(node, unit, difference, self.size, ends[0], ends[1], self.per)

    def in_unit(self, unit: Unit) -> _Typed:
        """The same in another unit of its dimension."""
        if self.difference:
            return self.scaled(convert_difference(Fraction(1), self.unit, unit), _ZERO, unit, True)
        offset = convert(_ZERO, self.unit, unit)
        return self.scaled(convert(Fraction(1), self.unit, unit) - offset, offset, unit, False)


class _WrongError(Exception):
    """Something in an expression is wrong, and that is reported."""


def _known(found: _T | None) -> _T:
    """What was found; with none it was reported why."""
    if found is None:
        raise _WrongError
    return found


@dataclass(slots=True)
class Derived:
    """Binds derived quantities, each after those it reads. `report_duplicate` says whether a name may be declared."""

    scope: Scope
    new_name: Callable[[t.WordNode], bool]
    sources_of: Callable[[tuple[t.SourceClause, ...], m.Origin], tuple[m.DocumentSource, ...]]
    nodes: dict[str, tuple[t.Let | t.Curve, m.Origin]] = field(default_factory=dict)
    _binding: list[str] = field(default_factory=list)
    _depth: dict[str, int] = field(default_factory=dict)

    def declare(self, node: t.Let | t.Curve, origin: m.Origin) -> None:
        """Takes the name; binding comes when every name is known."""
        known = self.nodes.get(node.name.text)
        if known is not None and known[0] == node and known[1].path != origin.path:
            # An engine and an airframe may derive the same value, if they say the same.
            return
        if self.new_name(node.name):
            self.nodes[node.name.text] = (node, origin)
            self.scope.derived_names.add(node.name.text)

    def bind(self) -> None:
        for name in self.nodes:
            self._bind(name)

    def _bind(self, name: str) -> None:
        scope = self.scope
        if name in scope.quantities or name in scope.lost:
            return
        node, origin = self.nodes[name]
        if name in self._binding:
            circle = [*self._binding[self._binding.index(name) :], name]
            scope.report(
                "bad-value",
                f"{name} is computed from itself"
                if len(circle) == 2
                else f"derived quantities read each other in a circle: {' -> '.join(circle)}",
                node.name.span,
                "compute it from quantities that have a sensor",
            )
            scope.lost.update(circle)
            raise _WrongError
        self._binding.append(name)
        try:
            if len(self._binding) > _DEEPEST:
                raise self._too_deep(node)
            typed = self._let(node) if isinstance(node, t.Let) else self._curve(node)
            self._depth[name] = 1 + max((self._depth.get(n, 0) for n in e.inputs(typed.node)), default=0)
            if self._depth[name] > _DEEPEST:
                raise self._too_deep(node)
        except _WrongError:
            scope.lost.add(name)
            if len(self._binding) > 1:
                raise
        else:
            sources = self.sources_of(node.sources, origin)
            scope.quantities[name] = typed.quantity(name, node.span, origin, sources)
        finally:
            self._binding.pop()

    def _too_deep(self, node: t.Let | t.Curve) -> _WrongError:
        return self._wrong(
            "bad-value",
            f"{node.name.text} is built on derived quantities more than {_DEEPEST} levels deep",
            node.name.span,
            "compute it from quantities that have a sensor",
        )

    # ---- let

    def _let(self, node: t.Let) -> _Typed:
        if isinstance(node.expression, t.TrendNode):
            return self._trend(node, node.expression)
        typed = self._expression(node.expression)
        name = node.name.text
        if typed.is_number:
            raise self._wrong("bad-value", f"{name} reads nothing: it is always the same", node.span, "read a quantity")
        if node.low is not None and node.high is not None:
            # A range that is written must hold all that can come out: to narrow it would hide states.
            convert_to = self.scope.difference_in_unit if typed.difference else self.scope.in_unit
            first, last = self._range(name, node.low, node.high, convert_to, typed.unit)
            if first > typed.low or last < typed.high:
                out = f"from {show_number(typed.low)} to {show_value(typed.high, typed.unit)}"
                raise self._wrong(
                    "bad-value",
                    f"{name} is computed, and what it is computed from lets it run {out}",
                    node.low.span.to(node.high.span),
                    "take the range away; to rule values out, write an `assume`",
                )
        return typed

    def _range(
        self, name: str, low: t.Value, high: t.Value, convert_to: _Convert, unit: Unit
    ) -> tuple[Fraction, Fraction]:
        """A range that is written. Its unit serves both ends, so that a wrong one is one mistake."""
        last = _known(convert_to(high, unit, name))
        low = low if low.unit is not None else t.Value(low.span, low.number, high.unit)
        return _known(convert_to(low, unit, name)), last

    def _trend(self, node: t.Let, trend: t.TrendNode) -> _Typed:
        name, read = node.name.text, self._read(trend.subject)
        per = _known(self.scope.unit(trend.per))
        if per.dimension != "time":
            raise self._wrong(
                "wrong-dimension",
                f"a {trend.kind} is per time, and {per.name} is a {per.dimension}",
                trend.per.span,
                "write per s, per min or per h",
            )
        if node.low is None or node.high is None:
            raise self._wrong(
                "bad-value",
                f"{name} needs a range: a {trend.kind} has no sensor that would limit it",
                node.span,
                f"write for example: , from 0 to 100{' ' + read.unit.name if read.unit.name else ''}",
            )
        first, last = self._range(name, node.low, node.high, self.scope.difference_in_unit, read.unit)
        if first >= last:
            raise self._wrong(
                "bad-value",
                f"the range of {name} is empty: it must run from a lower to a higher value",
                node.low.span.to(node.high.span),
                "write the lower end first",
            )
        assert isinstance(read.node, e.ReadingOf)
        expression = e.Trend(trend.kind, read.node.quantity, read.node.index, per.factor)
        return _Typed(expression, read.unit, True, read.size, first, last, per.name)

    # ---- curve

    def _curve(self, node: t.Curve) -> _Typed:
        scope = self.scope
        read = self._read(node.subject)
        name, over = node.name.text, node.subject.name.text
        if read.size is not None:
            raise self._wrong(
                "wrong-kind",
                f"{over} has {read.size} elements, and a curve is over one value",
                node.subject.span,
                f"write one element, {over}[1], or a let: highest of {over}",
            )
        unit = _known(scope.unit(node.points[0][1].unit))
        points: list[tuple[Fraction, Fraction]] = []
        convert_x = scope.difference_in_unit if read.difference else scope.in_unit
        for x, y in node.points:
            at, value = (_known(number) for number in (convert_x(x, read.unit, over), scope.in_unit(y, unit, name)))
            if points and at <= points[-1][0]:
                raise self._wrong(
                    "bad-value",
                    f"the points of {name} must rise: {show_value(at, read.unit)} comes after "
                    f"{show_value(points[-1][0], read.unit)}",
                    x.span,
                    "put the points in order, each value once; for a step write two points close together",
                )
            points.append((at, value))
        otherwise = None if node.otherwise is None else _known(scope.in_unit(node.otherwise, unit, name))
        assert isinstance(read.node, e.ReadingOf)
        curve = e.CurveOver(read.node.quantity, read.node.index, tuple(points), otherwise)
        # The lowest and highest value over the range of readings.
        values = [
            *map(curve.at, (read.low, read.high)),
            *(y for x, y in points if read.low <= x <= read.high),
        ]
        return _Typed(curve, unit, False, None, min(values), max(values))

    # ---- expressions

    def _wrong(self, name: str, message: str, where: Span, advice: str) -> _WrongError:
        self.scope.report(name, message, where, advice)
        return _WrongError()

    def _read(self, subject: t.SubjectNode) -> _Typed:
        name = subject.name.text
        if name in self.nodes and name not in self.scope.quantities and name not in self.scope.lost:
            self._bind(name)
        quantity, index = _known(self.scope.quantity(subject))
        size = None if index is not None else quantity.size
        reading = e.ReadingOf(quantity.name, index)
        return _Typed(reading, quantity.unit, quantity.difference, size, quantity.low, quantity.high, quantity.per)

    def _expression(self, node: t.Expression) -> _Typed:
        match node:
            case t.Constant():
                unit, number = _known(self.scope.unit(node.value.unit)), node.value.number
                return _Typed(e.Number(number), unit, unit.dimension == "temperature", None, number, number)
            case t.ReadNode():
                return self._read(node.subject)
            case t.StatisticNode():
                return self._statistic(node)
            case t.TrendNode():
                raise self._wrong(
                    "bad-value",
                    f"a {node.kind} stands alone in its `let`, with a range",
                    node.span,
                    f"write: let NAME = {node.span.text}, from 0 to ...; and read NAME here",
                )
            case t.Arithmetic():
                left, right = self._expression(node.left), self._expression(node.right)
                if node.operator in "+-":
                    return self._sum(node, left, right)
                return self._product(node, left, right)

    def _statistic(self, node: t.StatisticNode) -> _Typed:
        read = self._read(node.subject)
        if read.size is None:
            raise self._wrong(
                "wrong-kind",
                f"{node.kind} is of an array, and {node.subject.span.text} is one value",
                node.subject.span,
                "name a quantity that has elements, such as cht[4]",
            )
        assert isinstance(read.node, e.ReadingOf)
        width = read.high - read.low
        statistic = e.Statistic(node.kind, read.node.quantity, read.size)
        match node.kind:
            case "spread":
                return _Typed(statistic, read.unit, True, None, _ZERO, width, read.per)
            case "deviation":
                most = width * (read.size - 1) / read.size
                return _Typed(statistic, read.unit, True, read.size, -most, most, read.per)
        return _Typed(statistic, read.unit, read.difference, None, read.low, read.high, read.per)

    def _sum(self, node: t.Arithmetic, left: _Typed, right: _Typed) -> _Typed:
        self._same_dimension(node, left, right)
        self._same_size(node, left, right)
        self._same_time(node, left, right)
        unit = right.unit if left.is_number and not right.is_number else left.unit
        left, right = left.in_unit(unit), right.in_unit(unit)
        sign = Fraction(1 if node.operator == "+" else -1)
        temperature = unit.dimension == "temperature"
        difference = temperature and (left.difference == right.difference)
        if temperature and not left.difference and not right.difference and sign > 0:
            raise self._wrong(
                "wrong-dimension",
                "two temperatures have no sum",
                node.span,
                "subtract them for a difference, or write average of an array",
            )
        if temperature and left.difference and not right.difference and sign < 0:
            raise self._wrong(
                "wrong-dimension",
                "a temperature cannot be taken from a difference",
                node.span,
                "write the temperature first",
            )
        if not temperature:
            difference = left.difference and right.difference
        right = right.scaled(sign, _ZERO, unit, right.difference)
        parts = (left.node, right.node)
        if isinstance(left.node, e.Number) and isinstance(right.node, e.Number):
            total: e.Expression = e.Number(left.node.value + right.node.value)
        elif isinstance(right.node, e.Number):
            total = e.Scaled(left.node, Fraction(1), right.node.value)
        elif isinstance(left.node, e.Number):
            total = e.Scaled(right.node, Fraction(1), left.node.value)
        else:
            total = e.Sum(parts)
        size = left.size if left.size is not None else right.size
        per = right.per if left.is_number else left.per
        return _Typed(total, unit, difference, size, left.low + right.low, left.high + right.high, per)

    def _product(self, node: t.Arithmetic, left: _Typed, right: _Typed) -> _Typed:
        if node.operator == "*" and left.is_number and not right.is_number:
            left, right = right, left
        if not isinstance(right.node, e.Number):
            what = "multiplied by" if node.operator == "*" else "divided by"
            raise self._wrong(
                "bad-value",
                f"a `let` is linear: something can be {what} a number, not by a quantity",
                node.span,
                "write a number; products of quantities cannot be stated, but a limit may be a curve over one of them",
            )
        if node.operator == "/" and right.node.value == 0:
            raise self._wrong("bad-value", "this divides by zero", node.right.span, "write another number")
        absolute = left.unit.dimension == "temperature" and not left.difference
        is_ratio = right.unit.dimension == "ratio"
        if right.unit == PLAIN or (is_ratio and (node.operator == "*" or left.unit.dimension != "ratio")):
            if absolute:
                raise self._wrong(
                    "wrong-dimension",
                    "a multiple of a temperature means nothing: it depends on where its scale has its zero",
                    node.span,
                    "take the difference to another temperature first, or divide by a unit: / 1 C",
                )
            number = convert_difference(right.node.value, right.unit, PLAIN)
            factor = number if node.operator == "*" else 1 / number
            return left.scaled(factor, _ZERO, left.unit, left.difference)
        if node.operator == "/" and left.unit.dimension == right.unit.dimension:
            found = left.in_unit(right.unit)
            return found.scaled(1 / right.node.value, _ZERO, PLAIN, False)
        names = [typed.unit.name or "a plain number" for typed in (left, right)]
        verb = "multiplied by" if node.operator == "*" else "divided by"
        raise self._wrong(
            "wrong-dimension",
            f"{names[0]} {verb} {names[1]} has no unit in this language",
            node.span,
            "multiply and divide by plain numbers, or divide by a number of the same dimension: / 1 inHg",
        )

    def _same_dimension(self, node: t.Arithmetic, left: _Typed, right: _Typed) -> None:
        if left.unit.dimension == right.unit.dimension:
            return
        said = [f"a {x.unit.dimension} ({x.unit.name})" if x.unit.name else "a plain number" for x in (left, right)]
        advice = "divide each by a number with its own unit first: x / 1 inHg - y / 100 rpm"
        for number, other in ((left, right), (right, left)):
            if number.is_number and number.unit == PLAIN:
                advice = f"write the number with its unit, {other.unit.name}"
        raise self._wrong(
            "wrong-dimension", f"{said[0]} and {said[1]} cannot be added or subtracted", node.span, advice
        )

    def _same_time(self, node: t.Arithmetic, left: _Typed, right: _Typed) -> None:
        if left.per == right.per or left.is_number or right.is_number:
            return
        said = [f"per {x.per}" if x.per else "no rate" for x in (left, right)]
        raise self._wrong(
            "wrong-dimension",
            f"one of these is {said[0]} and the other {said[1]}",
            node.span,
            "state both rates per the same unit of time",
        )

    def _same_size(self, node: t.Arithmetic, left: _Typed, right: _Typed) -> None:
        if None in (left.size, right.size) or left.size == right.size:
            return
        raise self._wrong(
            "wrong-kind",
            f"one side has {left.size} elements and the other {right.size}",
            node.span,
            "combine arrays of the same length, or single elements",
        )
