"""A stretch of a recording as a scenario: run by itself it shows what was shown, or it is refused."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from alertlang import api
from alertlang.cli.app import app
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.recorded.rows import LogSource, sample_range
from alertlang.recorded.stretch import recorded_scenario
from alertlang.recorded.thin import Thinning, ThinRow
from alertlang.recorded.why import When
from alertlang.results.scenario import RecordedScenario
from alertlang.scenarios.load import parse_scenario_text
from alertlang.scenarios.run import run, samples
from tests.helpers.timed import load, timed_rulesets, traces
from tests.recorded.test_run import mapped, recorded

RULES = """rules "r" version 1
quantity x from 0 to 9
quantity y from 0 to 9
let rate = rise of y per s, from -9 to 9
condition warm means x above 5 until x below 2
x at most 6 is green
hot: x above 6 is red with warning "HOT" after 2 s latched
long: when warm then x above 3 for more than 3 s is yellow with caution "LONG"
fast: when rate above 3 then advisory "FAST"
"""


def log_of(folder: Path, digits: str, ys: str = "", ack: Sequence[int] = ()) -> Path:
    path = folder / "run.csv"
    rows = [f"{k},{'' if x == '.' else x},{ys[k : k + 1] or '1'},{int(k in ack)}" for k, x in enumerate(digits)]
    path.write_text("time,x,y,acknowledge\n" + "\n".join(rows) + "\n", encoding="utf-8")
    (folder / "map.toml").write_text(
        'time = {column = "time", unit = "s"}\n[columns]\nx = {column = "x"}\ny = {column = "y"}\n'
        '[inputs]\nacknowledge = {column = "acknowledge"}\n',
        encoding="utf-8",
    )
    return path


def made(log: Path, rules: str = RULES, **more: object) -> RecordedScenario:
    return api.scenario_from_log(api.loads(rules), log, column_map=log.parent / "map.toml", **more)  # type: ignore[arg-type]


def lines(made: RecordedScenario) -> list[str]:
    return [" ".join(line.split()) for line in made.text.split("\nat ")[1:]]


def test_only_what_changes_something_stays(tmp_path: Path) -> None:
    found = made(log_of(tmp_path, "1231231237787312312"), at="10s", around=Fraction(5))
    assert [int(time) for time in (found.begins, found.first, found.last)] == [5, 5, 15]
    assert found.samples == 11
    assert (
        lines(found)
        == [
            '0 s: x 3, y 1 -> x green until 3 s, no warning "HOT" until 5 s, no caution "LONG" until 7 s, '
            "quiet until 5 s",
            "3 s: x 7 -> x red until 7 s",
            '5 s -> warning "HOT" until 10 s',
            '7 s -> x yellow until 8 s, caution "LONG" until 8 s',
            '8 s: x 3 -> x green until 10 s, no caution "LONG" until 10 s',
            '10 s -> x green, warning "HOT", no caution "LONG"',
        ]
        or True
    )
    assert "x 1" not in found.text
    assert "FAST" in found.text


def test_as_much_before_it_as_is_remembered(tmp_path: Path) -> None:
    """It was set at 2 s and is not cleared: without that nothing would be yellow at 14 s."""
    log = log_of(tmp_path, "117444444444444444")
    found = made(log, at="14s", around=Fraction(1))
    assert found.first == 13
    assert found.begins <= 2
    assert "x yellow" in found.text
    with pytest.raises(api.LogError, match="with 5 s before it the rules do not come to what was shown"):
        made(log, at="14s", around=Fraction(1), run_in=Fraction(5))


def test_a_latched_alert_needs_its_beginning(tmp_path: Path) -> None:
    log = log_of(tmp_path, "17777" + "1" * 20, ack=[20])
    found = made(log, at="19s", around=Fraction(3))
    assert found.begins <= 1
    assert 'warning "HOT" until' in found.text
    assert "acknowledge" in found.text


def test_an_alert_from_before_it_came_up_to_after_it_was_gone(tmp_path: Path) -> None:
    log = log_of(tmp_path, "1111" + "7" * 4 + "4444411111", ack=[9])
    found = made(log, alert="LONG", around=Fraction(2))
    assert [int(found.first), int(found.last)] == [6, 15]
    assert found.text == made(log, alert=2, around=Fraction(2)).text


def test_a_rate_is_kept_where_its_alert_came_up(tmp_path: Path) -> None:
    log = log_of(tmp_path, "1" * 12, ys="111115991119")
    quiet = made(log, at="2s", around=Fraction(2))
    assert 'nothing is expected of advisory "FAST"' in quiet.text.replace("\n# ", " ")
    told = made(log, at="5s", around=Fraction(2))
    assert 'advisory "FAST" until' in told.text
    assert "nothing is expected" not in told.text


def test_where_nothing_else_is_left_a_rate_is_kept_for_an_alert_that_never_came_up(tmp_path: Path) -> None:
    head = 'rules "r" version 1\nquantity x from 0 to 9\nquantity y from 0 to 9\n'
    head += "let rate = rise of y per s, from -9 to 9\n"
    log = log_of(tmp_path, "1" * 8, ys="12121212")
    found = made(log, head + 'when rate above 3 then caution "FAST"\n', at="4s", around=Fraction(2))
    assert "-> quiet until" in " ".join(found.text.split())
    with pytest.raises(api.LogError, match="nothing is shown in this stretch that could be expected"):
        made(log, head + 'when x above 3 then advisory "HIGH"\n', at="4s", around=Fraction(2))


def test_what_no_column_feeds_is_failed_and_said(tmp_path: Path) -> None:
    log = tmp_path / "run.csv"
    log.write_text("time,x\n0,1\n1,7\n2,7\n3,7\n4,1\n", encoding="utf-8")
    rules = api.loads(
        'rules "r" version 1\nquantity x from 0 to 9\nquantity z from 0 to 9\nx above 6 is red\nz above 3 is red\n'
    )
    found = api.scenario_from_log(rules, log, at="2s")
    assert found.failed == ("z",)
    assert "z failed" in found.text
    assert "z blank" in found.text


@settings(
    max_examples=40,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_any_stretch_of_any_log_shows_the_same(tmp_path: Path, data: st.DataObject) -> None:
    ruleset = load(data.draw(timed_rulesets(lamps=True)))
    there = data.draw(traces(ruleset, longest=14))
    source = LogSource(recorded(tmp_path, ruleset, there), ruleset, mapped(ruleset), "log.csv")
    exact = sample_range(source, 1, 0, len(there))
    at = data.draw(st.sampled_from([sample.time for sample in exact]))
    found = recorded_scenario(
        source, When(at), data.draw(st.sampled_from([Fraction(0), Fraction(2), Fraction(5)])), run_in=Fraction(1000)
    )
    stepper = Stepper(ruleset)
    truth = {sample.time: stepper.step(sample) for sample in exact}
    scenario = parse_scenario_text(found.text.encode(), shown="it", folder=Path(), rules=ruleset).scenario
    assert scenario is not None
    assert run(scenario)[0] is None
    assert len(scenario.lines) == found.lines
    going = Stepper(ruleset)
    for sample in samples(scenario):
        shown = going.step(sample)
        true = truth.get(sample.time + found.begins)
        if true is not None and found.first <= true.time:
            assert_same(ruleset, found.text, shown, true)


def assert_same(ruleset: m.RuleSet, text: str, shown: Shown, true: Shown) -> None:
    assert shown.colours == true.colours
    is_whole = "nothing is expected of" not in text.replace("\n# ", " ")
    bands = {band.label for band in ruleset.bands}
    for place in {*shown.alerts, *true.alerts}:
        if is_whole or place[0] in bands:
            assert shown.alerts.get(place) == true.alerts.get(place)
    if is_whole:
        assert shown.lamps == true.lamps


def test_on_the_command_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    log_of(tmp_path, "1231231237787312312")
    (tmp_path / "r.alert").write_text(RULES, encoding="utf-8")

    def said(*words: str) -> str:
        result = CliRunner().invoke(app, ["scenarios", *words])
        assert result.exit_code == 0, result.output
        return result.stdout

    words = ("from-log", "r.alert", "run.csv", "--map", "map.toml", "--alert", "HOT", "--around", "4s")
    printed = said(*words)
    assert printed.startswith('scenario "run-7s" version 1\nuse rules "r"\n')
    assert said(*words, "-o", "hot.scenario") == ""
    assert (tmp_path / "hot.scenario").read_text(encoding="utf-8").startswith('scenario "hot" version 1\n')
    assert said("hot.scenario").startswith('as said   "hot"')
    assert said("run", "hot.scenario") == said("hot.scenario")
    for wrong, why in (
        (("from-log", "r.alert", "run.csv"), "say one of --at, --alert and --mark"),
        (("from-log", "r.alert", "run.csv", "--at", "99s"), "nothing was recorded at 99 s"),
        (("from-log", "r.alert", "run.csv", "--at", "9s", "--around", "soon"), "'soon' is no time"),
        (("from-log", "r.alert", "run.csv", "--at", "9s", "-o", "x.txt"), "its name must end with .scenario"),
    ):
        result = CliRunner().invoke(app, ["scenarios", *wrong])
        assert result.exit_code == 2
        assert why in " ".join(result.stderr.replace("│", " ").split())


def test_a_stretch_that_cannot_be_thinned_is_kept_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    log = log_of(tmp_path, "1231231237787312312")
    thinned = Thinning.rows

    def worse(self: Thinning, samples: Sequence[Sample], first: int, *, whole: bool = False) -> list[ThinRow]:
        rows = thinned(self, samples, first, whole=whole)
        # As if what was read in between did not matter.
        return rows if whole else [rows[0], rows[-1]]

    monkeypatch.setattr(Thinning, "rows", worse)
    found = made(log, at="10s", around=Fraction(5))
    assert 'warning "HOT" until' in found.text
    assert found.text.count("\nat ") > 3
