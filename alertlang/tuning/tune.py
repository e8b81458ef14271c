"""Sweeping a number of a statement over logs: how much each value nags, and what it costs.

Nothing is proposed that the checks find anything new in, that tells of a broken limit too late where it was told in
time, or that misses an event which was marked and is not missed now.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import prod
from pathlib import Path

from alertlang.checks.news import alerts_for
from alertlang.checks.reaction import delay_of
from alertlang.checks.run import Options, Results, run
from alertlang.logic.solver import WORK_LIMIT
from alertlang.logs.column_map import ColumnMap
from alertlang.model import ruleset as m
from alertlang.results.report import FileName
from alertlang.results.tune import KNOBS, Candidate, KnobValue, Tuning
from alertlang.tuning.change import BY_NAME, Knob, TuneError, statement_named
from alertlang.tuning.judge import new_faults
from alertlang.tuning.over_logs import LogStretch, SeenOverLogs, seen, stretches

NEAR = Fraction(10)
"""Seconds from a mark to an alert that is taken to belong to it. Common practice, no source."""

MOST = 200
"""Values that are tried at most: each costs a check of the whole."""

# How many candidates are done, and of how many.
Progress = Callable[[int, int], None]


def tune(
    ruleset: m.RuleSet,
    label: str,
    logs: Sequence[Path],
    column_map: ColumnMap | None = None,
    *,
    ranges: Mapping[str, Sequence[Fraction]] | None = None,
    together: bool = False,
    near: Fraction = NEAR,
    work_limit: int = WORK_LIMIT,
    progress: Progress | None = None,
) -> Tuning:
    """One statement over logs. `ranges`: values to try by knob (one of KNOBS), times in seconds, others in the
    quantity's unit; none: usual values of every knob that the statement has. `together`: every value of one of two
    knobs with every value of the other.

    TuneError for what cannot be tuned; LogError or OSError for a log that cannot be used.
    """
    rule = statement_named(ruleset, label)
    chosen = _chosen(ruleset, rule, ranges, together)
    runs, doubts = stretches(logs, ruleset, column_map)
    found = _Tuner(ruleset, rule, chosen, runs, near, work_limit, together).tuned(logs, column_map, progress)
    return replace(found, doubts=doubts)


def _chosen(
    ruleset: m.RuleSet, rule: m.Band | m.Alert, ranges: Mapping[str, Sequence[Fraction]] | None, together: bool
) -> list[tuple[Knob, tuple[Fraction, ...]]]:
    found: list[tuple[Knob, tuple[Fraction, ...]]] = []
    if together and len(ranges or {}) != 2:
        raise TuneError("two numbers at once are two ranges", "give both, for example of the threshold and of after")
    if ranges is None:
        for kind in BY_NAME.values():
            try:
                knob = kind(ruleset, rule)
            except TuneError:
                # Nobody asked for it.
                continue
            found.append((knob, tuple(sorted({*knob.usual(), knob.now}))))
        return found
    for name in KNOBS:
        if name in ranges:
            knob = BY_NAME[name](ruleset, rule)
            for value in ranges[name]:
                fault = knob.fault(value)
                if fault is not None:
                    raise TuneError(f"{name} cannot be tried so far: {fault}")
            found.append((knob, tuple(sorted({*ranges[name], knob.now}))))
    sizes = [len(values) for _, values in found]
    if (prod(sizes) if together else sum(sizes)) > MOST:
        raise TuneError(f"these are more than {MOST} values, and each costs a check of the whole", "take wider steps")
    return found


class _Tuner:
    def __init__(
        self,
        ruleset: m.RuleSet,
        rule: m.Band | m.Alert,
        chosen: list[tuple[Knob, tuple[Fraction, ...]]],
        runs: tuple[LogStretch, ...],
        near: Fraction,
        work_limit: int,
        together: bool,
    ) -> None:
        self.ruleset = ruleset
        self.rule = rule
        self.chosen = chosen
        self.runs = runs
        self.near = near
        self.together = together
        self.options = Options(None, work_limit)
        self.guarded = _guarded(ruleset, rule)
        self.before = self._seen(ruleset)
        self.found = run(ruleset, self.options)

    def tuned(self, logs: Sequence[Path], column_map: ColumnMap | None, progress: Progress | None) -> Tuning:
        candidates: list[Candidate] = []
        tries: list[tuple[Knob, Fraction, tuple[Knob, Fraction] | None]]
        if self.together:
            (knob, values), (other, others) = self.chosen
            tries = [(knob, value, (other, second)) for value in values for second in others]
        else:
            tries = [(knob, value, None) for knob, values in self.chosen for value in values]
        for knob, value, second_try in tries:
            candidates.append(self._candidate(knob, value, second_try))
            if progress is not None:
                progress(len(candidates), len(tries))
        alert = self.rule.alert
        assert alert is not None, "only a statement with an alert is tuned"
        tightest = min(self.guarded, key=lambda declared: declared.allowed, default=None)
        return Tuning(
            FileName.of(self.ruleset.origin),
            None if column_map is None else column_map.path,
            self.rule.label,
            alert.text,
            alert.level.word,
            tuple(str(log) for log in logs),
            self.before.metrics.seconds,
            tuple((knob.name, knob.place) for knob, _ in self.chosen),
            self.near,
            sum(len(stretch.marks) for stretch in self.runs),
            len(self.before.near),
            None if tightest is None else tightest.label,
            None if tightest is None else tightest.allowed,
            tuple(candidates),
            _proposed(candidates, self.before.metrics.alerts),
        )

    def _seen(self, ruleset: m.RuleSet) -> SeenOverLogs:
        return seen(ruleset, self.rule.label, self.guarded, self.runs, self.near)

    def _candidate(self, knob: Knob, value: Fraction, other: tuple[Knob, Fraction] | None) -> Candidate:
        now = value == knob.now
        changed = knob.at(value)
        second = None
        if other is not None:
            now = now and other[1] == other[0].now
            second = KnobValue(other[0].name, other[1], other[0].unit)
            again = type(other[0])(changed.ruleset, statement_named(changed.ruleset, self.rule.label)).at(other[1])
            both = knob.place != other[0].place
            changed = replace(again, text=f"{changed.text}\n{again.text}") if both else again
        shown = self.before if now else self._seen(changed.ruleset)
        results: Results = self.found if now else run(changed.ruleset, self.options)
        rule = next(one for one in changed.ruleset.rules if one.label == self.rule.label)
        metrics = shown.metrics
        return Candidate(
            knob.name,
            value,
            knob.unit,
            now,
            metrics.alerts,
            metrics.alerts_per_hour,
            len(metrics.chattering),
            len(metrics.fleeting),
            shown.up,
            delay_of(changed.ruleset, rule, alert=True).seconds,
            len(shown.unseen),
            len(shown.late - self.before.late),
            len(self.before.near - shown.near),
            () if now else new_faults(self.found, results),
            changed.text,
            second,
        )


def _guarded(ruleset: m.RuleSet, rule: m.Band | m.Alert) -> tuple[m.Range, ...]:
    """The limits that a statement's alert counts for."""
    return tuple(declared for declared in ruleset.ranges if any(r is rule for r in alerts_for(ruleset, declared)))


def _proposed(candidates: Sequence[Candidate], alerts: int) -> tuple[int, ...]:
    """Of each knob the harmless one with fewest alerts, if they are fewer than now; of equal ones the one that is up
    soonest, then the least change."""
    now = {candidate.knob: candidate for candidate in candidates if candidate.now}
    best: dict[str, int] = {}

    def rank(place: int) -> tuple[int, Fraction, Fraction, Fraction, int]:
        candidate = candidates[place]
        old = now[candidate.knob]
        other = Fraction(0)
        if candidate.second is not None and old.second is not None:
            other = abs(candidate.second.value - old.second.value)
        return candidate.alerts, candidate.reaction, abs(candidate.value - old.value), other, place

    for place, candidate in enumerate(candidates):
        # An alert that never comes up any more is calm, and of no use: no log can show that it is not missed.
        if candidate.now or not candidate.harmless or not 0 < candidate.alerts < alerts:
            continue
        if candidate.knob not in best or rank(place) < rank(best[candidate.knob]):
            best[candidate.knob] = place
    return tuple(sorted(best.values(), key=lambda place: (candidates[place].alerts, candidates[place].reaction, place)))
