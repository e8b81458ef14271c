"""The names of a rule set, values and regions bound to them. Every mistake becomes a finding; nothing is guessed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction

from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding, finding
from alertlang.model import ruleset as m
from alertlang.syntax import tree as t
from alertlang.text.source import Span
from alertlang.text.suggest import did_you_mean, nearest
from alertlang.units.number import show_number, show_value
from alertlang.units.unit import PLAIN, UNITS, Unit, convert, convert_difference, find_unit, nearest_unit


@dataclass(slots=True)
class Scope:
    """What is declared, and what was found wrong while binding to it."""

    quantities: dict[str, m.Quantity] = field(default_factory=dict)
    switches: dict[str, m.Switch] = field(default_factory=dict)
    condition_names: dict[str, t.ConditionStatement] = field(default_factory=dict)
    derived_names: set[str] = field(default_factory=set)
    findings: list[Finding] = field(default_factory=list)
    # Names that a statement would have given if it had been without fault: said once, at that statement.
    lost: set[str] = field(default_factory=set)
    # A file is missing: any name may be in it.
    incomplete: bool = False

    def report(self, name: str, message: str, where: Span, *advice: str) -> None:
        self.findings.append(finding(name, message, where, advice=advice))

    def warn(self, name: str, message: str, where: Span, *advice: str) -> None:
        """The same for what can be read all the same."""
        self.findings.append(replace(finding(name, message, where, advice=advice), severity=Severity.WARNING))

    def twice(self, nodes: Iterable[t.Node]) -> None:
        """Says of each that it is a repetition."""
        for node in nodes:
            self.report("bad-value", "this is said twice in one statement", node.span, "take one of the two out")

    def no_reason(self, reason: t.WordNode) -> None:
        """Says that a reason is empty, where it is."""
        if not reason.text.strip():
            self.report("bad-value", "the reason is empty", reason.span, "say why: whoever reviews it will ask")

    def position(self, switch: m.Switch, word: t.WordNode, name: str | None = None) -> str | None:
        """A position of a switch; none if it has none of that name, which is then said. `name`: what it is called."""
        if word.text in switch.positions:
            return word.text
        advice = did_you_mean(word.text, switch.positions, f"its positions are {', '.join(switch.positions)}")
        message = f"{name or switch.name} has no position {word.text}"
        self.report("unknown-name", message, word.span, advice)
        return None

    def is_day(self, word: t.WordNode) -> bool:
        """Whether a date is one of the calendar; if not, that is said."""
        try:
            date.fromisoformat(word.text)
        except ValueError:
            way_out = "write year, month and day, for example 2027-06-30"
            self.report("bad-value", f"there is no day {word.text}", word.span, way_out)
            return False
        return True

    # ---- values

    def seconds(self, value: t.Value | None) -> Fraction | None:
        """A duration in seconds; none where none is written or where it is wrong, which is then said."""
        if value is None:
            return None
        unit = self.unit(value.unit)
        if unit is None:
            return None
        if unit.dimension != "time":
            self.report(
                "wrong-dimension",
                f"a time must stand here, and {show_value(value.number, unit)} is a {unit.dimension}",
                value.span,
                "write a number with s, min or h",
            )
            return None
        return value.number * unit.factor

    def unit(self, word: t.WordNode | None) -> Unit | None:
        """The unit a word names; none with a finding if it names none. No word: no unit of its own."""
        if word is None:
            return PLAIN
        found = find_unit(word.text)
        if found is None:
            close = nearest_unit(word.text)
            advice = f"did you mean {close}?" if close else f"the units are {', '.join(UNITS)}"
            self.report("unknown-unit", f"{word.text} is not a unit", word.span, advice)
        return found

    def in_unit(self, value: t.Value, target: Unit, what: str) -> Fraction | None:
        """A value in the unit of what it is compared with; a bare number is in that unit already."""
        return self._converted(value, target, what, convert)

    def difference_in_unit(self, value: t.Value, target: Unit, what: str) -> Fraction | None:
        """The same for a difference (a step, an accuracy): a temperature has no offset there."""
        return self._converted(value, target, what, convert_difference)

    def _converted(
        self, value: t.Value, target: Unit, what: str, change: Callable[[Fraction, Unit, Unit], Fraction]
    ) -> Fraction | None:
        if value.unit is None:
            return value.number
        unit = self.unit(value.unit)
        if unit is None:
            return None
        if unit.dimension != target.dimension:
            self._wrong_dimension(value, unit, target, what)
            return None
        return change(value.number, unit, target)

    def _wrong_dimension(self, value: t.Value, unit: Unit, target: Unit, what: str) -> None:
        right = [name for name, one in UNITS.items() if one.dimension == target.dimension]
        is_in = f"a {target.dimension} in {target.name}" if target.name else "a plain number"
        self.report(
            "wrong-dimension",
            f"{what} is {is_in}, and {show_value(value.number, unit)} is a {unit.dimension}",
            value.span,
            f"write a {target.dimension} ({', '.join(right)})" if target.name else "write a number without a unit",
        )

    def region(self, region: t.RegionNode, quantity: m.Quantity) -> m.Region | None:
        """A region in the quantity's own unit."""
        if region.kind == "failed":
            return m.Region(m.RegionKind.FAILED, Fraction(0), span=region.span)
        ends: list[m.Bound] = []
        bounds = [bound for bound in (region.first, region.second) if bound is not None]
        number_of = self.difference_in_unit if quantity.difference else self.in_unit
        for bound in bounds:
            end = (
                self._named_bound(bound, quantity)
                if isinstance(bound, t.WordNode)
                else number_of(bound, quantity.unit, quantity.name)
            )
            if end is None:
                return None
            ends.append(end)
        if len(ends) == 2 and not (
            self.one_unit(bounds[0], bounds[1], quantity) and self._rising(region, ends, quantity)
        ):
            return None
        return m.Region(_kind(region), *ends, span=region.span)

    def one_unit(self, first: t.Bound, second: t.Bound, quantity: m.Quantity) -> bool:
        """`from 100 C to 200` on a gauge in F: a reader takes the second for C, the rule above for F."""
        if not isinstance(first, t.Value) or not isinstance(second, t.Value):
            return True
        if first.unit is None or second.unit is not None or first.unit.text == quantity.unit.name:
            return True
        number = show_number(second.number)
        self.report(
            "bad-value",
            f"{number} has no unit, and {first.span.text} before it has one that is not {quantity.name}'s own",
            second.span,
            f"write {number} {first.unit.text}, or {number} {quantity.unit.name}",
        )
        return False

    def _rising(self, region: t.RegionNode, ends: list[m.Bound], quantity: m.Quantity) -> bool:
        first, last = ends
        kind = _kind(region)
        # Ends that move may cross: the region is then empty for the time being, as it says.
        if isinstance(first, m.Moving) or isinstance(last, m.Moving) or first < last:
            return True
        low, high = (show_value(number, quantity.unit) for number in (first, last))
        if first == last:
            if kind.outside or (kind.low and kind.high):
                return True
            words = m.RegionKind.AT_LEAST if kind.low else m.RegionKind.AT_MOST if kind.high else m.RegionKind.WITHIN
            said = words.words.format(low, low)
            self.report(
                "bad-value", f"nothing is {kind.words.format(low, low)}", region.span, f"perhaps {said} is meant"
            )
            return False
        self.report(
            "bad-value",
            f"the range runs down, from {low} to {high}",
            region.span,
            f"write the lower end first: {kind.words.format(high, low)}",
        )
        return False

    def _named_bound(self, word: t.WordNode, quantity: m.Quantity) -> m.Moving | None:
        """A let or curve as the end of a region, in the unit of the quantity that is compared."""
        if self.is_lost(word.text):
            return None
        if word.text in self.derived_names:
            return self._moving(word, self.quantities[word.text], quantity)
        kind = self.declared().get(word.text)
        if kind is not None:
            self.report(
                "wrong-kind",
                f"{word.text} is {kind}, and the end of a region is a number, a curve or a let",
                word.span,
                f"write a number, or give it a second name: let NAME = {word.text}"
                if kind == "a quantity"
                else "write a number",
            )
            return None
        otherwise = "write a number, or declare a curve of that name"
        advice = did_you_mean(word.text, self.derived_names, otherwise)
        self.report("unknown-name", f"there is no curve or let {word.text}", word.span, advice)
        return None

    def _moving(self, word: t.WordNode, end: m.Quantity, quantity: m.Quantity) -> m.Moving | None:
        if end.unit.dimension != quantity.unit.dimension or (
            end.unit.dimension == "temperature" and end.difference != quantity.difference
        ):
            kinds = [
                f"a difference of {q.unit.dimension}s" if q.difference else f"a {q.unit.dimension}"
                for q in (quantity, end)
            ]
            self.report(
                "wrong-dimension",
                f"{quantity.name} is {kinds[0]}, and {end.name} is {kinds[1]}",
                word.span,
                "compare it with a let or curve of its own kind",
            )
            return None
        if end.per != quantity.per:
            said = [f"a rate per {q.per}" if q.per else "no rate" for q in (quantity, end)]
            self.report(
                "wrong-dimension",
                f"{quantity.name} is {said[0]}, and {end.name} is {said[1]}",
                word.span,
                "compare rates per the same unit of time",
            )
            return None
        if end.size is not None and end.size != quantity.size:
            self.report(
                "wrong-kind",
                f"{end.name} has {end.size} elements, and {quantity.name} has {quantity.size or 'one value'}",
                word.span,
                f"compare with one value, for example: let NAME = highest of {end.name}",
            )
            return None
        if quantity.difference:
            factor, offset = convert_difference(Fraction(1), end.unit, quantity.unit), Fraction(0)
        else:
            offset = convert(Fraction(0), end.unit, quantity.unit)
            factor = convert(Fraction(1), end.unit, quantity.unit) - offset
        return m.Moving(end.name, factor, offset, end.low * factor + offset, end.high * factor + offset)

    # ---- names

    def is_lost(self, name: str) -> bool:
        """Whether a finding elsewhere already says why a name is not known."""
        return self.incomplete or name in self.lost

    def declared(self) -> Mapping[str, str]:
        """Every name with what it is."""
        kinds = dict.fromkeys(self.quantities, "a quantity")
        kinds.update(dict.fromkeys(self.switches, "a switch"))
        kinds.update(dict.fromkeys(self.condition_names, "a condition"))
        kinds.update(dict.fromkeys(self.derived_names, "a let or curve"))
        return kinds

    def unknown(self, word: t.WordNode, wanted: str, candidates: Iterable[str]) -> None:
        """Says that a name is of another kind, or of none, with the nearest that would do."""
        if word.text in self.lost:
            return
        kind = self.declared().get(word.text)
        known = sorted(candidates)
        if kind is not None:
            if kind == wanted:
                # Only an index can have made a name of the right kind wrong.
                message = f"{word.text} is {kind}, and only an array has elements"
                self.report("wrong-kind", message, word.span, f"write {word.text} without [ ]")
                return
            hints = {
                "a quantity": f"say which values, for example: {word.text} above 100",
                "a switch": f"say at which position, for example: {word.text} is {self._position(word.text)}",
                "a condition": f"it stands alone in a formula, for example: when {word.text} then ...",
            }
            self.report(
                "wrong-kind",
                f"{word.text} is {kind}, and {wanted} must stand here",
                word.span,
                hints.get(kind, f"write the name of {wanted}"),
            )
            return
        if self.is_lost(word.text):
            return
        if close := nearest(word.text, known) or nearest(word.text, self.declared()):
            advice = f"did you mean {close}?"
        elif known:
            advice = f"declared are: {', '.join(known[:8]) + (' ...' if len(known) > 8 else '')}"
        else:
            advice = "nothing of that kind is declared: is a `use profile` missing?"
        self.report("unknown-name", f"there is no {wanted.removeprefix('a ')} {word.text}", word.span, advice)

    def _position(self, name: str) -> str:
        return self.switches[name].positions[0] if name in self.switches else "..."

    def quantity(self, subject: t.SubjectNode) -> tuple[m.Quantity, int | None] | None:
        """The quantity a subject names, and which element."""
        found = self.quantities.get(subject.name.text)
        if found is None:
            self.unknown(subject.name, "a quantity", self.quantities)
            return None
        if subject.index is None:
            return found, None
        index = subject.index.number
        if found.size is None:
            message, advice = "has one value, so it has no elements", f"without [{show_number(index)}]"
            self.report("wrong-kind", f"{found.name} {message}", subject.span, f"write {found.name} {advice}")
            return None
        return (found, int(index)) if self.has_element(found, index, subject.span) else None

    def has_element(self, quantity: m.Quantity, index: Fraction, where: Span) -> bool:
        """Whether an array has an element of a number; if not, that is said."""
        name, size = quantity.name, quantity.size
        assert size is not None
        if index.denominator == 1 and 1 <= index <= size:
            return True
        message = f"{name} has the elements 1 to {size}; there is no {show_number(index)}"
        self.report("bad-value", message, where, f"write {name}[1] to {name}[{size}]")
        return False


def _kind(region: t.RegionNode) -> m.RegionKind:
    return m.RegionKind.OUTSIDE if region.kind == "below_above" else m.RegionKind[region.kind.upper()]
