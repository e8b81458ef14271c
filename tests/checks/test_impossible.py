"""Where no state is possible nothing is proved, not even of what the assumptions do not touch."""

from __future__ import annotations

import alertlang
from alertlang.results.report import Verdict

TEXT = """rules "empty" version 1
quantity rpm "Engine speed" from 0 to 3500 rpm
quantity volts "Bus voltage" from 0 to 20 V
low: assume rpm below 1000
high: assume rpm above 2000
volts above 15 is red
volts at most 15 is green
prove volts above 15 is red
"""


def test_prove_calls_every_claim_vacuous() -> None:
    assert [claim.verdict for claim in alertlang.loads(TEXT).prove()] == [Verdict.VACUOUS]


def test_check_proves_no_claim_and_names_the_assumptions() -> None:
    report = alertlang.loads(TEXT).check()
    assert [claim.verdict for claim in report.claims] == [Verdict.VACUOUS]
    assert [(one.code.code, one.statements) for one in report.findings] == [("AL404", ("low", "high"))]


def test_without_the_contradiction_the_claim_is_proved() -> None:
    text = TEXT.replace("high: assume rpm above 2000\n", "")
    assert [claim.verdict for claim in alertlang.loads(text).prove()] == [Verdict.PROVED]
