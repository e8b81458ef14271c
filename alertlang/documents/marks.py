"""Where checks have found something, as points in an operating map."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from alertlang.checks.run import Options, run
from alertlang.documents.drawing import Mark
from alertlang.findings.finding import Finding, Reading
from alertlang.gauges.operating_map import OperatingMap
from alertlang.model.ruleset import RuleSet
from alertlang.units.unit import convert


def marks(ruleset: RuleSet, found: OperatingMap, findings: Iterable[Finding] | None = None) -> tuple[Mark, ...]:
    """The examples of findings that give both readings of a map and are about its gauge.

    Without `findings` the rule set is checked.
    """
    if findings is None:
        findings = run(ruleset, Options(None)).findings
    return tuple(
        Mark(at[0], at[1], one.code.code)
        for one in findings
        if one.accepted is None and one.quantity == found.of.quantity.name and (at := _at(one, found)) is not None
    )


def _at(one: Finding, found: OperatingMap) -> tuple[Fraction, Fraction] | None:
    witness = one.witness or {}
    across, up = witness.get(found.x.name), witness.get(found.y.name)
    if not isinstance(across, Reading) or not isinstance(up, Reading):
        return None
    return (
        convert(across.value, across.unit, found.x.quantity.unit),
        convert(up.value, up.unit, found.y.quantity.unit),
    )
