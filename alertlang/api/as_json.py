"""Results as JSON: the same that the commands print with `--output json`."""

from __future__ import annotations

import json

from alertlang.logic.solver import solver_version
from alertlang.output.comparison import comparison_data
from alertlang.output.fit import fit_data
from alertlang.output.fleet import fleet_data
from alertlang.output.json import report_data
from alertlang.output.profile import sheet_data
from alertlang.output.readback import readback_data
from alertlang.output.replay_json import against_data, replay_data
from alertlang.output.scenario import scenario_data
from alertlang.output.tune import tuning_data
from alertlang.output.why import why_data
from alertlang.results.comparison import Comparison
from alertlang.results.fit import FitReport
from alertlang.results.fleet import FleetResult
from alertlang.results.readback import Readback
from alertlang.results.replay import ReplayComparison, ReplayResult
from alertlang.results.report import ProfileSheet, Report
from alertlang.results.result import Result
from alertlang.results.scenario import ScenarioReport
from alertlang.results.tune import Tuning
from alertlang.results.why import Why
from alertlang.text.version import __version__


def as_json(result: Result) -> str:
    """One object on one line."""
    tool = {"tool": {"name": "alertlang", "version": __version__}}
    proved_with = {"tool": {**tool["tool"], "solver": solver_version()}}
    match result:
        case Report():
            data = {**proved_with, **report_data(result)}
        case Comparison():
            data = {**proved_with, **comparison_data(result)}
        case FitReport():
            data = {**proved_with, **fit_data(result)}
        case Readback():
            data = {**proved_with, **readback_data(result)}
        case FleetResult():
            data = {**tool, **fleet_data(result)}
        case ReplayResult():
            data = {**replay_data(result), **tool}
        case ReplayComparison():
            data = {**against_data(result), **tool}
        case ScenarioReport():
            data = {**tool, **scenario_data(result)}
        case Tuning():
            data = {**tool, **tuning_data(result)}
        case Why():
            data = {**tool, **why_data(result)}
        case ProfileSheet():
            data = {**sheet_data(result)}
        case _:
            raise TypeError(f"{type(result).__name__} has no JSON")
    return json.dumps(data, ensure_ascii=False)
