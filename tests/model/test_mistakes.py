"""Statements that can be read and say something impossible: one finding each, at its place, with the way out."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from alertlang.model.load import Loaded

Rules = Callable[[str], Loaded]

# What is written, the code, what is underlined, what is said, what is advised.
SLIPS: list[tuple[str, str, str, str, str]] = [
    # unknown names of each kind
    ("rmp above 2550 is green", "AL104", "rmp", "there is no quantity rmp", "did you mean rpm?"),
    ("RPM above 1 is red", "AL104", "RPM", "there is no quantity RPM", "did you mean rpm?"),
    ("oil_tmp above 1 is red", "AL104", "oil_tmp", "there is no quantity oil_tmp", "did you mean oil_temp?"),
    ("zzz above 1 is red", "AL104", "zzz", "there is no quantity zzz", "declared are: cht, oil_temp, ratio, rpm"),
    ("condition c means runing", "AL104", "runing", "there is no condition runing", "did you mean running?"),
    ('when flps is up then warning "A"', "AL104", "flps", "there is no switch flps", "did you mean flaps?"),
    ('when flaps is upp then warning "A"', "AL104", "upp", "has no position upp", "did you mean up?"),
    ('when flaps is wet then warning "A"', "AL104", "wet", "has no position wet", "up, takeoff, landing"),
    ("rpm above x is red", "AL104", "x", "there is no curve or let x", "write a number"),
    ('accept gapp on rpm because "x"', "AL104", "gapp", "there is no check gapp", "did you mean gap?"),
    ('accept syntax on rpm because "x"', "AL104", "syntax", "there is no check syntax", "explain"),
    ('accept gap on rmp because "x"', "AL104", "rmp", "nothing is called rmp", "did you mean rpm?"),
    ("engine piston, aircooled", "AL104", "aircooled", "not a fact", "did you mean air cooled?"),
    (
        "engine piston air cooled",
        "AL104",
        "piston air cooled",
        "not a fact",
        "facts: piston, air cooled",
    ),
    ("engine rocket", "AL104", "rocket", "not a fact", "known are: piston"),
    ("limit rpm at most 9 rpm, source S", "AL104", "S", "no source S is declared in this file", "source S"),
    # names of another kind
    ('when flaps then warning "A"', "AL113", "flaps", "is a switch, and a condition", "flaps is up"),
    ('when rpm then warning "A"', "AL113", "rpm", "is a quantity, and a condition", "rpm above 100"),
    (
        'when running above 1 then warning "A"',
        "AL113",
        "running",
        "is a condition, and a quantity",
        "when running then",
    ),
    ('when running is up then warning "A"', "AL113", "running", "is a condition, and a switch", "when running then"),
    ("flaps above 1 is red", "AL113", "flaps", "is a switch, and a quantity", "flaps is up"),
    ("rpm above flaps is red", "AL113", "flaps", "is a switch, and the end of a region", "write a number"),
    ('when running[1] then warning "A"', "AL113", "running", "only an array has elements", "without [ ]"),
    ('when flaps[1] is up then warning "A"', "AL113", "flaps", "only an array has elements", "without [ ]"),
    # arrays
    ("rpm[1] above 2 is red", "AL113", "rpm[1]", "rpm has one value", "write rpm without [1]"),
    ("cht[0] above 2 is red", "AL112", "cht[0]", "elements 1 to 4; there is no 0", "cht[1] to cht[4]"),
    ("cht[5] above 2 is red", "AL112", "cht[5]", "elements 1 to 4; there is no 5", "cht[1] to cht[4]"),
    ("cht[1.5] above 2 is red", "AL112", "cht[1.5]", "there is no 1.5", "cht[1] to cht[4]"),
    ('when any rpm above 2 then warning "A"', "AL113", "any rpm above 2", "`any` is for arrays", "take `any` away"),
    (
        'when every cht[1] above 2 then warning "A"',
        "AL113",
        "every cht[1] above 2",
        "is one value",
        "take `every` away",
    ),
    ('when cht above 2 then warning "A"', "AL113", "cht", "of which is this said?", "any cht, every cht"),
    ('rpm above 1 is red with warning "A {n}"', "AL112", '"A {n}"', "{n} stands for the element", "take {n} out"),
    # dimensions and units
    ("rpm above 2550 psi is green", "AL105", "2550 psi", "2550 psi is a pressure", "rotational speed (rpm)"),
    ("rpm above 2550 F is green", "AL105", "2550 F", "is a temperature", "rotational speed (rpm)"),
    ("ratio above 5 psi is green", "AL105", "5 psi", "a plain number", "without a unit"),
    ("rpm above 5 rmp is red", "AL110", "rmp", "rmp is not a unit", "did you mean rpm?"),
    ("oil_temp above 5 °F is red", "AL110", "°F", "°F is not a unit", "did you mean F?"),
    ("oil_temp above 5 degC is red", "AL110", "degC", "degC is not a unit", "did you mean C?"),
    ("rpm above 5 zz is red", "AL110", "zz", "zz is not a unit", "the units are rpm, F, C"),
    # ranges
    ("rpm from 5 to 2 is red", "AL112", "from 5 to 2", "runs down, from 5 rpm to 2 rpm", "from 2 rpm to 5 rpm"),
    ("rpm outside 5 to 2 is red", "AL112", "outside 5 to 2", "runs down", "outside 2 rpm to 5 rpm"),
    ("oil_temp from 100 F to 20 C is red", "AL112", "from 100 F to 20 C", "from 100 F to 68 F", "from 68 F to 100 F"),
    ("oil_temp from 50 C to 100 is red", "AL112", "100", "100 has no unit", "write 100 C, or 100 F"),
    # texts, dates, clauses said twice
    ('rpm above 1 is red with warning " "', "AL112", '" "', "the text of the alert is empty", "say what is wrong"),
    ('accept gap on rpm because ""', "AL112", '""', "the reason is empty", "say why"),
    ('accept gap on rpm because "x" until 2027-02-29', "AL112", "2027-02-29", "no day 2027-02-29", "2027-06-30"),
    ('accept gap on rpm because "x" until 0000-01-01', "AL112", "0000-01-01", "no day", ""),
    (
        "rpm above 1 is red unless running unless flaps is up",
        "AL112",
        "flaps is up",
        "said twice",
        "take one of the two",
    ),
    ("quantity q from 0 to 1, step 0.1, step 0.2", "AL112", "0.2", "said twice", "take one of the two out"),
    # names
    ("condition Red means rpm above 1", "AL102", "Red", "names are lower case", "write red"),
    ("Foo: rpm above 1 is red", "AL102", "Foo", "names are lower case", "write foo"),
    ("normal: rpm above 1 is red", "AL102", "normal", "is a word of the language", "normal_1"),
    ("switch s open, not", "AL102", "not", "not cannot be a position", "not_1"),
    ("switch s Open, closed", "AL102", "Open", "positions are lower case", "write open"),
    ("switch s open", "AL112", "switch s open", "at least two positions", "up, down"),
    ("switch s open, closed, open", "AL106", "open", "position open twice", "take one of the two out"),
    # duplicates
    (
        "a: rpm above 1 is red\na: rpm above 2 is red",
        "AL106",
        "a",
        "label a is taken already, in t.alert line 3",
        "another",
    ),
    (
        "condition running means rpm above 1",
        "AL106",
        "running",
        "declared already, in osier.profile line 10",
        "another name",
    ),
    ("switch rpm on, off", "AL106", "rpm", "declared already, in osier.profile line 3", "another name"),
    (
        "quantity q from 0 to 1\nquantity q from 0 to 1",
        "AL106",
        "q",
        "declared already, in t.alert line 3",
        "another name",
    ),
    ("switch s on, off\nswitch s on, off", "AL106", "s", "declared already, in t.alert line 3", ""),
    ("source S common practice\nsource S from memory", "AL106", "S", "declared already in this file", "take one"),
    # quantities
    ("quantity q from 5 to 0 rpm", "AL112", "5 to 0 rpm", "the range of q is empty", "lower end first"),
    ("quantity q from 5 to 5 rpm", "AL112", "5 to 5 rpm", "the range of q is empty", "lower end first"),
    ("quantity q from 0 to 5 rmp", "AL110", "rmp", "rmp is not a unit", "did you mean rpm?"),
    ("quantity q from 0 to 5 rpm, step 0 rpm", "AL112", "0 rpm", "step of q must be more than 0", "larger"),
    ("quantity q from 0 to 5 rpm, accuracy -1 rpm", "AL112", "-1 rpm", "accuracy of q must be more than 0", "larger"),
    ("quantity q from 0 to 5 rpm, step 1 psi", "AL105", "1 psi", "the step of q is a rotational speed", "(rpm)"),
    ("quantity q[0] from 0 to 5 rpm", "AL112", "[0]", "an array has 1 to 64 elements", "[4]"),
    ("quantity q[1.5] from 0 to 5 rpm", "AL112", "[1.5]", "an array has 1 to 64 elements", "[4]"),
    ("quantity q[" + "9" * 900 + "] from 0 to 5 rpm", "AL112", "[" + "9" * 900 + "]", "an array has 1 to 64", "[4]"),
    # sources
    ("limit rpm at most 9 rpm", "AL111", "limit rpm at most 9 rpm", "the limit does not say where", "source NAME"),
    ("normal rpm from 1 to 2", "AL111", "normal rpm from 1 to 2", "the normal range does not say where", "source NAME"),
]


@pytest.mark.parametrize(("text", "code", "underlined", "message", "advice"), SLIPS, ids=[s[0][:50] for s in SLIPS])
def test_slip(rules: Rules, text: str, code: str, underlined: str, message: str, advice: str) -> None:
    loaded = rules(text)
    [found] = loaded.findings
    assert found.code.code == code
    assert found.path == "t.alert"
    assert found.where is not None
    assert found.where.text == underlined
    assert found.where.line == 2 + len(text.split("\n"))
    last = text.split("\n")[-1]
    if underlined in {"a", "s"}:
        assert last[: found.where.column - 1] in ("", "switch ")
    else:
        assert found.where.column == last.rindex(underlined) + 1
    assert message in found.message
    assert advice in " ".join(found.advice)
    assert found.advice
    assert loaded.ruleset is None


@pytest.mark.parametrize(
    "text",
    [
        'switch s on, off\nwhen s is on then warning "A"',
        'when mode is normal then warning "A"',
        'when mode is not on then warning "A"',
        'when canopy is latched then warning "A"',
        'switch s red, is, source, failed, above\nwhen s is is or s is not above and s is failed then warning "A"',
        "rpm from 5 to 5 is red",
        "oil_temp from 50 to 100 C is red",
        "oil_temp from 50 F to 100 is red",
        'cht[2] above 5 is red with warning "CHT {n}"',
        'limit rpm at most 9 rpm, source S, source S "p 2"\nsource S common practice',
        'accept gap on rpm because "x" until 2028-02-29',
        "engine piston,  air   cooled",
        "rpm above " + "9" * 900 + " rpm is red",
    ],
)
def test_no_slip(rules: Rules, text: str) -> None:
    loaded = rules(text)
    assert [f.message for f in loaded.findings] == []
    assert loaded.ruleset is not None


@pytest.mark.parametrize(
    ("broken", "uses"),
    [
        ("quantity q from 0 t 5 rpm", "q above 1 is red"),
        ("quantiy q from 0 to 5 rpm", "q above 1 is red"),
        ("quantity q from 5 to 0 rpm", "q above 1 is red"),
        ("quantity q from 0 to 5 rmp", "q above 1 is red"),
        ("quantity q[0] from 0 to 5", "q[1] above 1 is red"),
        ("quantity Q from 0 to 5 rpm", "Q above 1 is red"),
        ("quantity q from \u22125 to 5 rpm", "q above 1 is red"),
        ("condition c meens running", 'when c then warning "A"'),
        ("condition c means runing", 'when c then warning "A"'),
        ("condition C means running", 'when C then warning "A"'),
        ("switch s", 'when s is up then warning "A"'),
        ("switch s up, Down", 'when s is up then warning "A"'),
        ('source T second hnd "x"', "limit rpm at most 5 rpm, source T"),
        ("hot: rpm abve 5 is red", 'accept gap on hot because "x"'),
        ("Hot: rpm above 5 is red", 'accept gap on Hot because "x"'),
        ("let x = rpm rpm", "rpm above x is red"),
        ("curve x over rpm", "rpm above x is red"),
        ("condition rpm means running", 'when rpm then warning "A"'),
        ("switch running on, off", 'when running is on then warning "A"'),
    ],
)
def test_using_a_broken_declaration_is_no_second_mistake(rules: Rules, broken: str, uses: str) -> None:
    [found] = rules(f"{broken}\n{uses}\n{uses}").findings
    assert found.where is not None
    assert found.where.line == 3
    assert len(rules(f"{broken}\n{uses}\nzzz above 5 is red").findings) == 2


def test_one_slip_is_said_once_in_every_statement_that_has_it(rules: Rules) -> None:
    found = rules('cht above 5 is red\nzzz above 5 is red with warning "A {n}"\nzzz above 6 zz is red').findings
    assert [(f.where.line, f.where.text) for f in found if f.where] == [(4, "zzz"), (5, "zzz")]


def test_a_statement_with_a_taken_label_is_still_looked_into(rules: Rules) -> None:
    found = rules("a: rpm above 1 is red\na: rmp above 2 is red").findings
    assert [f.code.code for f in found] == ["AL106", "AL104"]


def test_two_thousand_mistakes_are_two_thousand_findings(rules: Rules) -> None:
    assert len(rules("\n".join(f"q{i} above 2 is red" for i in range(2_000))).findings) == 2_000


def test_profile_says_nothing_of_what_is_shown(profile: Callable[[str], Loaded]) -> None:
    quantity = "quantity rpm from 0 to 5 rpm\n"
    for text in (
        "rpm above 1 is red",
        'when rpm above 1 then warning "A"',
        "prove quiet",
        'drop x because "y"',
        'accept gap on rpm because "x"',
        "replace x: rpm above 1 is red",
        "x: rpm above 1 is red",
    ):
        [found] = profile(quantity + text).findings
        assert found.code.name == "misplaced-statement"
        assert found.where is not None
        assert found.where.text == text
        assert "cannot stand in a profile" in found.message
