"""Tuning a statement over a recorded run: what is counted is counted by hand here, and nothing is proposed that breaks
a limit, misses a mark or brings a finding."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.api import loads
from alertlang.cli.app import app
from alertlang.fleet.key import digest_of_all
from alertlang.logs.column_map import parse_column_map
from alertlang.model.ruleset import RuleSet
from alertlang.results.tune import Candidate, Tuning
from alertlang.text.resources import examples_dir
from alertlang.tuning.change import After, Deadband, ForMoreThan, Threshold, TuneError, statement_named
from alertlang.tuning.tune import tune

# The limit allows 3 s. A comment keeps the line numbers in sight: `low` is line 8.
TEXT = """rules "tune" version 1
source NOTE common practice
quantity volts "Bus" from 0 to 20 V, step 0.1 V
quantity rpm from 0 to 3000 rpm, step 10 rpm
bus: limit volts at least 12 V, needs caution within 3 s, source NOTE

enough: volts at least 12 V is green
low: volts below 12 V is red with caution "LOW VOLTS"
when rpm above 2000 then advisory "FAST"
rpm at most 3000 is green
"""
RULES = loads(TEXT).model
MAP = parse_column_map(
    b'time = {column = "t"}\nmark = {column = "m"}\n[columns]\nvolts = {column = "v"}\nrpm = {column = "r"}\n', "map"
)
# Five dips of one second, one of four and one of eight; what follows a dip is just above the limit.
DIPS = ((10, 11), (14, 15), (18, 19), (22, 23), (26, 27), (60, 64), (200, 208))


def written(folder: Path, marks: tuple[int, ...] = (), seconds: int = 300) -> Path:
    low = {at for start, end in DIPS for at in range(start, end)}
    rows = [f"{at},{'11.9' if at in low else '12.0'},1000,{'x' if at in marks else ''}" for at in range(seconds + 1)]
    path = folder / "log.csv"
    path.write_text("t,v,r,m\n" + "\n".join(rows) + "\n", encoding="ascii")
    return path


def by_value(found: Tuning, knob: str) -> dict[Fraction, Candidate]:
    return {one.value: one for one in found.curve(knob)}


def times(*values: int) -> dict[str, tuple[Fraction, ...]]:
    return {"after": tuple(map(Fraction, values))}


def test_alerts_reaction_and_what_the_limit_allows_for_each_delay(tmp_path: Path) -> None:
    found = tune(RULES, "low", [written(tmp_path)], MAP, ranges=times(0, 1, 2, 3, 4, 5, 9))
    curve = by_value(found, "after")
    for delay, one in curve.items():
        # A dip of n samples, a second apart, is looked at up to n - 1 seconds after its first.
        lengths = [end - start for start, end in DIPS]
        assert one.alerts == sum(1 for length in lengths if length - 1 >= delay), delay
        assert one.alerts_per_hour == Fraction(one.alerts * 3600, 300)
        assert one.up == sum(length - delay for length in lengths if length - 1 >= delay)
        assert one.unseen == sum(1 for length in lengths if length - 1 < delay)
        assert one.reaction == delay
        # Whatever lasts longer than the 3 s that the limit allows must have been told by then.
        assert one.late == sum(1 for length in lengths if length > 3 and min(delay, Fraction(length)) > 3)
        assert bool(one.breaks) == (delay > 3)
        assert one.now == (delay == 0)
    assert [curve[Fraction(n)].chattering for n in (0, 1)] == [1, 0]
    assert "breaks bus (late-alert)" in curve[Fraction(4)].breaks
    assert (found.limit, found.allowed, found.seconds) == ("bus", Fraction(3), Fraction(300))
    proposed = [found.candidates[number] for number in found.proposed]
    # After 1, 2 and 3 s there are two alerts: the soonest of these is proposed.
    assert [(one.knob, one.value, one.alerts) for one in proposed] == [("after", Fraction(1), 2)]
    assert proposed[0].text == 'low: volts below 12 V is red with caution "LOW VOLTS" after 1 s'


def test_nothing_that_breaks_a_limit_is_proposed_however_calm_it_is(tmp_path: Path) -> None:
    log = written(tmp_path)
    found = tune(RULES, "low", [log], MAP, ranges=times(9))
    assert by_value(found, "after")[Fraction(9)].alerts == 0
    assert found.proposed == ()
    lower = tune(RULES, "low", [log], MAP, ranges={"threshold": tuple(map(Fraction, ("11.5", "11.8", "12", "12.1")))})
    curve = by_value(lower, "threshold")
    assert curve[Fraction("11.8")].alerts == 0
    assert any(said.startswith("breaks bus (unguarded-limit)") for said in curve[Fraction("11.8")].breaks)
    assert curve[Fraction("12.1")].alerts == 1
    assert lower.proposed == tuple(
        number for number, one in enumerate(lower.candidates) if one.value == Fraction("12.1") and not one.breaks
    )
    held = tune(RULES, "low", [log], MAP, ranges={"for more than": (Fraction(1), Fraction(3), Fraction(6))})
    assert by_value(held, "for more than")[Fraction(6)].alerts == 1
    assert all(held.candidates[number].value <= 3 for number in held.proposed)


def test_a_mark_that_is_near_an_alert_now_must_stay_near_one(tmp_path: Path) -> None:
    # One mark of two rows at the second dip, one far from everything.
    log = written(tmp_path, marks=(14, 15, 120))
    found = tune(RULES, "low", [log], MAP, ranges=times(1), near=Fraction(10))
    assert (found.events, found.caught) == (2, 1)
    assert by_value(found, "after")[Fraction(1)].missed == 1
    assert by_value(found, "after")[Fraction(1)].breaks == ()
    assert found.proposed == ()
    wide = tune(RULES, "low", [log], MAP, ranges=times(1), near=Fraction(50))
    assert (wide.caught, by_value(wide, "after")[Fraction(1)].missed) == (1, 0)
    assert len(wide.proposed) == 1


@pytest.mark.parametrize(
    ("rules", "label", "knob", "value"),
    [
        (TEXT, "low", After, "2.5"),
        (TEXT, "low", ForMoreThan, "2"),
        (TEXT, "low", Threshold, "11.9"),
        (TEXT, "low", Deadband, "0.3"),
        (TEXT.replace("low: ", ""), "volts_1", After, "2"),
        (TEXT.replace('VOLTS"', 'VOLTS" after 4 s latched unless rpm below 10'), "low", After, "0"),
        (TEXT.replace("12 V is red", "12 V for more than 9 s in total is red"), "low", ForMoreThan, "0"),
        (TEXT.replace("12 V is red", "12 V for more than 9 s in total is red"), "low", ForMoreThan, "7"),
        (TEXT, "alert_1", Threshold, "2100"),
        (TEXT.replace("when rpm", "fast: when volts failed or not rpm"), "fast", Threshold, "2100"),
        (TEXT, "alert_1", After, "1"),
        (TEXT.replace("step 0.1 V", "step 0.1 V, deadband 1 V"), "low", Deadband, "0"),
    ],
)
def test_the_text_that_is_proposed_is_the_rule_set_that_was_tried(
    rules: str, label: str, knob: type, value: str
) -> None:
    before = loads(rules).model
    rule = statement_named(before, label)
    one = knob(before, rule)
    changed = one.at(Fraction(value))
    line = int(one.place.rpartition(" ")[2])
    lines = rules.split("\n")
    assert lines[line - 1] == (before.quantities["volts"] if knob is Deadband else rule).span.text
    lines[line - 1] = changed.text
    again = loads("\n".join(lines)).model
    assert _digest(again) == _digest(changed.ruleset)
    assert _digest(again) != _digest(before)


def _digest(rules: RuleSet) -> str:
    return digest_of_all(rules, None, "")


def test_a_statement_of_another_file_is_replaced(tmp_path: Path) -> None:
    (tmp_path / "tune.alert").write_text(TEXT, encoding="utf-8")
    top = 'rules "top" version 1\nuse rules "tune"\n'
    before = loads(top, folder=tmp_path).model
    changed = After(before, statement_named(before, "low")).at(Fraction(2))
    assert changed.text == 'replace low: volts below 12 V is red with caution "LOW VOLTS" after 2 s'
    again = loads(top + changed.text + "\n", folder=tmp_path).model
    assert next(one for one in again.bands if one.label == "low").after == 2


def test_what_cannot_be_tuned_is_said(tmp_path: Path) -> None:
    log = [written(tmp_path)]
    for label, ranges, wanted in (
        ("lwo", None, "no statement is called lwo; did you mean low?"),
        ("enough", None, "enough raises no alert"),
        ("alert_1", {"deadband": (Fraction(1),)}, "alert_1 is an alert on its own"),
        ("low", {"threshold": (Fraction(30),)}, "volts reads from 0 V to 20 V"),
        ("low", times(*range(400)), "more than 200 values"),
    ):
        with pytest.raises(TuneError, match=wanted.replace("?", "[?]")):
            tune(RULES, label, log, MAP, ranges=ranges)
    two = loads(TEXT.replace("rpm above 2000", "rpm from 2000 to 2500")).model
    with pytest.raises(TuneError, match="has two ends"):
        Threshold(two, statement_named(two, "alert_1"))
    # Without a range what does not fit is left out.
    found = tune(two, "alert_1", log, MAP)
    assert {one.knob for one in found.candidates} == {"after", "for more than"}


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, ["tune", *map(str, words)])


def test_the_example_is_calmed_within_what_its_limit_allows() -> None:
    folder = examples_dir() / "02-bramble"
    log, map_file = folder / "logs" / "first-flight.csv", folder / "logs" / "recorder.toml"
    words: list[str | Path] = ["volts_red", folder / "bramble.alert", log, "--map", map_file, "--after", "1:3:1"]
    ended = run(*words, "--output", "json")
    assert ended.exit_code == 0, ended.output
    said = json.loads(ended.stdout)
    table = {one["value"]: one for one in said["candidates"]}
    assert [table[value]["alerts"] for value in "0123"] == [19, 6, 1, 0]
    assert table["2"]["breaks"] == []
    assert table["3"]["breaks"] == ["breaks volts_low_limit (late-alert)"]
    assert [said["candidates"][number]["value"] for number in said["proposed"]] == ["2"]
    text = run(*words)
    assert text.exit_code == 0
    assert '"LOW VOLTS" after 2 s\n' in text.stdout
    assert "after 3 s" not in text.stdout
    assert all(len(line) <= 80 for line in text.stdout.splitlines() if "volts_red: " not in line)


def test_the_command_says_what_it_cannot_use(tmp_path: Path) -> None:
    rules = tmp_path / "tune.alert"
    rules.write_text(TEXT, encoding="utf-8")
    log = written(tmp_path)
    for words, wanted in (
        (("low", rules, log), "none of its columns feeds a quantity"),
        (("low", rules, tmp_path / "none.csv"), "none.csv"),
        (("none", rules, log), "no statement is called none"),
        (("low", rules, log, "--after", "5"), "'5' is no range"),
        (("low", rules, log, "--after", "5:1:1"), "goes nowhere"),
        (("low", rules, log, "--near", "x"), "no number of seconds"),
    ):
        ended = run(*words)
        assert ended.exit_code == 2, ended.output
        assert wanted in " ".join(ended.stderr.replace("│", " ").split())
        assert ended.stdout == ""


def test_a_finding_that_was_there_before_counts_for_nothing(tmp_path: Path) -> None:
    # Half of the bus voltage has no colour: that is so with every delay.
    gap = loads(TEXT.replace("enough: volts at least 12 V", "enough: volts at least 14 V")).model
    found = tune(gap, "low", [written(tmp_path)], MAP, ranges=times(1, 4))
    curve = by_value(found, "after")
    assert curve[Fraction(1)].breaks == ()
    assert curve[Fraction(4)].breaks
    assert not replace(curve[Fraction(1)], missed=1).harmless


def test_it_is_said_where_nothing_tells_a_wanted_alert_from_a_nuisance(tmp_path: Path) -> None:
    """No limit is guarded and nothing is marked: fewer alerts is only fewer."""
    from alertlang.documents.tuning_picture import draw_tuning
    from alertlang.output.tune import tuning_lines

    bare = loads(TEXT.replace(TEXT.splitlines()[4] + "\n", "")).model
    said = "nothing here tells a wanted alert from a nuisance"

    def told(ruleset: RuleSet, marks: tuple[int, ...]) -> tuple[bool, bool, bool]:
        found = tune(ruleset, "low", [written(tmp_path, marks)], MAP, ranges=times(0, 2))
        text = " ".join(" ".join(part for _, part in line).strip() for line in tuning_lines(found, 80))
        picture = draw_tuning(found).decode()
        return said in text, not json.loads(found.to_json())["judged"], "no limit and no mark" in picture

    assert told(bare, ()) == (True, True, True)
    assert told(bare, (205,)) == (False, False, False)
    assert told(RULES, ()) == (False, False, False)


def test_what_makes_a_log_doubtful_is_told(tmp_path: Path) -> None:
    from alertlang.output.tune import tuning_lines

    path = tmp_path / "log.csv"
    path.write_text("t,v,r,m\n0,,1000,\n1,,1000,\n1,11,1000,\n2,12,1000,\n3,,1000,\n", encoding="ascii")
    found = tune(RULES, "low", [path], MAP, ranges=times(0))
    assert [(log, one.kind, one.count) for log, one in found.doubts] == [
        (str(path), "repeated-time", 1), (str(path), "mostly-failed", 3),
    ]  # fmt: skip
    text = " ".join(" ".join(part for _, part in line).strip() for line in tuning_lines(found, 200))
    assert "mostly-failed (v): 3; 60 % of volts" in text


# ---- what is lost, and two numbers at once


def points(picture: str) -> list[str]:
    """The fill of every point of a curve."""
    return re.findall(r'<use [^>]*style="fill: (#[0-9a-f]{6}); stroke: #111111', picture)


def test_a_break_that_nothing_tells_of_is_never_drawn_as_harmless(tmp_path: Path) -> None:
    from alertlang.documents.tuning_picture import draw_tuning

    found = tune(RULES, "low", [written(tmp_path, marks=(15,))], MAP, ranges=times(0, 1, 2, 4, 9))
    clear = [one for one in found.candidates if not one.losses]
    assert [one.value for one in clear] == [0]
    assert all(one.losses for one in found.candidates if one.unseen or one.late or one.missed or not one.alerts)
    picture = draw_tuning(found).decode()
    # Five values, of which four have a reaction time: on each curve one alone is filled.
    fills = points(picture)
    assert (fills.count("#111111"), fills.count("#ffffff")) == (2, 7)
    for value, counts in ((1, (5, 0, 1)), (4, (6, 2, 1)), (9, (7, 2, 1))):
        one = by_value(found, "after")[Fraction(value)]
        assert (one.unseen, one.late, one.missed) == counts
        assert one.losses[-len(one.breaks) - 1 if one.breaks else -1] == "1 missed"
    shown = re.findall(r">([^<>]+)</text>", picture)
    assert {"limit broken unseen", "told too late", "marks missed", "new findings", "proposed"} - set(shown) == {
        "proposed"
    }
    assert [shown.count(str(number)) >= 1 for number in (5, 6, 7)] == [True] * 3
    assert "a: breaks bus (late-alert)" in shown


def test_two_numbers_at_once_are_each_tried_with_each(tmp_path: Path) -> None:
    from alertlang.documents.tuning_picture import draw_tuning
    from alertlang.output.tune import tuning_lines

    log = [written(tmp_path)]
    low = {"threshold": (Fraction("11.8"), Fraction("12.1"))}
    found = tune(RULES, "low", log, MAP, ranges={**times(0, 1, 4), **low}, together=True)
    grid = found.grid
    assert [[(str(one.value), str(one.second and one.second.value)) for one in row] for row in grid] == [
        [(delay, value) for value in ("59/5", "12", "121/10")] for delay in ("0", "1", "4")
    ]
    assert [one.now for row in grid for one in row] == [False, True] + 7 * [False]
    assert found.curve("after") == ()
    # With one of the two as it is, a pair is what the other alone gives.
    alone = by_value(tune(RULES, "low", log, MAP, ranges=times(0, 1, 4)), "after")
    for row in grid:
        assert replace(row[1], second=None) == alone[row[1].value]
    alone = by_value(tune(RULES, "low", log, MAP, ranges=low), "threshold")
    assert [(one.alerts, one.unseen, one.breaks) for one in grid[0]] == [
        (alone[value].alerts, alone[value].unseen, alone[value].breaks) for value in sorted(alone)
    ]
    [proposed] = [found.candidates[number] for number in found.proposed]
    assert proposed.harmless
    text = "\n".join("".join(part for _, part in line) for line in tuning_lines(found, 80))
    assert "after (s) downwards, threshold (V) across: alerts" in text
    assert "  0          -" in text
    assert proposed.text in text
    shown = re.findall(r">([^<>]+)</text>", draw_tuning(found).decode())
    assert "never up" in shown
    assert json.loads(found.to_json())["candidates"][0]["second"] == {"knob": "threshold", "value": "11.8", "unit": "V"}


@pytest.mark.parametrize("label", ["low", "volts_1"])
@pytest.mark.parametrize(
    "pair", [("after", "threshold"), ("for more than", "after"), ("threshold", "deadband"), ("after", "deadband")]
)
def test_the_text_of_two_numbers_is_the_rule_set_that_was_tried(
    pair: tuple[str, str], label: str, tmp_path: Path
) -> None:
    text = TEXT if label == "low" else TEXT.replace("low: ", "")
    before = loads(text).model
    value = {"after": Fraction(2), "for more than": Fraction(3), "threshold": Fraction("11.9"), "deadband": Fraction(1)}
    knobs = [
        {"after": After, "for more than": ForMoreThan, "threshold": Threshold, "deadband": Deadband}[n] for n in pair
    ]
    found = tune(before, label, [written(tmp_path)], MAP, ranges={n: (value[n],) for n in pair}, together=True)
    [wanted] = [
        one
        for row in found.grid
        for one in row
        if one.second and (one.value, one.second.value) == (value[one.knob], value[one.second.knob])
    ]
    lines = text.split("\n")
    for place, changed in zip(
        dict.fromkeys(dict(found.place)[name] for name in (wanted.knob, wanted.second.knob if wanted.second else "")),
        wanted.text.split("\n"), strict=True,
    ):  # fmt: skip
        lines[int(place.rpartition(" ")[2]) - 1] = changed
    again = loads("\n".join(lines)).model
    rule = statement_named(before, label)
    first, second = sorted(knobs, key=lambda kind: kind.name != wanted.knob)
    once = first(before, rule).at(value[first.name]).ruleset
    twice = second(once, statement_named(once, label)).at(value[second.name]).ruleset
    assert _digest(again) == _digest(twice) != _digest(before)


def test_two_numbers_at_once_need_two_ranges(tmp_path: Path) -> None:
    for ranges in (None, times(1)):
        with pytest.raises(TuneError, match="two numbers at once are two ranges"):
            tune(RULES, "low", [written(tmp_path)], MAP, ranges=ranges, together=True)
    many = {**times(*range(15)), "threshold": tuple(Fraction(n, 10) for n in range(100, 120))}
    with pytest.raises(TuneError, match="more than 200 values"):
        tune(RULES, "low", [written(tmp_path)], MAP, ranges=many, together=True)
