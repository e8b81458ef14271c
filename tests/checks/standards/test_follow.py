"""`follow`: which rule a text names, and what it changes.

Source of what is expected: the page unknown-standard, and the names of the rules as the published texts have them.
"""

from __future__ import annotations

import itertools
import json
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from alertlang.api import Rules, load, loads, pages
from alertlang.checks.standards import instruments, speeds
from alertlang.checks.standards.missing_instrument import ITEMS
from alertlang.checks.standards.published import (
    CLAUSES,
    KNOWN_TO,
    RULES,
    Clause,
    NamedRule,
    asked,
    cited,
    clauses,
    known,
    read_name,
)
from alertlang.findings.codes import CODES, Code, Severity
from alertlang.findings.finding import Finding
from alertlang.output.json import finding_data

PACK = [code for code in CODES.values() if code.code.startswith("AL6")]

# Red begins before the limit: 25.1549(a) and nothing else.
EARLY = """\
rules "early" version 1
source NOTE common practice
quantity rpm from 0 to 3500 rpm, step 10 rpm
redline: limit rpm at most 2750 rpm, source NOTE
rpm at most 2700 is green
rpm above 2700 is red
"""


def pack(rules: Rules) -> list[Finding]:
    return [one for one in rules.check().findings if one.code in PACK]


def found(*follows: str) -> list[Finding]:
    return pack(loads(EARLY + "".join(f'follow "{text}"\n' for text in follows)))


# ---- names


@pytest.mark.parametrize(
    "text",
    [
        "14 CFR 25.1549",
        "25.1549",
        "14 cfr 25.1549",
        "14CFR25.1549",
        "14 CFR § 25.1549",
        "14 CFR Part 25.1549",
        "CFR 14 25.1549",
        "FAR 25.1549",
        "  25.1549 ",
    ],
)
def test_one_rule_in_many_spellings(text: str) -> None:
    assert read_name(text) == NamedRule("14 CFR 25.1549", ())
    assert [f.severity for f in found(text)] == [Severity.ERROR]


@pytest.mark.parametrize(
    ("text", "paragraph"),
    [
        ("14 CFR 25.1549(c)", ("c",)),
        ("25.1549 (C)", ("c",)),
        ("§25.1322(a)(3)", ("a", "3")),
        ("91.205(b)(10)", ("b", "10")),
    ],
)
def test_paragraphs(text: str, paragraph: tuple[str, ...]) -> None:
    named = known(text)
    assert named is not None
    assert named.paragraph == paragraph


@pytest.mark.parametrize(
    "text", ["MIL-STD-411F", "mil std 411f", "MIL-STD-411F 5.2.5.4", "MIL-STD-411F, para. 5.2.5.4"]
)
def test_the_military_standard(text: str) -> None:
    assert known(text) is not None


@given(st.sampled_from(CLAUSES), st.booleans(), st.booleans())
def test_every_name_in_the_table_is_read_back(clause: Clause, lower: bool, spaced: bool) -> None:
    name = clause.name
    text = name.lower() if lower else name
    text = text.replace("(", " ( ") if spaced else text
    named = known(text)
    assert named is not None
    assert named.covers(clause)


@settings(max_examples=200)
@given(st.text(alphabet="0123456789.()abMILSTDCFR -§", max_size=30))
def test_any_text_is_known_or_said_to_be_unknown(text: str) -> None:
    said = {f.code.name for f in found(text) if f.code.name == "unknown-standard"}
    assert said == (set() if known(text) else {"unknown-standard"})


@pytest.mark.parametrize(
    ("text", "in_words"),
    [
        ("14 CFR 25.1594", "did you mean 14 CFR 25.1549?"),
        ("25.1459", "did you mean 14 CFR 25.1549?"),
        ("14 CFR 25.1549, Amdt 25-40", "did you mean 14 CFR 25.1549?"),
        ("MIL-STD-411", "did you mean MIL-STD-411F?"),
        ("MIL-STD-411E", "did you mean MIL-STD-411F?"),
    ],
)
def test_unknown_rules_get_the_nearest(text: str, in_words: str) -> None:
    [one] = [f for f in found(text) if f.code.name == "unknown-standard"]
    assert one.severity is Severity.ERROR
    assert in_words in one.advice
    assert one.where is not None
    assert one.where.text == f'follow "{text}"'


@pytest.mark.parametrize("text", ["", "CS-23 something", "the rules", "99.1"])
def test_unknown_rules_get_the_list(text: str) -> None:
    [one] = [f for f in found(text) if f.code.name == "unknown-standard"]
    assert one.advice[-1] == f"can be followed: {', '.join(RULES)}"


@pytest.mark.parametrize(
    ("text", "paragraphs"),
    [
        ("25.1549(e)", "14 CFR 25.1549(a), 14 CFR 25.1549(b), 14 CFR 25.1549(c) and 14 CFR 25.1549(d)"),
        ("25.1322(d)(1)", "14 CFR 25.1322(a)(3), 14 CFR 25.1322(c)(2) and 14 CFR 25.1322(e)"),
    ],
)
def test_a_paragraph_that_nothing_looks_at(text: str, paragraphs: str) -> None:
    [one] = [f for f in found(text) if f.code.name == "unknown-standard"]
    assert f"only {paragraphs} is looked at" in one.message


def test_a_paragraph_of_a_rule_that_is_looked_at_as_a_whole() -> None:
    [one] = [f for f in found("27.1322(a)") if f.code.name == "unknown-standard"]
    assert "only" not in one.message
    assert one.advice[0] == "name the rule as a whole: 14 CFR 27.1322"


def test_unknown_is_said_even_where_no_state_is_possible() -> None:
    text = EARLY + 'assume rpm above 3000\nassume rpm below 1000\nfollow "25.1594"\n'
    assert [f.code.name for f in pack(loads(text))] == ["unknown-standard"]
    assert "impossible-assumptions" in {f.code.name for f in loads(text).check().findings}


# ---- advice, and errors


def test_advice_is_a_note_that_says_how_to_make_it_an_error() -> None:
    [one] = found()
    assert (one.code.name, one.severity) == ("unmarked-limit", Severity.NOTE)
    assert 'advice only: `follow "14 CFR 25.1549"` makes it an error' in one.advice
    assert "(14 CFR 25.1549(a), 27.1549(a): " in one.message


@pytest.mark.parametrize(
    ("follow", "severity", "cites"),
    [
        ("14 CFR 25.1549", Severity.ERROR, "(14 CFR 25.1549(a): "),
        ("27.1549(a)", Severity.ERROR, "(14 CFR 27.1549(a): "),
        ("23.1549", Severity.ERROR, "(14 CFR 23.1549(a) [text not read, from memory]: "),
        # Another paragraph of the same rule, and another rule.
        ("25.1549(b)", Severity.NOTE, "(14 CFR 25.1549(a), 27.1549(a): "),
        ("25.1553", Severity.NOTE, "(14 CFR 25.1549(a), 27.1549(a): "),
    ],
)
def test_follow_makes_errors_of_its_own_rule_only(follow: str, severity: Severity, cites: str) -> None:
    [one] = [f for f in found(follow) if f.code.name == "unmarked-limit"]
    assert one.severity is severity
    assert cites in one.message
    assert any("advice only" in line for line in one.advice) is (severity is Severity.NOTE)


def test_follow_in_a_base_counts(tmp_path: Path) -> None:
    (tmp_path / "base.alert").write_text(EARLY.replace('"early"', '"base"') + 'follow "25.1549"\n', encoding="utf-8")
    (tmp_path / "top.alert").write_text('rules "top" version 1\nuse rules "base"\n', encoding="utf-8")
    [one] = pack(load(tmp_path / "top.alert"))
    assert (one.code.name, one.severity) == ("unmarked-limit", Severity.ERROR)


def test_two_rules_are_both_cited() -> None:
    [one] = found("25.1549", "27.1549(a)")
    assert "(14 CFR 25.1549(a), 27.1549(a): " in one.message
    assert one.severity is Severity.ERROR


def test_the_severity_is_in_the_json_and_the_code_keeps_its_own() -> None:
    for follows, word in (((), "note"), (("25.1549",), "error")):
        [one] = found(*follows)
        data = json.loads(json.dumps(finding_data(one)))
        assert (data["code"], data["severity"]) == ("AL602", word)
        assert one.code.severity is Severity.NOTE


def test_an_error_can_be_accepted() -> None:
    text = EARLY + 'follow "25.1549"\naccept unmarked-limit on redline because "the shop keeps 50 rpm in hand"\n'
    [one] = pack(loads(text))
    assert one.severity is Severity.ERROR
    assert one.accepted == "the shop keeps 50 rpm in hand"
    assert "stale-acceptance" not in {f.code.name for f in loads(text).check().findings}


# ---- what is said, and what never is


def test_every_message_says_that_it_is_help_and_names_its_rule() -> None:
    for one in (*found(), *found("25.1549"), *found("no such rule")):
        assert "help in reading the rule; the approved documents decide" in one.message


@pytest.mark.parametrize("code", PACK, ids=lambda code: code.name)
def test_every_page_names_its_rule_and_claims_no_compliance(code: Code) -> None:
    page = " ".join(pages()[code.name].split())
    assert re.search(r"14 CFR \d+\.\d+|MIL-STD-411F", page)
    assert "Nothing here says that a rule is complied with" in page
    assert "help in reading" in page
    assert "the approved documents decide" in page
    assert re.search(r"read in|read on|was not read|not read", page), "how its text was read"
    assert not re.search(r"\bcompl(y|iant|iance)\b|\bcertif", page.replace("complied", ""))


def test_the_page_lists_every_rule_that_can_be_followed() -> None:
    page = pages()["unknown-standard"]
    for rule in RULES:
        assert rule.removeprefix("14 CFR ") in page
    numbers = set(re.findall(r"\d\d\.\d{3,4}", page.split("## Why")[0]))
    assert numbers == {rule.removeprefix("14 CFR ") for rule in RULES if rule.startswith("14")}


def test_what_was_not_read_shows_in_the_message() -> None:
    assert cited(clauses("14 CFR 25.1549(a)")) == "14 CFR 25.1549(a)"
    assert cited(clauses("14 CFR 25.1322(e)")) == "14 CFR 25.1322(e) [text read second hand]"
    assert {c.name for c in CLAUSES if "not read" in c.status} == {f"14 CFR 23.1549({p})" for p in "abcd"}
    second_hand = {c.key for c in CLAUSES if "second hand" in c.status}
    assert second_hand == {"14 CFR 25.1322(e)", "14 CFR 27.1549(b)", "14 CFR 27.1553"}


def test_of_a_text_that_changed_it_shows_which() -> None:
    both = clauses("14 CFR 27.1549(b) until 2023-02-10", "14 CFR 27.1549(b)")
    assert cited(both) == (
        "14 CFR 27.1549(b) [Amdt 27-29, published 1994-09-16 until 2023-02-10], "
        "27.1549(b) [text read second hand, Amdt 27-51, published 2023-02-10]"
    )
    # Of each paragraph one text is the last, and no two of its texts held on one day.
    for clause in CLAUSES:
        texts = [one for one in CLAUSES if one.name == clause.name]
        assert [one.superseded for one in texts] == [True] * (len(texts) - 1) + [False]
        for before, after in itertools.pairwise(texts):
            assert before.since < before.until == after.since


def test_the_page_tells_the_days_of_every_text() -> None:
    page = " ".join(pages()["unknown-standard"].split())
    for clause in CLAUSES:
        assert clause.since in page
        assert clause.amendment in page
    assert KNOWN_TO in page


def test_the_page_on_instruments_lists_all_words() -> None:
    page = " ".join(pages()["missing-instrument"].split())
    for item in ITEMS:
        for name in item.instrument.names:
            assert re.search(rf"\b{name}\b", page), (item.instrument.title, name)
    assert instruments.AIRSPEED in {item.instrument for item in ITEMS}


def test_the_page_on_airspeed_lists_all_labels() -> None:
    page = pages()["wrong-airspeed-arc"]
    for speed in speeds.SPEEDS:
        line = " or ".join(f"`{label}`" for label in speed.labels)
        assert f"- {speed.name}: {line}" in page


# ---- what is called proved


def test_nothing_of_the_pack_is_called_proved_without_follow() -> None:
    good = EARLY.replace("2700", "2750")
    names = {proof.check for proof in loads(good).check().proved}
    assert not names & {code.name for code in PACK}


def test_with_follow_only_what_there_was_to_look_at_is() -> None:
    good = EARLY.replace("2700", "2750") + 'follow "25.1549"\n'
    assert pack(loads(good)) == []
    report = loads(good).check()
    names = {(proof.check, proof.quantity) for proof in report.proved if proof.check in {code.name for code in PACK}}
    # No precaution, no range to avoid: nothing is said of (c) and (d).
    assert names == {("unknown-standard", None), ("green-past-limit", "rpm"), ("unmarked-limit", "rpm")}
    assert asked(loads(good).model, clauses("14 CFR 25.1549(c)"))


# ---- what the solver cannot decide


@pytest.mark.parametrize(
    "name", ["unmarked-limit", "green-past-limit", "takeoff-not-yellow", "restricted-not-red", "one-sense"]
)
def test_what_is_not_decided_is_an_error_and_no_pass(name: str) -> None:
    text = """\
rules "hard" version 1
source NOTE common practice
quantity rpm from 0 to 3500 rpm, step 10 rpm
quantity oil_temp from -40 to 300 F, step 1 F
redline: when oil_temp above 80 and oil_temp below 200 limit rpm at most 2750 rpm, source NOTE
high: precaution rpm from 2500 to 2750, source NOTE
buzz: avoid rpm from 2000 to 2150, source NOTE
when oil_temp at most 100 then rpm at most 2800 is green
when oil_temp at least 100 then rpm at most 2800 is green
when oil_temp at most 101 then rpm above 2750 is red
when oil_temp at least 101 then rpm above 2750 is red
when oil_temp at most 102 then rpm from 2000 to 2150 is red
when oil_temp at least 102 then rpm from 2000 to 2150 is red
when rpm above 2750 and oil_temp above 90 then warning "RPM"
follow "25.1549"
follow "25.1322"
"""
    undecided = [f for f in loads(text).check(work_limit=1).findings if f.undecided and f.code.name == name]
    assert undecided
    assert {f.severity for f in undecided} == {Severity.ERROR}
    assert name not in {proof.check for proof in loads(text).check(work_limit=1).proved}
