"""What is said of one change at a time."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

import alertlang
from alertlang import api
from alertlang.cli.app import app
from alertlang.comparison import Comparison, Direction
from alertlang.model.files import shipped_profiles

BASE = """rules "base" version 1
source S common practice
quantity rpm from 0 to 3500 rpm, step 10 rpm
quantity oil_temp from -40 to 300 F, step 1 F
switch flaps up, down
condition cold means oil_temp below 120 F until oil_temp above 130 F, cleared after 10 s
condition hot means oil_temp above 225 F
assume when flaps is down then rpm at most 3000 rpm
redline: limit rpm at most 2750 rpm, needs warning, source S
rpm_green: rpm below 2550 is green
rpm_yellow: rpm from 2550 to 2750 is yellow
overspeed: rpm above 2750 is red with warning "OVERSPEED" after 2 s latched
lasting: when flaps is down then rpm above 2600 for more than 5 min is red with caution "5 MIN"
cold_engine: when cold then rpm above 2000 is red with caution "ENGINE COLD"
oil_green: oil_temp at most 225 F is green
oil_red: when hot then oil_temp above 225 F is red with warning "OIL HOT"
gone: oil_temp failed is yellow with caution "OIL PROBE"
down: when flaps is down and rpm above 2500 rpm then advisory "FLAPS"
accept gap on rpm because "shown elsewhere"
top: prove rpm above 2750 rpm is red
"""


def compared(*changes: tuple[str, str]) -> Comparison:
    text = BASE
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return api.compare(alertlang.loads(BASE), alertlang.loads(text))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (
            "condition hot means oil_temp above 225 F",
            "condition hot means not (oil_temp at most 225 F) and not (oil_temp failed)",
        ),
        ("when hot then", "when oil_temp above 225 F then"),
        ("for more than 5 min", "for more than 300 s"),
        ("when flaps is down and rpm above 2500 rpm", "when rpm above 2500 rpm and flaps is not up"),
        (
            "rpm_green: rpm below 2550 is green\n",
            "low: rpm at most 1000 is green\nhigh: rpm from 1000 to 2550 is green\n",
        ),
        ("oil_temp below 120 F until", "oil_temp below 120 F and oil_temp at most 200 F until"),
    ],
)
def test_another_way_to_say_the_same(old: str, new: str) -> None:
    found = compared((old, new))
    assert {(c.kind, c.direction) for c in found.changes} == {("written", Direction.OTHER)}
    assert found.shows_the_same
    assert not found.same
    assert not found.less_strict


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("rpm_yellow: rpm", "rpm_high: rpm"),
        ("from 2550 to 2750 is yellow", "from 2550 to 2750 is yellow # as before"),
        ("rpm from 2550 to 2750", "rpm\n  from 2550 to 2750"),
        ('rules "base" version 1', 'rules "other" version 2'),
        ("from 2550 to 2750 is yellow", "from 2550.0 to 2750 is yellow"),
    ],
)
def test_no_difference(old: str, new: str) -> None:
    found = compared((old, new))
    assert [c.message for c in found.changes] == []
    assert found.same
    assert found.summary == "no difference"


L, M, N = Direction.LESS, Direction.MORE, Direction.OTHER


@pytest.mark.parametrize(
    ("old", "new", "kind", "way", "words"),
    [
        ("above 2750 is", "above 2760 is", "colour", L, "rpm above 2750 up to 2760 rpm is blank instead of red"),
        ("above 2000 is", "above 1990 is", "colour", M, "rpm above 1990 up to 2000 rpm is red instead of green"),
        (' with warning "OIL HOT"', "", "alert", L, 'warning "OIL HOT" no longer comes up'),
        ('warning "OIL HOT"', 'caution "OIL HOT"', "alert", L, '"OIL HOT" is a caution instead of a warning'),
        ('caution "5 MIN"', 'warning "5 MIN"', "alert", M, '"5 MIN" is a warning instead of a caution'),
        ('"5 MIN"', '"FIVE MIN"', "text", N, 'the text "5 MIN" is now "FIVE MIN"'),
        ("after 2 s", "after 3 s", "reaction", L, 'warning "OVERSPEED" comes up after 3 s instead of after 2 s'),
        ("after 2 s", "after 1 s", "reaction", M, 'warning "OVERSPEED" comes up after 1 s instead of after 2 s'),
        (" latched", "", "reaction", L, "overspeed no longer stays up"),
        (
            "for more than 5 min",
            "for more than 6 min",
            "reaction",
            L,
            "rpm turns red after 6 min instead of after 5 min",
        ),
        (
            "cleared after 10 s",
            "cleared after 5 s",
            "reaction",
            L,
            "condition cold is cleared after 5 s instead of 10 s",
        ),
        ("until oil_temp above 130 F", "until oil_temp above 140 F", "statement", N, "condition cold"),
        ("oil_temp failed is yellow", "oil_temp failed is unmarked", "failure", L, "with oil_temp failed"),
        (
            "rpm at most 2750 rpm, needs",
            "rpm at most 2800 rpm, needs",
            "limit",
            L,
            "; it is now: redline: limit rpm at most 2800",
        ),
        (
            "rpm at most 2750 rpm, needs",
            "rpm at most 2700 rpm, needs",
            "limit",
            M,
            "; it is now: redline: limit rpm at most 2700",
        ),
        ("rpm at most 3000 rpm\n", "rpm at most 2900 rpm\n", "assumption", L, "; it is now: assume when flaps"),
        ("from 0 to 3500 rpm", "from 0 to 3400 rpm", "statement", L, "rpm reads from 0 rpm to 3400 rpm"),
        ("top: prove rpm above 2750 rpm is red\n", "", "statement", L, "no longer claimed"),
        ('accept gap on rpm because "shown elsewhere"\n', "", "statement", M, "no longer accepted"),
    ],
)
def test_one_change(old: str, new: str, kind: str, way: Direction, words: str) -> None:
    found = compared((old, new))
    matching = [c for c in found.changes if c.kind == kind and c.direction is way and words in c.message]
    assert matching, [(c.kind, c.direction, c.message) for c in found.changes]
    assert not found.same
    if way is Direction.LESS:
        assert found.less_strict
    elif kind in {"alert", "text", "limit"} or way is Direction.MORE:
        assert not found.less_strict, [(c.direction, c.message) for c in found.changes]


@pytest.mark.parametrize(
    ("old", "new", "way"),
    [
        ("redline: limit rpm at most 2750 rpm", "redline: limit rpm at most 2800 rpm", L),
        ("redline: limit rpm at most 2750 rpm", "redline: limit rpm at most 2700 rpm", M),
        ("redline: limit rpm at most 2750 rpm", "limit rpm at most 2800 rpm", L),
        ("2750 rpm, needs warning", "2750 rpm except for 90 s, needs warning", L),
        ("2750 rpm, needs warning", "2750 rpm, needs caution", L),
        ("2750 rpm, needs warning", "2750 rpm, needs warning within 0 s", M),
        ("top: prove rpm above 2750", "top: prove rpm above 2800", L),
        ("then rpm at most 3000 rpm", "then rpm at most 2900 rpm", L),
    ],
)
def test_what_has_changed_is_told_with_both_texts(old: str, new: str, way: Direction) -> None:
    [change] = [c for c in compared((old, new)).changes if c.direction is way]
    [was] = [line for line in BASE.splitlines() if old in line]
    now = was.replace(old, new)
    assert (change.before, change.after) == (was, now)
    assert change.message == f"changed: {was}; it is now: {now}"


def test_a_changed_limit_in_brief_has_both_numbers() -> None:
    for old, new, short in (
        ("2750 rpm, needs", "2800 rpm, needs", "redline: 2750 is now 2800"),
        ("2750 rpm, needs", "2750 rpm except for 9 s, needs", "redline: rpm, is now rpm except for 9 s,"),
    ):
        assert short in [c.short for c in compared((old, new)).changes]


def test_taken_away_and_new_are_said_of_what_has_no_partner() -> None:
    lines = [
        "redline: limit rpm at most 2750 rpm, needs warning, source S\n",
        "hot_oil: limit oil_temp at most 225 F, source S\n",
    ]
    found = compared((lines[0], lines[1])).changes
    told = [(c.message, c.before, c.after) for c in found if c.kind == "limit"]
    was, now = (line.strip() for line in lines)
    assert told == [(f"taken away: {was}", was, None), (f"new: {now}", None, now)]


def test_undecided_is_no_proof() -> None:
    rules = [alertlang.loads(BASE), alertlang.loads(BASE.replace("above 2750 is", "above 2760 is"))]
    found = api.compare(*rules, work_limit=1)
    assert found.undecided
    assert not found.same
    assert "undecided" in found.summary


def test_no_state_to_compare_in_is_no_proof() -> None:
    # The contradiction is about the switch alone, which the gauge does not read.
    text = BASE + "one: assume flaps is up\nother: assume flaps is down\n"
    one, other = (
        alertlang.loads(text),
        alertlang.loads(text.replace("oil_green: oil_temp at most 225", "g: oil_temp at most 220")),
    )
    found = api.compare(one, other)
    assert found.undecided
    assert not found.complete
    assert api.compare(one, one).same


def test_a_clock_for_each_element_of_an_array() -> None:
    text = (
        'rules "array" version 1\nquantity cyl[2] from 0 to 6\nlet apart = deviation of cyl\n'
        "b: apart at most -1 for more than 1 s is white\n"
    )
    assert api.compare(alertlang.loads(text), alertlang.loads(text.replace("at most", "below"))).changes
    same = text.replace("b: apart", "b: when apart at most 5 then apart").replace(
        "apart at most 5", "not (cyl[1] failed and cyl[1] at most 2)"
    )
    assert api.compare(alertlang.loads(text), alertlang.loads(same)).shows_the_same


@pytest.mark.parametrize("name", shipped_profiles())
def test_a_profile_is_the_same_as_itself(name: str) -> None:
    text = f'rules "one" version 1\nuse profile "{name}"\n'
    assert api.compare(alertlang.loads(text), alertlang.loads(text)).same


# ---- the command

EXAMPLE = Path(__file__).parents[2] / "examples" / "02-bramble"


def run(*arguments: str):  # type: ignore[no-untyped-def]
    return CliRunner().invoke(app, ["compare", *arguments])


@pytest.mark.parametrize(
    ("name", "code", "words"),
    [
        ("gap", 1, "oil_temp from 75 to below 100 F is blank instead of green"),
        ("late-alert", 1, 'warning "OIL PRESS LOW" comes up after 10 s instead of after 3 s'),
        ("redundant-band", 0, "1 other, and what is shown is proved to be the same"),
        ("colour-level", 0, '"LOW FUEL" is a warning instead of a caution'),
    ],
)
def test_the_example_and_its_mistakes(name: str, code: int, words: str) -> None:
    result = run(str(EXAMPLE / "bramble.alert"), str(EXAMPLE / "mistakes" / f"{name}.alert"))
    assert result.exit_code == code, result.output
    assert words in " ".join(result.output.split())
    assert all(len(line) <= 80 for line in result.output.splitlines() if "/" not in line)
    assert "advises and does not certify" in result.output


def test_for_programs() -> None:
    names = str(EXAMPLE / "bramble.alert"), str(EXAMPLE / "mistakes" / "gap.alert")
    data = json.loads(run(*names, "--output", "json").output)
    assert data["less_strict"] is True
    [change] = data["changes"]
    assert change["region"]["oil_temp"]["to"] == "100"
    assert change["witness"]["oil_temp"]["unit"] == "F"
    assert run(*names, "--summary").output == data["summary"] + "\n"


def test_unusable_input(tmp_path: Path) -> None:
    good = tmp_path / "good.alert"
    good.write_text(BASE)
    bad = tmp_path / "bad.alert"
    bad.write_text('rules "bad" version 1\nrpm above is red\n')
    profile = tmp_path / "p.profile"
    profile.write_text('profile "p" version 1\n')
    for pair in ((good, bad), (bad, good), (good, tmp_path / "no.alert"), (good, profile)):
        result = run(*map(str, pair))
        assert result.exit_code == 2
        assert "Traceback" not in result.output
    assert run(str(good), str(good)).exit_code == 0
    assert run("-", "-").exit_code == 2


CASE = """rules "gear" version 1
quantity rpm from 0 to 3500 rpm, step 10 rpm
switch gear down, moving, up
rpm at least 0 is green
gear_w: when gear is not down and rpm below 1500 rpm for more than 3 s then warning "GEAR"
"""


@pytest.mark.parametrize(
    ("old", "new", "way"),
    [
        ("gear is not down and rpm", "gear is up and rpm", L),
        ("below 1500 rpm for more than 3 s", "below 1400 rpm for more than 3 s", L),
        ("for more than 3 s", "for more than 4 s", L),
        ("for more than 3 s", "for more than 3 s in total", M),
        ("when gear is not down and", "when gear is not down for at least 9 s and", L),
        ("gear is not down and rpm below 1500 rpm", "gear is not down and (rpm below 1500 rpm or rpm failed)", M),
    ],
)
def test_a_pure_weakening_is_never_stricter(old: str, new: str, way: Direction) -> None:
    assert old in CASE
    one, other = alertlang.loads(CASE), alertlang.loads(CASE.replace(old, new))
    for rules, wanted in (((one, other), way), ((other, one), M if way is L else L)):
        found = api.compare(*rules)
        assert {c.direction for c in found.changes if c.kind != "written"} == {wanted}
        assert not found.undecided


def test_a_failure_names_its_sensor_and_comes_with_what_is_told() -> None:
    text = CASE.replace("for more than 3 s ", "")
    found = api.compare(
        alertlang.loads(text), alertlang.loads(text.replace("rpm below 1500 rpm", "not (rpm at least 1500 rpm)"))
    )
    [change] = [c for c in found.changes if c.kind == "failure"]
    assert change.direction is M
    assert change.message.startswith('with rpm failed, warning "GEAR" now comes up')


def test_a_delay_that_moves_into_a_condition_is_not_lost() -> None:
    slow = CASE + 'condition late means rpm above 2000, set after 5 s\nw: when late then warning "W"\n'
    quick = CASE + 'w: when rpm above 2000 then warning "W"\n'
    for rules, way in (((slow, quick), M), ((quick, slow), L)):
        found = api.compare(*map(alertlang.loads, rules))
        [change] = [c for c in found.changes if c.kind == "timing"]
        assert (change.direction, change.subject) == (way, "W")
        assert change.history


def test_a_recording_is_told_sample_by_sample(tmp_path: Path) -> None:
    first, second = tmp_path / "a.alert", tmp_path / "b.alert"
    first.write_text(CASE)
    second.write_text(CASE.replace("for more than 3 s", "for more than 3 s in total"))
    said = run(str(first), str(second)).output
    assert "for example, recorded one after the other:\n    0 s: rpm" in said
    assert all(len(line) <= 80 for line in said.splitlines() if "/" not in line)
    data = json.loads(run(str(first), str(second), "--output", "json").output)
    assert next(sorted(one) for one in data["changes"][0]["history"]) == ["acknowledged", "failed", "state", "time"]


def test_exit_codes(tmp_path: Path) -> None:
    files = {"base": CASE, "less": CASE.replace("1500", "1400"), "more": CASE.replace("1500", "1600")}
    files["words"] = CASE.replace('"GEAR"', '"GEAR UP"')
    for name, text in files.items():
        (tmp_path / name).write_text(text)
    wanted = {"base": (0, 0, 0), "less": (1, 1, 0), "more": (0, 1, 0), "words": (0, 1, 0)}
    for name, codes in wanted.items():
        names = str(tmp_path / "base"), str(tmp_path / name)
        found = [run(*names, "--fail-on", way).exit_code for way in ("less-strict", "any", "never")]
        assert tuple(found) == codes, name
        assert run(*names).exit_code == codes[0]
    limited = str(tmp_path / "base"), str(tmp_path / "more"), "--work-limit", "1"
    assert [run(*limited, "--fail-on", way).exit_code for way in ("less-strict", "any", "never")] == [1, 1, 0]
    assert run(str(tmp_path / "base"), str(tmp_path / "none"), "--fail-on", "never").exit_code == 2


def test_of_a_failed_sensor_it_is_said_whether_more_is_different() -> None:
    """Only what moves furthest is shown; a reader must know whether that is all."""
    head = 'rules "r" version 1\nquantity x from 0 to 9\nquantity y from 0 to 9\nx at least 0 is green\n'
    red, yellow = "when y failed then x above 7 is red\n", "when y failed then x from 3 to 7 is yellow\n"
    for more, complete in ((red, True), (red + yellow, False)):
        found = api.compare(alertlang.loads(head), alertlang.loads(head + more))
        assert [(c.complete, c.after) for c in found.changes if c.kind == "failure"] == [(complete, "red")]


def test_a_limit_has_become_the_one_of_its_label_wherever_it_stands() -> None:
    head = 'rules "r" version 1\nsource S common practice\nquantity x from 0 to 9\n'
    was = ("low: limit x at most 5, needs caution, source S\n", "high: limit x at most 8, needs warning, source S\n")
    now = ("high: limit x at most 7, needs warning, source S\n", "low: limit x at most 6, needs caution, source S\n")
    found = api.compare(*(alertlang.loads(head + "".join(limits)) for limits in (was, now)))
    pairs = {(c.before, c.after) for c in found.changes if c.kind == "limit"}
    assert pairs == {(was[0].strip(), now[1].strip()), (was[1].strip(), now[0].strip())}


def test_a_delay_that_two_alerts_wait_for_is_told_once() -> None:
    head = 'rules "r" version 1\nquantity x from 0 to 9\nquantity y from 0 to 9\n'
    alerts = 'when c and y above 2 then warning "A"\nwhen c and y above 3 then warning "B"\n'
    texts = (f"{head}condition c means x above 5, set after {time} s\n{alerts}" for time in (2, 3))
    [change] = api.compare(*map(alertlang.loads, texts)).changes
    assert (change.kind, change.direction, change.subject) == ("reaction", L, "A")
    assert "condition c is set after 3 s instead of 2 s" in change.message


LATE = """rules "late" version 1
quantity rpm from 0 to 3000 rpm
quantity oil from 0 to 100 psi
condition low means oil below 10 psi, set after 2 s, cleared after 3 s
rpm at most 2000 rpm is green
when low then rpm above 2000 rpm is red
when not low then rpm above 2000 rpm is yellow
"""


@pytest.mark.parametrize(
    ("seconds", "direction", "what"),
    [(5, Direction.MORE, "red instead of yellow"), (1, Direction.LESS, "yellow instead of red")],
)
def test_what_goes_by_time_through_a_condition_alone_is_told(seconds: int, direction: Direction, what: str) -> None:
    after = LATE.replace("cleared after 3 s", f"cleared after {seconds} s")
    found = api.compare(alertlang.loads(LATE), alertlang.loads(after))
    [change] = [one for one in found.changes if one.kind == "reaction"]
    assert (change.subject, change.direction) == ("rpm", direction)
    assert change.message.startswith(f"for a time, rpm is {what} (condition low is cleared after {seconds} s")


def test_another_deadband_moves_no_colour() -> None:
    text = (
        'rules "band" version 1\nquantity rpm from 0 to 3000 rpm, deadband 20 rpm\n'
        "rpm at most 2700 rpm is green\nrpm above 2700 rpm is red\n"
    )
    found = api.compare(alertlang.loads(text), alertlang.loads(text.replace("deadband 20", "deadband 10")))
    assert found.changes
    assert [one.message for one in found.changes if one.kind == "colour"] == []
    assert not any("2699" in one.message for one in found.changes)


def test_a_switch_that_one_side_alone_has_is_told() -> None:
    text = (
        'rules "gear" version 1\nquantity rpm from 0 to 3000 rpm\nswitch gear up, down\n'
        "rpm at most 2700 rpm is green\nrpm above 2700 rpm is red\n"
    )
    before, after = alertlang.loads(text), alertlang.loads(text.replace("switch gear up, down\n", ""))
    assert "gear is no longer down or up" in [one.message for one in api.compare(before, after).changes]
    assert "gear may be down or up" in [one.message for one in api.compare(after, before).changes]
