"""A state that is given by hand, `rpm=2500 oil_temp=40F flaps=landing`: read as a line of a scenario is."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from alertlang.findings.errors import NameOrFileError
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m
from alertlang.scenarios import scenario as s
from alertlang.scenarios.bind import changes_of
from alertlang.syntax import scenario_tree as st
from alertlang.syntax.read import read_bytes
from alertlang.syntax.scenario import parse_scenario

# Nothing that could be anything else in a line of a scenario.
_INPUT = re.compile(r"([A-Za-z_]\w*)(\[[0-9]+\])?=([^\s,:#\"=>\[\]](?:[^,:#\"=>\[\]\n\r]*[^\s,:#\"=>\[\]])?)")


@dataclass(frozen=True, slots=True)
class GivenState:
    """Readings and positions that are known; none where the sensor has failed, or nobody knows the position."""

    readings: Mapping[str, Fraction | None]
    positions: Mapping[str, str | None]

    @property
    def names(self) -> frozenset[str]:
        return frozenset((*self.readings, *self.positions))


def given_state(rules: m.RuleSet, inputs: Iterable[str]) -> tuple[GivenState | None, tuple[Finding, ...]]:
    """What inputs say; none, with what is wrong with them. NameOrFileError for one that is not of the form NAME=VALUE.

    The name of an array gives all its elements, `cht[2]` one of them, also after it was given with all.
    """
    line = f"at 0 s: {', '.join(_written(rules, text) for text in inputs)}\n"
    source = read_bytes(line.encode(), "<inputs>")
    if isinstance(source, Finding):
        return None, (source,)
    tree, findings = parse_scenario(source)
    nodes = [node for node in tree.statements if isinstance(node, st.AtStatement)]
    if findings or len(nodes) != 1:
        return None, tuple(findings)
    changes, findings = changes_of(tree, rules, nodes[0])
    if findings:
        return None, tuple(findings)
    readings: dict[str, Fraction | None] = {}
    positions: dict[str, str | None] = {}
    for change in changes:
        if isinstance(change, s.Sets):
            readings[change.reading] = change.value
        elif isinstance(change, s.Turns):
            positions[change.switch] = change.position
        else:
            advice = "a press is a story: write it as a scenario"
            raise NameOrFileError("a state has values and positions, and nobody presses anything in it", advice)
    return GivenState(readings, positions), ()


def _written(rules: m.RuleSet, text: str) -> str:
    """As a scenario has it."""
    match = _INPUT.fullmatch(text)
    if match is None:
        example = next(iter(rules.quantities), "rpm")
        raise NameOrFileError(f"{text!r} is not an input", f"write for example: {example}=VALUE, or {example}=failed")
    name, element, value = match.groups(default="")
    quantity = rules.quantities.get(name)
    every = "every " if quantity is not None and quantity.size is not None and not element else ""
    return f"{every}{name}{element} {value}"
