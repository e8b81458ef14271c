"""What became of a statement at one sample, and why: the part that does not hold, the time that is not over."""

from __future__ import annotations

from fractions import Fraction

from alertlang.findings.finding import WitnessReading
from alertlang.meaning.look import RuleLook, RunLook
from alertlang.model import ruleset as m
from alertlang.results.scenario import Read, Reason
from alertlang.why.words import Because, how_long


class Reasons:
    """Says things about the statements of a run that is at one sample."""

    def __init__(self, look: RunLook) -> None:
        self.ruleset = look.ruleset
        self.look = look
        self.because = Because(look)

    def read(self, sensors: frozenset[str], switches: frozenset[str]) -> Read:
        """The values of quantities and the positions of switches, in the order of declaration; none where failed."""
        found: dict[str, WitnessReading | str | None] = {}
        for quantity in self.ruleset.quantities.values():
            for index in quantity.indexes if quantity.name in sensors else ():
                value = self.look.readings.value(quantity.name, index)
                found[m.variable(quantity.name, index)] = (
                    None if value is None else WitnessReading(value, quantity.unit)
                )
        for name in self.ruleset.switches:
            if name in switches:
                found[name] = self.look.readings.positions.get(name)
        return found

    def faults(self, rule: m.Rule, index: int | None) -> int:
        """How many parts of a statement do not hold."""
        found = self.look.rule(rule, index)
        return (not found.when) + (not found.inside) + found.unless

    def condition(self, name: str) -> Reason:
        """Why a condition holds or does not."""
        says = self.because.condition(name).removeprefix(f"{name} ")
        return Reason(name, self.ruleset.conditions[name].span, self.look.shown.conditions[name], says)

    def statement(self, rule: m.Rule, index: int | None, *, alert: bool = False, but: str = "") -> Reason:
        """What became of a statement (with `alert`: of its alert)."""
        found = self.look.rule(rule, index)
        if alert:
            applies, says = found.up, self._alert_says(rule, index, found)
        else:
            applies, says = found.applies, self._says(rule, index, found)
        return Reason(m.variable(rule.label, index), rule.span, applies, says + but)

    def _alert_says(self, rule: m.Rule, index: int | None, found: RuleLook) -> str:
        if found.applies and not found.up:
            assert rule.after is not None
            assert found.due is not None
            waits = f"its alert comes after {how_long(rule.after)}, {how_long(found.due)} so far"
            return f"applies, and {waits}"
        if found.up and not found.applies:
            return f"is latched, and its cause was not acknowledged; now it {self._says(rule, index, found)}"
        return self._says(rule, index, found)

    def _says(self, rule: m.Rule, index: int | None, found: RuleLook) -> str:
        if found.applies:
            parts = self._parts(rule, index, found, True)
            return "applies" + (f": {' and '.join(parts)}" if parts else "")
        if found.holds:
            assert rule.held is not None
            so_far = found.rest or Fraction(0)
            total = " in total" if rule.in_total else ""
            return f"does not apply yet: for more than {how_long(rule.held)}{total}, {how_long(so_far)} so far"
        return f"does not apply: {' and '.join(self._parts(rule, index, found, False))}"

    def _parts(self, rule: m.Rule, index: int | None, found: RuleLook, truth: bool) -> list[str]:
        """The parts that hold, or those that do not."""
        said: list[str] = []
        if rule.when is not None and found.when is truth:
            said.append(self.because.formula(rule.when))
        if isinstance(rule, m.Band) and found.inside is truth:
            said.append(self._region(rule, index, found))
        if rule.unless is not None and found.unless is not truth and not truth:
            said.append(f"`unless` holds: {self.because.formula(rule.unless)}")
        return list(dict.fromkeys(said))

    def _region(self, band: m.Band, index: int | None, found: RuleLook) -> str:
        said = self.because.region(band.quantity, index, band.region, found.in_region)
        return f"{said}, but its deadband keeps it" if found.inside and not found.in_region else said
