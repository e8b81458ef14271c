"""Results as JSON: the same that the commands print with `--output json`."""

from __future__ import annotations

from functools import singledispatch

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


@singledispatch
def as_json(one: Result) -> str:
    """One object on one line."""
    raise TypeError(f"{type(one).__name__} has no JSON")


@as_json.register
def _(one: Report) -> str:
    return report_json(one, __version__, solver_version())


@as_json.register
def _(one: Comparison) -> str:
    return comparison.comparison_json(one, __version__, solver_version())


@as_json.register
def _(one: FitReport) -> str:
    return fit.fit_json(one, __version__, solver_version())


@as_json.register
def _(one: Readback) -> str:
    return readback.readback_json(one, __version__, solver_version())


@as_json.register
def _(one: FleetResult) -> str:
    return fleet.fleet_json(one, __version__)


@as_json.register
def _(one: ReplayResult) -> str:
    return replay_json.replay_json(one, __version__)


@as_json.register
def _(one: ReplayComparison) -> str:
    return replay_json.comparison_json(one, __version__)


@as_json.register
def _(one: ScenarioReport) -> str:
    return scenario.scenario_json(one, __version__)


@as_json.register
def _(one: Tuning) -> str:
    return tune.tuning_json(one, __version__)


@as_json.register
def _(one: ProfileSheet) -> str:
    return profile.sheet_json(one)
