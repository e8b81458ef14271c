"""Witnesses saved as scenarios: each runs without a difference on the rules it was found in, and says so only where
what the finding says is seen in it.

Source: the triggering examples on the pages of the checks, the mistakes that ship with the tool, and random rule sets.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from alertlang.api import Rules, load, loads, pages, witness_scenarios
from alertlang.checks.registry import CHECKS, SEEN
from alertlang.model import ruleset as m
from alertlang.results.report import Report
from alertlang.scenarios import scenario as s
from alertlang.scenarios.load import parse_scenario_text
from alertlang.scenarios.run import run, samples
from alertlang.scenarios.save import Saved, saved
from alertlang.text.resources import examples_dir
from tests.helpers.timed import load as load_timed
from tests.helpers.timed import timed_rulesets

MISTAKES = sorted((examples_dir() / "02-bramble" / "mistakes").glob("*.alert"))
HEAD = """\
rules "h" version 1
source NOTE common practice
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
quantity cht[4] "Cylinder head temperature" from 0 to 600 F, step 1 F
"""


def read(one: Saved, rules: m.RuleSet) -> s.Scenario:
    loaded = parse_scenario_text(one.text.encode(), shown="saved.scenario", folder=Path("."), rules=rules)
    assert loaded.scenario is not None, (one.text, [f.message for f in loaded.findings])
    assert loaded.name == one.name
    return loaded.scenario


def all_of(rules: Rules) -> tuple[Report, tuple[Saved, ...]]:
    report = rules.check()
    found = saved(rules.model, report.findings, report.claims, seen=SEEN)
    for one in found:
        scenario = read(one, rules.model)
        assert run(scenario)[0] is None, one.text
        # What the text says of itself.
        assert ("When they are mended" in one.text) is one.shows
    return report, found


def of(text: str) -> dict[str, Saved]:
    return {one.name: one for one in all_of(loads(HEAD + text))[1]}


def example(name: str) -> str:
    match = re.search(r"## Example\n\n((?:    .*\n|\n)+)", pages()[name])
    assert match is not None
    return "\n".join(line[4:] for line in match[1].split("\n"))


# ---- every kind of finding

WITH_WITNESS = sorted({*SEEN, "unmarked-limit", "interrupted-clock"})


@pytest.mark.parametrize("name", WITH_WITNESS)
def test_the_example_of_a_check_can_be_saved(name: str) -> None:
    report, found = all_of(loads(example(name)))
    wanted = [one for one in report.findings if one.code.name == name and one.witness]
    mine = [one for one in found if one.name.startswith(name)]
    assert wanted
    assert len(mine) == len(wanted)
    # Where a mark stands on the dial is nothing that one sample shows, nor is what comes of changing states.
    assert {one.shows for one in mine} == {name in SEEN}
    for one, finding in zip(mine, wanted, strict=True):
        assert finding.message in " ".join(one.text.replace("\n# ", " ").split())


def test_every_check_with_a_witness_is_known() -> None:
    """A new check that shows a state must say here how that state is recognised, or that it cannot be."""
    found = set()
    for check in CHECKS:
        name = check.code.name
        try:
            report = loads(example(name)).check()
        except ValueError:
            continue
        found |= {one.code.name for one in report.findings if one.witness}
    assert found <= set(WITH_WITNESS)
    assert set(SEEN) <= found


@pytest.mark.parametrize("path", MISTAKES, ids=lambda path: path.stem)
def test_the_mistakes_that_ship_with_the_tool(path: Path) -> None:
    report, found = all_of(load(path))
    witnesses = [one for one in report.findings if one.witness and one.accepted is None]
    refuted = [one for one in report.claims if one.witness]
    assert len(found) == len(witnesses) + len(refuted)
    assert all(one.shows for one in found)


def test_a_mended_rule_set_differs_from_the_saved_scenario() -> None:
    """What the designer sees once the rule is mended: the expectation to be edited."""
    flawed = loads(HEAD + "rpm below 2500 is green\nrpm from 2550 to 3500 is red\n")
    [one] = all_of(flawed)[1]
    mended = loads(HEAD + "rpm below 2550 is green\nrpm from 2550 to 3500 is red\n")
    assert one.name == "gap-rpm"
    found, _ = run(read(one, mended.model))
    assert found is not None
    assert found.message == "rpm must show no colour, and shows green"


# ---- histories


def lines(one: Saved) -> list[str]:
    """The text without its comments, header and rules."""
    said = [line for line in one.text.splitlines() if line and not line.startswith("#")]
    return said[2:]


def test_what_must_have_been_set_before_gets_a_state_before() -> None:
    found = of("""\
condition cold means oil_temp below 75 F until oil_temp above 80 F
when cold and oil_temp below 76 F then rpm at least 0 is red
when not cold then rpm at least 0 is green
""")
    one = found["gap-rpm"]
    assert one.shows
    assert lines(one) == ["at 0 s: rpm 1750 rpm, oil_temp -40 F", "at 1 s: oil_temp 76 F -> rpm blank"]


def test_what_has_not_been_cleared_yet_is_looked_at_in_time() -> None:
    one = of("""\
condition cold means oil_temp below 75 F, cleared after 10 s
when cold and oil_temp below 75 F then rpm at least 0 is red
when not cold then rpm at least 0 is green
""")["transient-gap-rpm"]
    assert one.shows
    assert lines(one)[-1] == "at 11 s: oil_temp 187 F -> rpm blank"


def test_what_was_set_only_just_now_is_looked_at_in_time() -> None:
    found = of("""\
condition cold means oil_temp below 75 F until oil_temp above 80 F, set after 3 s
when cold then rpm at least 0 is red
when oil_temp above 80 F then rpm at least 0 is green
when not cold and oil_temp below 78 F then rpm at least 0 is green
when not cold and oil_temp at least 78 F and rpm below 5 rpm then rpm at least 0 is green
""")
    one = next(one for name, one in found.items() if name.startswith("transient-gap"))
    assert one.shows
    assert lines(one)[-1].startswith("at 1.5 s: oil_temp ")


def test_what_a_deadband_keeps_gets_a_state_before() -> None:
    text = HEAD.replace("step 10 rpm", "step 10 rpm, deadband 50 rpm")
    rules = loads(text + "rpm at most 2000 is green\nrpm above 2000 is red\nprove rpm at most 2000 rpm is green\n")
    [one] = all_of(rules)[1]
    assert one.shows
    assert one.name == "claim-prove_1"
    assert lines(one) == ["at 0 s: rpm 2750 rpm", "at 1 s: rpm 1970 rpm -> rpm red"]


def test_a_short_while_is_looked_at_while_it_lasts() -> None:
    one = of("""\
condition running means rpm above 400 rpm
when running for at least 30 s limit oil_temp at most 200 F, source NOTE
oil_temp at most 200 F is green
when running for at least 60 s then oil_temp above 200 F is red
oil_temp above 200 F is yellow
""")["unguarded-limit-oil_temp"]
    assert one.shows
    assert lines(one)[-1] == "at 30 s -> oil_temp yellow"


def test_a_rate_becomes_a_ramp() -> None:
    one = of("""\
let cooling = fall of cht per min, from 0 to 200 F
cooling at most 60 F is green
cooling above 70 F is red
""")["gap-cooling"]
    assert one.shows
    scenario = read(
        one, loads(HEAD + "let cooling = fall of cht per min, from 0 to 200 F\ncooling below 9 F is red\n").model
    )
    first, *_, last = samples(scenario)
    assert (first.readings["cht[1]"] - last.readings["cht[1]"]) / (last.time - first.time) * 60 == 65
    assert lines(one)[-1] == "at 1 s -> cooling[1] blank"


def test_a_history_that_is_not_found_is_left_to_the_designer() -> None:
    """Two things must have happened one after the other, and only one state is put before."""
    found = of("""\
condition first means oil_temp below 0 F until oil_temp above 280 F
condition second means rpm below 100 rpm and first until rpm above 3400 rpm
condition third means second and not first until rpm above 3450 rpm
when not third then rpm at least 0 is green
when third and rpm above 3000 rpm then rpm at least 0 is green
""")
    one = found["gap-rpm"]
    assert not one.shows
    assert "must be completed by hand" in one.text
    assert "(not first, not second, third)" in " ".join(one.text.replace("\n# ", " ").split())


def test_a_late_alert_is_looked_at_when_it_was_due() -> None:
    [one] = [one for one in all_of(loads(example("late-alert")))[1] if one.name.startswith("late-alert")]
    assert lines(one) == ["at 0 s: oil_pressure 12 psi", 'at 5 s -> oil_pressure red, no warning "OIL PRESS"']


# ---- what is in the text


def test_what_the_witness_does_not_name_is_filled_in_and_said() -> None:
    one = of("cht below 300 F is green\ncht above 310 F is red\n")["gap-cht"]
    assert lines(one) == ["at 0 s: cht[1] 305 F, cht[2] 300 F, cht[3] 300 F, cht[4] 300 F -> cht[1] blank"]
    assert "they are filled in: cht[2] 300 F, cht[3] 300 F, cht[4] 300 F." in one.text


def test_what_is_filled_in_keeps_the_assumptions() -> None:
    text = """\
switch pump off, on
assume when pump is off then oil_temp at least 200 F
cht below 300 F is green
when pump is off and oil_temp below 250 F and rpm below 0 rpm then cht above 500 F is red
cht above 310 F is red
"""
    one = of(text)["gap-cht"]
    assert one.shows
    # 130 F, in the middle of the sensor's range, is what it would be otherwise.
    assert "oil_temp 300 F" in one.text
    assert "pump off" in one.text


def test_a_failed_sensor_is_given_as_failed_with_its_value_in_the_comment() -> None:
    [one] = [one for one in all_of(loads(example("lost-guard")))[1] if one.name.startswith("lost-guard")]
    assert "oil_temp failed" in lines(one)[0]
    assert "The sensor that has failed would read: oil_temp 17 F." in one.text


def test_names_are_told_apart() -> None:
    found = of("rpm below 1000 is green\nrpm from 1100 to 2000 is green\nrpm above 2100 is red\n")
    assert set(found) == {"gap-rpm", "gap-rpm-2"}


def test_accepted_and_undecided_findings_are_not_saved() -> None:
    text = 'rpm below 1000 is green\nrpm above 1100 is red\naccept gap on rpm because "a light shows it"\n'
    assert of(text) == {}
    report = loads(HEAD + "rpm below 1000 is green\nrpm above 1100 is red\n").check(work_limit=1)
    assert any(one.undecided for one in report.findings)
    assert [one for one in report.findings if one.undecided and one.witness] == []


def test_the_same_bytes_each_time() -> None:
    path = MISTAKES[0].parent / "missing-alert.alert"
    one, other = load(path), load(path)
    assert witness_scenarios(one, one.check()) == witness_scenarios(other, other.check())


def test_without_the_name_of_its_rules() -> None:
    rules = loads(HEAD + "rpm below 1000 is green\nrpm above 1100 is red\n")
    [one] = saved(rules.model, rules.check().findings, seen=SEEN, named=False)
    assert "use rules" not in one.text
    assert "run it with --rules" in one.text


# ---- any rule set


@settings(
    max_examples=60,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)
@given(timed_rulesets(rules=(1, 4), limits=(0, 1)))
def test_whatever_is_saved_runs_as_said(text: str) -> None:
    rules = Rules(load_timed(text))
    all_of(rules)
