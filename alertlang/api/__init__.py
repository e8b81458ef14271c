"""One call each: load a rule set, check it, prove its claims.

import alertlang

rules = alertlang.load("examples/02-bramble/bramble.alert")
for finding in rules.check().findings:
    print(finding.message)
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang import __version__
from alertlang.checks.registry import CHECKS
from alertlang.checks.run import Options, prove
from alertlang.findings.codes import BY_NAME
from alertlang.findings.finding import Finding
from alertlang.findings.pages import PAGES
from alertlang.fit.full_report import basis_of as basis_of
from alertlang.fit.full_report import file_name, full_report
from alertlang.fit.full_report import report_on as report_on
from alertlang.fit.run import DISPLAY_CHECKS
from alertlang.logic.solver import WORK_LIMIT
from alertlang.model.display import Display
from alertlang.model.expression import CurveOver
from alertlang.model.grades import citing, grade_of, numbers_by_grade
from alertlang.model.load import Loaded, load_ruleset, parse_ruleset
from alertlang.model.ruleset import Quantity, RuleSet, in_seconds
from alertlang.model.sources import comparisons_of, count_of, document_of
from alertlang.results.report import ClaimResult, ProfileSheet, Report, SheetEntry
from alertlang.results.scenario import ScenarioReport
from alertlang.text.source import Span

# What `check` does without is imported where it is used.
if TYPE_CHECKING:
    from alertlang.checks.evidence import Evidence
    from alertlang.drafting.draft import Draft
    from alertlang.drafting.style import Style
    from alertlang.groundtest.card import Card
    from alertlang.library.entry import Entry
    from alertlang.library.verify import State
    from alertlang.logs.column_map import ColumnMap
    from alertlang.results.comparison import Comparison
    from alertlang.results.fit import FitReport
    from alertlang.results.fleet import FleetResult
    from alertlang.results.readback import Readback
    from alertlang.results.replay import ReplayComparison, ReplayResult
    from alertlang.results.tune import Tuning


class UnreadableError(ValueError):
    """The file could not be read, parsed or resolved. `findings` says where and why."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        self.findings = findings
        lines = []
        for one in findings:
            place = f"{one.path}:{one.where.line}:{one.where.column}: " if one.where else ""
            lines.append(f"{place}{one.code.code} {one.message}")
        super().__init__("\n".join(lines))


@dataclass(frozen=True, slots=True)
class Rules:
    """A rule set (or a profile) that was read without errors.

    `model` is everything it says, with names bound and numbers exact. `warnings` are findings from reading that are no
    errors.
    """

    model: RuleSet
    warnings: tuple[Finding, ...] = ()

    @property
    def name(self) -> str:
        return self.model.name

    @property
    def version(self) -> int:
        return self.model.version

    def check(
        self, *, today: str | None = None, work_limit: int = WORK_LIMIT, display: Display | None = None
    ) -> Report:
        """All checks and claims, and with a `display` whether it can hold the rules. `today` (an ISO date) ends
        exceptions that have an end; `work_limit` bounds each question to the solver in the solver's own measure of work
        (what it cannot decide within it is reported as undecided, which counts as an error)."""
        return full_report(self.model, self.warnings, today=today, work_limit=work_limit, display=display)

    def prove(self, *, work_limit: int = WORK_LIMIT) -> tuple[ClaimResult, ...]:
        """The claims alone: proved, refuted with a witness, vacuous or undecided."""
        return prove(self.model, Options(None, work_limit))

    def evidence(
        self,
        *,
        checks: bool = False,
        today: str | None = None,
        work_limit: int = WORK_LIMIT,
        second_solver: bool = False,
    ) -> Evidence:
        """The same (with `checks` all checks too) with every question that was asked, stated in words.

        `second_solver`: cvc5 answers them again; NoSecondSolverError if it is not installed. A claim on which the two
        solvers disagree is undecided.
        """
        from alertlang.checks.evidence import gather
        from alertlang.logic.second import SecondSolver

        second = SecondSolver() if second_solver else None
        return gather(self.model, checks=checks, today=today, work_limit=work_limit, second=second)


def load(path: str | Path, *, search: Iterable[str | Path] = ()) -> Rules:
    """The rule set or profile in a file, with all it uses.

    `search`: more folders to look in for what it uses. Raises UnreadableError, with every mistake in it, if the file
    could not be read, parsed or resolved.
    """
    return _rules(load_ruleset(Path(path), search=tuple(Path(p) for p in search)))


def loads(text: str, *, name: str = "<text>", folder: str | Path = ".", search: Iterable[str | Path] = ()) -> Rules:
    """The same for a text. `name` is how findings call it, `folder` where it looks for what it uses."""
    loaded = parse_ruleset(text.encode("utf-8"), shown=name, folder=Path(folder), search=tuple(Path(p) for p in search))
    return _rules(loaded)


def _rules(loaded: Loaded) -> Rules:
    if loaded.ruleset is None:
        raise UnreadableError(loaded.findings)
    return Rules(loaded.ruleset, loaded.findings)


def evidence_text(evidence: Evidence) -> str:
    """Every question with its answer as one SMT-LIB 2 file, which any solver that reads SMT-LIB 2 can check."""
    from alertlang.checks.evidence_file import evidence_text as written

    return written(evidence, __version__)


def fit_report(rules: RuleSet, display: Display, *, work_limit: int = WORK_LIMIT) -> FitReport:
    """Whether a display can hold a rule set: what is needed and what is there, what does not fit, and which statements,
    merged or dropped, would make it fit."""
    from alertlang.fit.report import report_of

    return report_of(rules, display, work_limit)


def run_scenario(path: str | Path, *, rules: Rules | None = None, search: Iterable[str | Path] = ()) -> ScenarioReport:
    """A scenario run over the rules it names (or over `rules`): its first difference, if there is one.

    Where it could not be read, `findings` of the report says why.
    """
    from alertlang.scenarios.load import load_scenario
    from alertlang.scenarios.run import report_on_scenario

    model = None if rules is None else rules.model
    return report_on_scenario(load_scenario(Path(path), rules=model, search=tuple(Path(p) for p in search)))


def witness_scenarios(rules: Rules, report: Report) -> Mapping[str, str]:
    """The text of a scenario for each finding and each refuted claim of a report that has a witness, by a name for its
    file. What is expected in it is what the rules show now."""
    from alertlang.scenarios.save import saved

    return {one.name: one.text for one in saved(rules.model, report.findings, report.claims)}


def replay(rules: Rules, log: str | Path, *, column_map: str | Path | None = None) -> ReplayResult:
    """A recorded run over the rules: alerts, colours, marks, lamps, broken limits, how much the rules nag.

    `column_map`: the file that says which column feeds which quantity; without it columns named like quantities are
    taken. alertlang.logs.log_error.LogError if the log or the map cannot be used.
    """
    from alertlang.replay.run import replay as replayed

    return replayed(Path(log), rules.model, _column_map(column_map))


def replay_against(
    rules: Rules, other: Rules, log: str | Path, *, column_map: str | Path | None = None
) -> ReplayComparison:
    """What `other` would have shown differently from `rules` over a recorded run, interval by interval."""
    from alertlang.replay.against import replay_against as compared

    return compared(Path(log), rules.model, other.model, _column_map(column_map))


def _column_map(path: str | Path | None) -> ColumnMap | None:
    from alertlang.logs.column_map import load_column_map

    return None if path is None else load_column_map(Path(path))


def fleet(
    rules: Rules,
    logs: Iterable[str | Path],
    results: str | Path,
    *,
    column_map: str | Path | None = None,
    workers: int = 1,
    cluster: str | None = None,
    again: bool = False,
) -> FleetResult:
    """Logs, and all logs in folders, over rules, in `workers` processes or on the Dask cluster at an address. Results
    are kept in a folder, where what is finished stays so: see `alertlang.fleet.run`, FleetError and LogError too."""
    from alertlang.fleet.run import fleet as gone_through

    named = tuple(Path(one) for one in logs)
    mapped = _column_map(column_map)
    return gone_through(
        named, rules.model, mapped, Path(results), tool=__version__, workers=workers, cluster=cluster, again=again
    )


def tune(
    rules: Rules,
    statement: str,
    logs: Iterable[str | Path],
    *,
    column_map: str | Path | None = None,
    ranges: Mapping[str, Sequence[Fraction]] | None = None,
) -> Tuning:
    """Other values for a number of one statement over logs, each checked: see `Tuning`. `ranges` by knob (`after`, `for
    more than`, `threshold`, `deadband`). TuneError for what cannot be tuned, LogError for what cannot be used."""
    from alertlang.tuning.tune import tune as tuned

    paths = tuple(Path(one) for one in logs)
    return tuned(rules.model, statement, paths, _column_map(column_map), ranges=ranges)


def compare(before: Rules, after: Rules, *, work_limit: int = WORK_LIMIT) -> Comparison:
    """Everything in which `after` differs from `before` by meaning, each difference with a witness.

    `.same` is a proof, `.less_strict` whether anything got less strict, `.summary` a line for a change log.
    """
    from alertlang.comparison.compare import compare as compared

    return compared(before.model, after.model, work_limit=work_limit)


def sheet(rules: Rules, *, blank: bool = False) -> bytes:
    """The installer's sheet as a CSV file to be filled in; `blank`: without what is to be read off the box."""
    from alertlang.keying.csv_file import sheet_csv
    from alertlang.keying.lines import sheet_of
    from alertlang.library.identity import content_digest

    return sheet_csv(sheet_of(rules.model, digest=content_digest(rules.model)), blank=blank)


def readback(rules: Rules, record: str | Path, *, anyway: bool = False, work_limit: int = WORK_LIMIT) -> Readback:
    """The sheet as it was filled in, held against the rules line by line and by meaning: `.good`, or `.findings` with
    lines. alertlang.keying.csv_file.RecordError if it is none, or of other rules (unless `anyway`)."""
    from alertlang.keying.csv_file import read_record
    from alertlang.keying.readback import read_back
    from alertlang.library.identity import content_digest

    rows = read_record(Path(record).read_bytes())
    digest = content_digest(rules.model)
    return read_back(rules.model, rows, digest=digest, record=str(record), anyway=anyway, work_limit=work_limit).result


def add_to_library(
    path: str | Path,
    library: str | Path,
    *,
    search: Iterable[str | Path] = (),
    replace: bool = False,
    today: str | None = None,
    work_limit: int = WORK_LIMIT,
) -> Entry:
    """The entry that a rule file becomes in a library, which is started if the folder is new or empty. `replace`: an
    entry of that name gives way. alertlang.library.errors.LibraryError, and a library as it was, if it cannot be."""
    from alertlang.library.pinning import add

    folders = tuple(Path(p) for p in search)
    return add(
        Path(path),
        Path(library),
        tool=__version__,
        search=folders,
        replace=replace,
        today=today,
        work_limit=work_limit,
    )


def verify_library(
    library: str | Path,
    names: Iterable[str] = (),
    *,
    recheck: bool = False,
    today: str | None = None,
    work_limit: int = WORK_LIMIT,
) -> tuple[State, ...]:
    """How entries (all, if none is named) stand against their digests and signatures; with `recheck` the checks are run
    again on all cores. `.good` says whether all is as it should be; one that cannot be read is a BrokenEntry with its
    `message` and `way_out`. LibraryError if the library cannot be read, or has no entry of a name."""
    from alertlang.library.verify import verify

    return verify(Path(library), tuple(names), tool=__version__, again=recheck, today=today, work_limit=work_limit)


def draft(
    profiles: Iterable[str],
    *,
    name: str = "draft",
    version: int = 1,
    style: Style | None = None,
    search: Iterable[str | Path] = (),
) -> Draft:
    """A complete rule set from profiles (shipped ones by name, or files), checked: see `Draft`. The same profiles and
    style give the same bytes."""
    from alertlang.drafting.draft import draft as drafted
    from alertlang.drafting.style import Style

    folders = tuple(Path(p) for p in search)
    return drafted(profiles, name=name, version=version, style=style or Style(), search=folders)


def cards(rules: Rules) -> Card:
    """The ground-test card of a rule set: steps with what to set and what must be seen, and what it cannot show.

    `alertlang.documents` has `card_html.as_html` and `card_pdf.as_pdf` for it, `alertlang.groundtest.table` has
    `as_csv` and `results`.
    """
    from alertlang.groundtest.card import card

    return card(rules.model)


def pages() -> Mapping[str, str]:
    """The page of every kind of finding, by its name."""
    found = dict(PAGES)
    found.update({check.code.name: check.page for check in CHECKS})
    found.update({check.code.name: check.page for check in DISPLAY_CHECKS})
    return {name: found[name] for name in BY_NAME}


def profile_sheet(model: RuleSet) -> ProfileSheet:
    """Every number of a profile with where it comes from.

    A `let` or `curve` that cites no source is shown with those of the limits and ranges that read it.
    """
    entries = [
        SheetEntry("quantity", q.name, _on_one_line(q.span), tuple(s.in_words for s in q.sources), grade_of(q.sources))
        if q.derived is None
        else _derived_entry(model, q)
        for q in model.quantities.values()
    ]
    entries += [
        SheetEntry("weight", "weight", _on_one_line(w.span), tuple(s.in_words for s in w.sources), grade_of(w.sources))
        for w in model.weights
    ]
    entries += [SheetEntry("switch", s.name, _on_one_line(s.span), (), None) for s in model.switches.values()]
    entries += [
        SheetEntry(
            "condition",
            c.name,
            _on_one_line(c.span),
            tuple(s.in_words for s in c.sources),
            grade_of(c.sources),
        )
        for c in model.conditions.values()
    ]
    entries += [
        SheetEntry(
            "assumption",
            a.label,
            _on_one_line(a.span),
            tuple(s.in_words for s in a.sources),
            grade_of(a.sources),
        )
        for a in model.assumptions
    ]
    entries += [
        SheetEntry(r.kind, r.label, _on_one_line(r.span), tuple(s.in_words for s in r.sources), grade_of(r.sources))
        for r in model.ranges
    ]
    return ProfileSheet(
        file_name(model.origin),
        model.about,
        model.engine,
        tuple(f"{source.name}: {source.in_words}{_read(model, source.name)}" for _, source in model.sources),
        tuple(entries),
        _reaction_times(model),
        numbers_by_grade(model),
        tuple((one.outcome, one.in_words) for one in comparisons_of(model)),
        count_of(model, "agrees"),
        count_of(model, "disagrees"),
    )


def _read(model: RuleSet, name: str) -> str:
    """Where a source of a shipped profile was read, and when, where that was written down."""
    document = document_of(model.origin.name, name)
    if document is None or not document.read_at:
        return ""
    when = f" on {document.read_on.isoformat()}" if document.read_on else ""
    return f" [read{when}: {', '.join(document.read_at)}]"


def _derived_entry(model: RuleSet, quantity: Quantity) -> SheetEntry:
    kind = "curve" if isinstance(quantity.derived, CurveOver) else "let"
    words = tuple(source.in_words for source in quantity.sources)
    sources = quantity.sources
    if not sources:
        cited = [(one.label, source) for one in citing(model, quantity.name) for source in one.sources]
        words = tuple(f"as {label}: {source.in_words}" for label, source in cited)
        sources = tuple(source for _, source in cited)
    return SheetEntry(kind, quantity.name, _on_one_line(quantity.span), words, grade_of(sources))


def _reaction_times(model: RuleSet) -> tuple[str, ...]:
    """How soon red and an alert must be up where a limit does not say so itself, each time with who says it."""
    said: dict[tuple[Fraction, str], list[str]] = {}
    for one in model.ranges:
        if one.kind in {"limit", "avoid"} and one.allowed_by != "`within`":
            said.setdefault((one.allowed, one.allowed_by), []).append(one.label)
    count = {by: sum(1 for _, other in said if other == by) for _, by in said}
    return tuple(
        f"{in_seconds(time)} ({by})" + (f": {', '.join(labels)}" if count[by] > 1 else "")
        for (time, by), labels in said.items()
    )


_COMMENT = re.compile(r'("[^"]*")|#.*')


def _on_one_line(span: Span) -> str:
    """A statement without its line breaks and comments; `#` in a text is none."""
    lines = (_COMMENT.sub(lambda match: match[1] or "", line).strip() for line in span.text.split("\n"))
    return " ".join(line for line in lines if line)
