"""The weights of an aircraft: the most it may have, and the one at which the arcs of its airspeed indicator are."""

from __future__ import annotations

from dataclasses import dataclass, field

from alertlang.model import ruleset as m
from alertlang.model.scope import Scope
from alertlang.syntax import tree as t
from alertlang.text.source import Span
from alertlang.units.unit import UNITS

_EXAMPLE = "maximum weight 1310 kg, arcs at 1200 kg, source NAME"
_WORDS = {"maximum": "the maximum weight", "arcs": "the weight of the arcs"}


@dataclass(slots=True)
class WeightBinder:
    """What the files of one rule set say of weights: each of the two once, though several files may say the same."""

    scope: Scope
    found: list[m.Weights] = field(default_factory=list)
    _known: dict[str, tuple[m.Weight, Span]] = field(default_factory=dict)

    def add(self, node: t.WeightsStatement, sources: tuple[m.DocumentSource, ...], origin: m.Origin) -> None:
        self.scope.twice(node.repeated)
        if not node.sources:
            self.scope.report(
                "missing-source",
                "the weights do not say where their numbers come from",
                node.span,
                'add `, source NAME` and declare it: source NAME "document", or: source NAME common practice',
            )
        maximum, arcs = self._weight("maximum", node.maximum), self._weight("arcs", node.arcs)
        if maximum is not None or arcs is not None:
            self.found.append(m.Weights(maximum, arcs, sources, node.span, origin))
            self._in_order()

    def _weight(self, what: str, value: t.Value | None) -> m.Weight | None:
        if value is None:
            return None
        unit = UNITS["kg"] if value.unit is None else self.scope.unit(value.unit)
        if unit is None:
            return None
        if value.unit is None or unit.dimension != "mass":
            is_other = "has no unit" if value.unit is None else f"is a {unit.dimension}"
            self.scope.report(
                "wrong-dimension",
                f"{_WORDS[what]} is a mass in kg or lb, and {value.span.text} {is_other}",
                value.span,
                f"write for example: {_EXAMPLE}",
            )
            return None
        if value.number <= 0:
            message = f"{_WORDS[what]} must be more than 0"
            self.scope.report("bad-value", message, value.span, "write a larger number")
            return None
        weight = m.Weight(value.number, unit)
        first, where = self._known.setdefault(what, (weight, value.span))
        if where is value.span:
            return weight
        if where.source.path == value.span.source.path:
            message = f"{_WORDS[what]} is said twice, in line {where.line} too"
            self.scope.report("bad-value", message, value.span, "take one of the two out")
        elif first.in_kilograms != weight.in_kilograms:
            self.scope.report(
                "bad-value",
                f"{_WORDS[what]} is said differently in {where.source.path} line {where.line}: "
                f"{first.in_words} there, {weight.in_words} here",
                value.span,
                "make the two agree, or take one of them out",
            )
        return None

    def _in_order(self) -> None:
        """The arcs are at no more than the aircraft may weigh, whichever file says which."""
        if self._known.keys() != _WORDS.keys():
            return
        (maximum, _), (arcs, where) = self._known["maximum"], self._known["arcs"]
        last = self.found[-1]
        if arcs.in_kilograms > maximum.in_kilograms and (last.maximum is maximum or last.arcs is arcs):
            self.scope.report(
                "bad-value",
                f"the arcs are at {arcs.in_words}, which is above the maximum weight, {maximum.in_words}",
                where,
                "one of the two numbers is wrong; write both in the unit of the document",
            )
