"""What a finding suggests, written into the text, can be read and removes the finding."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, example, given, settings

import alertlang.api as api
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m
from tests.helpers.generate import HEAD, Statement, Text, rule_sets
from tests.helpers.oracle import Oracle
from tests.helpers.shown import GAPS, PAIRS, box_of, element, primary, state_of

SUGGESTING = {"AL201", "AL202", "AL208", "AL301", "AL302", "AL304", "AL307", "AL501"}


def mended(text: str, one: Finding) -> str:
    """The text with the suggestion of a finding written into it."""
    assert one.suggestion is not None
    added = ""
    for edit in sorted(one.suggestion.edits, key=lambda edit: 0 if edit.replaces is None else -edit.replaces.start):
        if edit.replaces is None:
            added += f"{edit.text}\n"
        else:
            text = text[: edit.replaces.start] + edit.text + text[edit.replaces.end :]
    return text + added


def problem_left(oracle: Oracle, one: Finding) -> int:
    """The states in which what the finding said is still so."""
    assert one.region is not None
    code, index = one.code.code, element(primary(one.region))
    if code in GAPS:
        return oracle.blank(str(one.quantity), index)
    if code in PAIRS:
        bands = [band for band in oracle.rules.bands if band.label in one.statements[:2]]
        return oracle.together(bands[0], bands[1], index) if oracle.pair(bands[0], bands[1], index) == code else 0
    limit = next(limit for limit in oracle.rules.ranges if limit.label == one.limit)
    return {"AL301": oracle.not_red, "AL302": oracle.silent, "AL304": oracle.unmarked}[code](limit, index)


def fits(band: m.Band) -> bool:
    """The level of a band's alert goes with its colour."""
    assert band.alert is not None
    calm = band.colour.word not in {"red", "yellow"}
    return {"warning": band.colour.word == "red", "caution": not calm, "advisory": calm}[band.alert.level.word]


def check_mends(text: str, one: Finding) -> None:
    after = mended(text, one)
    rules = api.loads(after)
    assert rules.warnings == ()
    oracle = Oracle(rules.model)
    code = one.code.code
    if code == "AL307":
        assert (one.quantity,) not in oracle.expected()["AL307"]
    elif code == "AL501":
        assert fits(next(band for band in rules.model.bands if band.label == one.statements[0]))
    else:
        assert one.region is not None
        assert one.witness is not None
        left = problem_left(oracle, one) & oracle.possible
        assert left & state_of(oracle, one.witness) == 0, after
        if one.suggestion is not None and one.suggestion.replaces is None:
            # A statement more mends the whole region.
            assert left & box_of(oracle, one.region) == 0, after


def check_suggestions(text: str) -> set[str]:
    codes = set()
    for one in api.loads(text).check().findings:
        if one.suggestion is None:
            continue
        if one.code.code in SUGGESTING:
            check_mends(text, one)
            codes.add(one.code.code)
        else:
            # What else is suggested has tests beside those of its check; here only that it can be read.
            api.loads(mended(text, one))
    return codes


# A warning for a limit that is broken at every value must read its quantity all the same.
EVERY_VALUE = Text(
    tuple(
        Statement(text, frozenset())
        for text in (
            "quantity rpm from 0 to 40 rpm, step 10 rpm",
            "quantity temp from -20 to 20 C, step 4 C",
            'b1: rpm below 0 rpm is red with warning "B1" unless rpm below 0 rpm',
            "l1: when temp below -10 C then limit rpm below 0 rpm, needs warning, source NOTE",
        )
    )
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@example(EVERY_VALUE)
@given(rule_sets(bands=(1, 5)))
def test_suggestion_removes_its_finding(generated: Text) -> None:
    check_suggestions(generated.text)


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        pytest.param("rpm below 20 is green\nrpm above 30 is red\n", {"AL201"}, id="gap"),
        pytest.param(
            'rpm at least 0 is green\na1: when rpm above 9 rpm then warning "A1"\n'
            "l1: avoid rpm above 0 rpm, needs warning, source NOTE\n",
            {"AL301", "AL302"},
            id="an-end-that-no-region-leaves-out",
        ),
        pytest.param(
            'rpm at least 0 is green\na1: when rpm below 9 rpm then warning "A1"\n'
            "l1: limit rpm from 10 to 30 rpm, needs warning, source NOTE\n",
            {"AL301", "AL302"},
            id="an-end-of-a-limit-with-two",
        ),
        pytest.param("rpm below 20 is green\nrpm above 20 is red\n", {"AL201"}, id="gap-of-one-point"),
        pytest.param("rpm at most 21 is green\nrpm at least 22 is red\n", {"AL208"}, id="hairline"),
        pytest.param(
            "rpm at most 21 is green\nrpm at least 22 # twenty-two\n  is red\n",
            {"AL208"},
            id="comment-in-the-statement",
        ),
        pytest.param(
            'rpm at most 21 is green\nrpm at least 22 is red with warning "A # B"\n', {"AL208"}, id="hash-in-the-text"
        ),
        pytest.param("rpm at most 30 is green\nrpm above 20 is red\n", {"AL202"}, id="conflict"),
        pytest.param("fast: rpm at most 30 is\n\n  green\nrpm above 20 is red\n", {"AL202"}, id="conflict-over-lines"),
        pytest.param("temp below 33 F is green\ntemp above 34 F is red\n", {"AL208"}, id="fractions-of-a-degree"),
        pytest.param("temp below 33 F is green\ntemp above 50 F is red\n", {"AL201"}, id="a-fraction-and-a-decimal"),
        pytest.param("load below 1 bar is green\nload above 2 bar is red\n", {"AL201"}, id="long-decimals"),
        pytest.param("load at most 2 bar is green\nload above 1 bar is red\n", {"AL202"}, id="conflict-in-bar"),
        pytest.param("when temp below 33 F then rpm from 0 to 40 is green\n", {"AL201"}, id="fraction-in-the-context"),
        pytest.param("when lever is b or lever is c then rpm from 0 to 40 is green\n", {"AL201"}, id="positions"),
        pytest.param("when lever is d then rpm from 0 to 40 is green\n", {"AL201"}, id="most-positions"),
        pytest.param(
            "limit rpm at most 30, needs warning, source NOTE\nrpm from 0 to 40 is green\n",
            {"AL301", "AL302"},
            id="limit",
        ),
        pytest.param(
            "limit cht at most 3, needs caution, source NOTE\ncht from 0 to 6 is green\n",
            {"AL301", "AL302"},
            id="array",
        ),
        pytest.param(
            "limit cht[2] at least 3, needs caution, source NOTE\ncht from 0 to 6 is green\n",
            {"AL301", "AL302"},
            id="one-element",
        ),
        pytest.param(
            "avoid rpm from 0 to 40, needs caution, source NOTE\nrpm from 0 to 40 is green\n",
            {"AL301", "AL302"},
            id="all-values",
        ),
        pytest.param(
            "precaution rpm from 20 to 30, source NOTE\nrpm from 0 to 40 is green\n", {"AL304"}, id="precaution"
        ),
        pytest.param("when lever is a limit rpm at most 30, source NOTE\n", {"AL307"}, id="unwatched"),
        pytest.param("limit cht[2] outside 2 to 3, needs warning, source NOTE\n", {"AL307"}, id="unwatched-element"),
        pytest.param('rpm from 0 to 40 is green with warning "W"\n', {"AL501"}, id="warning-on-green"),
        pytest.param('rpm from 0 to 40 is white with caution "C"\n', {"AL501"}, id="caution-on-white"),
    ],
)
def test_suggestion_for(text: str, codes: set[str]) -> None:
    declared = (
        "quantity rpm from 0 to 40 rpm, step 10 rpm\nquantity temp from -20 to 20 C, step 4 C\n"
        "quantity cht[2] from 0 to 6\nquantity load from 0 to 100 psi\nswitch lever a, b, c, d\n"
    )
    assert check_suggestions(HEAD + declared + text) == codes
