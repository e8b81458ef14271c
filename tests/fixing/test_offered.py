"""What `check` offers for pasting, pasted: it mends its finding and takes nothing away, by every state counted out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from alertlang.comparison import Direction, compare
from alertlang.findings.finding import Finding, Reach, Region, WitnessTruth
from alertlang.fit.full_report import report_on
from alertlang.fixing import Setting, fix, judged
from alertlang.fixing.judged import is_open
from alertlang.model import ruleset as m
from alertlang.model.load import Loaded, parse_ruleset
from alertlang.results.report import Report
from alertlang.text.source import Source, Span
from tests.comparison.test_against_brute_force import Pair, rank
from tests.helpers.cells import name_of
from tests.helpers.generate import HEAD, rule_sets
from tests.helpers.shown import GAPS, PAIRS, box_of, element, primary

# Findings that ask for something less strict.
ASKING = {"AL305", "AL306"}


def loaded(text: str) -> Loaded:
    return parse_ruleset(text.encode(), shown="case.alert", folder=Path())


def judged_report(text: str) -> tuple[Loaded, Report]:
    one = loaded(text)
    report = report_on(one)
    return one, judged(one, report, report_on)


def pasted(text: str, one: Finding) -> str:
    """A text with all that a finding proposes put where it says."""
    assert one.suggestion is not None
    edits = sorted(one.suggestion.edits, key=lambda e: -1 if e.replaces is None else -e.replaces.start)
    added = [edit.text for edit in one.suggestion.edits if edit.replaces is None]
    for edit in edits:
        if edit.replaces is not None:
            assert edit.replaces.source.path == "case.alert"
            text = text[: edit.replaces.start] + edit.text + text[edit.replaces.end :]
    return text + "".join(f"{line}\n" for line in added)


@st.composite
def limited(draw: st.DrawFn) -> str:
    """A random rule set, some of its limits broken only after a time."""
    lines = [one.text for one in draw(rule_sets(bands=(1, 5))).statements]
    for i, line in enumerate(lines):
        if any(f" {kind} " in line for kind in ("limit", "avoid")) and draw(st.booleans()):
            tail = line.index(", needs") if ", needs" in line else line.index(", source")
            lines[i] = f"{line[:tail]} except for 30 s{line[tail:]}"
    return HEAD + "".join(f"{line}\n" for line in lines)


def broken(oracle: Pair, one: m.Range, index: int | None) -> int:
    inside = oracle.reads_in(one.quantity, index, one.region)
    return oracle.true(one.when) & (inside if one.kind == "avoid" else oracle.all & ~inside)


def red_at_once(oracle: Pair, quantity: str, index: int | None) -> int:
    bands = (b for b in oracle.bands(quantity) if b.colour is m.Colour.RED and b.held is None)
    return oracle.any_of(oracle.applies(b, index) for b in bands)


def still(oracle: Pair, one: Finding) -> int:
    """The states of a finding's region in which what it said is still so."""
    # Of what shows only without a sensor the states here say nothing.
    if one.region is None or any(isinstance(part, WitnessTruth) for part in one.region.values()):
        return 0
    code, index = one.code.code, element(primary(one.region))
    box = box_of(oracle, one.region)
    if code in GAPS:
        return oracle.blank(str(one.quantity), index) & box
    if code in PAIRS:
        bands = [band for band in oracle.rules.bands if band.label in one.statements[:2]]
        return oracle.together(bands[0], bands[1], index) & box if oracle.pair(bands[0], bands[1], index) == code else 0
    problems = {"AL301": oracle.not_red, "AL302": oracle.silent, "AL304": oracle.unmarked}
    if code not in problems:
        return 0
    limit = next(limit for limit in oracle.rules.ranges if limit.label == one.limit)
    return problems[code](limit, index) & box


def spared(one: Finding, region: Region | None) -> bool:
    return one.code.code in ASKING or (one.suggestion is not None and bool(one.suggestion.slip) and bool(region))


def check_offered(text: str, report: Report, one: Finding) -> None:
    """One proposal that is offered, pasted."""
    after = pasted(text, one)
    then = loaded(after)
    assert then.ruleset is not None, (after, then.findings)
    before = loaded(text).ruleset
    assert before is not None
    new, old = Pair(then.ruleset, before), Pair(before, then.ruleset)
    assert one.trial is not None
    # Its finding is gone, and with it those that refer to it.
    again = report_on(then)
    assert len(again.findings) < len(report.findings), after
    assert still(new, one) & new.possible == 0, after
    had = {(f.code, f.path, f.quantity, f.limit) for f in report.findings}
    assert {(f.code, f.path, f.quantity, f.limit) for f in again.findings} <= had, after
    # Nothing is less strict, by comparison and by counting.
    lost = [c for c in compare(before, then.ruleset).changes if c.direction is Direction.LESS]
    assert [c.message for c in lost] == list(one.trial.gives_up)
    assert not lost or spared(one, one.region), (after, lost)
    if not lost or (one.suggestion is not None and one.suggestion.slip):
        check_no_state_is_calmer(old, new, between(new, one), after)
    check_never_early(old, new, after)


def between(oracle: Pair, one: Finding) -> int:
    """The states between the two numbers of a slip, where it may be calmer."""
    if one.suggestion is None or not one.suggestion.slip:
        return 0
    assert one.region is not None
    assert one.quantity is not None
    reach = next(iter(one.region.values()))
    assert isinstance(reach, Reach)
    assert reach.interval.low is not None
    where = Span(Source("", ""), 0, 0)
    region = m.Region(m.RegionKind.WITHIN, reach.interval.low, reach.interval.high, span=where)
    elements = oracle.rules.quantities[one.quantity].indexes
    return oracle.any_of(oracle.reads_in(one.quantity, index, region) for index in elements)


def check_no_state_is_calmer(old: Pair, new: Pair, but: int, after: str) -> None:
    """By brute force, in all states but some."""
    possible = old.possible & ~but
    for quantity in old.rules.quantities.values():
        for index in quantity.indexes:
            was, now = old.colour(quantity.name, index), new.colour(quantity.name, index)
            for x, states in was.items():
                for y, more in now.items():
                    assert rank(y) >= rank(x) or states & more & possible == 0, (quantity.name, x, y, after)
    texts = {rule.alert.text for rule in old.rules.rules if rule.alert is not None}
    names = {text.replace("{n}", str(i)) for text in texts for i in (1, 2)}
    for name in names:
        was, now = old.level(name), new.level(name)
        for x, states in was.items():
            for y, more in now.items():
                assert rank(y) >= rank(x) or states & more & possible == 0, (name, x, y, after)


def check_never_early(old: Pair, new: Pair, after: str) -> None:
    """No red at once where only limits are broken that allow a time, unless it was red there."""
    limits = [one for one in new.rules.ranges if one.kind in {"limit", "avoid"}]
    for one in limits:
        if not one.except_for:
            continue
        for index in new.elements(one.quantity, one.index):
            asked = [
                broken(new, other, index)
                for other in limits
                if other.quantity == one.quantity and other.index in {None, index} and not other.except_for
            ]
            only = broken(new, one, index) & ~new.any_of(asked) & new.possible
            early = red_at_once(new, one.quantity, index) & ~red_at_once(old, one.quantity, index)
            assert only & early == 0, (name_of(one.quantity, index), after)


@settings(
    max_examples=12,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(limited())
def test_what_is_offered_mends_and_takes_nothing_away(text: str) -> None:
    _, report = judged_report(text)
    for one in report.findings:
        if one.trial is not None and one.trial.good:
            check_offered(text, report, one)
    for one in report.findings:
        if one.lead is not None:
            assert one.suggestion is None
            assert is_open(one)


@st.composite
def mistyped(draw: st.DrawFn) -> str:
    """Bands that end beside the number of a limit, in its context or another one, with what may stand in the way."""
    numbers = draw(st.lists(st.sampled_from((5, 10, 15, 20, 25, 30, 35)), min_size=3, max_size=3, unique=True))
    right, wrong, other = numbers
    high, array = draw(st.booleans()), draw(st.booleans())
    name = "cht" if array else "rpm"
    inner, outer = ("at most", "above") if high else ("at least", "below")
    when = draw(st.sampled_from(("", "when lever is b ")))
    same = draw(st.sampled_from((when, when, "when lever is a ")))
    then = f"{same}then " if same else ""
    allowed = draw(st.sampled_from(("", "", " except for 30 s")))
    needs = draw(st.sampled_from(("", ", needs warning", ", needs caution")))
    alert = draw(st.sampled_from(("", ' with warning "W"', ' with caution "C {n}"' if array else ' with caution "C"')))
    lines = [
        "quantity rpm from 0 to 40 rpm, step 5 rpm",
        "quantity cht[2] from 0 to 40",
        "switch lever a, b",
        "rpm at least 0 is white" if array else "cht at least 0 is white",
        f"{when}limit {name} {inner} {right}{allowed}{needs}, source NOTE",
        f"{then}{name} {inner} {wrong} is green",
        f"{then}{name} {outer} {draw(st.sampled_from((wrong, wrong, right, other)))} is red{alert}",
        *draw(st.sampled_from(((), (), (f"{then}{name} from {min(numbers)} to {max(numbers)} is yellow",)))),
        *draw(st.sampled_from(((), (), (f"normal {name} {inner} {other}, source NOTE",)))),
    ]
    return HEAD + "".join(f"{line}\n" for line in lines)


@settings(
    max_examples=12,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(mistyped())
def test_a_number_put_right_mends_and_takes_nothing_away(text: str) -> None:
    for one in judged_report(text)[1].findings:
        if one.trial is not None and one.trial.good:
            check_offered(text, report_on(loaded(text)), one)


@settings(
    max_examples=6,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(limited())
def test_what_was_fixed_is_what_is_found_again(text: str) -> None:
    result = fix(text.encode(), Setting("case.alert", Path()), most=8)
    again = report_on(loaded(result.after.decode()))
    plain = [replace(one, trial=None, where=None) for one in result.remaining.findings]
    assert [told(one) for one in plain] == [told(one) for one in again.findings]
    assert len(again.findings) + len(result.kept) <= len(result.found.findings)
    assert report_on(loaded(text)).findings == () or result.found.findings


def told(one: Finding) -> tuple[object, ...]:
    suggestion = None if one.suggestion is None else [edit.text for edit in one.suggestion.edits]
    return (one.code, one.message, one.region, one.witness, one.statements, one.severity, suggestion)
