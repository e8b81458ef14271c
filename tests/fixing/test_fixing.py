"""Suggestions written into files: only what makes the whole better stays, and nothing else of the file changes."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings

import alertlang.api as api
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Edit, Reach, Suggestion
from alertlang.fixing import Fixed, Setting, fix
from alertlang.fixing.judged import is_open
from alertlang.fixing.trial import against
from alertlang.fixing.write import written
from alertlang.results.report import Report, Verdict
from alertlang.text.source import Source, Span
from alertlang.units.interval import Interval
from tests.helpers.generate import Text, rule_sets
from tests.helpers.oracle import Oracle

HEAD = 'rules "case" version 1\nsource S common practice\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
GAP = HEAD + "rpm below 2000 is green\nrpm above 2100 is red\n"
ADDED = "rpm from 2000 to 2100 rpm is yellow\n"
LEVEL = (
    HEAD + 'rpm at most 2000 is green\nrpm from 2000 to 3000 is yellow with warning "HIGH ü😀"\nrpm above 3000 is red\n'
)


def fixed(text: str | bytes, folder: Path = Path(), **options: int) -> Fixed:
    data = text.encode() if isinstance(text, str) else text
    return fix(data, Setting("case.alert", folder, work_limit=options.pop("work_limit", 10**6)), **options)


def test_a_statement_is_added() -> None:
    result = fixed(GAP)
    assert result.after == (GAP + ADDED).encode()
    assert [one.finding.code.name for one in result.kept] == ["gap"]
    assert result.left == ()
    assert result.complete
    assert [f.code.name for f in result.found.findings] == ["gap"]
    assert result.remaining.findings == ()


def test_a_statement_is_changed_where_it_stands() -> None:
    result = fixed(LEVEL)
    assert result.after == LEVEL.replace("is yellow with", "is red with").encode()
    assert result.remaining.findings == ()


def test_nothing_to_do() -> None:
    result = fixed(HEAD + "rpm from 0 to 3500 is green\n")
    assert result.after == result.before
    assert result.kept == result.left == ()
    assert result.complete


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("last", ["", "\n", "\n\n# the end", "\n# the end\n\n  \n"])
def test_every_other_byte_stays(mark: bytes, end: str, last: str) -> None:
    text = "# ü 😀\n\n" + LEVEL.rstrip("\n").replace("rpm at most", "rpm   at most") + "  # why" + last
    data = mark + text.replace("\n", end).encode()
    assert fixed(data).after == data.replace(b"is yellow with", b"is red with")
    gap = mark + GAP.rstrip("\n").replace("\n", end).encode() + last.replace("\n", end).encode()
    added = ADDED.replace("\n", end).encode()
    between = b"" if gap.endswith((b"\n", b"\r")) else end.encode()
    assert fixed(gap).after == gap + between + added


def test_mixed_line_ends_stay_as_they_are() -> None:
    data = LEVEL.encode().replace(b"\n", b"\r\n", 3).replace(b"green\n", b"green\r")
    assert len({data.count(b"\r\n"), data.count(b"\n"), data.count(b"\r")}) == 3
    assert fixed(data).after == data.replace(b"is yellow with", b"is red with")


# ---- what is not written


def why(text: str, folder: Path = Path()) -> str:
    """Why the one suggestion of a text is not written in."""
    result = fixed(text, folder)
    assert result.after == result.before
    assert [replace(one, trial=None) for one in result.remaining.findings] == list(result.found.findings)
    assert result.kept == ()
    [left] = result.left
    assert left.why is not None
    assert result.complete
    return left.why


def test_a_comment_inside_would_be_lost() -> None:
    text = LEVEL.replace("is yellow with", "# on purpose\n  is yellow with")
    assert why(text) == "a comment stands inside the statement and would be lost"


def test_a_statement_of_another_file_is_left_alone(tmp_path: Path) -> None:
    base = tmp_path / "base.alert"
    base.write_text(LEVEL.replace('"case"', '"base"'), encoding="utf-8")
    before = base.read_bytes()
    result = fixed('rules "case" version 1\nuse rules "base"\n', tmp_path)
    assert result.kept
    assert base.read_bytes() == before


def test_a_statement_can_be_added_for_another_file(tmp_path: Path) -> None:
    (tmp_path / "base.alert").write_text(GAP.replace('"case"', '"base"'), encoding="utf-8")
    text = 'rules "case" version 1\nuse rules "base"\n'
    assert fixed(text, tmp_path).after == (text + ADDED).encode()


def test_a_new_finding_is_in_the_way() -> None:
    """The red that the limit asks for would stand against the yellow in the same context."""
    text = (
        HEAD
        + "limit rpm at most 2000 rpm, source S\nrpm at most 2000 is green\nrpm from 2000 to 2500 is yellow\n"
        + "rpm above 2500 is red\n"
    )
    assert why(text).startswith("it would bring AL202 conflict: rpm between 2000 and 2500 rpm")


def test_a_claim_is_in_the_way() -> None:
    assert why(GAP + "safe: prove rpm below 2500 is never yellow\n") == "the claim safe would be refuted"


def test_a_claim_that_fails_already_is_not_in_the_way() -> None:
    text = GAP + "prove rpm below 100 is red\n"
    result = fixed(text)
    assert result.after == (text + ADDED).encode()
    assert result.remaining.claims[0].verdict is Verdict.REFUTED


def test_an_exception_that_would_do_nothing_is_in_the_way() -> None:
    """With yellow in the place of green nothing would be left to accept."""
    text = (
        HEAD
        + "slow: precaution rpm at most 2000 rpm, source S\nrpm above 2000 is red\n"
        + 'rpm at most 2000 is green with caution "SLOW"\n'
    )
    assert fixed(text).kept
    assert why(text + 'accept unmarked-precaution on slow because "seen"\n').startswith("it would bring AL406 ")


def test_what_is_accepted_stays() -> None:
    text = GAP + 'accept gap on rpm because "seen"\n'
    result = fixed(text)
    assert (result.after, result.kept, result.left) == (text.encode(), (), ())


def test_what_was_not_decided_stays() -> None:
    result = fixed(GAP, work_limit=1)
    assert any(f.undecided for f in result.found.findings)
    assert (result.after, result.kept, result.left) == (GAP.encode(), (), ())


def test_a_file_that_cannot_be_read_stays() -> None:
    text = GAP + "rpm is high\n"
    result = fixed(text)
    assert not result.found.readable
    assert result.after == text.encode()


def test_a_profile_takes_no_bands() -> None:
    text = 'profile "case" version 1\nsource S common practice\nquantity rpm from 0 to 3500 rpm, source S\n'
    text += "limit rpm at most 2000 rpm, source S\n"
    assert fixed(text).after == text.encode()


def test_tries_are_bounded() -> None:
    text = GAP + "quantity oil from 0 to 9\noil below 3 is green\nquantity gas from 0 to 9\ngas below 3 is green\n"
    result = fixed(text, most=2)
    assert len(result.kept) == 2
    assert not result.complete
    assert len(fixed(text).kept) == 3
    assert fixed(text).complete


def test_the_order_is_that_of_the_text() -> None:
    text = GAP + "quantity oil from 0 to 9\noil below 3 is green\n"
    assert fixed(text).after.decode().removeprefix(text).split(" ")[0] == "rpm"
    other = HEAD + "quantity oil from 0 to 9\noil below 3 is green\nrpm below 2000 is green\nrpm above 2100 is red\n"
    assert fixed(other).after.decode().removeprefix(other).split(" ")[0] == "oil"


def test_twice_changes_nothing_more() -> None:
    for text in (GAP, LEVEL):
        once = fixed(text).after
        assert fixed(once).after == once


# ---- rules that build on others

BASE = (
    HEAD.replace('"case"', '"base"')
    + "redline: limit rpm at most 2700 rpm, needs warning, source S\n"
    + "ok: rpm at most 2500 rpm is green\nhigh: rpm from 2500 to 2700 rpm is yellow\n"
    + 'fast: rpm above 2700 rpm is red with warning "OVERSPEED"\n'
)
OWN = 'rules "case" version 1\nuse rules "base"\n'


@pytest.mark.parametrize(
    ("base", "own", "held_back"),
    [
        (BASE, 'drop fast because "a lamp shows it"\n', True),
        (BASE, 'drop high because "it is green up to the line"\n', True),
        (BASE.replace("high: ", "").replace("fast: ", ""), 'drop rpm_2 because "so"\n', True),
        (
            BASE.replace(' with warning "OVERSPEED"', "") + 'loud: when rpm above 2700 rpm then warning "OVER"\n',
            'drop loud because "so"\n',
            True,
        ),
        # What is not what was dropped is written in: another colour, another quantity.
        (BASE + "old: rpm above 2650 rpm is white\n", 'drop old because "so"\n', False),
        (
            BASE + "quantity oil from 0 to 9\noil below 3 is green\noil from 3 to 9 is yellow\n"
            "more: oil from 3 to 8 is yellow\n",
            'drop more because "so"\n',
            False,
        ),
    ],
)
def test_what_was_dropped_is_not_brought_back(tmp_path: Path, base: str, own: str, held_back: bool) -> None:
    """With a reason somebody took it away; it stays a finding, and for a person to decide."""
    (tmp_path / "base.alert").write_text(base, encoding="utf-8")
    if not held_back:
        (tmp_path / "base.alert").write_text(base.replace("from 2500 to 2700", "from 2600 to 2700"), encoding="utf-8")
    result = fixed(OWN + own, tmp_path)
    if not held_back:
        assert result.kept
        return
    assert (result.after, result.kept) == ((OWN + own).encode(), ())
    assert result.remaining.findings
    label = own.split()[1]
    assert any(f"{label} was dropped" in str(one.why) for one in result.left), result.left


def test_what_a_base_dropped_is_not_brought_back_either(tmp_path: Path) -> None:
    (tmp_path / "base.alert").write_text(BASE, encoding="utf-8")
    middle = 'rules "middle" version 1\nuse rules "base"\ndrop fast because "a lamp shows it"\n'
    (tmp_path / "middle.alert").write_text(middle, encoding="utf-8")
    result = fixed('rules "case" version 1\nuse rules "middle"\n', tmp_path)
    assert result.kept == ()
    assert any("fast was dropped because: a lamp shows it" in str(one.why) for one in result.left)


@pytest.mark.parametrize("label", ["", "high: "])
def test_a_statement_of_a_base_is_replaced_in_the_own_file(tmp_path: Path, label: str) -> None:
    base = tmp_path / "base.alert"
    text = LEVEL.replace('"case"', '"base"').replace("rpm from 2000", f"{label}rpm from 2000")
    base.write_text(text, encoding="utf-8")
    result = fixed(OWN, tmp_path)
    name = label.rstrip(": ") or "rpm_2"
    wanted = f'replace {name}: rpm from 2000 to 3000 is red with warning "HIGH ü😀"'
    [one] = result.found.findings
    assert one.suggestion == Suggestion(wanted)
    assert result.after.decode() == f"{OWN}{wanted}\n"
    assert result.remaining.findings == ()
    assert base.read_text(encoding="utf-8") == text


def test_a_replacement_in_a_base_is_replaced_again(tmp_path: Path) -> None:
    (tmp_path / "base.alert").write_text(BASE, encoding="utf-8")
    middle = 'rules "middle" version 1\nuse rules "base"\n'
    middle += 'replace high: rpm from 2500 to 2700 rpm is yellow with warning "HI"\n'
    (tmp_path / "middle.alert").write_text(middle, encoding="utf-8")
    result = fixed('rules "case" version 1\nuse rules "middle"\n', tmp_path)
    texts = [f.suggestion.text for f in result.found.findings if f.suggestion is not None]
    assert 'replace high: rpm from 2500 to 2700 rpm is red with warning "HI"' in texts


# ---- what counts as better


def report_of(text: str) -> Report:
    return fixed(text).found


TWO = GAP + "quantity oil from 0 to 9\noil below 3 is green\n"


def test_a_finding_that_stays_is_in_the_way() -> None:
    """Whole, or in a part of where it was."""
    report = report_of(GAP)
    [one] = report.findings
    for text in (GAP, GAP.replace("2100", "2050"), GAP.replace("2100", "2150")):
        why_not, gone = against(report, report_of(text), [one])
        assert str(why_not).startswith("it would leave AL201 gap: rpm shows no colour from 2000 to ")
        assert gone == ()
    assert against(report, report_of(HEAD + "rpm from 0 to 3500 is green\n"), [one]) == (None, (one,))


def test_another_finding_must_not_get_worse() -> None:
    report = report_of(TWO)
    one, other = report.findings
    assert one.region is not None
    assert other.region is not None

    def after(**changes: object) -> str | None:
        return against(report, replace(report, findings=(replace(other, **changes),)), [one])[0]  # type: ignore[arg-type]

    assert after() is None
    assert after(message="in other words", where=None) is None
    assert after(accepted="now") is None
    assert after(undecided=True) is not None
    assert after(limit="another") is not None
    assert after(path="another.alert") is not None
    assert after(region=None) is not None
    reach = next(iter(other.region.values()))
    assert isinstance(reach, Reach)
    wider = replace(reach, interval=Interval.closed(Fraction(2), Fraction(9)))
    assert after(region={"oil": wider}) is not None
    narrower = replace(reach, interval=Interval.closed(Fraction(4), Fraction(5)))
    assert after(region={"oil": narrower}) is None
    assert against(report, replace(report, findings=(other, other)), [one])[0] is not None
    mild = replace(report, findings=(one, replace(other, severity=Severity.WARNING)))
    assert against(mild, replace(report, findings=(other,)), [one])[0] is not None
    excused = replace(report, findings=(one, replace(other, accepted="seen")))
    assert against(excused, replace(report, findings=(other,)), [one])[0] is not None


def test_what_is_tried() -> None:
    [one] = report_of(GAP).findings
    assert is_open(one)
    assert not is_open(replace(one, undecided=True))
    assert not is_open(replace(one, accepted="seen"))


def test_no_other_file_is_written() -> None:
    """Of a condition in a base, say: only rules can be replaced from outside."""
    other = LEVEL.replace("case", "base")
    span = Span(Source("base.alert", other), 0, len(other))
    said = written(LEVEL.encode(), "case.alert", (Edit("rpm is red", span),))
    assert said == "it changes a statement of base.alert, which only --fix on that file may do"


@pytest.mark.parametrize(
    ("text", "why_not"),
    [
        ("rpm is rather high", "it is not one whole statement"),
        ("rpm from 2000 to 2100 is red\nrpm from 0 to 1 is green", "it is not one whole statement"),
        ("  is red", "it is not one whole statement"),
        ("# nothing", "it is not one whole statement"),
    ],
)
def test_only_one_whole_statement_is_written(text: str, why_not: str) -> None:
    assert written(GAP.encode(), "case.alert", (Edit(text),)) == why_not


def test_only_one_whole_statement_is_replaced() -> None:
    [one] = report_of(LEVEL).findings
    assert one.suggestion is not None
    span = one.suggestion.replaces
    assert span is not None
    for start, end in ((span.start + 1, span.end), (span.start, span.end + 1), (0, span.end)):
        said = written(LEVEL.encode(), "case.alert", (Edit(one.suggestion.text, replace(span, start=start, end=end)),))
        assert said == "it does not stand for one whole statement"


# ---- against states that were counted


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(rule_sets(bands=(1, 3)))
def test_no_state_gets_worse(generated: Text) -> None:
    """By an oracle that shares nothing with the checks: what was not wrong before is not wrong after."""
    text = generated.text
    result = fixed(text, most=12)
    after = result.after.decode()
    assert after.startswith(text) or any(f.suggestion and f.suggestion.replaces for f in result.found.findings)
    if not result.kept:
        assert after == text
        return
    # The oracle knows healthy sensors alone.
    assume(" failed" not in after)
    old, new = Oracle(api.loads(text).model), Oracle(api.loads(after).model)
    had, has = old.expected(), new.expected()
    for code, keys in has.items():
        # Which of a pair is the calmer may change while they stay a pair.
        assert {frozenset(key) for key in keys} <= {frozenset(key) for key in had.get(code, set())}, code
    blank = {name for name, states in new.gaps().items() if states}
    assert blank <= {name for name, states in old.gaps().items() if states} | {
        name for name in new.gaps() if name not in old.gaps()
    }
    assert [old.verdict(c) for c in old.rules.claims if old.verdict(c) == "proved"] == [
        new.verdict(c) for o, c in zip(old.rules.claims, new.rules.claims, strict=True) if old.verdict(o) == "proved"
    ]
    assert len(result.remaining.findings) < len(result.found.findings)
