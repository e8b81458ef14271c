"""The one door: everything the tool can do, one typed call each.

    from alertlang import load

    rules = load("examples/02-bramble/bramble.alert")
    for finding in rules.check().findings:
        print(finding.message)

| file | for whom |
|---|---|
| `rules` | who writes rules and who reviews them: load, check, prove, evidence, compare, scenarios, why, format |
| `shop` | the shop: profiles, a first draft |
| `library` | the shop's vetted rule sets: add, approve, verify, derive, keys |
| `runs` | recorded runs: columns, replay, why of a moment, tune, fleet |
| `explained` | everybody: what a word of the language or the trade means |
| `papers` | what is looked at and what leaves the shop: gauges, maps, cards, sheets, the review record, fit |

A result is a frozen dataclass with a short `repr`; where its command has `--output json`, `to_dict()` and `to_json()`
give the same. What cannot be done is an `AlertlangError` with `findings` or `way_out`.

No call looks at a clock, changes a file that it was not given to write, or starts a process: those that can share work
among processes do so only for `jobs=` from 1 on, and a script that asks for it needs `if __name__ == "__main__":`, for
each process reads it again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from alertlang.results.result import Result, written_by

if TYPE_CHECKING:
    from alertlang.api.explained import *  # noqa: F403
    from alertlang.api.library import *  # noqa: F403
    from alertlang.api.papers import *  # noqa: F403
    from alertlang.api.rules import *  # noqa: F403
    from alertlang.api.runs import *  # noqa: F403
    from alertlang.api.shop import *  # noqa: F403

_FILES = ("explained", "rules", "shop", "library", "runs", "papers")

__all__ = [
    "AlertlangError",
    "Axis",
    "BrokenEntry",
    "Card",
    "CardResult",
    "ColumnMap",
    "Comparison",
    "Display",
    "Draft",
    "Entry",
    "EntryState",
    "Evidence",
    "Finding",
    "FitReport",
    "Fixed",
    "FleetError",
    "FleetResult",
    "Formatted",
    "Gauge",
    "LibraryCheck",
    "LibraryEntry",
    "LibraryError",
    "LibraryList",
    "LogError",
    "NameOrFileError",
    "NoSecondSolverError",
    "OperatingMap",
    "Printed",
    "ProfileSheet",
    "Readback",
    "RecordError",
    "RecordedRun",
    "RecordedScenario",
    "RefusedError",
    "ReplayComparison",
    "ReplayResult",
    "Report",
    "ResultsError",
    "Reviewer",
    "Rules",
    "ScenarioReport",
    "Severity",
    "Style",
    "Touched",
    "TuneError",
    "Tuning",
    "UnreadableError",
    "Verdict",
    "Why",
    "Word",
    "add_to_library",
    "affected_entries",
    "against_page",
    "approve_entry",
    "card_file",
    "card_lines",
    "card_results",
    "cards",
    "check",
    "compare",
    "derive_entry",
    "draft",
    "draw",
    "evidence_text",
    "find_word",
    "fit_report",
    "fix",
    "fleet_page",
    "format_rules",
    "gauge_lines",
    "library_entry",
    "library_keys",
    "list_library",
    "load",
    "load_column_map",
    "load_display",
    "load_profile",
    "loads",
    "new_key",
    "page_of",
    "pages",
    "pilot_card",
    "profile_names",
    "profile_sheet",
    "propose_columns",
    "prove",
    "read_back",
    "replay_against",
    "replay_fleet",
    "replay_log",
    "replay_page",
    "retire_key",
    "review_record",
    "run_scenario",
    "scenario_from_log",
    "sheet",
    "show_gauges",
    "show_map",
    "solver_version",
    "trust_key",
    "tune",
    "tuning_picture",
    "verify_library",
    "why_given",
    "why_recorded",
    "witness_scenarios",
    "words",
]


def __getattr__(name: str) -> Any:
    # What is not asked for is not loaded: the solver, tables and typesetting take their time.
    if name in __all__:
        from importlib import import_module

        for file in _FILES:
            found = import_module(f"alertlang.api.{file}")
            if hasattr(found, name):
                return getattr(found, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def _as_json(result: Result) -> str:
    from alertlang.api.as_json import as_json

    return as_json(result)


written_by(_as_json)
