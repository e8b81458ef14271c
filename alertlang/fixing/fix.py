"""Proposals written into a file, one at a time, each kept only if it is good.

A proposal is tried if it adds whole statements to the file that was named, or puts them in the place of whole
statements of that file. Everything else is left as it was.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from alertlang.findings.finding import Finding, Suggestion, Trial
from alertlang.fit.full_report import report_on
from alertlang.fixing.judged import is_open
from alertlang.fixing.slip import slips
from alertlang.fixing.trial import Stretch, TrialOutcome, Whole, outcome
from alertlang.fixing.write import written
from alertlang.logic.solver import WORK_LIMIT
from alertlang.model.display import LoadedDisplay
from alertlang.model.load import Loaded, load_any
from alertlang.results.report import Report
from alertlang.text.short import Short

MOST_TRIES = 100
"""Suggestions that are tried at most: each costs a check of the whole."""

_BESIDE = 2


@dataclass(frozen=True, slots=True)
class Tried:
    """A suggestion that was tried. `why`: the reason it was not kept, none if it was. `trial`: what came of it, none if
    it could not be written in."""

    finding: Finding
    why: str | None
    trial: Trial | None = None

    @property
    def gives_up(self) -> tuple[str, ...]:
        """What got less strict with it, as its finding asks."""
        return () if self.trial is None else self.trial.gives_up


@dataclass(frozen=True, slots=True, repr=False)
class Fixed(Short):
    """What became of a file: its bytes and its report, before and after; the same ones if nothing was kept.

    `left`: suggestions that were not kept in the end. `complete`: there was nothing more to try.
    """

    before: bytes
    after: bytes
    found: Report
    remaining: Report
    kept: tuple[Tried, ...]
    left: tuple[Tried, ...]
    complete: bool


@dataclass(frozen=True, slots=True)
class Setting:
    """How a file is to be read and checked; see `api.load` and `api.Rules.check`."""

    shown: str
    folder: Path
    search: tuple[Path, ...] = ()
    today: str | None = None
    work_limit: int = WORK_LIMIT

    def report(self, loaded: Loaded | LoadedDisplay) -> Report:
        return report_on(loaded, today=self.today, work_limit=self.work_limit)

    def load(self, data: bytes) -> Loaded | LoadedDisplay:
        return load_any(self.folder / "-", text=data, shown=self.shown, search=self.search)


def fix(data: bytes, setting: Setting, *, most: int = MOST_TRIES) -> Fixed:
    """The bytes of a rules file with the suggestions that are good written in, in the order of the text.

    Nothing is written to disk. Line ends, comments and everything else that no suggestion is about stay as they are.
    """
    loaded = setting.load(data)
    found = report = setting.report(loaded)
    if not isinstance(loaded, Loaded) or loaded.ruleset is None:
        return Fixed(data, data, found, found, (), (), True)
    after = data
    kept: list[Tried] = []
    left: dict[_Key, Tried] = {}
    tries = 0
    while tries < most:
        whole = Whole(loaded, report)
        proposal = next((p for p in _proposals(whole) if p.key not in left), None)
        if proposal is None:
            break
        tries += 1
        changed, came = _tried(after, setting, whole, proposal)
        if not came.trial.good:
            left[proposal.key] = Tried(proposal.mends[0], came.trial.short_of, None if changed is None else came.trial)
            continue
        for other in _beside(_proposals(whole), proposal, came):
            if tries == most:
                break
            tries += 1
            wider, then = _tried(after, setting, whole, other)
            if then.trial.good and set(map(id, came.gone)) < set(map(id, then.gone)):
                proposal, changed, came = other, wider, then
        assert changed is not None
        assert came.whole is not None
        kept.append(Tried(proposal.mends[0], None, came.trial))
        after, loaded, report = changed, came.whole.loaded, came.whole.report
        # What did not fit before may fit now.
        left.clear()
    complete = all(p.key in left for p in _proposals(Whole(loaded, report)))
    shown = _with_trials(report, left) if kept or left else found
    told = [tried for key, tried in left.items() if key[3] == ""]
    return Fixed(data, after, found, shown, tuple(kept), tuple(told), complete)


_Key = tuple[str, str, int, str]


@dataclass(frozen=True, slots=True)
class _Proposal:
    """What is to be tried, for which findings, and what it is known by within one text."""

    suggestion: Suggestion
    mends: Sequence[Finding]
    between: Stretch | None = None

    @property
    def key(self) -> _Key:
        return _key(self.mends[0], self.suggestion)


def _key(finding: Finding, suggestion: Suggestion) -> _Key:
    replaces = suggestion.replaces
    return (
        finding.code.code + finding.message,
        suggestion.text,
        -1 if replaces is None else replaces.start,
        suggestion.slip,
    )


def _proposals(whole: Whole) -> Iterator[_Proposal]:
    """In the order of the findings, a number that may be a slip before what a finding itself suggests."""
    assert whole.loaded.ruleset is not None
    findings = whole.report.findings
    numbers = slips(whole.loaded.ruleset, findings)
    for i, finding in enumerate(findings):
        for slip in numbers:
            if slip.findings[0] == i:
                yield _Proposal(slip.suggestion, [findings[j] for j in slip.findings], slip.between)
        if is_open(finding) and finding.suggestion is not None:
            yield _Proposal(finding.suggestion, [finding])


def _beside(proposals: Iterable[_Proposal], proposal: _Proposal, came: TrialOutcome) -> list[_Proposal]:
    """A few others for findings of the same kind that a good proposal leaves: one of them may mend both."""
    first = proposal.mends[0]
    kind = (first.code, first.quantity)
    left = (p for p in proposals if not p.suggestion.slip and (p.mends[0].code, p.mends[0].quantity) == kind)
    return [p for p in left if not any(p.mends[0] is gone for gone in came.gone)][:_BESIDE]


def _tried(data: bytes, setting: Setting, whole: Whole, proposal: _Proposal) -> tuple[bytes | None, TrialOutcome]:
    """The bytes with a proposal written in, and what comes of it; no bytes if it cannot be written."""
    changed = written(data, setting.shown, proposal.suggestion.edits)
    if isinstance(changed, str):
        return None, TrialOutcome(Trial(changed))
    loaded = setting.load(changed)
    assert isinstance(loaded, Loaded)
    return changed, outcome(whole, loaded, setting.report, proposal.mends, proposal.between, setting.work_limit)


def _with_trials(report: Report, left: dict[_Key, Tried]) -> Report:
    """A report whose suggestions were all tried, each with what came of it."""
    findings: list[Finding] = []
    for finding in report.findings:
        known = None if finding.suggestion is None else left.get(_key(finding, finding.suggestion))
        findings.append(finding if known is None else replace(finding, trial=known.trial))
    return replace(report, findings=tuple(findings))
