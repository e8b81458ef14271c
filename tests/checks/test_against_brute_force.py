"""All checks against all states: what is found, where, and that nothing else is there."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace
from decimal import Decimal
from typing import TypeVar

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import alertlang.api as api
from alertlang.findings.finding import Finding
from alertlang.results.report import ClaimResult, Report, Verdict
from tests.helpers.generate import HEAD, Text, rule_sets
from tests.helpers.oracle import Key, Oracle
from tests.helpers.shown import (
    GAPS,
    LIMITS,
    PAIRS,
    box_of,
    check_on_step,
    check_region,
    check_witness,
    element,
    key_of,
    primary,
)

# As many boxes as a check shows of one thing before it stops.
MOST_GAPS, MOST_OF_LIMIT = 6, 4
T = TypeVar("T", Finding, ClaimResult)


def families(report: Report) -> dict[tuple[str, Key, str], list[Finding]]:
    """Findings that show regions of one and the same problem, by code, key and reading."""
    found: dict[tuple[str, Key, str], list[Finding]] = defaultdict(list)
    for one in report.findings:
        # Of what else is found nothing is counted here.
        if one.region is not None and one.code.code in {*GAPS, *PAIRS, *LIMITS}:
            key = (str(one.quantity),) if one.code.code in GAPS else key_of(one)
            found[one.code.code, key, primary(one.region)].append(one)
    return found


def asked(oracle: Oracle, text: str) -> list[str]:
    """The readings that are looked at: of an array whose elements are all treated alike, the first."""
    told_apart = set(re.findall(r"(\w+)\[\d\]", re.sub(r"^quantity .*", "", text, flags=re.MULTILINE)))
    return [name for name in oracle.quantity_of if element(name) in {None, 1} or name.split("[")[0] in told_apart]


def problem_of(oracle: Oracle, code: str, key: Key, reading: str, covered: dict[str, int]) -> int:
    """The states in which what a family of findings says is so."""
    index = element(reading)
    if code in GAPS:
        gap = oracle.gaps()[reading]
        readable = oracle.at(reading, oracle.readable(reading))
        return gap & ~readable & ~covered[reading] if code == "AL208" else gap
    if code in PAIRS:
        bands = {band.label: band for band in oracle.rules.bands}
        return oracle.together(bands[key[0]], bands[key[1]], index)
    assert code in LIMITS
    limit = next(one for one in oracle.rules.ranges if one.label == key[0])
    return {"AL301": oracle.not_red, "AL302": oracle.silent, "AL304": oracle.unmarked}[code](limit, index)


def check_sets(oracle: Oracle, report: Report) -> None:
    found: dict[str, set[Key]] = defaultdict(set)
    for one in report.findings:
        assert not one.undecided
        if one.code.code == "AL401" and one.statements[0] not in oracle.rules.conditions:
            continue
        found[one.code.code].add(key_of(one))
    for code, keys in oracle.expected().items():
        assert found[code] == keys, code
    if not oracle.possible:
        assert {code for code, keys in found.items() if keys} <= {
            "AL404", "AL307", "AL308", "AL206", "AL209", "AL403", "AL501", "AL502",
        }  # fmt: skip


def check_gaps(oracle: Oracle, report: Report, text: str) -> dict[str, int]:
    """Which readings have gaps; gives back what the regions of AL201 cover."""
    by_family = families(report)
    covered: dict[str, int] = {}
    readings = [name for name in asked(oracle, text) if name in oracle.gaps()] if oracle.possible else []
    for reading in readings:
        name = oracle.quantity_of[reading].name
        gap = oracle.gaps()[reading]
        seen = by_family.get(("AL201", (name,), reading), [])
        hairlines = by_family.get(("AL208", (name,), reading), [])
        readable = oracle.at(reading, oracle.readable(reading))
        assert bool(seen) == (gap & readable != 0), f"AL201 on {reading}"
        covered[reading] = oracle.any_of(box_of(oracle, one.region or {}) for one in seen)
        assert bool(hairlines) == (gap & ~readable & ~covered[reading] != 0), f"AL208 on {reading}"
        told = covered[reading] | oracle.any_of(box_of(oracle, one.region or {}) for one in hairlines)
        if max(len(seen), len(hairlines)) < MOST_GAPS:
            assert gap & ~told == 0, f"a gap of {reading} in no region"
    assert {reading for code, _, reading in by_family if code in GAPS} <= set(readings)
    return covered


def check_shown(oracle: Oracle, report: Report, covered: dict[str, int]) -> None:
    by_family = families(report)
    for (code, key, reading), members in by_family.items():
        problem = problem_of(oracle, code, key, reading, covered)
        boxes = [box_of(oracle, one.region or {}) for one in members]
        for i, one in enumerate(members):
            assert one.region is not None
            assert one.witness is not None
            readable_gaps = by_family.get(("AL201", key, reading), [])
            if code == "AL208" and len(readable_gaps) == MOST_GAPS:
                # With more readable gaps than are shown, where a hairline ends depends on the cells that are looked at.
                assert boxes[i] & oracle.possible & ~oracle.gaps()[reading] == 0
            else:
                check_region(oracle, one.region, problem)
            check_witness(oracle, one.witness, one.region, problem)
            # Each region is told from the others by a witness of its own.
            among = boxes[i] & ~oracle.any_of(box for j, box in enumerate(boxes) if j != i)
            readable = oracle.at(reading, oracle.readable(reading))
            if code in GAPS:
                among &= readable if code == "AL201" else ~readable
            check_on_step(oracle, one.witness, among)
        if code in LIMITS and len(members) < MOST_OF_LIMIT:
            assert oracle.possible & problem & ~oracle.any_of(boxes) == 0, f"{code} on {key}: a state in no region"


def check_claims(oracle: Oracle, report: Report) -> None:
    claims = {claim.label: claim for claim in oracle.rules.claims}
    assert [result.label for result in report.claims] == list(claims)
    if not oracle.possible:
        assert all(result.verdict is Verdict.VACUOUS for result in report.claims)
        return
    for result in report.claims:
        claim = claims[result.label]
        assert result.verdict.value == oracle.verdict(claim), result.label
        if result.verdict is not Verdict.REFUTED:
            assert result.witness is None
            continue
        assert result.witness is not None
        assert result.region is not None
        index = None if claim.quantity is None else element(primary(result.region))
        problem = oracle.given(claim, index) & oracle.wrong(claim, index)
        check_region(oracle, result.region, problem)
        check_witness(oracle, result.witness, result.region, problem)
        check_on_step(oracle, result.witness, box_of(oracle, result.region))


def check_all(text: str, in_other_words: str | None = None) -> Report:
    """`in_other_words`: a text that means the same with names of its own, to be checked in its place."""
    rules = api.loads(text)
    oracle = Oracle(rules.model)
    assert oracle.count < 20_000
    report = rules.check() if in_other_words is None else in_words_of(oracle, api.loads(in_other_words).check())
    check_sets(oracle, report)
    covered = check_gaps(oracle, report, text)
    check_shown(oracle, report, covered)
    check_claims(oracle, report)
    return report


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(rule_sets())
def test_every_verdict_is_what_counting_says(generated: Text) -> None:
    check_all(generated.text)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(rule_sets(bands=(4, 8)))
def test_every_verdict_is_what_counting_says_of_many_bands(generated: Text) -> None:
    check_all(generated.text)


def in_words_of(oracle: Oracle, report: Report) -> Report:
    """A report without what the oracle has no name for: it follows from the rest, so that no region needs it."""
    names = {*oracle.size, *oracle.rules.conditions, *(f"{reading} failed" for reading in oracle.size)}
    told: list[Finding | ClaimResult] = [*report.findings, *report.claims]
    assert all(set(one.region) <= names for one in told if one.region is not None)

    def without(one: T) -> T:
        witness = one.witness and {name: fact for name, fact in one.witness.items() if name in names}
        return replace(one, witness=witness)

    findings = [without(one) for one in report.findings if one.code.name not in {"unused", "stuck-condition"}]
    return replace(report, findings=tuple(findings), claims=tuple(without(one) for one in report.claims))


# What a reading less five is called, and how that is said of it.
LESS_FIVE = {
    "let": "let {0}_less = {0} - 5{1}",
    "let of a let": "let {0}_half = {0} - 2{1}\nlet {0}_less = {0}_half - 3{1}",
    "curve": "curve {0}_less over {0}: -95{1} -> -100{1}, 0{1} -> -5{1}, 5{1} -> 0{1}, 105{1} -> 100{1}",
    "let of a curve": "curve {0}_line over {0}: -95{1} -> -96{1}, 105{1} -> 104{1}\nlet {0}_less = {0}_line - 4{1}",
}
WAYS = ("let", "let of a let", "curve", "let of a curve")
# A curve is over one value.
ARRAYS = ("cht", "egt")
UNITS = {"rpm": " rpm", "temp": " C", "volts": "", "cht": "", "egt": " C"}
NUMBER = re.compile(r"(-?\d+(?:\.\d+)?)( F)?")


def in_other_words(text: str, ways: dict[str, str], named: str) -> str:
    """Assumptions said of something worked out from the readings; `named`: of a condition that means that."""
    lines: list[str] = []
    needed: set[str] = set()
    for line in text.splitlines():
        if " assume " not in line:
            lines.append(line)
            continue

        def moved(found: re.Match[str]) -> str:
            needed.add(found[1])
            numbers = NUMBER.sub(lambda n: f"{Decimal(n[1]) - (9 if n[2] else 5)}{n[2] or ''}", found[3])
            return f"{found[1]}_less{found[2] or ''} {numbers}"

        regions = r"((?:below|above|at most|at least|from|outside) [^()]*?)(?= and | or (?!above |at )| then |\)|$)"
        said = re.sub(rf"\b({'|'.join(UNITS)})(\[\d\])? {regions}", moved, line)
        label, formula = said.split(": assume ")
        if named and not formula.startswith("when "):
            lines.append(f"condition {label}_holds means {named.format(formula)}")
            said = f"{label}: assume {label}_holds"
        lines.append(said)
    declared = [LESS_FIVE[ways[name]].format(name, UNITS[name]) for name in sorted(needed)]
    return "\n".join([*lines, *declared]) + "\n"


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    rule_sets(assumptions=(1, 3)),
    st.fixed_dictionaries({name: st.sampled_from(WAYS[:2] if name in ARRAYS else WAYS) for name in UNITS}),
    st.sampled_from(["", "({0})", "({0}) until not ({0})"]),
)
def test_an_assumption_counts_however_it_is_said(generated: Text, ways: dict[str, str], named: str) -> None:
    check_all(generated.text, in_other_words(generated.text, ways, named))


DECLARED = (
    "quantity rpm from 0 to 40 rpm, step 10 rpm\nquantity temp from -20 to 20 C, step 4 C\n"
    "quantity cht[2] from 0 to 6, step 2\nswitch canopy shut, open\n"
)


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        pytest.param("when canopy is open then rpm from 0 to 40 is green\n", {"AL201"}, id="gap-at-every-value"),
        pytest.param(
            "avoid rpm from 0 to 40, needs warning, source NOTE\nrpm from 0 to 40 is green\n",
            {"AL301", "AL302"},
            id="all-values-avoided",
        ),
        pytest.param(
            "rpm from 0 to 40 is green\nwhen canopy is open then rpm above 90 is red\n"
            "limit rpm at most 30, source NOTE\n",
            {"AL203", "AL301"},
            id="a-switch-that-makes-no-difference",
        ),
        pytest.param(
            "b1: when cht[1] above 4 then cht below 3 is green\nb2: when cht[1] above 4 then cht below 3 is blue\n",
            {"AL201", "AL202"},
            id="conflict-on-the-second-element-only",
        ),
        pytest.param(
            "cht from 0 to 6 is green\nprove when cht[1] below 3 then cht above 4 is green\n",
            set(),
            id="claim-that-only-the-second-element-meets",
        ),
        pytest.param(
            "s1: assume rpm outside 10 to 20\nrpm at most 20 is green\nrpm at least 10 is red\n",
            set(),
            id="overlap-that-an-assumption-rules-out",
        ),
        pytest.param(
            "g: rpm from 0 to 40 is green\nr: rpm from 10 to 20 is red\navoid rpm from 10 to 20, source NOTE\n",
            set(),
            id="red-arc-that-an-avoid-range-asks-for",
        ),
        pytest.param(
            "g: rpm from 0 to 40 is green\nr: rpm from 10 to 30 is red\navoid rpm from 10 to 20, source NOTE\n",
            {"AL202"},
            id="red-arc-wider-than-asked-for",
        ),
        pytest.param(
            "when canopy is open then rpm from 0 to 40 is green\nrpm from 0 to 40 is white unless canopy is open\n"
            "when temp above 0 then rpm above 20 is yellow\n",
            {"AL204"},
            id="contexts-that-cross",
        ),
        pytest.param(
            "rpm at most 1 is green\n" + "".join(f"rpm from {n} to {n}.4 is green\n" for n in range(2, 38))
            + "rpm at least 38 is green\n",
            {"AL208"},
            id="more-hairlines-than-are-shown",
        ),
        pytest.param(
            "temp from -20 to 20 is green\nrpm below 1 is green\nrpm from 1.5 to 9 is green\n"
            + "".join(f"rpm from {n} to {n + 9} is green unless temp below {n - 11}\n" for n in range(10, 31, 3)),
            {"AL201", "AL208"},
            id="hairline-beside-gaps",
        ),
    ],
)  # fmt: skip
def test_case(text: str, codes: set[str]) -> None:
    looked_at = {"AL201", "AL202", "AL203", "AL204", "AL208", "AL301", "AL302", "AL405"}
    report = check_all(HEAD + DECLARED + text)
    assert {one.code.code for one in report.findings} & looked_at == codes
