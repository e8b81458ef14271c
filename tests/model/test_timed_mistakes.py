"""Words of time and failure that say something impossible: one finding each, at its place, with the way out."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from alertlang.model.load import Loaded

Rules = Callable[[str], Loaded]

# What is written, the code, what is underlined, what is said, what is advised.
SLIPS: list[tuple[str, str, str, str, str]] = [
    (
        "rpm above 1 for more than 5 rpm is red",
        "AL105",
        "5 rpm",
        "a time must stand here, and 5 rpm is a rot",
        "s, min or",
    ),
    ("rpm above 1 for more than 5 sec is red", "AL110", "sec", "sec is not a unit", "did you mean s?"),
    ('rpm above 1 is red with warning "A" after 5 ft', "AL105", "5 ft", "is a length", "s, min or h"),
    ("condition c means running, set after 5 V", "AL105", "5 V", "is a voltage", "s, min or h"),
    ("condition c means running, cleared after 5 V", "AL105", "5 V", "is a voltage", "s, min or h"),
    ("condition c means running for at least 5 A", "AL105", "5 A", "is a current", "s, min or h"),
    (
        "condition c means running for at least 0 s",
        "AL112",
        "0 s",
        "a time of 0 says nothing here",
        "take the time away",
    ),
    (
        "condition c means running for less than 0 min",
        "AL112",
        "0 min",
        "a time of 0 says nothing",
        "take the time away",
    ),
    ("prove raises warning within 5 L", "AL105", "5 L", "is a volume", "s, min or h"),
    ("respond within 5 K", "AL105", "5 K", "is a temperature", "s, min or h"),
    (
        "respond within 5 s\nrespond within 5 s",
        "AL112",
        "respond within 5 s",
        "`respond within` is said twice",
        "one of",
    ),
    (
        "source T common practice\nlimit rpm at most 5 rpm except for 5 %, source T",
        "AL105",
        "5 %",
        "is a ratio",
        "s, min",
    ),
    (
        "source T common practice\nlimit rpm at most 5 rpm, needs warning within 5 m, source T",
        "AL105",
        "5 m",
        "is a length",
        "s, min or h",
    ),
    (
        "source T common practice\nlimit rpm at most 5 rpm, needs warning, needs caution within 5 s, source T",
        "AL112",
        "needs caution within 5 s",
        "`needs` is said twice",
        "take one of the two out",
    ),
    (
        "rpm above 1 is red after 5 s",
        "AL109",
        "5 s",
        "`after` holds back an alert, and this band has none",
        "for more than",
    ),
    ("rpm above 1 is red latched", "AL109", "latched", "`latched` keeps an alert up, and this band has none", "out"),
    (
        'rpm above 1 is red with warning "A" after 5 s after 6 s',
        "AL112",
        "6 s",
        "said twice",
        "take one of the two out",
    ),
    (
        "condition c means running, set after 5 s, set after 6 s",
        "AL112",
        "6 s",
        "said twice",
        "take one of the two out",
    ),
    (
        "condition c means running, cleared after 5 s, cleared after 6 s",
        "AL112",
        "6 s",
        "said twice",
        "take one of the two out",
    ),
    ("condition c means running until not c", "AL112", "condition c", "c is defined by itself", "quantities"),
    ("quantity q from 0 to 5, deadband 0", "AL112", "0", "the deadband of q must be more than 0", "larger"),
    (
        "quantity q from 0 to 5 rpm, deadband 1 psi",
        "AL105",
        "1 psi",
        "the deadband of q is a rotational speed",
        "(rpm)",
    ),
    ("quantity q from 0 to 5, deadband 1, deadband 2", "AL112", "2", "said twice", "take one of the two out"),
    (
        "condition c means cht failed",
        "AL113",
        "cht",
        "cht has 4 elements: of which is this said?",
        "any cht, every cht",
    ),
    ("condition c means any rpm failed", "AL113", "any rpm failed", "`any` is for arrays", "take `any` away"),
    ("condition c means every cht[1] failed", "AL113", "every cht[1] failed", "is one value", "take `every` away"),
    ("condition c means cht[5] failed", "AL112", "cht[5]", "elements 1 to 4; there is no 5", "cht[1] to cht[4]"),
    ("flaps failed is red", "AL113", "flaps", "flaps is a switch, and a quantity must stand here", "flaps is up"),
    ("running failed is red", "AL113", "running", "running is a condition, and a quantity must stand here", ""),
]


@pytest.mark.parametrize(("text", "code", "underlined", "message", "advice"), SLIPS, ids=[s[0][-60:] for s in SLIPS])
def test_slip(rules: Rules, text: str, code: str, underlined: str, message: str, advice: str) -> None:
    loaded = rules(text)
    [found] = loaded.findings
    assert (found.code.code, found.path) == (code, "t.alert")
    assert found.where is not None
    assert found.where.text == underlined
    lines = text.split("\n")
    assert found.where.line == 2 + len(lines)
    assert found.where.column == lines[-1].rindex(underlined) + 1
    assert message in found.message
    assert advice in " ".join(found.advice)
    assert found.advice
    assert loaded.ruleset is None


def test_follow_belongs_into_rules(profile: Rules) -> None:
    [found] = profile('follow "14 CFR 25.1549"').findings
    assert found.code.code == "AL109"
    assert found.where is not None
    assert found.where.text == 'follow "14 CFR 25.1549"'


def test_a_wrong_time_is_said_once_for_each_place(rules: Rules) -> None:
    text = (
        "source T common practice\n"
        "limit rpm at most 5 rpm except for 5 rpm, needs warning within 6 rpm, source T\n"
        "condition c means running for less than 7 rpm until rpm below 8 for at least 8 psi\n"
        "condition d means running, set after 9 rpm, cleared after 10 rpm"
    )
    found = rules(text).findings
    assert {f.code.code for f in found} == {"AL105"}
    assert [f.where.text for f in found if f.where] == ["5 rpm", "6 rpm", "7 rpm", "8 psi", "9 rpm", "10 rpm"]
