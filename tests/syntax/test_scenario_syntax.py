"""How scenarios are read: the tree of each statement, one message for each slip, and no internal word in any."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from lark import Lark

from alertlang.findings.finding import Finding
from alertlang.syntax import scenario_tree as st
from alertlang.syntax import tree as t
from alertlang.syntax.explain import words
from alertlang.syntax.scenario import parse_scenario, scenario_mistakes
from alertlang.text.resources import grammar_dir
from alertlang.text.source import Source
from alertlang.units.unit import UNITS

LARK = Lark((grammar_dir() / "scenario.lark").read_text(encoding="utf-8"), start="statement", parser="lalr")
TERMINALS = {terminal.name for terminal in LARK.terminals} - {"COMMENT", "SPACE"}
EXAMPLES = [(message, way_out, example) for message, way_out, examples in scenario_mistakes() for example in examples]
INTERNAL = re.compile(rf"\b({'|'.join(sorted(TERMINALS - set(UNITS)))}|RESERVED|ANON\w*)\b|__|\$END")


def read(text: str) -> tuple[st.ScenarioFile, list[Finding]]:
    return parse_scenario(Source("x", text))


def line(text: str) -> st.AtStatement:
    tree, findings = read(text)
    assert [f.message for f in findings] == []
    [statement] = tree.statements
    assert isinstance(statement, st.AtStatement)
    return statement


# ---- slips


@pytest.mark.parametrize(("message", "way_out", "example"), EXAMPLES, ids=[example for *_, example in EXAMPLES])
def test_slip_gets_its_own_message_at_a_place_inside(message: str, way_out: str, example: str) -> None:
    _, [found] = read(example)
    assert (found.code.code, found.message, found.advice) == ("AL102", message, (way_out,))
    assert found.where is not None
    assert 0 <= found.where.start < found.where.end <= len(example)


@pytest.mark.parametrize("way_out", [way_out for _, way_out, _ in scenario_mistakes()])
def test_what_is_advised_can_be_read(way_out: str) -> None:
    _, mark, rest = way_out.partition("write for example: ")
    for shown in re.split(r", or: ", rest) if mark else ():
        assert [f.message for f in read(shown)[1]] == [], shown


def test_no_slip_is_listed_twice() -> None:
    examples = [example for *_, example in EXAMPLES]
    assert len(set(examples)) == len(examples)
    assert len({message for message, *_ in EXAMPLES}) == len(scenario_mistakes())


WHOLE = (
    'scenario "x" version 1',
    'use rules "y"',
    'about "TEXT"',
    "sample every 0.5 s",
    "at 10 s: rpm 2100 rpm, every cht 350 F, cht[2] failed, canopy open, acknowledge",
    "at 10 s: rpm to 2700 rpm by 30 s, cht[1] 300 to 350 F by 1 min -> quiet by 12 s until 20 s",
    'at 10 s -> rpm red, every cht blank, cht[2] amber, caution "A" by 12 s, no warning "B", cold until 2 s, not cold',
)


@pytest.mark.parametrize("text", WHOLE)
def test_statements_cut_short_repeated_or_spoilt_never_name_a_token(text: str) -> None:
    pieces = re.findall(r'"[^"]*"|->|[,:\[\]]|[^\s,:\[\]]+', text)
    count = len(pieces)
    broken = [pieces[:i] for i in range(1, count)]
    broken += [[*pieces[:i], pieces[i - 1], *pieces[i:]] for i in range(1, count)]
    broken += [[*pieces[:i], *pieces[i + 1 :]] for i in range(1, count)]
    broken += [
        [*pieces[:i], odd, *pieces[i:]] for i in range(1, count) for odd in ("zzz", "is", '"a"', "7", "red", "to")
    ]
    for one in map(" ".join, broken):
        _, findings = read(one)
        assert len(findings) <= 1, one
        for found in findings:
            said = re.sub(r'"[^"]*"', "", " ".join([found.message, *found.advice]))
            assert not INTERNAL.search(said), (one, said)
            assert found.where is not None
            assert 0 <= found.where.start < found.where.end <= len(one), one


def test_every_terminal_has_words_for_people() -> None:
    keywords = {x.name for x in LARK.terminals if x.pattern.type == "str" and x.pattern.value.isalpha()}
    assert TERMINALS - keywords - set(words().words) == set()


@pytest.mark.parametrize("number", ["1/", "1/0", "1/x", "-1/ rpm"])
def test_what_a_number_is_divided_by(number: str) -> None:
    _, [found] = read(f"at 10 s: rpm {number} -> rpm red")
    assert "expected a whole number above 0" in found.message


def test_an_arrow_typed_wrongly() -> None:
    _, [found] = read("at 10 s: rpm 2100 => rpm red")
    assert found.code.name == "stray-character"
    assert found.advice == ("write -> before what must be shown",)


@pytest.mark.parametrize(
    "text", ['rules "x" version 1\nrpm above 5 is red\nrpm below 5 is gren', 'profile "x" version 1']
)
def test_another_kind_of_file_is_one_finding(text: str) -> None:
    tree, [found] = read(text)
    assert tree.statements == ()
    assert found.code.name == "wrong-kind"


def test_one_mistake_does_not_hide_the_next() -> None:
    tree, findings = read("at 10: rpm 5\nat 20 s: rpm 5\nat 30 s rpm 5\n")
    assert [f.where.line for f in findings if f.where] == [1, 3]
    assert len(tree.statements) == 1
    assert [span.line for span in tree.broken] == [1, 3]


def test_a_number_beyond_all_measure_is_a_finding() -> None:
    _, [found] = read(f"at 10 s: rpm {'9' * 1001}")
    assert found.code.name == "bad-value"


# ---- trees


def test_head_of_a_file() -> None:
    tree, findings = read('scenario "cold start" version 2 # why\nuse rules "osier"\nabout "A"\nsample every 1/3 min\n')
    assert findings == []
    header, use, about, sample = tree.statements
    assert isinstance(header, t.Header)
    assert (header.kind, header.name.text, header.version.number) == ("scenario", "cold start", Fraction(2))
    assert isinstance(use, t.Use)
    assert (use.kind, use.name.text) == ("rules", "osier")
    assert isinstance(about, t.About)
    assert isinstance(sample, st.SampleEvery)
    assert sample.duration.number == Fraction(1, 3)
    assert [comment.text for comment in tree.comments] == ["# why"]


def test_a_line_over_several_lines_keeps_its_place() -> None:
    text = "# head\nat 1 min:\n  rpm -5/9 rpm,  # why\n  every cht failed\n  -> cht[2] amber\n"
    tree, _ = read(text)
    [one] = tree.statements
    assert isinstance(one, st.AtStatement)
    assert (one.span.line, one.span.end_line) == (2, 5)
    given, lost = one.inputs
    assert isinstance(given, st.Given)
    assert (given.value.number, given.span.text) == (Fraction(-5, 9), "rpm -5/9 rpm")
    assert isinstance(lost, st.Lost)
    assert (lost.place.every, lost.place.subject.name.text) == (True, "cht")
    [expected] = one.expectations
    assert isinstance(expected.what, st.Shows)
    assert (expected.what.colour, expected.span.text, expected.span.line) == ("yellow", "cht[2] amber", 5)


@pytest.mark.parametrize("text", ["at 1 s", "at 1 s:", "at 1 s: -> quiet", "at 1 s -> quiet"])
def test_a_line_may_give_nothing_or_expect_nothing(text: str) -> None:
    one = line(text)
    assert one.inputs == ()
    assert len(one.expectations) == ("->" in text)


def test_ramps() -> None:
    one, other = line("at 0 s: rpm to 2700 rpm by 30 s, cht[1] 300 to 350 F by 1 min").inputs
    assert isinstance(one, st.RampNode)
    assert (one.first, one.last.number, one.by.number) == (None, Fraction(2700), Fraction(30))
    assert isinstance(other, st.RampNode)
    assert other.first is not None
    assert other.first.unit is not None
    assert (other.first.number, other.first.unit.text) == (Fraction(300), "F")


def test_alerts_quiet_and_conditions_with_their_times() -> None:
    found = line(
        'at 0 s -> warning "A" by 2 s, no caution "B" until 3 s, quiet by 1 s until 9 s, cold, not cold'
    ).expectations
    said = [(type(e.what).__name__, e.by and e.by.number, e.until and e.until.number) for e in found]
    assert said == [
        ("Alerts", 2, None),
        ("Alerts", None, 3),
        ("Quiet", 1, 9),
        ("Holds", None, None),
        ("Holds", None, None),
    ]
    assert [e.what.up for e in found if isinstance(e.what, st.Alerts)] == [True, False]
    assert [e.what.holds for e in found if isinstance(e.what, st.Holds)] == [True, False]


def test_words_of_this_grammar_alone_may_be_names() -> None:
    one = line(
        "at 0 s: sample 1, by 2, blank 3, no 4, scenario 5, acknowledge 6, acknowledge "
        "-> no red, blank blank by 1 s, by"
    )
    names = [i.place.subject.name.text for i in one.inputs if isinstance(i, st.Given)]
    assert names == ["sample", "by", "blank", "no", "scenario", "acknowledge"]
    assert isinstance(one.inputs[-1], st.Pressed)
    first, second, third = (e.what for e in one.expectations)
    assert isinstance(first, st.Shows)
    assert isinstance(second, st.Shows)
    assert second.colour is None
    assert isinstance(third, st.Holds)


def test_a_position_may_be_a_word_of_the_language() -> None:
    found = line("at 0 s: pump off, flaps to, gear red, mode by").inputs
    assert [i.position.text for i in found if isinstance(i, st.Turned)] == ["off", "to", "red", "by"]


def test_a_position_may_be_said_as_in_rules() -> None:
    def said(text: str) -> list[str]:
        turned = [one for one in line(text).inputs if isinstance(one, st.Turned)]
        return [f"{one.place.subject.name.text} {one.position.text}" for one in turned]

    plain = ["canopy open", "flaps is", "pump to", "gear to"]
    assert said("at 10 s: canopy open, flaps is, pump to, gear to") == plain
    assert said("at 10 s: canopy is open, flaps is, pump to, gear is to") == plain
