"""A scenario run: the first thing that is not as it says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.meaning.look import RunLook
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.results.report import FileName
from alertlang.results.scenario import Difference, ScenarioReport
from alertlang.scenarios import scenario as s
from alertlang.scenarios.bind import ramped
from alertlang.scenarios.load import LoadedScenario
from alertlang.scenarios.why import difference


def report_on_scenario(loaded: LoadedScenario) -> ScenarioReport:
    """Everything about a scenario that was loaded, whether it could be read or not."""
    file = FileName("scenario", loaded.name, loaded.version, loaded.path)
    rules = None
    if loaded.rules is not None:
        rules = FileName("rules", loaded.rules.name, loaded.rules.version, loaded.rules.path)
    scenario = loaded.scenario
    if scenario is None:
        return ScenarioReport(file, rules, False, loaded.findings)
    found, samples = run(scenario)
    return ScenarioReport(
        file,
        rules,
        True,
        loaded.findings,
        len(scenario.expected),
        samples,
        scenario.last - scenario.first,
        found,
    )


def run(scenario: s.Scenario) -> tuple[Difference | None, int]:
    """The first difference (of several at one sample, the first that is written), and how many samples were looked
    at."""
    stepper = Stepper(scenario.rules)
    count = 0
    for sample in samples(scenario):
        shown = stepper.step(sample)
        count += 1
        for expectation in scenario.expected:
            if expectation.covers(sample.time) and not is_so(expectation.what, shown):
                return difference(scenario, expectation, RunLook(stepper, shown)), count
    return None, count


def is_so(what: s.What, shown: Shown) -> bool:
    """Whether something that is expected is shown."""
    match what:
        case s.GaugeShows():
            return all(shown.colours[gauge] == what.colour for gauge in what.gauges)
        case s.AlertIsUp():
            return any(place in shown.alerts for place in what.raised_by) is what.up
        case s.IsQuiet():
            return all(alert.level < m.Level.CAUTION for alert in shown.alerts.values())
        case s.ConditionHolds():
            return shown.conditions[what.name] is what.holds
        case s.LampShows():
            return shown.lamps[what.lamp].light == what.light


@dataclass(slots=True)
class _State:
    """What is read, and since when what changes has been changing."""

    values: dict[str, Fraction | None] = field(default_factory=dict)
    ramps: dict[str, tuple[s.Ramps, Fraction]] = field(default_factory=dict)
    positions: dict[str, str] = field(default_factory=dict)

    def take(self, change: s.Change, time: Fraction) -> None:
        match change:
            case s.Sets():
                self.values[change.reading] = change.value
                self.ramps.pop(change.reading, None)
            case s.Ramps():
                self.ramps[change.reading] = change, time
            case s.Turns(position=None):
                self.positions.pop(change.switch, None)
            case s.Turns():
                assert change.position is not None
                self.positions[change.switch] = change.position

    def sample(self, time: Fraction, acknowledge: bool, pressed: frozenset[str]) -> Sample:
        readings = {name: value for name, value in self.values.items() if value is not None}
        readings.update({name: ramped(ramp, since, time) for name, (ramp, since) in self.ramps.items()})
        return Sample(time, readings, dict(self.positions), acknowledge, pressed)


def samples(scenario: s.Scenario) -> Iterator[Sample]:
    """What is read at each sample: every value is as it was last given."""
    state = _State()
    lines = iter(scenario.lines)
    line = next(lines, None)
    for time in scenario.sample_times():
        acknowledge, pressed = False, frozenset[str]()
        if line is not None and line.time == time:
            for change in line.changes:
                state.take(change, time)
                if isinstance(change, s.Presses):
                    acknowledge |= change.button is None
                    pressed |= {change.button} if change.button is not None else set()
            line = next(lines, None)
        yield state.sample(time, acknowledge, pressed)
