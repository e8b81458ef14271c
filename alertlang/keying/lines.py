"""A rule set as the lines of the sheet: gauge by gauge in the order of the panel, then what belongs to no gauge."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.checks.guards import comes
from alertlang.comparison.canonical import key_of
from alertlang.keying.columns import NOT_A_STEP, ROUNDED, Sheet, SheetLine, mark_of
from alertlang.keying.edges import KeyedEdge, edge, exact_text, rounds_up
from alertlang.keying.used import used_conditions, used_quantities, used_switches
from alertlang.logic.solver import Answer
from alertlang.logic.terms import conjunction, in_interval
from alertlang.model import ruleset as m
from alertlang.model.snapshot import PLAIN, told_without
from alertlang.text.source import Span
from alertlang.units.interval import Interval
from alertlang.units.number import show_number
from alertlang.units.unit import Unit

# ---- formulas: as they are written, each different one under a number of its own


_COMMENT = re.compile(r'("[^"\n]*")|#[^\n]*')
_SOURCE = re.compile(r'\s*,\s*source\s+[A-Za-z]\w*(?:\s*"[^"]*")?')
_DEFINED = re.compile(r"^let\s+\w+\s*=\s*|^curve\s+\w+\s+")


def written(span: Span) -> str:
    """A piece of the rules on one line, without comments."""
    return " ".join(_COMMENT.sub(lambda found: found[1] or "", span.text).split())


def definition(quantity: m.Quantity) -> str:
    """How a let or a curve is computed, without its name and its sources."""
    return _SOURCE.sub("", _DEFINED.sub("", written(quantity.span)))


@dataclass(slots=True)
class Contexts:
    """Numbers formulas in the order in which they are met: C1, C2 ... One that is a named condition needs none."""

    numbers: dict[str, str] = field(default_factory=dict)
    formulas: dict[str, m.Formula] = field(default_factory=dict)

    def name(self, formula: m.Formula | None) -> str:
        if formula is None:
            return ""
        if isinstance(formula, m.ConditionIs):
            return formula.name
        key = key_of(formula)
        if key not in self.numbers:
            name = f"C{len(self.numbers) + 1}"
            self.numbers[key] = name
            self.formulas[name] = formula
        return self.numbers[key]


def sheet_of(ruleset: m.RuleSet, *, digest: str) -> Sheet:
    """The sheet of a rule set; `digest` is its content digest. The same rules give the same lines and numbers."""
    lines = tuple(_Lines(ruleset).all())
    profiles = tuple(f"{origin.name} version {origin.version}" for origin in ruleset.profiles)
    mark = mark_of(ruleset.name, ruleset.version, digest)
    return Sheet(ruleset.name, ruleset.version, digest, mark, profiles, lines)


def display_unit(ruleset: m.RuleSet, quantity: str) -> tuple[Unit, Fraction | None]:
    """The unit in which a quantity's edges are keyed in, and their step in it (none: as many digits as it takes)."""
    measured = ruleset.quantities[quantity]
    for gauge in ruleset.gauges:
        if gauge.quantity == quantity:
            return gauge.unit or measured.unit, gauge.resolution
    return measured.unit, None


@dataclass(slots=True)
class _Lines:
    ruleset: m.RuleSet
    contexts: Contexts = field(default_factory=Contexts)
    number: int = 0
    # Made when it is first asked.
    solved: _Together | None = None

    def all(self) -> Iterator[SheetLine]:
        rules = self.ruleset
        gauges = {gauge.quantity: gauge for gauge in rules.gauges}
        for name in used_quantities(rules):
            yield from self._quantity(name, gauges.get(name))
        for alert in rules.alerts:
            yield self._line(
                "alert", {"name": alert.label, "when": self.contexts.name(alert.when), **self._shared(alert)}
            )
        for name, formula in self.contexts.formulas.items():
            note, unsettled = self._off_step(formula)
            yield self._line("context", {"name": name, "formula": written(formula.span)}, note, unsettled)
        for name in used_conditions(rules):
            yield self._condition(rules.conditions[name])
        wires = {button.switch: button for button in rules.inputs}
        for name in used_switches(rules):
            yield self._switch(rules.switches[name], wires.get(name))
        for lamp in rules.lamps:
            yield self._lamp(lamp)

    def _line(self, what: str, cells: dict[str, str], note: str = "", unsettled: tuple[str, ...] = ()) -> SheetLine:
        self.number += 1
        filled = {name: text for name, text in cells.items() if text}
        return SheetLine(self.number, {"what": what, **filled}, note, unsettled)

    def _together(self) -> _Together:
        if self.solved is None:
            self.solved = _Together(self.ruleset)
        return self.solved

    # ---- gauges

    def _quantity(self, name: str, gauge: m.PanelGauge | None) -> Iterator[SheetLine]:
        quantity = self.ruleset.quantities[name]
        if gauge is not None:
            resolution = "" if gauge.resolution is None else show_number(gauge.resolution)
            yield self._line(
                "gauge",
                {
                    "gauge": name,
                    "text": gauge.label or "",
                    "drawn": gauge.shape or "",
                    "unit": (gauge.unit or quantity.unit).name,
                    "resolution": resolution,
                    "sensor": gauge.sensor or "",
                    "channel": "; ".join(gauge.channels),
                },
            )
        if quantity.derived is None:
            deadband = "" if quantity.deadband is None else exact_text(quantity.deadband, quantity.unit, True)
            yield self._line(
                "sensor",
                {
                    "gauge": name,
                    "from": show_number(quantity.low),
                    "to": show_number(quantity.high),
                    "unit": quantity.unit.name,
                    "elements": "" if quantity.size is None else str(quantity.size),
                    "deadband": deadband,
                },
                "a reading outside this range counts as failed",
            )
        else:
            where = "difference" if quantity.difference else "value"
            yield self._line(
                "computed", {"gauge": name, "where": where, "unit": quantity.unit.name, "formula": definition(quantity)}
            )
        bands = [band for band in self.ruleset.bands if band.quantity == name]
        for band in bands:
            yield self._band(band, bands)

    def _band(self, band: m.Band, bands: list[m.Band]) -> SheetLine:
        quantity = self.ruleset.quantities[band.quantity]
        unit, resolution = display_unit(self.ruleset, band.quantity)
        region = band.region
        cells = {"gauge": m.variable(band.quantity, band.index), "name": band.label, "where": _where(region)}
        notes: list[str] = []
        keyed: dict[Fraction, str] = {}

        def put(side: str, bound: m.Bound, included: bool, lower: bool) -> None:
            cells[f"{side}_included"] = "yes" if included else "no"
            if isinstance(bound, m.Moving):
                cells[side] = bound.quantity
                return
            found: KeyedEdge = edge(bound, quantity, unit, resolution, up=rounds_up(bands, band, bound, lower=lower))
            cells[side] = found.keyed
            keyed[bound] = f"{found.keyed} {unit.name}".strip()
            if found.exact:
                cells[f"exact_{side}"] = found.exact
                exact, _, way = found.exact.partition(", ")
                notes.append(f"{ROUNDED} {side}: {exact} is between two steps; {way}, towards the warning")

        if not region.is_failed:
            # Of what lies outside the lower part ends at the first end, and the upper one begins at the second.
            names = ("to",) if region.kind.is_low else ("from", "to")
            for name, side in zip(names, region.sides(), strict=False):
                included = side.kind.high if side.kind.is_low else side.kind.low
                put(name, side.first, bool(included), side.kind.is_high)
            cells["unit"] = unit.name
        cells["colour"] = band.colour.word
        cells["when"] = self.contexts.name(band.when)
        cells.update(self._shared(band))
        notes += _shared_edges(band, bands, keyed, self._together)
        return self._line("band", cells, "; ".join(notes))

    def _shared(self, rule: m.Band | m.Alert) -> dict[str, str]:
        """What bands and alerts have in common."""
        cells = {"unless": self.contexts.name(rule.unless)}
        if rule.held is not None:
            cells["for_more_than"] = m.in_seconds(rule.held)
            cells["in_total"] = "yes" if rule.in_total else "no"
        if rule.alert is not None:
            cells["level"] = rule.alert.level.word
            cells["text"] = rule.alert.text
            cells["after"] = m.in_seconds(rule.after or Fraction(0))
            cells["latched"] = "yes" if rule.latched else "no"
        return cells

    # ---- the rest

    def _condition(self, condition: m.Condition) -> SheetLine:
        return self._line(
            "condition",
            {
                "name": condition.name,
                "formula": written(condition.formula.span),
                "until": "" if condition.until is None else written(condition.until.span),
                "set_after": m.in_seconds(condition.set_after or Fraction(0)),
                "cleared_after": m.in_seconds(condition.cleared_after or Fraction(0)),
            },
            *self._off_step(*condition.parts),
        )

    def _off_step(self, *formulas: m.Formula) -> tuple[str, tuple[str, ...]]:
        """The numbers of a context that are others on its display, as a note, and those which it cannot hold. Which way
        of rounding is the safe one depends on what the context is for, so that nobody but the designer can say."""
        found: dict[str, None] = {}
        unsettled: dict[str, None] = {}
        for part in (part for formula in formulas for part in m.parts_of(formula)):
            if not isinstance(part, m.Compare):
                continue
            quantity = self.ruleset.quantities[part.quantity]
            unit, resolution = display_unit(self.ruleset, part.quantity)
            for value in part.region.numbers:
                low, high = (edge(value, quantity, unit, resolution, up=up) for up in (False, True))
                exact = exact_text(value, quantity.unit, quantity.difference)
                if low.exact:
                    either = f"{low.keyed} {unit.name}".strip(), f"{high.keyed} {unit.name}".strip()
                    said = (
                        f"the display cannot hold {part.quantity} {exact}: the designer changes the rule to"
                        f" {' or '.join(either)}, then a new sheet"
                    )
                    found[f"{NOT_A_STEP}: {said}"] = unsettled[said] = None
                elif unit != quantity.unit:
                    found[f"{part.quantity} {exact} is {low.keyed} {unit.name} on the display"] = None
        return "; ".join(found), tuple(unsettled)

    def _switch(self, switch: m.Switch, wire: m.PanelInput | None) -> SheetLine:
        cells = {"name": switch.name, "positions": ", ".join(switch.positions)}
        if wire is not None:
            cells["text"] = wire.label or ""
            cells["channel"] = wire.channel or ""
            if wire.wired is not None and wire.position is not None:
                cells["wired"] = f"{wire.wired} when {wire.position}"
        return self._line("switch", cells)

    def _lamp(self, lamp: m.PanelLamp) -> SheetLine:
        sequence = lamp.sequence.value
        if sequence == "A":
            sequence += " with lock-in" if lamp.lock_in else " without lock-in"
        return self._line(
            "lamp",
            {
                "text": lamp.text,
                "shows": " and ".join((*(level.word for level in lamp.levels), *lamp.labels)),
                "sequence": sequence,
                "acknowledge": lamp.acknowledge or "",
                "reset": lamp.reset or "",
            },
        )


def _where(region: m.Region) -> str:
    return "failed" if region.is_failed else "outside" if region.kind.outside else "inside"


class _Together:
    """Whether two bands can apply at one value at once, whichever sensors have failed, by what the box is told then."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.context = Context(ruleset)
        sensors = (ruleset.sensors_read(q.name, index) for q in ruleset.quantities.values() for index in q.indexes)
        self.encoder = self.context.encoder.in_mode(told_without(frozenset().union(*sensors)))

    def can(self, band: m.Band, other: m.Band, value: Fraction) -> bool:
        """Where that is not decided, they can."""
        if band.index is not None and other.index is not None and band.index != other.index:
            return False
        index = band.index if band.index is not None else other.index
        for element in (index,) if index is not None else self.context.ruleset.elements(band.quantity):
            reading = self.encoder.names.reading(band.quantity, element, PLAIN)
            both_there = (comes(self.encoder, band, element), comes(self.encoder, other, element))
            at = in_interval(reading, Interval.point(value))
            if self.context.is_satisfiable(conjunction((*both_there, at))) is not Answer.NO:
                return True
        return False


def _shared_edges(
    band: m.Band, bands: list[m.Band], keyed: Mapping[Fraction, str], together: Callable[[], _Together]
) -> list[str]:
    """Edges that another band of a worse colour takes in as well: it has them where both apply. `keyed`: edges as the
    display has them."""
    found = []
    for value in band.region.numbers:
        if not band.region.values.contains(value):
            continue
        for other in bands:
            ends_here = value in other.region.numbers and other.region.values.contains(value)
            if ends_here and other.colour.rank > band.colour.rank and together().can(band, other, value):
                found.append(f"the edge {keyed[value]} is {other.colour.word} where {other.label} applies too")
                break
    return found
