"""For who writes rules and who reviews them: load, check, prove, evidence, compare, scenarios, format."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang.checks.registry import CHECKS
from alertlang.checks.run import Options
from alertlang.checks.run import prove as _claims
from alertlang.checks.run import run as _run
from alertlang.findings.codes import BY_NAME as BY_NAME
from alertlang.findings.codes import CODES as CODES
from alertlang.findings.codes import RETIRED as RETIRED
from alertlang.findings.codes import Severity as Severity
from alertlang.findings.errors import AlertlangError as AlertlangError
from alertlang.findings.errors import NameOrFileError as NameOrFileError
from alertlang.findings.finding import Finding as Finding
from alertlang.findings.pages import reading_pages
from alertlang.fit.full_report import basis_of, full_report, report_on
from alertlang.fit.run import DISPLAY_CHECKS
from alertlang.logic.solver import WORK_LIMIT as WORK_LIMIT
from alertlang.logic.solver import solver_version as solver_version
from alertlang.model.display import Display as Display
from alertlang.model.display import LoadedDisplay
from alertlang.model.display import load_display as _load_display
from alertlang.model.files import shipped_displays, shown_path
from alertlang.model.header import ENDING as ENDING
from alertlang.model.load import Loaded, load_any, load_ruleset, parse_ruleset
from alertlang.model.ruleset import RuleSet
from alertlang.results.comparison import Comparison as Comparison
from alertlang.results.report import ClaimResult as ClaimResult
from alertlang.results.report import FileName
from alertlang.results.report import Report as Report
from alertlang.results.report import Verdict as Verdict
from alertlang.results.scenario import ScenarioReport as ScenarioReport
from alertlang.results.why import Why as Why
from alertlang.text.suggest import nearest
from alertlang.text.version import __version__
from alertlang.units.number import parse_seconds as parse_seconds

# What `check` does without is imported where it is used.
if TYPE_CHECKING:
    from alertlang.checks.evidence import Asked as Asked
    from alertlang.checks.evidence import Evidence as Evidence
    from alertlang.fixing import Fixed as Fixed
    from alertlang.format.files import Formatted as Formatted
    from alertlang.logic.second import NoSecondSolverError as NoSecondSolverError
    from alertlang.scenarios.save import Saved as Saved

Where = str | Path


def __getattr__(name: str) -> object:
    """Types that are handed on without being loaded before somebody asks for them."""
    from importlib import import_module

    home = {
        "Asked": "alertlang.checks.evidence",
        "Evidence": "alertlang.checks.evidence",
        "Fixed": "alertlang.fixing",
        "Formatted": "alertlang.format.files",
        "NoSecondSolverError": "alertlang.logic.second",
        "Saved": "alertlang.scenarios.save",
    }
    if name in home:
        return getattr(import_module(home[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


class UnreadableError(AlertlangError, ValueError):
    """A file could not be read, parsed or resolved. `findings` says where and why; `report` is a report of them on the
    file, none where it is of a display or a scenario."""

    def __init__(self, findings: tuple[Finding, ...], report: Report | None = None) -> None:
        self.findings = findings
        self.report = report
        lines = []
        for finding in findings:
            place = (
                f"{finding.path}:{finding.where.line}:{finding.where.column}: "
                if finding.where
                else f"{finding.path}: "
            )
            lines.append(f"{place}{finding.code.code} {finding.message}")
        super().__init__("\n".join(lines))

    def __reduce__(self) -> tuple[type[UnreadableError], tuple[tuple[Finding, ...], Report | None]]:
        return UnreadableError, (self.findings, self.report)


class FormatFaultError(AlertlangError):
    """A fault of the tool: the canonical form does not say the same as the file."""


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

    @property
    def kind(self) -> str:
        """`rules` or `profile`."""
        return self.model.origin.kind

    @property
    def path(self) -> str:
        """As findings name the file."""
        return self.model.path

    @property
    def coloured(self) -> tuple[str, ...]:
        """The quantities that have bands, in the order of declaration."""
        shown = {band.quantity for band in self.model.bands}
        return tuple(name for name in self.model.quantities if name in shown)

    @property
    def open_errors(self) -> tuple[str, ...]:
        """How many errors are open and claims not proved, in words; empty for rules that are checked clean. The checks
        are run for it each time."""
        return _run(self.model).open_errors

    def check(
        self, *, today: str | None = None, work_limit: int = WORK_LIMIT, display: Display | None = None
    ) -> Report:
        """All checks and claims, and with a `display` whether it can hold the rules. `today` (an ISO date) ends
        exceptions that have an end; `work_limit` bounds each question to the solver in the solver's own measure of work
        (what it cannot decide within it is reported as undecided, which counts as an error). What findings propose was
        not tried in the whole: `check(path)` does that."""
        return full_report(self.model, self.warnings, today=today, work_limit=work_limit, display=display)

    def prove(self, *, work_limit: int = WORK_LIMIT) -> tuple[ClaimResult, ...]:
        """The claims alone: proved, refuted with a witness, vacuous or undecided."""
        return _claims(self.model, Options(None, work_limit))

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

    def claims_report(self, claims: tuple[ClaimResult, ...]) -> Report:
        """What `prove` came to as a report: nothing was checked in it but the claims."""
        origin, used = FileName.of(self.model.origin), tuple(FileName.of(profile) for profile in self.model.profiles)
        return Report(origin, used, True, self.warnings, claims, basis=basis_of(self.model))


# ---- reading


def load(path: Where, *, shown: str | None = None, search: Iterable[Where] = ()) -> Rules:
    """The rule set or profile in a file, with all it uses.

    `shown`: how findings name it, else its path. `search`: more folders to look in for what it uses. Raises
    UnreadableError, with every mistake in it, if the file could not be read, parsed or resolved.
    """
    return _rules(load_ruleset(Path(path), shown=shown, search=_folders(search)))


def loads(text: str | bytes, *, name: str = "<text>", folder: Where = ".", search: Iterable[Where] = ()) -> Rules:
    """The same for a text (bytes: as they stand in a file). `name` is how findings call it, `folder` where it looks for
    what it uses."""
    return _rules(parse_ruleset(_bytes(text), shown=name, folder=Path(folder), search=_folders(search)))


def load_display(name: Where) -> Display:
    """A display: a shipped one by name, or the path of a .display file. NameOrFileError if there is none of that name,
    UnreadableError if the file cannot be read."""
    shipped, path = shipped_displays(), Path(name)
    found = shipped.get(str(name)) if not path.exists() else None
    if found is None and not path.exists() and path.suffix != ".display":
        close = nearest(str(name), list(shipped))
        meant = f"did you mean {close}?" if close else f"shipped are {', '.join(shipped)}; or name a .display file"
        raise NameOrFileError(f"there is no display {name}", meant)
    loaded = _load_display(found or path, shown=str(name) if found is None else shown_path(found))
    if loaded.display is None:
        raise UnreadableError(loaded.findings)
    return loaded.display


def _rules(loaded: Loaded) -> Rules:
    if loaded.ruleset is None:
        raise UnreadableError(loaded.findings, report_on(loaded))
    return Rules(loaded.ruleset, loaded.findings)


def _folders(search: Iterable[Where]) -> tuple[Path, ...]:
    return tuple(Path(path) for path in search)


def _bytes(text: str | bytes) -> bytes:
    return text.encode("utf-8") if isinstance(text, str) else text


# ---- checking and proving


def check(
    path: Where,
    *,
    text: str | bytes | None = None,
    shown: str | None = None,
    search: Iterable[Where] = (),
    today: str | None = None,
    work_limit: int = WORK_LIMIT,
    display: Display | None = None,
) -> Report:
    """Everything about a file, with what its findings propose tried in the whole. One that cannot be read is a report
    too: `readable` is false, and its findings say why. A display may be named: it is read, and no more.

    `text`: what is in the file, where it is not to be read; what it uses is looked for beside `path`. The rest as for
    `load` and `Rules.check`.
    """

    def judge(loaded: Loaded | LoadedDisplay) -> Report:
        return report_on(loaded, today=today, work_limit=work_limit, display=display)

    loaded = _any(path, text, shown, search)
    report = judge(loaded)
    if not isinstance(loaded, Loaded) or not any(finding.suggestion or finding.region for finding in report.findings):
        return report
    from alertlang.fixing import judged

    return judged(loaded, report, judge, work_limit)


def _any(path: Where, text: str | bytes | None, shown: str | None, search: Iterable[Where]) -> Loaded | LoadedDisplay:
    if text is None:
        return load_any(Path(path), shown=shown, search=_folders(search))
    return load_any(Path(path).parent / "-", text=_bytes(text), shown=shown or str(path), search=_folders(search))


def fix(
    path: Where,
    *,
    shown: str | None = None,
    search: Iterable[Where] = (),
    today: str | None = None,
    work_limit: int = WORK_LIMIT,
) -> Fixed | None:
    """What becomes of a file with the proposals that are good written in, one at a time, each tried in the whole:
    `.after` are its bytes then. Nothing is written. None for what cannot be read; `check` says why. NameOrFileError
    for a file that ships with the tool.
    """
    from alertlang.fixing import Setting
    from alertlang.fixing import fix as fixed
    from alertlang.syntax.read import read_file
    from alertlang.text.resources import profiles_dir

    file, name = Path(path), shown or str(path)
    # What a pipe gives can be read once, and nothing can be put in its place.
    if not file.is_file() or isinstance(read_file(file, name), Finding):
        return None
    if file.resolve().is_relative_to(profiles_dir().resolve()):
        what = "it ships with the tool: state what differs in a file of your own that uses it"
        raise NameOrFileError(f"{name}: {what}")
    return fixed(file.read_bytes(), Setting(name, file.parent, _folders(search), today, work_limit))


def prove(rules: Rules, *, work_limit: int = WORK_LIMIT) -> Report:
    """The claims of a rule set as a report in which nothing else was asked; `.claims` has them one by one."""
    return rules.claims_report(rules.prove(work_limit=work_limit))


def second_solver_version() -> str:
    """For example `cvc5 1.2.0`; NoSecondSolverError if it is not installed."""
    from alertlang.logic.second import SecondSolver

    return SecondSolver().version


def evidence_text(evidence: Evidence) -> str:
    """Every question with its answer as one SMT-LIB 2 file, which any solver that reads SMT-LIB 2 can check."""
    from alertlang.checks.evidence_file import evidence_text as written

    return written(evidence, __version__)


def compare(before: Rules, after: Rules, *, work_limit: int = WORK_LIMIT) -> Comparison:
    """Everything in which `after` differs from `before` by meaning, each difference with a witness.

    `.same` is a proof, `.less_strict` whether anything got less strict, `.summary` a line for a change log.
    NameOrFileError for a rule set and a profile.
    """
    from alertlang.comparison.compare import compare as compared

    if before.kind != after.kind:
        names = " and ".join(f"{rules.path} ({rules.kind})" for rules in (before, after))
        raise NameOrFileError(f"{names} are not of one kind", "name two rule sets, or two profiles")
    return compared(before.model, after.model, work_limit=work_limit)


# ---- scenarios


def run_scenario(
    path: Where,
    *,
    text: str | bytes | None = None,
    shown: str | None = None,
    rules: Rules | None = None,
    search: Iterable[Where] = (),
) -> ScenarioReport:
    """A scenario run over the rules it names (or over `rules`): its first difference, if there is one. `text` as for
    `check`.

    Where it could not be read, `findings` of the report says why.
    """
    from alertlang.scenarios.load import load_scenario, parse_scenario_text
    from alertlang.scenarios.run import report_on_scenario

    model, folders = None if rules is None else rules.model, _folders(search)
    if text is None:
        return report_on_scenario(load_scenario(Path(path), shown=shown, rules=model, search=folders))
    name, folder = shown or str(path), Path(path).parent
    return report_on_scenario(parse_scenario_text(_bytes(text), shown=name, folder=folder, rules=model, search=folders))


def why_given(rules: Rules, inputs: Iterable[str], *, after: Fraction = Fraction(0), about: str | None = None) -> Why:
    """Why a state shows what it shows: inputs are `rpm=2500`, `oil_temp=40F`, `cht[2]=failed`, `flaps=landing` (the
    name of an array gives all its elements), held for `after` seconds from the first sample on. What depends on others
    is not judged. `about`: a gauge, the text of an alert or of a lamp, and that alone.

    UnreadableError for a value that cannot be, NameOrFileError for a name that is none or an input that is missing.
    """
    from alertlang.scenarios.given import given_state
    from alertlang.why.held import why_held

    state, findings = given_state(rules.model, inputs)
    if state is None:
        raise UnreadableError(findings)
    return why_held(rules.model, state.readings, state.positions, after, about)


def witness_scenarios(rules: Rules, report: Report, *, named: bool = True, prefix: str = "") -> tuple[Saved, ...]:
    """A scenario for each finding and each refuted claim of a report that has a witness, with a name for its file
    (after `prefix`) and its text. What is expected in it is what the rules show now. `named`: it names the rules."""
    from alertlang.checks.registry import SEEN
    from alertlang.scenarios.save import saved

    return saved(rules.model, report.findings, report.claims, seen=SEEN, named=named, prefix=prefix)


# ---- form and words


def format_rules(path: Where, *, text: str | bytes | None = None, shown: str | None = None) -> Formatted:
    """A file in its canonical form: `.after`, with `.before` as it was, both bytes. Nothing is written. `text` as for
    `check`. UnreadableError for a file with a mistake in it; FormatFaultError, a fault of the
    tool, if what it would give does not say the same."""
    from alertlang.format.files import format_bytes, format_file
    from alertlang.format.text import Refused

    name = shown or str(path)
    found = format_file(Path(path), name) if text is None else format_bytes(_bytes(text), name)
    if not isinstance(found, Refused):
        return found
    if found.findings:
        raise UnreadableError(found.findings)
    raise FormatFaultError(found.fault)


def difference(formatted: Formatted) -> bytes:
    """From a file to its canonical form as a unified diff, byte for byte; empty if nothing changes."""
    from alertlang.format.files import difference as told

    return told(formatted)


def pages() -> Mapping[str, str]:
    """The page of every kind of finding, by its name."""
    found = dict(reading_pages())
    found.update({check.code.name: check.page for check in CHECKS})
    found.update({check.code.name: check.page for check in DISPLAY_CHECKS})
    return {name: found[name] for name in BY_NAME}
