"""The one table of codes. A code is never used again for something else."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum


class Severity(IntEnum):
    """How bad a finding is; the order is the order of `--fail-on`."""

    NOTE = 1
    WARNING = 2
    ERROR = 3

    @property
    def word(self) -> str:
        return self.name.lower()


@dataclass(frozen=True, slots=True)
class Code:
    """One kind of finding. `reading` ones stop a file from being checked at all (exit code 2)."""

    code: str
    name: str
    severity: Severity
    since: str
    reading: bool = False


@dataclass(frozen=True, slots=True)
class Retired:
    """A code that is not given any more, from version `until` on; it stays taken, and so does its name."""

    code: str
    name: str
    since: str
    until: str
    why: str


def _reading(code: str, name: str, severity: Severity = Severity.ERROR) -> Code:
    return Code(code, name, severity, "0.1", reading=True)


def _check(code: str, name: str, severity: Severity) -> Code:
    return Code(code, name, severity, "0.1")


_ALL = (
    _reading("AL101", "unreadable-file"),
    _reading("AL102", "syntax"),
    _reading("AL103", "stray-character"),
    _reading("AL104", "unknown-name"),
    _reading("AL105", "wrong-dimension"),
    _reading("AL106", "duplicate-name"),
    _reading("AL107", "missing-file"),
    _reading("AL108", "circular-use"),
    _reading("AL109", "misplaced-statement"),
    _reading("AL110", "unknown-unit"),
    _reading("AL111", "missing-source"),
    _reading("AL112", "bad-value"),
    _reading("AL113", "wrong-kind"),
    _reading("AL114", "bad-change"),
    _reading("AL115", "name-mismatch", Severity.WARNING),
    _check("AL201", "gap", Severity.ERROR),
    _check("AL202", "conflict", Severity.ERROR),
    _check("AL203", "unreachable-band", Severity.ERROR),
    _check("AL204", "disagreement", Severity.WARNING),
    _check("AL205", "redundant-band", Severity.WARNING),
    _check("AL206", "thin-band", Severity.WARNING),
    _check("AL207", "transient-gap", Severity.WARNING),
    _check("AL208", "hairline-gap", Severity.WARNING),
    _check("AL209", "beyond-sensor", Severity.ERROR),
    _check("AL210", "wide-deadband", Severity.WARNING),
    _check("AL301", "unguarded-limit", Severity.ERROR),
    _check("AL302", "missing-alert", Severity.ERROR),
    _check("AL303", "late-alert", Severity.ERROR),
    _check("AL304", "unmarked-precaution", Severity.ERROR),
    _check("AL305", "normal-not-green", Severity.WARNING),
    _check("AL306", "nuisance", Severity.WARNING),
    _check("AL307", "unwatched-quantity", Severity.ERROR),
    _check("AL308", "short-sensor", Severity.ERROR),
    _check("AL309", "lost-guard", Severity.WARNING),
    _check("AL310", "delay-past-exception", Severity.WARNING),
    _check("AL311", "misfit-range", Severity.WARNING),
    _check("AL312", "blank-on-failure", Severity.WARNING),
    _check("AL313", "interrupted-clock", Severity.ERROR),
    _check("AL314", "altered-copy", Severity.WARNING),
    _check("AL401", "constant-condition", Severity.WARNING),
    _check("AL402", "set-clear-overlap", Severity.ERROR),
    _check("AL403", "unused", Severity.NOTE),
    _check("AL404", "impossible-assumptions", Severity.ERROR),
    _check("AL405", "vacuous", Severity.WARNING),
    _check("AL406", "stale-acceptance", Severity.NOTE),
    _check("AL407", "stuck-condition", Severity.WARNING),
    _check("AL501", "colour-level", Severity.ERROR),
    _check("AL502", "same-text", Severity.WARNING),
    _check("AL503", "silent-danger", Severity.WARNING),
    _check("AL504", "dead-alert", Severity.ERROR),
    _check("AL505", "unlit-alert", Severity.NOTE),
    _check("AL506", "lost-position", Severity.WARNING),
    _check("AL600", "unknown-standard", Severity.ERROR),
    # Advice; errors once the rule set follows the published rule.
    _check("AL601", "green-past-limit", Severity.NOTE),
    _check("AL602", "unmarked-limit", Severity.NOTE),
    _check("AL603", "takeoff-not-yellow", Severity.NOTE),
    _check("AL604", "restricted-not-red", Severity.NOTE),
    _check("AL605", "wrong-airspeed-arc", Severity.NOTE),
    _check("AL606", "missing-instrument", Severity.NOTE),
    _check("AL607", "missing-fuel-arc", Severity.NOTE),
    _check("AL608", "wrong-alert-colour", Severity.NOTE),
    _check("AL609", "lingering-alert", Severity.NOTE),
    _check("AL610", "one-sense", Severity.NOTE),
    _check("AL611", "arc-weight", Severity.NOTE),
    # Asked only of a display that is named.
    _check("AL701", "too-many-bands", Severity.ERROR),
    _check("AL702", "too-many-contexts", Severity.ERROR),
    _check("AL703", "too-many-timers", Severity.ERROR),
    _check("AL704", "too-many-alerts", Severity.ERROR),
    _check("AL705", "too-many-lamps", Severity.ERROR),
    _check("AL706", "long-text", Severity.ERROR),
    _check("AL707", "long-label", Severity.ERROR),
    _check("AL708", "missing-colour", Severity.ERROR),
    _check("AL709", "short-delay", Severity.ERROR),
    _check("AL710", "late-on-display", Severity.ERROR),
    _check("AL711", "unsaid-resource", Severity.NOTE),
)

RETIRED = (
    Retired("AL190", "not-supported-yet", "0.1", "0.1", "displays, the last of what was not supported, are read now"),
)
"""Codes of the past. They are in no other table here."""

FAMILIES = {
    "AL2": "What the gauges show",
    "AL3": "Limits and ranges, and what guards them",
    "AL4": "Conditions, assumptions, claims, exceptions",
    "AL5": "Alerts",
    "AL6": "Published rules",
    "AL7": "What a display can hold",
    "AL1": "Why a file cannot be read",
}
"""What the checks are about, by the first letters of their codes; those that stop a check last."""

CODES: dict[str, Code] = {entry.code: entry for entry in _ALL}
BY_NAME: dict[str, Code] = {entry.name: entry for entry in _ALL}


def code_named(name: str) -> Code:
    """The entry of a name that is known to exist; KeyError otherwise."""
    return BY_NAME[name]
