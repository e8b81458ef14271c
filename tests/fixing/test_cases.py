"""Proposals that once took something away, left their finding, or were red too early; and their kin."""

from __future__ import annotations

from pathlib import Path

import pytest

import alertlang.api as api
from alertlang.comparison import compare
from alertlang.findings.finding import Finding
from alertlang.fit.full_report import report_on
from alertlang.fixing import Fixed, Setting, fix, judged
from alertlang.fixing.judged import MOST_TRIED
from alertlang.model.load import Loaded, parse_ruleset
from alertlang.output.json import finding_data
from alertlang.output.text import finding_lines
from alertlang.output.words import says
from alertlang.results.report import Report

HEAD = 'rules "case" version 1\nsource S common practice\n'
RPM = "quantity rpm from 0 to 3500 rpm, step 10 rpm\n"
TOT = "quantity tot from 0 to 1000 C, step 1 C\n"


def report_of(text: str, folder: Path = Path()) -> Report:
    loaded = parse_ruleset(text.encode(), shown="case.alert", folder=folder)
    return judged(loaded, report_on(loaded), report_on)


def only(text: str, name: str, folder: Path = Path()) -> Finding:
    [one] = [one for one in report_of(text, folder).findings if one.code.name == name]
    return one


def texts(one: Finding) -> list[str]:
    return [] if one.suggestion is None else [edit.text for edit in one.suggestion.edits]


def good(one: Finding) -> bool:
    return one.trial is not None and one.trial.good


def fixed(text: str, folder: Path = Path()) -> Fixed:
    result = fix(text.encode(), Setting("case.alert", folder))
    assert not result.kept or not loses(text, result.after.decode())
    return result


def loses(before: str, after: str) -> bool:
    return compare(api.loads(before).model, api.loads(after).model).less_strict


# ---- limits that may be broken for a time

TIMED = (
    HEAD + TOT + "cont: limit tot at most 738 C except for 5 min, needs caution, source S\n"
    "max: limit tot at most 810 C, needs warning, source S\n"
    "tot at most 738 C is green\ntot from 738 to 810 C is yellow\n"
    'tot above 810 C is red with warning "TOT HIGH"\n'
)
LONG_RED = 'tot above 738 C for more than 5 min is red with caution "TOT LIMIT"'


def test_the_red_of_a_timed_limit_waits_as_long() -> None:
    red, alert = report_of(TIMED).findings
    assert (red.code.name, texts(red), good(red)) == ("unguarded-limit", [LONG_RED], True)
    # One proposal, carried once.
    assert (alert.code.name, texts(alert)) == ("missing-alert", [])
    assert alert.lead is not None
    assert (alert.lead.code.name, alert.lead.line) == ("unguarded-limit", red.where.line if red.where else 0)
    result = fixed(TIMED)
    assert result.after.decode() == f"{TIMED}{LONG_RED}\n"
    assert result.remaining.findings == ()


def test_a_blank_gauge_gets_the_calm_band_and_the_red_in_time() -> None:
    text = TIMED.replace("tot from 738 to 810 C is yellow\n", "")
    gap, *rest = report_of(text).findings
    assert [one.code.name for one in rest] == ["unguarded-limit", "missing-alert"]
    # What mends all three stands at the first of them.
    assert gap.code.name == "gap"
    assert texts(gap) == ["tot from 738 to 810 C is yellow", LONG_RED]
    assert good(gap)
    assert all(one.lead is not None for one in rest)
    assert fixed(text).remaining.findings == ()


def test_the_alert_of_a_timed_limit_waits_in_the_limits_context() -> None:
    text = (
        HEAD + TOT + "switch bleed shut, open, latched\nquantity ng from 0 to 110 %\nng at least 0 is green\n"
        "cont: when bleed is open or ng above 90 limit tot at most 738 C except for 5 min, needs caution, source S\n"
        "tot at most 738 C is green\ntot from 738 C to 1000 C is yellow\n"
        "when bleed is open or ng above 90 or ng failed then tot above 738 C for more than 5 min is red\n"
    )
    one = next(one for one in report_of(text).findings if one.code.name == "missing-alert")
    wanted = (
        "when (bleed is open or ng above 90 or ng failed) and tot above 738 C for more than 5 min "
        'then caution "TOT HIGH"'
    )
    assert (texts(one), good(one)) == ([wanted], True)


TAKEOFF = (
    HEAD + RPM + "takeoff: limit rpm at most 2550 rpm except for 5 min, needs caution within 10 s, source S\n"
    "condition takeoff_power means rpm above 2550 rpm, cleared after 10 s\n"
    "rpm at most 2550 rpm is green\nrpm from 2550 to 2800 rpm is yellow\n"
    'rpm above 2800 rpm is red with warning "OVERSPEED"\n'
    'when takeoff_power for at least 5 min then rpm above 2550 rpm is red with caution "POWER 5 MIN"\n'
)


def test_no_proposal_forbids_the_take_off() -> None:
    result = fixed(TAKEOFF)
    added = result.after.decode().removeprefix(TAKEOFF).splitlines()
    assert added
    assert all("for more than 5 min" in line for line in added)
    assert "for at least" not in "".join(added)


def test_what_two_clocks_need_to_agree_is_said() -> None:
    one = only(TAKEOFF, "unguarded-limit")
    [said] = [advice for advice in one.advice if "clocks" in advice]
    assert "takeoff_power for at least 5 min" in said
    assert "`for more than 5 min`" in said


def test_red_inside_the_time_a_limit_allows_is_a_start() -> None:
    text = (
        HEAD + TOT + "cont: limit tot at most 738 C except for 5 min, needs warning, source S\n"
        'tot at most 738 C is green\nhot: tot above 738 C is yellow with warning "HOT"\n'
        "tot above 800 C for more than 5 min is red\n"
    )
    one = only(text, "colour-level")
    assert texts(one) == ['hot: tot above 738 C is red with warning "HOT"']
    assert one.trial is not None
    assert one.trial.short_of == "it would be red inside the 5 min that cont allows"
    # Where another limit is broken as well it is what that one asks for.
    both = text.replace(
        "tot at most 738 C is green", "max: limit tot at most 738 C, source S\ntot at most 738 C is green"
    )
    assert "inside" not in str(only(both, "colour-level").trial)


# ---- nothing is taken away


@pytest.mark.parametrize(
    ("band", "kept"),
    [
        ('v below 8 kt is yellow with caution "SLOW"', 'when v below 8 kt then caution "SLOW"'),
        (
            'v below 8 kt is yellow with caution "SLOW" after 3 s latched',
            'when v below 8 kt then caution "SLOW" after 3 s latched',
        ),
        (
            'when gear is up or flaps is up then v below 8 kt for more than 9 s is yellow with caution "SLOW"',
            'when (gear is up or flaps is up) and v below 8 kt for more than 9 s then caution "SLOW"',
        ),
    ],
)
def test_an_alert_stays_where_its_band_ends_earlier(band: str, kept: str) -> None:
    when = "when gear is up or flaps is up then " if "gear" in band else ""
    text = (
        HEAD + "quantity v from 0 to 10 kt, step 1 kt\nswitch gear up, down\nswitch flaps up, down\n"
        f"slow: {band}\nstop: {when}v below 6 kt is red\nv at least 8 kt is green\n"
        + ("when not (gear is up or flaps is up) then v below 8 kt is unmarked\n" if when else "")
    )
    one = only(text, "conflict")
    assert texts(one)[1:] == [kept]
    assert " with " not in texts(one)[0]
    result = fixed(text)
    assert kept in result.after.decode() or not good(one)
    assert not loses(text, result.after.decode())


def test_an_alert_of_each_element_cannot_be_kept_so_it_is_a_start() -> None:
    text = (
        HEAD + "quantity cht[2] from 0 to 600 F, step 1 F\n"
        'low: cht below 400 F is yellow with caution "CHT {n}"\ncht below 300 F is red\ncht at least 400 F is green\n'
    )
    one = only(text, "conflict")
    assert one.trial is not None
    assert one.trial.short_of.startswith('it would make less strict: caution "CHT ')
    assert fixed(text).kept == ()
    lines = ["".join(part for _, part in line) for line in finding_lines(one)]
    assert "  a start, not enough by itself:" in lines
    assert '  change to:   low: cht from 300 to 400 F is yellow with caution "CHT {n}"' in lines
    assert "A start, not enough by itself:" in says(one)
    data = finding_data(one)["proposal"]
    assert (data["verdict"], data["short_of"]) == ("a start", one.trial.short_of)


def test_an_alert_of_a_limit_reads_its_quantity_at_every_value_too() -> None:
    text = (
        HEAD + RPM + "quantity temp from -20 to 20 C, step 4 C\n"
        "when temp below -10 C or temp failed then rpm at least 0 rpm is red\n"
        "when temp at least -10 C then rpm at least 0 rpm is green\n"
        "l1: when temp below -10 C then limit rpm below 0 rpm, needs warning, source S\n"
    )
    one = only(text, "missing-alert")
    wanted = 'when (temp below -10 C or temp failed) and rpm from 0 to 3500 rpm then warning "RPM HIGH"'
    assert (texts(one), good(one)) == ([wanted], True)


def test_a_nuisance_may_give_up_what_it_is_about() -> None:
    text = (
        HEAD + RPM + "quantity p from 0 to 100 psi, step 1 psi\n"
        "condition running means rpm above 400 rpm or rpm failed\n"
        "when running limit p at least 25 psi, needs warning, source S\nrpm at least 0 is green\n"
        "p at least 25 is green\nwhen running then p below 25 is red\nwhen not running then p below 25 is unmarked\n"
        'low: when p below 25 then warning "OIL"\n'
    )
    one = only(text, "nuisance")
    assert one.trial is not None
    assert good(one)
    [given] = one.trial.gives_up
    assert given.startswith('warning "OIL" no longer comes up')
    lines = ["".join(part for _, part in line) for line in finding_lines(one)]
    assert any(line.startswith("  less strict: warning") for line in lines)
    assert fix(text.encode(), Setting("case.alert", Path())).kept[0].gives_up == (given,)


def test_any_other_loss_makes_it_a_start() -> None:
    """With the probe of the engine speed dead the alert would be lost as well: that is no state of the nuisance."""
    text = (
        HEAD + RPM + "quantity p from 0 to 100 psi, step 1 psi\n"
        "condition running means rpm above 400 rpm\n"
        "precaution p below 25 psi, source S\nrpm at least 0 is green\n"
        'p at least 25 is green\np below 25 is yellow\nlow: when p below 25 then caution "OIL"\n'
    )
    report = report_of(text)
    for one in report.findings:
        if one.code.name == "nuisance" and one.suggestion is not None:
            assert not good(one)


# ---- one wrong number

SLIP = (
    HEAD + RPM + "redline: limit rpm at most 2750 rpm, needs warning, source S\n"
    'rpm at most 2800 rpm is green\nrpm above 2800 rpm is red with warning "OVERSPEED"\n'
)
MENDED = ["rpm at most 2750 rpm is green", 'rpm above 2750 rpm is red with warning "OVERSPEED"']


def test_a_slip_in_two_places_is_one_number() -> None:
    first, second = report_of(SLIP).findings
    assert texts(first) == MENDED
    assert first.suggestion is not None
    assert first.suggestion.slip == "2800 rpm in lines 5 and 6 should be 2750 rpm, as the limit redline says"
    assert second.suggestion is None
    assert second.lead is not None
    assert (second.lead.line, second.lead.why) == (5, first.suggestion.slip)
    lines = ["".join(part for _, part in line) for line in finding_lines(first)]
    assert f"  line 5:      {MENDED[0]}" in lines
    assert f"  line 6:      {MENDED[1]}" in lines


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_slip_is_written_in_both_places(end: str) -> None:
    text = SLIP.replace("is green\n", "is green  # cruise\n") + "# the end\n"
    result = fix(text.replace("\n", end).encode(), Setting("case.alert", Path()))
    wanted = text.replace("rpm at most 2800", "rpm at most 2750").replace("rpm above 2800", "rpm above 2750")
    assert result.after.decode() == wanted.replace("\n", end)
    assert len(result.kept) == 1
    assert result.remaining.findings == ()


def test_a_slip_between_a_yellow_and_a_red_band() -> None:
    text = (
        HEAD + TOT + "max: limit tot at most 843 C, needs warning, source S\n"
        'tot at most 738 C is green\ntot from 738 to 853 C is yellow\ntot above 843 C is red with warning "TOT"\n'
    )
    one = only(text, "conflict")
    assert one.suggestion is not None
    assert one.suggestion.slip == "853 C in line 6 should be 843 C, as the limit max says"
    assert texts(one) == ["tot from 738 to 843 C is yellow"]


def test_a_slip_in_a_base_is_replaced_in_the_own_file(tmp_path: Path) -> None:
    (tmp_path / "base.alert").write_text(SLIP.replace('"case"', '"base"'), encoding="utf-8")
    text = 'rules "case" version 1\nuse rules "base"\n'
    first = report_of(text, tmp_path).findings[0]
    assert texts(first) == [f"replace rpm_{i}: {line}" for i, line in enumerate(MENDED, 1)]
    assert first.suggestion is not None
    assert first.suggestion.slip.startswith("2800 rpm in lines 5 and 6 of ")
    result = fix(text.encode(), Setting("case.alert", tmp_path))
    assert result.after.decode() == text + "".join(f"{line}\n" for line in texts(first))


@pytest.mark.parametrize(
    "changes",
    [
        # The limit does not hold where the bands do.
        ("redline: limit", "redline: when flaps is down limit"),
        # Another limit has the number, so it is there on purpose.
        ("redline: limit", "other: limit rpm at most 2800 rpm, source S\nredline: limit"),
        # The number would be red at once where the limit allows a time.
        ("2750 rpm, needs", "2750 rpm except for 5 min, needs"),
    ],
)
def test_what_is_no_slip(changes: tuple[str, str]) -> None:
    text = SLIP.replace(*changes).replace("quantity", "switch flaps up, down\nquantity")
    assert all(one.suggestion is None or not one.suggestion.slip for one in report_of(text).findings)


# ---- what many statements share

SHARED = (
    HEAD + RPM + "quantity p from 0 to 100 psi, step 1 psi\n" + TOT + "condition running means rpm above 400 rpm\n"
    "when running limit p at least 50 psi, needs warning, source S\n"
    "when running limit tot at most 810 C, needs warning, source S\n"
    "rpm at least 0 is green\np at least 0 is green\ntot at least 0 is green\n"
    'when running then p below 50 psi is red with warning "OIL"\n'
    'when running then tot above 810 C is red with warning "TOT"\n'
)


def test_a_lost_guard_is_mended_in_the_condition_that_statements_share() -> None:
    first, second = report_of(SHARED).findings
    assert {first.code.name, second.code.name} == {"lost-guard"}
    assert texts(first) == ["condition running means rpm above 400 rpm or rpm failed"]
    assert good(first)
    assert second.lead is not None
    assert second.lead.why == "what is proposed there mends this too"
    lines = ["".join(part for _, part in line) for line in finding_lines(first)]
    assert "  line 6:      condition running means rpm above 400 rpm or rpm failed" in lines
    assert fixed(SHARED).remaining.findings == ()


@pytest.mark.parametrize(
    ("old", "new"),
    [
        # Nobody else asks for the condition; the statement reads the sensor itself, too.
        ("when running then tot", "when rpm above 400 rpm or rpm failed then tot"),
        ("when running then p", "when running and rpm above 300 rpm then p"),
    ],
)
def test_else_the_statement_itself_is_mended(old: str, new: str) -> None:
    text = SHARED.replace(old, new).replace(
        "when running limit p", "condition stopped means not running\nwhen running limit p"
    )
    found = [one for one in report_of(text).findings if one.code.name == "lost-guard" and one.suggestion is not None]
    assert found
    assert any("p below 50 psi is red" in line for one in found for line in texts(one))


# ---- what is tried


def test_a_statement_of_a_used_file_is_tried_too_and_written_only_there(tmp_path: Path) -> None:
    base = HEAD.replace('"case"', '"base"') + RPM + "condition fast means rpm above 100 until rpm below 200\n"
    base += "rpm at least 0 is green\nwhen fast then rpm above 3000 is red\n"
    (tmp_path / "base.alert").write_text(base, encoding="utf-8")
    text = 'rules "case" version 1\nuse rules "base"\n'
    one = only(text, "set-clear-overlap", tmp_path)
    assert one.suggestion is not None
    assert one.suggestion.replaces is not None
    assert one.suggestion.replaces.source.path.endswith("base.alert")
    assert one.trial is not None
    result = fix(text.encode(), Setting("case.alert", tmp_path))
    assert result.after == text.encode()
    assert any("which only --fix on that file may do" in str(left.why) for left in result.left)


def test_only_the_first_are_tried() -> None:
    count = MOST_TRIED + 2
    text = HEAD + "".join(f"quantity q{i} from 0 to 9\nq{i} below 3 is green\n" for i in range(count))
    found = report_of(text).findings
    assert [one.trial is not None for one in found] == [True] * MOST_TRIED + [False] * 2
    assert finding_data(found[-1])["proposal"]["verdict"] == "not tried"
    assert any("not tried" in part for line in finding_lines(found[-1]) for _, part in line)
    assert "not tried" in says(found[-1])


def test_nothing_is_tried_where_nothing_is_found() -> None:
    loaded = parse_ruleset((HEAD + RPM + "rpm at least 0 is green\n").encode(), shown="case.alert", folder=Path())
    report = report_on(loaded)

    def never(_: Loaded) -> Report:
        raise AssertionError("a check more")

    assert judged(loaded, report, never) is report


def test_a_drop_is_not_undone_by_what_is_shown(tmp_path: Path) -> None:
    base = HEAD.replace('"case"', '"base"') + RPM
    base += "ok: rpm at most 2500 rpm is green\nhigh: rpm above 2500 rpm is yellow\n"
    (tmp_path / "base.alert").write_text(base, encoding="utf-8")
    one = only('rules "case" version 1\nuse rules "base"\ndrop high because "so"\n', "gap", tmp_path)
    assert one.trial is not None
    assert one.trial.short_of == "high was dropped because: so; only a person may bring it back"
