"""Writing suggestions into a file, one at a time, each kept only if a new check of the whole finds it good.

A suggestion is tried if it is one whole statement to add to the file that was named, or one to put in the place of
one whole statement of that file. It is kept if the finding is gone, and nothing new was found, nothing that was there
has become worse, and no claim that was proved is no longer so; and if it brings nothing back that a `drop` took away,
for which somebody gave a reason. Everything else is left as it was.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from alertlang.api import report_on
from alertlang.diagnostics.finding import Finding
from alertlang.diagnostics.report import Report, Verdict
from alertlang.logic.solver import WORK_LIMIT
from alertlang.model.display import LoadedDisplay
from alertlang.model.dropped import brings_back, dropped_rules
from alertlang.model.load import Loaded, parse_any
from alertlang.output.identity import no_worse
from alertlang.syntax.parse import parse
from alertlang.syntax.read import read_bytes
from alertlang.text.source import Source, Span

MOST_TRIES = 100
"""Suggestions that are tried at most: each costs a check of the whole."""

_MARK = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Tried:
    """A suggestion that was tried. `why`: the reason it was not kept, none if it was."""

    finding: Finding
    why: str | None


@dataclass(frozen=True, slots=True)
class Fixed:
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

    def report(self, data: bytes) -> Report:
        return report_on(self.load(data), today=self.today, work_limit=self.work_limit)

    def load(self, data: bytes) -> Loaded | LoadedDisplay:
        return parse_any(data, shown=self.shown, folder=self.folder, search=self.search)


def fix(data: bytes, setting: Setting, *, most: int = MOST_TRIES) -> Fixed:
    """The bytes of a rules file with the suggestions that are safe written in, in the order of the text.

    Nothing is written to disk. Line ends, comments and everything else that no suggestion is about stay as they are.
    """
    found = report = setting.report(data)
    after = data
    kept: list[Tried] = []
    left: dict[tuple[str, str, int], Tried] = {}
    tries = 0
    while report.readable and tries < most:
        one = next((f for f in report.findings if _is_open(f) and _key(f) not in left), None)
        if one is None:
            break
        tries += 1
        changed = _written(after, setting.shown, one)
        if isinstance(changed, str):
            left[_key(one)] = Tried(one, changed)
            continue
        then = setting.report(changed)
        why = _undoes_a_drop(after, changed, setting) or _against(report, then, one)
        if why is not None:
            left[_key(one)] = Tried(one, why)
            continue
        kept.append(Tried(one, None))
        after, report = changed, then
        # What did not fit before may fit now.
        left.clear()
    complete = not any(_is_open(f) and _key(f) not in left for f in report.findings) or not report.readable
    return Fixed(data, after, found, report, tuple(kept), tuple(left.values()), complete)


def _is_open(one: Finding) -> bool:
    """Something counts, and there is a suggestion. What was not decided may not be there at all."""
    return one.suggestion is not None and one.accepted is None and not one.undecided


def _key(one: Finding) -> tuple[str, str, int]:
    """Which suggestion for which finding, within one text."""
    assert one.suggestion is not None
    replaces = one.suggestion.replaces
    return (one.code.code + one.message, one.suggestion.text, -1 if replaces is None else replaces.start)


# ---- writing one suggestion in -----------------------------------------------------------------------------------


def _written(data: bytes, shown: str, one: Finding) -> bytes | str:
    """The bytes with a suggestion written in, or why it is not tried."""
    source = read_bytes(data, shown)
    assert isinstance(source, Source), "a file that was checked can be read"
    suggestion = one.suggestion
    assert suggestion is not None
    raw = data.removeprefix(_MARK).decode("utf-8")
    end = _line_end(raw)
    tree = parse(source)[0]
    if suggestion.replaces is None:
        before = raw if not raw or raw.endswith(("\n", "\r")) else raw + end
        text = before + suggestion.text.replace("\n", end) + end
        wanted = len(tree.statements) + 1
    else:
        span = suggestion.replaces
        if span.source.path != source.path or span.source.text != source.text:
            return f"it changes a statement of {span.source.path}, which only --fix on that file may do"
        if not any((s.span.start, s.span.end) == (span.start, span.end) for s in tree.statements):
            return "it does not stand for one whole statement"
        if any(span.start <= comment.span.start < span.end for comment in tree.comments):
            return "a comment stands inside the statement and would be lost"
        text = _replaced(raw, span, suggestion.text.replace("\n", end))
        wanted = len(tree.statements)
    changed = (_MARK if data.startswith(_MARK) else b"") + text.encode("utf-8")
    again = read_bytes(changed, shown)
    if not isinstance(again, Source):
        return "the file would be too large"
    read, wrong = parse(again)
    if wrong or read.broken or len(read.statements) != wanted:
        return "it is not one whole statement"
    return changed


def _replaced(raw: str, span: Span, text: str) -> str:
    """A text with a piece of it put anew. Places are counted with one kind of line end, the text has its own."""
    start, end = _raw_offsets(raw, (span.start, span.end))
    return raw[:start] + text + raw[end:]


def _raw_offsets(raw: str, offsets: Iterable[int]) -> list[int]:
    """Where places of the read text are in the text as it is on disk: a line end of two characters was read as one."""
    pairs: list[int] = []
    at = raw.find("\r\n")
    while at >= 0:
        # Every pair before makes a place come one earlier in what was read.
        pairs.append(at - len(pairs))
        at = raw.find("\r\n", at + 2)
    return [offset + sum(1 for pair in pairs if pair < offset) for offset in offsets]


def _line_end(raw: str) -> str:
    """The line end that a text uses first."""
    places = [(raw.find(end), -len(end), end) for end in ("\r\n", "\n", "\r") if end in raw]
    return min(places)[2] if places else "\n"


def _undoes_a_drop(before: bytes, after: bytes, setting: Setting) -> str | None:
    """Which `drop` a statement that was written in would undo; none if it undoes none."""
    old, new = setting.load(before), setting.load(after)
    if not isinstance(old, Loaded) or not isinstance(new, Loaded) or old.ruleset is None or new.ruleset is None:
        return None
    reasons = dict(old.ruleset.drops)
    if not reasons:
        return None
    known = {rule.label for rule in old.ruleset.rules}
    dropped = dropped_rules(
        before, shown=setting.shown, folder=setting.folder, search=setting.search, labels=frozenset(reasons)
    )
    for one in new.ruleset.rules:
        if one.label in known:
            continue
        for gone in dropped:
            if brings_back(new.ruleset, one, gone):
                return f"{gone.label} was dropped because: {reasons[gone.label]}; only a person may bring it back"
    return None


# ---- judging it --------------------------------------------------------------------------------------------------


def _against(before: Report, after: Report, one: Finding) -> str | None:
    """Why a change is not to be kept, none if it is."""
    if not after.readable:
        return f"the file could not be read any more: {after.findings[0].message}"
    worse = _worse_claim(before, after)
    if worse is not None:
        return worse
    # Each finding must be one that was there before, each of those stands for one; the mended one for none.
    pool = list(before.findings)
    pool.remove(one)
    left = list(after.findings)
    for exact in (True, False):
        for new in tuple(left):
            old = next((f for f in pool if _is_still(new, f, exact=exact)), None)
            if old is not None:
                pool.remove(old)
                left.remove(new)
    if not left:
        return None
    new = left[0]
    if _about(new) == _about(one):
        return "the finding would not be gone"
    return f"it would bring {new.code.code} {new.code.name}: {new.message}"


def _about(one: Finding) -> tuple[object, ...]:
    return (one.code, one.path, one.quantity, one.limit)


def _is_still(new: Finding, old: Finding, *, exact: bool) -> bool:
    """Whether a finding was there before. Which other statements it names may change with every statement added."""
    if _about(new) != _about(old) or new.undecided > old.undecided or (new.accepted is None) > (old.accepted is None):
        return False
    if new.region is None and new.statements != old.statements:
        return False
    if exact:
        return (new.severity, new.statements, new.region, new.reaction) == (
            old.severity,
            old.statements,
            old.region,
            old.reaction,
        )
    return no_worse(new, old.severity, old.region, old.reaction)


# The lower, the better.
_BADNESS = {Verdict.PROVED: 0, Verdict.VACUOUS: 1, Verdict.UNDECIDED: 2, Verdict.REFUTED: 3}


def _worse_claim(before: Report, after: Report) -> str | None:
    had = {claim.label: claim.verdict for claim in before.claims}
    for claim in after.claims:
        if _BADNESS[claim.verdict] > _BADNESS[had.get(claim.label, Verdict.PROVED)]:
            return f"the claim {claim.label} would be {claim.verdict.value}"
    return None
