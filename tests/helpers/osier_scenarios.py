"""The rule set of the tests of scenarios, and how a scenario on it is read and run."""

from __future__ import annotations

from pathlib import Path

from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m
from alertlang.model.load import parse_ruleset
from alertlang.results.scenario import Difference, ScenarioReport
from alertlang.scenarios import scenario as s
from alertlang.scenarios.load import LoadedScenario, parse_scenario_text
from alertlang.scenarios.run import report_on_scenario

OSIER = """\
rules "osier" version 3

source NOTE common practice

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
quantity oil_pressure "Oil pressure" from 0 to 120 psi, step 1 psi, deadband 2 psi
quantity cht[4] "Cylinder head temperature" from 0 to 600 F, step 1 F
switch canopy "Canopy" latched, open
let cht_spread = spread of cht
let cooling = fall of cht per min, from 0 to 200 F

condition running means rpm above 400 rpm
condition cold means oil_temp below 75 F until oil_temp above 80 F, cleared after 10 s
condition settled means cht_spread below 50 F, set after 5 s

rpm at most 2680 is green
overspeed: rpm above 2680 is red with warning "OVERSPEED" after 1 s latched
cold_engine: when cold or oil_temp failed then rpm above 1200 is red with caution "ENGINE COLD"
power: rpm above 2550 for more than 5 min is yellow with caution "PWR TIME"
fast: rpm above 2600 for more than 10 s in total is yellow with advisory "FAST"

oil_pressure at least 25 is green
low_oil: oil_pressure below 25 psi is red with warning "OIL PRESS" after 3 s unless not running

cht at most 400 is green
cht_hot: cht above 400 F is red with warning "CHT {n} HOT"
canopy_open: when running for at least 5 s and canopy is open then caution "CANOPY"
uneven: when not settled and any cht above 350 F then advisory "UNEVEN"
"""


def rules(text: str = OSIER) -> m.RuleSet:
    loaded = parse_ruleset(text.encode(), shown="osier.alert", folder=Path("."))
    assert loaded.ruleset is not None, [one.message for one in loaded.findings]
    return loaded.ruleset


RULES = rules()
HEAD = 'scenario "trial" version 1\n'


def read(text: str, on: m.RuleSet | None = RULES) -> LoadedScenario:
    """A scenario without its header, on the rule set of these tests."""
    return parse_scenario_text((HEAD + text).encode(), shown="trial.scenario", folder=Path("."), rules=on)


def scenario(text: str, on: m.RuleSet | None = RULES) -> s.Scenario:
    loaded = read(text, on)
    assert loaded.scenario is not None, [one.message for one in loaded.findings]
    return loaded.scenario


def ran(text: str, on: m.RuleSet | None = RULES) -> ScenarioReport:
    report = report_on_scenario(read(text, on))
    assert report.readable, [one.message for one in report.findings]
    return report


def first(text: str, on: m.RuleSet | None = RULES) -> Difference:
    found = ran(text, on).difference
    assert found is not None, "there is a difference"
    return found


def as_said(text: str, on: m.RuleSet | None = RULES) -> bool:
    return ran(text, on).difference is None


def wrong(text: str, on: m.RuleSet | None = RULES) -> list[Finding]:
    loaded = read(text, on)
    assert loaded.scenario is None
    assert loaded.findings
    return list(loaded.findings)
