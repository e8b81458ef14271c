"""The proposals of a report tried, as far as that is worth its time; what one of them mends beside its own is told
there."""

from __future__ import annotations

from dataclasses import dataclass, replace

from alertlang.findings.finding import Finding, Lead, Suggestion, Trial
from alertlang.fixing.slip import Slip, slips
from alertlang.fixing.trial import Check, Stretch, TrialOutcome, Whole, outcome
from alertlang.fixing.write import applied
from alertlang.logic.solver import WORK_LIMIT
from alertlang.model.load import Loaded
from alertlang.results.report import Report

MOST_TRIED = 10
"""Findings whose proposal is tried: each costs a check of the whole, and a comparison if the check finds it good."""

_STATEMENTS = 2000
"""Of larger rule sets fewer are tried: so many statements in all the checks together."""


def judged(loaded: Loaded, report: Report, check: Check, work_limit: int = WORK_LIMIT) -> Report:
    """A report on what was loaded with its first proposals tried. `check`: the same checks for another text."""
    rules = loaded.ruleset
    if rules is None or not loaded.files or not any(is_open(finding) for finding in report.findings):
        return report
    size = len(rules.rules) + len(rules.ranges) + len(rules.claims)
    trying = _Trying(Whole(loaded, report), check, work_limit, min(MOST_TRIED, _STATEMENTS // max(1, size)))
    return replace(report, findings=tuple(trying.findings()))


def is_open(finding: Finding) -> bool:
    """It counts, and it was decided: what was not may not be there at all."""
    return finding.accepted is None and not finding.undecided


@dataclass(frozen=True, slots=True)
class _Good:
    """A proposal that was found good, and the places of the findings that it mends."""

    suggestion: Suggestion
    trial: Trial
    gone: frozenset[int]


class _Trying:
    def __init__(self, whole: Whole, check: Check, work_limit: int, most: int) -> None:
        self.whole, self.check, self.work_limit, self.most = whole, check, work_limit, most
        self.told: list[Finding] = list(whole.report.findings)
        self.good: dict[int, _Good] = {}
        assert whole.loaded.ruleset is not None
        self.slips: dict[int, list[Slip]] = {}
        for slip in slips(whole.loaded.ruleset, self.told):
            self.slips.setdefault(slip.findings[0], []).append(slip)

    def findings(self) -> list[Finding]:
        seen: dict[Suggestion, int] = {}
        tried = 0
        for i, finding in enumerate(self.whole.report.findings):
            if not is_open(finding) or any(i in good.gone for good in self.good.values()):
                continue
            if finding.suggestion is None and i not in self.slips:
                continue
            first = None if finding.suggestion is None else seen.setdefault(finding.suggestion, i)
            if first is not None and first != i:
                self._follow(i, first, "the same is proposed there")
            elif tried < self.most:
                tried += 1
                self._try(i, finding)
        for i in list(self.good):
            self._tell(i)
        return self.told

    def _try(self, i: int, finding: Finding) -> None:
        for slip in self.slips.get(i, ()):
            if any(j in good.gone for j in slip.findings for good in self.good.values()):
                continue
            mends = [self.whole.report.findings[j] for j in slip.findings]
            if self._outcome(i, slip.suggestion, mends, slip.between).trial.good:
                return
        if finding.suggestion is not None:
            found = self._outcome(i, finding.suggestion, [finding], None)
            self.told[i] = replace(finding, trial=found.trial)

    def _outcome(self, i: int, suggestion: Suggestion, mends: list[Finding], between: Stretch | None) -> TrialOutcome:
        then = applied(self.whole.loaded, suggestion.edits)
        found = outcome(self.whole, then, self.check, mends, between, self.work_limit)
        if found.trial.good:
            gone = (
                j
                for j, finding in enumerate(self.whole.report.findings)
                if any(finding is other for other in found.gone)
            )
            self.good[i] = _Good(suggestion, found.trial, frozenset(gone))
        return found

    def _tell(self, i: int) -> None:
        """What a good proposal mends carries it once, at the first of it. Of two, the one that mends all that the other
        mends and more."""
        if i not in self.good:
            return
        good = self.good[i]
        for j, other in list(self.good.items()):
            if j > i and good.gone < other.gone:
                good = self.good[i] = self.good.pop(j)
        finding = self.whole.report.findings[i]
        # Its advice may be about another suggestion.
        advice = finding.advice if finding.suggestion == good.suggestion else ()
        self.told[i] = replace(finding, suggestion=good.suggestion, trial=good.trial, advice=advice)
        for j in good.gone:
            if j != i and j not in self.good and is_open(self.whole.report.findings[j]):
                self._follow(j, i, good.suggestion.slip or "what is proposed there mends this too")

    def _follow(self, i: int, first: int, why: str) -> None:
        finding, lead = self.whole.report.findings[i], self.whole.report.findings[first]
        line = 1 if lead.where is None else lead.where.line
        # Its advice is about a suggestion that is not shown.
        advice = finding.advice if finding.suggestion is None else ()
        self.told[i] = replace(finding, suggestion=None, advice=advice, lead=Lead(lead.code, lead.path, line, why))
