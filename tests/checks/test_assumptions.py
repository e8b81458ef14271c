"""What is assumed of something worked out counts for what it is worked out from, however that is said."""

from __future__ import annotations

import pytest

import alertlang.api as api
from alertlang.checks.context import Context, DisagreementError
from alertlang.logic.solver import Decider
from alertlang.logic.terms import negate
from alertlang.results.report import Report
from tests.helpers.one_check import HEAD

READINGS = """\
quantity a from 0 to 10 rpm, step 1 rpm
quantity b from 0 to 10 rpm
quantity cht[2] from 0 to 10
quantity t from -5 to 5 C
switch flaps up, down
"""
BANDS = """\
low: a below 3 rpm is red with warning "LOW"
when flaps is up then a from 3 to 6 rpm is green
prove when a at most 8 rpm then a at least 2 rpm is never red
"""


def report_of(text: str) -> Report:
    return api.loads(HEAD + text).check()


def told(report: Report) -> set[tuple[str, tuple[str, ...], str]]:
    """What is found, without the words that name assumptions and what is derived."""
    assert not any(one.undecided for one in report.findings)
    kept = [one for one in report.findings if one.code.name not in {"unused", "constant-condition", "stuck-condition"}]
    claims = {("claim", (one.label,), one.verdict.value) for one in report.claims}
    return claims | {
        (one.code.name, tuple(n for n in one.statements if not n.startswith("assume")), str(one.quantity))
        for one in kept
    }


@pytest.mark.parametrize(
    ("indirect", "direct"),
    [
        pytest.param("let y = a - 1 rpm\nassume y at least 4 rpm\n", "assume a at least 5 rpm\n", id="let"),
        pytest.param(
            "let y = a - 1 rpm\nlet z = y * 2\nassume z at least 8 rpm\n",
            "assume a at least 5 rpm\n",
            id="let-of-a-let",
        ),
        pytest.param(
            "let y = a - 1 rpm\nassume when flaps is down then y at least 4 rpm\n",
            "assume when flaps is down then a at least 5 rpm\n",
            id="let-in-a-case",
        ),
        pytest.param(
            "curve c over a: 0 rpm -> 0 C, 10 rpm -> 20 C\nassume c at least 10 C\n",
            "assume a at least 5 rpm\n",
            id="curve",
        ),
        pytest.param(
            "curve c over a: 0 rpm -> 0 C, 10 rpm -> 20 C\nlet d = c + 1 C\nassume d at least 11 C\n",
            "assume a at least 5 rpm\n",
            id="let-of-a-curve",
        ),
        pytest.param(
            "let y = a - 1 rpm\ncondition k means y at least 4 rpm\nassume k\n",
            "assume a at least 5 rpm\n",
            id="condition",
        ),
        pytest.param(
            "condition k means a at least 5 rpm until a below 5 rpm\nassume k\n",
            "assume a at least 5 rpm\n",
            id="memory",
        ),
        pytest.param(
            "let y = a - 1 rpm\nassume y at least 4 rpm for at least 5 s\n", "assume a at least 5 rpm\n", id="held"
        ),
        pytest.param(
            "let end = b - 1 rpm\nassume b at least 6 rpm\nassume a at least end\n",
            "assume a at least 5 rpm\n",
            id="a-difference-with-a-moving-end",
        ),
        pytest.param(
            "let ab = a - b\nassume ab at least 0 rpm\nassume b at least 5 rpm\n",
            "assume a at least 5 rpm\n",
            id="two-assumptions",
        ),
        pytest.param(
            "let top = highest of cht\nassume top at most 0\nassume when every cht below 1 then a at least 5 rpm\n",
            "assume a at least 5 rpm\n",
            id="highest-of",
        ),
        pytest.param(
            "let apart = spread of cht\nassume apart at least 10\nassume when any cht above 9 then a at least 5 rpm\n",
            "assume a at least 5 rpm\n",
            id="spread-of",
        ),
    ],
)
def test_an_assumption_reaches_through_what_defines_names(indirect: str, direct: str) -> None:
    through = report_of(READINGS + indirect + BANDS)
    assert told(through) == told(report_of(READINGS + direct + BANDS)) != told(report_of(READINGS + BANDS))


CASES = {
    "gap": (
        "quantity main_volts from 0 to 20 V\nquantity spare_volts from 0 to 20 V\n"
        "let apart = main_volts - spare_volts\nassume apart from -2 to 2 V\nmain_volts at most 14 V is green\n",
        {"gap"},
    ),
    "memory-of-another-reading": (
        "quantity a from 0 to 10 rpm\nquantity t from -5 to 5 C\n"
        "condition k1 means a at least 9 rpm until t above 4 C\nassume k1\na below 5 rpm is green\n",
        {"gap", "set-clear-overlap", "constant-condition"},
    ),
    "memory-that-no-question-is-about": (
        "quantity a from 0 to 10 rpm\nquantity t from -5 to 5 C\nquantity v from 0 to 10 V\n"
        "condition k1 means a at least 9 rpm until t above 4 C\nassume k1\n"
        "assume a below 3 rpm\nv below 5 V is green\n",
        {"gap", "constant-condition"},
    ),
    "three-readings-in-a-row": (
        "quantity a from 0 to 10 V\nquantity b from 0 to 10 V\nquantity c from 0 to 10 V\n"
        "let ab = a - b\nlet bc = b - c\n"
        "assume ab at least 0 V\nassume bc at least 0 V\nassume c at least 6 V\na at least 6 V is green\n"
        'low: a below 5 V is red with warning "LOW"\n',
        {"unreachable-band", "dead-alert"},
    ),
    "a-number-between-steps": (
        "quantity a from 0 to 10 rpm, step 1 rpm\nlet y = a - 1 rpm\nlet z = y + 2 rpm\na at most 4 rpm is green\n"
        "assume z at most 5.7 rpm\n",
        {"hairline-gap"},
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_what_is_found(name: str) -> None:
    text, codes = CASES[name]
    assert {one.code.name for one in report_of(text).findings} == codes


def test_a_refused_witness_is_looked_for_again_with_everything(monkeypatch: pytest.MonkeyPatch) -> None:
    text = HEAD + "quantity a from 0 to 10 rpm\nlet y = a - 1 rpm\nassume y at most 3 rpm\na below 6 rpm is green\n"
    asked_for = Decider.cone_of_influence

    def short_sighted(self: Decider, reads: frozenset[str]) -> tuple[frozenset[str], tuple[tuple[str, object], ...]]:
        if self._keeps_all:
            return asked_for(self, reads)
        return self.encoder.definitions_for(reads)[0], ()

    monkeypatch.setattr(Decider, "cone_of_influence", short_sighted)
    context = Context(api.loads(text).model)
    blank = negate(context.encoder.shows_any("a", None))
    assert context.cases(blank, lambda instant: not instant.colours("a", None), primary="a").found == ()
    with pytest.raises(DisagreementError):
        context.cases(negate(blank), lambda instant: False, primary="a")
