"""Scenarios that cannot be run: each mistake once, at its place, with the way out."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from alertlang.findings.codes import Severity
from alertlang.scenarios.load import load_scenario, parse_scenario_text
from alertlang.scenarios.run import run
from tests.helpers.osier_scenarios import HEAD, OSIER, RULES, as_said, read, rules, wrong

GOOD = "at 0 s: rpm 500, oil_temp 100 F -> rpm green"

# What is written, the code, what is pointed at, what is said, and part of what is advised.
MISTAKES: list[tuple[str, str, str, str, str]] = [
    # names of what is read
    ("at 0 s: rmp 500 -> rpm green", "unknown-name", "rmp", "have no quantity or switch rmp", "did you mean rpm?"),
    (
        "at 0 s: speed 500 -> rpm green",
        "unknown-name",
        "speed",
        "have no quantity or switch speed",
        "there are: rpm, oil_temp",
    ),
    ("at 0 s: canopy opne -> rpm green", "unknown-name", "opne", "canopy has no position opne", "did you mean open?"),
    (
        "at 0 s: canopy zzz -> rpm green",
        "unknown-name",
        "zzz",
        "canopy has no position zzz",
        "its positions are latched, open",
    ),
    ("at 0 s: canopy 5 -> rpm green", "wrong-kind", "canopy", "canopy is a switch", "for example: canopy latched"),
    ("at 0 s: cold 5 -> rpm green", "wrong-kind", "cold", "it follows from what is read", "-> not cold"),
    (
        "at 0 s: cht_spread 5 -> rpm green",
        "wrong-kind",
        "cht_spread",
        "cht_spread is computed",
        "give what it is computed from: cht",
    ),
    ("at 0 s: cooling failed -> rpm green", "wrong-kind", "cooling", "cooling is computed", "computed from: cht"),
    ("at 0 s: rpm fast -> rpm green", "wrong-kind", "rpm fast", "fast is no value of it", "rpm failed"),
    ("at 0 s: rpm[1] 5 -> rpm green", "wrong-kind", "rpm[1]", "rpm has one value", "write rpm alone"),
    ("at 0 s: every rpm 5 -> rpm green", "wrong-kind", "every rpm", "rpm has one value", "write rpm alone"),
    (
        "at 0 s: cht 5 -> cht[1] green",
        "wrong-kind",
        "cht",
        "cht has 4 elements",
        "every cht 300 F, or each by itself: cht[1] 300 F",
    ),
    ("at 0 s: every cht[1] 5 -> cht[1] green", "wrong-kind", "every cht[1]", "which?", "write every cht, or cht[1]"),
    ("at 0 s: cht[5] 5 -> cht[1] green", "bad-value", "cht[5]", "there is no 5", "cht[1] to cht[4]"),
    ("at 0 s: cht[0] 5 -> cht[1] green", "bad-value", "cht[0]", "there is no 0", "cht[1] to cht[4]"),
    ("at 0 s: every canopy open -> rpm green", "wrong-kind", "every canopy", "has no elements", "write canopy alone"),
    ("at 0 s: canopy[1] failed -> rpm green", "wrong-kind", "canopy[1]", "has no elements", "write canopy alone"),
    # values
    (
        "at 0 s: rpm 9000 -> rpm green",
        "bad-value",
        "9000",
        "beyond that it counts as failed",
        "write rpm failed if that is meant",
    ),
    ("at 0 s: oil_temp 5 psi -> cold", "wrong-dimension", "5 psi", "5 psi is a pressure", "write a temperature"),
    ("at 0 s: oil_temp 5 degF -> cold", "unknown-unit", "degF", "degF is not a unit", "did you mean F?"),
    (
        "at 0 s: oil_temp 20 C to 50 by 9 s -> cold",
        "bad-value",
        "50",
        "50 has no unit, and 20 C before it has one",
        "write 50 C, or 50 F",
    ),
    (
        "at 0 s: rpm to 50 by 9 s -> rpm green",
        "bad-value",
        "rpm to 50 by 9 s",
        "rpm has no value yet",
        "rpm 1750 rpm to ...",
    ),
    (
        "at 0 s: rpm failed, oil_temp 9 F -> rpm blank\nat 2 s: rpm to 50 by 9 s",
        "bad-value",
        "rpm to 50 by 9 s",
        "rpm has failed",
        "rpm 1750 rpm to ...",
    ),
    ("at 0 s: rpm 5 to 9000 by 2 s, oil_temp 9 F -> rpm green", "bad-value", "9000", "beyond that", "failed"),
    (
        "at 0 s: rpm 5, oil_temp 9 F, rpm 6 -> rpm green",
        "bad-value",
        "rpm 6",
        "this line gives rpm twice",
        "take one of the two out",
    ),
    (
        "at 0 s: cht[1] 5, every cht 6 -> cht[1] green",
        "bad-value",
        "every cht 6",
        "this line gives cht[1] twice",
        "take one",
    ),
    (
        "at 0 s: canopy open, rpm 5, canopy failed -> rpm green",
        "bad-value",
        "canopy failed",
        "this line gives canopy twice",
        "take one",
    ),
    (
        f"{GOOD}\nat 1 s: acknowledge, acknowledge",
        "bad-value",
        "acknowledge",
        "this line acknowledges twice",
        "take one",
    ),
    # times
    (
        f"{GOOD}\nat 5 s\nat 4 s",
        "bad-value",
        "4 s",
        "the line before it is at 5 s, which is later",
        "in the order of time",
    ),
    (f"{GOOD}\nat 5 s\nat 5 s", "bad-value", "5 s", "there is a line at 5 s already", "write both as one line"),
    (f"at -1 s\n{GOOD}", "bad-value", "-1 s", "time begins at 0 s", "at 0 s: ..."),
    (f"{GOOD}\nat 5 psi", "wrong-dimension", "5 psi", "a time must stand here", "s, min or h"),
    (
        "at 1 s: rpm 2 to 5 by 1 s, oil_temp 9 F -> rpm green",
        "bad-value",
        "1 s",
        "`by` names a time, and that must be later than 1 s",
        "counted as those of the lines",
    ),
    (
        "at 1 s: rpm 500, oil_temp 9 F -> rpm green by 0.5 s",
        "bad-value",
        "0.5 s",
        "must not be earlier than 1 s",
        "counted",
    ),
    (
        "at 1 s: rpm 500, oil_temp 9 F -> rpm green until 1 s",
        "bad-value",
        "1 s",
        "`until` names a time, and that must be later than 1 s",
        "counted",
    ),
    (
        "at 1 s: rpm 500, oil_temp 9 F -> rpm green by 3 s until 3 s",
        "bad-value",
        "3 s",
        "must be later than 3 s",
        "counted",
    ),
    (f"sample every 0 s\n{GOOD}", "bad-value", "sample every 0 s", "samples stand apart by more than nothing", "0.5 s"),
    (
        f"sample every 1 s\nsample every 1 s\n{GOOD}",
        "bad-value",
        "sample every 1 s",
        "this is said in line 2 already",
        "take one",
    ),
    (f"{GOOD}\nat 100 h", "bad-value", "100 h", "these are more than 100000 samples", "sample every"),
    # what must be shown
    (
        "at 0 s: canopy open -> canopy red",
        "wrong-kind",
        "canopy",
        "canopy is a switch, and shows no colour",
        "expect an alert",
    ),
    (
        "at 0 s: oil_temp 5 -> cold red",
        "wrong-kind",
        "cold",
        "cold is a condition, and shows no colour",
        "write cold, or not cold",
    ),
    ("at 0 s: rpm 5 -> rmp red", "unknown-name", "rmp", "have no quantity rmp", "did you mean rpm?"),
    ("at 0 s: every cht 5 -> cht green", "wrong-kind", "cht", "cht has 4 elements", "write every cht red"),
    ("at 0 s: rpm 5 -> rpm", "wrong-kind", "rpm", "rpm is a quantity, not a condition", "for example: rpm green"),
    ("at 0 s: rpm 5 -> not canopy", "wrong-kind", "not canopy", "canopy is a switch, not a condition", "before `->`"),
    ("at 0 s: rpm 5 -> colt", "unknown-name", "colt", "have no condition colt", "did you mean cold?"),
    ("at 0 s: rpm 5 -> zzz", "unknown-name", "zzz", "have no condition zzz", "there are: running, cold, settled"),
    (
        "at 0 s: oil_temp 5 -> cold[1]",
        "wrong-kind",
        "cold[1]",
        "cold is a condition, and has no elements",
        "write cold alone",
    ),
    (
        'at 0 s: rpm 5 -> no warning "OVERSPED"',
        "unknown-name",
        '"OVERSPED"',
        'raises the warning "OVERSPED"',
        'did you mean "OVERSPEED"?',
    ),
    (
        'at 0 s: rpm 5 -> caution "OVERSPEED"',
        "unknown-name",
        '"OVERSPEED"',
        "no statement of the rules",
        'another level: warning "OVERSPEED"',
    ),
    (
        'at 0 s: rpm 5 -> warning "CHT {n} HOT"',
        "unknown-name",
        '"CHT {n} HOT"',
        "no statement of the rules",
        "CHT 1 HOT",
    ),
    ('at 0 s: rpm 5 -> warning "CHT 5 HOT"', "unknown-name", '"CHT 5 HOT"', "no statement of the rules", "CHT"),
    (
        'at 0 s: rpm 5 -> warning "Q"',
        "unknown-name",
        '"Q"',
        "no statement of the rules",
        'there are: "OVERSPEED", "OIL PRESS"',
    ),
    # the whole
    (GOOD.split(" -> ")[0], "bad-value", HEAD.strip(), "the scenario expects nothing", "at 10 s -> quiet"),
    ("", "bad-value", HEAD.strip(), "the scenario has no line", "write: at 0 s: ..."),
    (
        'use rules "nowhere-at-all"\nuse rules "nowhere-else"\n' + GOOD,
        "misplaced-statement",
        'use rules "nowhere-else"',
        "a scenario is about one file of rules",
        "take this one out",
    ),
    (
        f'scenario "y" version 2\n{GOOD}',
        "misplaced-statement",
        'scenario "y" version 2',
        "a file has one header, and it stands in line 1",
        "take",
    ),
]


@pytest.mark.parametrize(("text", "code", "where", "message", "advice"), MISTAKES, ids=[m[0] for m in MISTAKES])
def test_mistake_is_said_once_at_its_place(text: str, code: str, where: str, message: str, advice: str) -> None:
    on = None if text.startswith("use") else RULES
    found = [one for one in wrong(text, on) if one.code.name != "missing-file"]
    assert [one.code.name for one in found] == [code], [one.message for one in found]
    [one] = found
    assert one.where is not None
    assert one.where.text == where
    assert message in one.message
    assert advice in " ".join(one.advice)


# ---- what must be given


def test_what_expectations_depend_on_must_be_in_the_first_line() -> None:
    [one] = wrong("at 0 s: rpm 500 -> rpm green\nat 1 s: oil_temp 90 F")
    assert one.code.name == "bad-value"
    assert one.where is not None
    assert one.where.text == "at 0 s: rpm 500 -> rpm green"
    assert one.message == "the first line does not say what oil_temp is, and what is expected depends on it"
    assert one.advice[0] == "add to it what fits, for example: oil_temp 130 F"


def test_all_that_is_missing_is_listed_at_once_and_can_be_pasted() -> None:
    [one] = wrong("at 0 s: cht[2] 300 F -> quiet")
    assert "rpm, oil_temp, oil_pressure, cht[1], cht[3], cht[4] and canopy are" in one.message
    example = one.advice[0].removeprefix("add to it what fits, for example: ")
    assert example == (
        "rpm 1750 rpm, oil_temp 130 F, oil_pressure 60 psi, cht[1] 300 F, cht[3] 300 F, cht[4] 300 F, canopy latched"
    )
    assert read(f"at 0 s: cht[2] 300 F, {example} -> quiet").scenario is not None


def test_only_what_they_depend_on_must_be_given() -> None:
    assert read("at 0 s: every cht 300 F -> every cht green").scenario is not None
    assert read('at 0 s: rpm 500 -> caution "PWR TIME"').scenario is not None
    assert read("at 0 s: rpm 500 -> running").scenario is not None


NEEDS = """\
rules "needs" version 1
quantity a from 0 to 10
quantity b from 0 to 10
quantity c from 0 to 10
quantity d[2] from 0 to 10
quantity e from 0 to 10
switch left off, on
switch right off, on
let twice = b * 2
curve top over c: 0 -> 1, 9 -> 5
condition first means left is on until e above 3
a above 5 is red with caution "A" unless right is on
b at most top is green
when twice above 3 then caution "B"
when first then advisory "C"
when any d above 3 for more than 5 s then warning "D"
"""


@pytest.mark.parametrize(
    ("expected", "names"),
    [
        ("a red", {"a", "right"}),
        ('caution "A"', {"a", "right"}),
        ("b green", {"b", "c"}),
        ('caution "B"', {"b"}),
        ('no advisory "C"', {"left", "e"}),
        ("first", {"left", "e"}),
        ('warning "D"', {"every d"}),
        ("quiet", {"a", "b", "every d", "right"}),
        ('quiet, advisory "C"', {"a", "b", "every d", "e", "left", "right"}),
    ],
)
def test_what_each_thing_depends_on(expected: str, names: set[str]) -> None:
    """Through `unless`, ends that move, what is computed, both parts of a condition, and nothing else."""
    [one] = wrong(f"at 0 s -> {expected}", rules(NEEDS))
    example = one.advice[0].removeprefix("add to it what fits, for example: ")
    assert {part.rpartition(" ")[0] for part in example.split(", ")} == names


def test_several_mistakes_are_said_together() -> None:
    found = wrong("at 0 s: rmp 500 -> rpm gren\nat 1 s: canpy open -> colt, rpm green by 0 s")
    assert [one.code.name for one in found] == ["syntax", "unknown-name", "unknown-name", "bad-value"]


# ---- files


def test_rules_are_found_where_use_finds_them(tmp_path: Path) -> None:
    (tmp_path / "osier.alert").write_text(OSIER, encoding="utf-8")
    text = f'{HEAD}use rules "osier"\n{GOOD}\n'
    for place in (tmp_path, tmp_path / "scenarios"):
        place.mkdir(exist_ok=True)
        (place / "a.scenario").write_text(text, encoding="utf-8")
        loaded = load_scenario(place / "a.scenario")
        assert loaded.findings == ()
        assert loaded.rules is not None
        assert (loaded.name, loaded.version, loaded.rules.name, loaded.rules.version) == ("trial", 1, "osier", 3)
    far = tmp_path / "a" / "b"
    far.mkdir(parents=True)
    (far / "a.scenario").write_text(text, encoding="utf-8")
    [missing] = load_scenario(far / "a.scenario").findings
    assert missing.code.name == "missing-file"
    assert load_scenario(far / "a.scenario", search=[tmp_path]).scenario is not None


def test_given_rules_stand_for_those_that_are_named() -> None:
    loaded = read(f'use rules "nowhere"\n{GOOD}')
    assert loaded.findings == ()
    assert loaded.rules == RULES.origin


def test_rules_must_be_named_or_given() -> None:
    [one] = wrong(GOOD, None)
    assert one.code.name == "missing-file"
    assert "--rules" in one.advice[0]


def test_a_mistake_in_the_rules_is_said_and_nothing_is_run(tmp_path: Path) -> None:
    (tmp_path / "bad.alert").write_text('rules "bad" version 1\nrpm above 5 is red\n', encoding="utf-8")
    loaded = parse_scenario_text(f'{HEAD}use rules "bad"\n{GOOD}'.encode(), shown="x", folder=tmp_path)
    assert loaded.scenario is None
    assert [one.code.name for one in loaded.findings] == ["unknown-name"]
    assert loaded.findings[0].path.endswith("bad.alert")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "the file is empty"),
        ("# only this\n", "the file holds nothing but comments"),
        (GOOD, "the file has no header that says what it is"),
        (f'about "x"\n{HEAD}{GOOD}', "the header must be the first statement"),
        (f'scenario " " version 1\n{GOOD}', "the name is empty"),
        (f'scenario "x" version 1.5\n{GOOD}', "a version is a whole number"),
    ],
)
def test_headers(text: str, message: str) -> None:
    loaded = parse_scenario_text(text.encode(), shown="x.scenario", folder=Path("."), rules=RULES)
    assert message in [one.message for one in loaded.findings]
    assert loaded.scenario is None


def test_what_cannot_be_read_at_all(tmp_path: Path) -> None:
    assert [one.code.name for one in load_scenario(tmp_path / "none.scenario").findings] == ["unreadable-file"]
    broken = parse_scenario_text(b"\xff\xfe", shown="x", folder=tmp_path)
    assert [one.code.name for one in broken.findings] == ["unreadable-file"]


def test_a_file_of_rules_is_told_apart() -> None:
    [one] = parse_scenario_text(OSIER.encode(), shown="osier.alert", folder=Path(".")).findings
    assert one.code.name == "wrong-kind"


TIMES = st.sampled_from(["0 s", "1 s", "2 s", "1/3 min", "1 min", "-1 s", "5 F", "5 parsec", "2000 h"])
NAMES = st.sampled_from(
    ["rpm", "cht", "cht[2]", "cht[9]", "every cht", "oil_temp", "canopy", "cold", "settled", "cooling", "x"]
)
VALUES = st.sampled_from(["5", "60 F", "20 C", "2100 rpm", "9999", "-5", "224/3 F", "failed", "open", "to", "5 psi"])
INPUTS = st.one_of(
    st.tuples(NAMES, VALUES).map(" ".join),
    st.tuples(NAMES, st.sampled_from(["to", "5 to", "60 F to"]), VALUES, st.just("by"), TIMES).map(" ".join),
    st.just("acknowledge"),
)
SHOWN = st.one_of(
    st.tuples(NAMES, st.sampled_from(["red", "green", "blank"])).map(" ".join),
    NAMES,
    NAMES.map("not {}".format),
    st.sampled_from(['warning "OVERSPEED"', 'no warning "CHT 2 HOT"', 'caution "OVERSPEED"', "quiet"]),
)
EXPECTED = st.tuples(
    SHOWN, st.one_of(st.just(""), TIMES.map(" by {}".format)), st.one_of(st.just(""), TIMES.map(" until {}".format))
).map("".join)
LINES = st.tuples(TIMES, st.lists(INPUTS, max_size=4), st.lists(EXPECTED, max_size=3)).map(
    lambda line: f"at {line[0]}: {', '.join(line[1])}" + (f" -> {', '.join(line[2])}" if line[2] else "")
)


@settings(max_examples=400, phases=[Phase.explicit, Phase.generate])
@given(st.lists(LINES, max_size=4), st.booleans())
def test_no_lines_are_a_fault_of_the_tool(lines: list[str], whole: bool) -> None:
    first = (
        "at 0 s: rpm 500, oil_temp 90 F, oil_pressure 50, every cht 300 F, canopy open -> rpm green\n" if whole else ""
    )
    text = first + "\n".join(lines).replace("2000 h", "9 s" if whole else "2000 h")
    loaded = read(text)
    assert (loaded.scenario is None) is any(one.severity is Severity.ERROR for one in loaded.findings)
    for one in loaded.findings:
        assert one.where is not None
        assert one.advice or "expected" in one.message, one.message
    if loaded.scenario is not None:
        found = run(loaded.scenario)[0]
        assert found is None or (found.message and found.where.text)


@settings(max_examples=200, phases=[Phase.explicit, Phase.generate])
@given(st.text(max_size=60))
def test_no_text_is_a_fault_of_the_tool(text: str) -> None:
    try:
        data = f"at 0 s: rpm 5{text}\n{text}".encode()
    except UnicodeEncodeError:
        return
    parse_scenario_text(data, shown="x", folder=Path("."), rules=RULES)


def test_a_position_called_failed_is_a_position() -> None:
    text = 'rules "f" version 1\nswitch pump on, failed\nwhen pump is failed then caution "PUMP"\n'
    assert as_said('at 0 s: pump failed -> caution "PUMP"', rules(text))
