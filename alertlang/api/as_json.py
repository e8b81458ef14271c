"""Results as JSON: the same that the commands print with `--output json`."""

from __future__ import annotations

from alertlang import __version__
from alertlang.logic.solver import solver_version
from alertlang.output import comparison, fit, fleet, profile, readback, replay_json, scenario, tune
from alertlang.output.json import report_json
from alertlang.results.comparison import Comparison
from alertlang.results.fit import FitReport
from alertlang.results.fleet import FleetResult
from alertlang.results.readback import Readback
from alertlang.results.replay import ReplayComparison, ReplayResult
from alertlang.results.report import ProfileSheet, Report
from alertlang.results.result import Result
from alertlang.results.scenario import ScenarioReport
from alertlang.results.tune import Tuning


def as_json(one: Result) -> str:
    """One object on one line."""
    match one:
        case Report():
            return report_json(one, __version__, solver_version())
        case Comparison():
            return comparison.comparison_json(one, __version__, solver_version())
        case FitReport():
            return fit.fit_json(one, __version__, solver_version())
        case Readback():
            return readback.readback_json(one, __version__, solver_version())
        case FleetResult():
            return fleet.fleet_json(one, __version__)
        case ReplayResult():
            return replay_json.replay_json(one, __version__)
        case ReplayComparison():
            return replay_json.comparison_json(one, __version__)
        case ScenarioReport():
            return scenario.scenario_json(one, __version__)
        case Tuning():
            return tune.tuning_json(one, __version__)
        case ProfileSheet():
            return profile.sheet_json(one)
    raise TypeError(f"{type(one).__name__} has no JSON")
