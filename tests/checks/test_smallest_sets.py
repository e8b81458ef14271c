"""The statements named as the cause of something impossible are as few as can be, and always the same ones."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings

import alertlang.api as api
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m
from alertlang.results.report import Report, Verdict
from tests.helpers.generate import HEAD, Text, rule_sets
from tests.helpers.oracle import Oracle, rank

# Which states are left when some statements, by label, are held to.
Left = Callable[[frozenset[str]], int]


def first_smallest(labels: list[str], left: Left) -> tuple[str, ...] | None:
    """By trying all: the fewest statements that leave no state, of equally many the first in the order of the text."""
    for size in range(len(labels) + 1):
        for some in combinations(labels, size):
            if left(frozenset(some)) == 0:
                return some
    return None


def kept(oracle: Oracle, labels: frozenset[str]) -> int:
    """The states that keep the assumptions among some labels."""
    return oracle.all_of(oracle.keeps(a) for a in oracle.rules.assumptions if a.label in labels)


def causes_of_masking(oracle: Oracle, band: m.Band) -> tuple[str, ...] | None:
    worse = [other for other in oracle.bands(band.quantity) if rank(other) > rank(band)]

    def left(labels: frozenset[str]) -> int:
        seen = 0
        for index in oracle.elements(band.quantity, band.index):
            masked = oracle.any_of(oracle.applies(other, index) for other in worse if other.label in labels)
            seen |= oracle.applies(band, index) & ~masked & kept(oracle, labels)
        return seen

    assumptions = [a.label for a in oracle.rules.assumptions]
    return first_smallest([*(other.label for other in worse), *assumptions], left)


def causes_among_assumptions(oracle: Oracle, states: int) -> tuple[str, ...] | None:
    """The fewest assumptions that rule some states out."""
    labels = [a.label for a in oracle.rules.assumptions]
    return first_smallest(labels, lambda some: states & kept(oracle, some))


def applies_somewhere(oracle: Oracle, band: m.Band) -> int:
    return oracle.any_of(oracle.applies(band, i) for i in oracle.elements(band.quantity, band.index))


def check_unreachable(oracle: Oracle, one: Finding) -> None:
    band = next(band for band in oracle.rules.bands if band.label == one.statements[0])
    states = applies_somewhere(oracle, band)
    if oracle.exists(states):
        assert one.statements[1:] == causes_of_masking(oracle, band)
        return
    causes = tuple(label for label in one.statements[1:] if label not in oracle.rules.conditions)
    assert causes == causes_among_assumptions(oracle, states)


def check_causes(oracle: Oracle, report: Report) -> None:
    ranges = {one.label: one for one in oracle.rules.ranges}
    claims = {claim.label: claim for claim in oracle.rules.claims}
    rules = {rule.label: rule for rule in oracle.rules.rules}
    for one in report.findings:
        label, code = one.statements[0] if one.statements else "", one.code.code
        if code == "AL203":
            check_unreachable(oracle, one)
        elif code == "AL404":
            assert one.statements == causes_among_assumptions(oracle, oracle.all)
        elif code == "AL405" and label in ranges:
            assert one.statements[1:] == causes_among_assumptions(oracle, oracle.true(ranges[label].when))
        elif code == "AL405":
            claim = claims[label]
            states = oracle.any_of(oracle.given(claim, i) for i in oracle.claim_elements(claim))
            assert one.statements[1:] == causes_among_assumptions(oracle, states)
        elif code == "AL504":
            rule = rules[label]
            states = oracle.context(rule) if isinstance(rule, m.Alert) else applies_somewhere(oracle, rule)
            assert one.statements[1:] == causes_among_assumptions(oracle, states)
        elif code == "AL401" and label in oracle.rules.conditions:
            states = oracle.true(oracle.rules.conditions[label].formula)
            if oracle.exists(states):
                states = oracle.all & ~states
            assert one.statements[1:] == causes_among_assumptions(oracle, states)


def check_proofs(oracle: Oracle, report: Report) -> None:
    """A proof names the fewest assumptions it needs."""
    claims = {claim.label: claim for claim in oracle.rules.claims}
    for result in report.claims:
        if result.verdict is Verdict.PROVED:
            claim = claims[result.label]
            broken = oracle.any_of(
                oracle.given(claim, i) & oracle.wrong(claim, i) for i in oracle.claim_elements(claim)
            )
            assert result.assumptions == causes_among_assumptions(oracle, broken)


def named(report: Report) -> list[tuple[str, ...]]:
    return [
        *((f.code.code, *f.statements) for f in report.findings),
        *((c.label, *c.assumptions) for c in report.claims),
    ]


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(rule_sets(assumptions=(1, 5), bands=(2, 7)))
def test_causes_are_the_first_of_the_smallest_sets(generated: Text) -> None:
    rules = api.loads(generated.text)
    report = rules.check()
    oracle = Oracle(rules.model)
    check_causes(oracle, report)
    check_proofs(oracle, report)
    assert named(rules.check()) == named(report)


DECLARED = (
    "quantity rpm from 0 to 40 rpm, step 10 rpm\nquantity temp from -20 to 20 C\nquantity cht[2] from 0 to 6\n"
    "switch canopy shut, open\n"
)


@pytest.mark.parametrize(
    ("text", "code", "statements"),
    [
        pytest.param(
            "g: rpm from 10 to 30 is green\nr1: rpm at most 20 is red\nr2: rpm above 20 is red\n"
            "y: rpm from 10 to 20 is yellow\n",
            "AL203",
            ("g", "r1", "r2"),
            id="two-worse-bands",
        ),
        pytest.param(
            "g: rpm from 10 to 30 is green\nr1: rpm at most 20 is red\nr2: rpm above 20 is red\n"
            "y: rpm from 10 to 30 is yellow\n",
            "AL203",
            ("g", "y"),
            id="one-rather-than-two",
        ),
        pytest.param(
            "g: rpm at most 20 is green\ny: when canopy is open then rpm at most 20 is yellow\n"
            "s: assume canopy is open\n",
            "AL203",
            ("g", "y", "s"),
            id="a-band-and-an-assumption",
        ),
        pytest.param(
            "g: cht above 3 is green\ny: cht[1] above 2 is yellow\nr: cht[2] above 3 is red\n",
            "AL203",
            ("g", "y", "r"),
            id="another-band-for-each-element",
        ),
        pytest.param(
            "s1: assume rpm below 20\ns2: assume when temp above 0 then rpm above 30\ns3: assume temp above 10\n"
            "s4: assume rpm at least 10 or temp above 5\n",
            "AL404",
            ("s1", "s2", "s3"),
            id="three-assumptions",
        ),
        pytest.param(
            "s1: assume rpm below 20\ns2: assume when temp above 0 then rpm above 30\ns3: assume temp above 10\n"
            "s4: assume rpm at least 20\n",
            "AL404",
            ("s1", "s4"),
            id="two-rather-than-three",
        ),
        pytest.param("s1: assume rpm below 20\ns2: assume rpm above 90\n", "AL404", ("s2",), id="impossible-by-itself"),
    ],
)
def test_causes_of(text: str, code: str, statements: tuple[str, ...]) -> None:
    report = api.loads(HEAD + DECLARED + text).check()
    assert statements in [one.statements for one in report.findings if one.code.code == code]
