"""Whatever is put in, nothing is raised, every place lies inside the text, and statements do not touch each other."""

from __future__ import annotations

from pathlib import Path

from hypothesis import example, given
from hypothesis import strategies as st

from alertlang.findings.finding import Finding
from alertlang.model.load import parse_ruleset
from alertlang.syntax.parse import parse, reserved_words
from alertlang.syntax.read import read_bytes
from alertlang.text.source import Source
from tests.syntax.test_corpus import STATEMENTS

NOWHERE = Path("no-such-folder")
# Words of the language in any order come further into the grammar than letters in any order.
_pieces = st.sampled_from(
    [
        *sorted(reserved_words()),
        *("rpm", "S", "5", "2.5", "-", "->", "(", ")", "[", "]", ",", ":", "=", "/", "*", "+"),
        *('"a"', "\n", "\n  ", " # c\n", "%", "°", "\u2013", "2027-06-30", "most", "least", "than", "piston"),
    ]
)
_word_salad = st.lists(_pieces, max_size=25).map(" ".join)
_any_text = st.one_of(st.text(), _word_salad)


def _inside(findings: list[Finding], source: Source | None = None) -> None:
    for found in findings:
        assert found.message
        assert "$END" not in found.message
        if found.where is not None:
            text = found.where.source.text
            assert 0 <= found.where.start <= found.where.end <= len(text)
            assert source is None or found.where.source is source


@given(_any_text)
def test_any_text(text: str) -> None:
    source = Source("x", text)
    tree, findings = parse(source)
    _inside(findings, source)
    # Every stretch of it is a statement, a comment, or one finding.
    assert len(tree.broken) == len(findings)
    assert findings == sorted(findings, key=lambda f: f.sort_key)


@given(st.binary(max_size=200) | _any_text.map(lambda text: text.encode("utf-8", "surrogatepass")))
def test_any_bytes(data: bytes) -> None:
    source = read_bytes(data, "x")
    if isinstance(source, Finding):
        _inside([source])
    else:
        _inside(parse(source)[1])


@given(_any_text)
def test_any_text_after_a_header_all_the_way_to_the_rule_set(text: str) -> None:
    head = 'rules "t" version 1\nquantity rpm from 0 to 3500 rpm\nswitch canopy open, latched\n'
    loaded = parse_ruleset((head + text).encode("utf-8", "surrogatepass"), shown="x", folder=NOWHERE)
    _inside(list(loaded.findings))
    assert (loaded.ruleset is None) == any(f.severity.word == "error" for f in loaded.findings)


def _said(text: str) -> list[tuple[str, str]]:
    return [(f.message, f.where.text if f.where else "") for f in parse(Source("x", text))[1]]


@given(st.lists(st.sampled_from(STATEMENTS), max_size=6), _any_text, st.integers(0, 6))
@example(['display "small-panel" version 1'], "", 1)
@example(['display "small-panel" version 1'], "", 0)
def test_what_is_put_between_statements_adds_its_findings_and_changes_no_other(
    good: list[str], odd: str, place: int
) -> None:
    # In one line that starts in the first column, so that it is a statement of its own.
    odd = "x" + " ".join(odd.split())
    place = min(place, len(good))
    before, after = "\n".join(good[:place]), "\n".join(good[place:])
    # The first statement says what kind of file it is, and what is wrong is told in the words of that kind.
    head = good[0] if place and good[0].startswith("display ") else ""
    alone = _said(f"{head}\n{odd}")
    assert len(alone) == len(_said(odd))
    assert _said(f"{before}\n{odd}\n{after}") == alone
    broken = "rpm abve 5 is red"
    assert _said(f"{broken}\n{before}\n{odd}\n{after}") == _said(broken) + _said(odd)


def test_in_a_display_the_same_slip_is_told_in_other_words() -> None:
    # So that the header above is there for a reason.
    (of_display,), (of_rules,) = _said('display "small-panel" version 1\nx'), _said("x")
    assert of_display[0] == "no statement of a display starts with x"
    assert of_rules[0].startswith("the statement ends too early")
