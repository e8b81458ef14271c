"""The catalogue of common slips, the words for people, and that no message ever names an internal token."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lark import Lark

from alertlang.findings.finding import Finding
from alertlang.syntax.explain import in_words, mistakes, words
from alertlang.syntax.parse import parse, reserved_words
from alertlang.text.resources import grammar_dir
from alertlang.text.source import Source
from alertlang.units.unit import UNITS
from tests.syntax.test_corpus import STATEMENTS

LARK = Lark((grammar_dir() / "alertlang.lark").read_text(encoding="utf-8"), start="statement", parser="lalr")
TERMINALS = {terminal.name for terminal in LARK.terminals}
KEYWORDS = {
    terminal.name: terminal.pattern.value
    for terminal in LARK.terminals
    if terminal.pattern.type == "str" and terminal.pattern.value.isalpha()
}
IGNORED = {"COMMENT", "SPACE"}
EXAMPLES = [(mistake, example) for mistake in mistakes() for example in mistake.examples]
# Names of terminals that are also units or ordinary words in capitals would prove nothing.
INTERNAL = re.compile(rf"\b({'|'.join(sorted(TERMINALS - set(UNITS)))}|RESERVED|ANON\w*)\b|__|\$END")


def _only(text: str) -> Finding:
    _, findings = parse(Source("x", text))
    assert [f.message for f in findings][1:] == []
    return findings[0]


@pytest.mark.parametrize(("mistake", "example"), EXAMPLES, ids=[example for _, example in EXAMPLES])
def test_example_gives_its_own_message_once_with_a_place_inside(mistake: object, example: str) -> None:
    found = _only(example)
    assert found.code.code == "AL102"
    assert found.message == mistake.message  # type: ignore[attr-defined]
    assert found.advice == (mistake.way_out,)  # type: ignore[attr-defined]
    assert found.where is not None
    assert 0 <= found.where.start < found.where.end <= len(example)


@pytest.mark.parametrize("mistake", mistakes(), ids=lambda mistake: mistake.message)
def test_statements_in_a_way_out_can_be_read(mistake: object) -> None:
    """A way out that is itself a mistake would be worse than none: whatever follows `for example:` is tried."""
    _, mark, rest = mistake.way_out.partition("write for example: ")  # type: ignore[attr-defined]
    for shown in re.split(r", or: |; for [a-z ]+: |, or |(?<=[a-z]), (?=rpm)", rest) if mark else ():
        starters = ("with ", "from ", "5 s", "canopy is open then", "red", "2")
        if shown.startswith(starters):
            continue
        _, findings = parse(Source("x", shown))
        assert [f.message for f in findings] in ([], ["the band has no colour"]), shown


def test_no_example_and_no_message_is_there_twice() -> None:
    examples = [example for _, example in EXAMPLES]
    assert len(set(examples)) == len(examples)
    assert len({mistake.message for mistake in mistakes()}) == len(mistakes())


def test_every_terminal_has_a_name_and_words_for_people() -> None:
    assert not [name for name in TERMINALS if name.startswith("__")]
    without = TERMINALS - IGNORED - set(KEYWORDS) - set(words().words)
    assert without == set()


def test_words_groups_and_substitutes_name_terminals_that_exist() -> None:
    named = {*words().words, *(name for members in words().groups.values() for name in members)}
    named |= {name for name, _ in words().instead.values()}
    # Fractions are a scenario's alone.
    assert named - TERMINALS == {"DIVISOR"}


def test_a_foreign_word_is_not_one_of_ours_where_it_is_replaced() -> None:
    # `over` and `min` have a meaning elsewhere in the language.
    assert {word for word in words().instead if word in reserved_words()} == {"over"}


@given(st.frozensets(st.sampled_from([*sorted(TERMINALS - IGNORED), "$END"]), min_size=1))
def test_no_list_of_what_could_stand_names_a_token(accepts: frozenset[str]) -> None:
    said = in_words(accepts, KEYWORDS)
    assert said
    assert not INTERNAL.search(said), said


@pytest.mark.parametrize("text", STATEMENTS)
def test_statements_cut_short_or_repeated_say_it_in_words_for_people(text: str) -> None:
    pieces = re.findall(r'"[^"]*"|\S+', text)
    broken = [" ".join(pieces[:count]) for count in range(1, len(pieces))]
    broken += [" ".join([*pieces[:count], pieces[count - 1], *pieces[count:]]) for count in range(1, len(pieces))]
    broken += [" ".join([*pieces[:count], *pieces[count + 1 :]]) for count in range(1, len(pieces))]
    broken += [" ".join([*pieces[:count], odd]) for count in range(1, len(pieces)) for odd in ("zzz", "is", '"a"', "7")]
    for one in broken:
        _, findings = parse(Source("x", one))
        assert len(findings) <= 1, one
        for found in findings:
            # Texts in capitals are the examples' own, and so are the names of sources.
            shown = re.sub(r'"[^"]*"|\b(TCDS|RECALL2?|SHOP2?|LETTER)\b', "", " ".join([found.message, *found.advice]))
            assert not INTERNAL.search(shown), (one, shown)
            assert found.where is not None
            assert 0 <= found.where.start < found.where.end <= len(one), one


def test_the_check_on_tokens_would_see_one() -> None:
    assert INTERNAL.search("expected AT_MOST or a name")
    assert INTERNAL.search("unexpected RESERVED")
    assert INTERNAL.search("expected __ANON_3")
    assert not INTERNAL.search("expected `at most`, a unit (F, C, K, V, A) or a name")
