"""One call from a path to a scenario."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding, finding
from alertlang.model.files import Loading, shown_path, take_in
from alertlang.model.load import Loaded, rules_in
from alertlang.model.ruleset import Origin, RuleSet
from alertlang.scenarios.bind import bind
from alertlang.scenarios.scenario import Scenario
from alertlang.syntax import scenario_tree as st
from alertlang.syntax import tree as t
from alertlang.syntax.read import read_bytes, read_file
from alertlang.syntax.scenario import parse_scenario
from alertlang.text.source import Source, Span


@dataclass(frozen=True, slots=True)
class LoadedScenario:
    """What a file came to. `scenario` is none if the file, or the rules it uses, could not be read; then `findings`
    says why. `name` and `version` are those of its header, as far as it was read; `rules` the rules it is for."""

    path: str
    name: str
    version: int | None
    rules: Origin | None
    scenario: Scenario | None
    findings: tuple[Finding, ...]


def load_scenario(
    path: Path, *, rules: RuleSet | None = None, shown: str | None = None, search: Iterable[Path] = ()
) -> LoadedScenario:
    """The scenario in a file, with the rules it uses; `rules`, if they are given, stand for those."""
    name = shown if shown is not None else shown_path(path)
    return _load(read_file(path, name), name, path.parent, rules, tuple(search))


def parse_scenario_text(
    data: bytes, *, shown: str, folder: Path, rules: RuleSet | None = None, search: Iterable[Path] = ()
) -> LoadedScenario:
    """The same for a text; `folder` is where it looks for the rules it uses."""
    return _load(read_bytes(data, shown), shown, folder, rules, tuple(search))


def _load(
    source: Source | Finding, shown: str, folder: Path, rules: RuleSet | None, search: tuple[Path, ...]
) -> LoadedScenario:
    if isinstance(source, Finding):
        return LoadedScenario(shown, "", None, None, None, (source,))
    tree, findings = parse_scenario(source)
    header, wrong = _header(tree)
    findings += wrong
    origin: Origin | None = None
    if rules is None and not _is_another_file(findings):
        loaded = _rules(tree, folder, search, findings)
        rules, origin = loaded.ruleset, loaded.origin
        findings += loaded.findings
    elif rules is not None:
        origin = rules.origin
    scenario: Scenario | None = None
    if rules is not None:
        # Without a header it is read all the same, to say everything that is wrong at once.
        scenario, more = bind(tree, header or _no_header(source), rules)
        findings += more
    if any(found.severity is Severity.ERROR for found in findings):
        scenario = None
    findings.sort(key=lambda found: found.sort_key)
    name, version = (header.name.text, int(header.version.number)) if header is not None else ("", None)
    return LoadedScenario(shown, name, version, origin, scenario, tuple(findings))


def _no_header(source: Source) -> t.Header:
    span = Span(source, 0, 0)
    return t.Header(span, "scenario", t.WordNode(span, ""), t.Value(span, Fraction(1), None))


def _is_another_file(findings: list[Finding]) -> bool:
    return any(found.code.name == "wrong-kind" for found in findings)


def _header(tree: st.ScenarioFile) -> tuple[t.Header | None, list[Finding]]:
    """The header, if it is right, and what is wrong with it."""
    wrong: list[Finding] = []

    def report(name: str, message: str, where: Span, advice: str) -> None:
        wrong.append(finding(name, message, where, advice=(advice,)))

    headers = [node for node in tree.statements if isinstance(node, t.Header)]
    first = min((*(node.span for node in tree.statements), *tree.broken), key=lambda span: span.start, default=None)
    if not headers:
        if first is None:
            what = "holds nothing but comments" if tree.comments else "is empty"
            where = Span(tree.source, 0, 0)
            report("misplaced-statement", f"the file {what}", where, 'write: scenario "cold-start" version 1')
        elif not any(span is first for span in tree.broken):
            advice = 'write as its first line, for example: scenario "cold-start" version 1'
            report("misplaced-statement", "the file has no header that says what it is", first, advice)
        return None, wrong
    header = headers[0]
    if header.span is not first and not any(span is first for span in tree.broken):
        advice = "move this line to the top of the file"
        report("misplaced-statement", "the header must be the first statement", header.span, advice)
    for again in headers[1:]:
        message = f"a file has one header, and it stands in line {header.span.line}"
        report("misplaced-statement", message, again.span, "take this one out")
    if header.version.number.denominator != 1:
        report("bad-value", "a version is a whole number", header.version.span, "write 1, 2, 3 ...")
    if not header.name.text.strip():
        report("bad-value", "the name is empty", header.name.span, "say what the scenario is about")
    return header, wrong


def _rules(tree: st.ScenarioFile, folder: Path, search: tuple[Path, ...], findings: list[Finding]) -> Loaded:
    """The rules that a scenario names."""
    uses = [node for node in tree.statements if isinstance(node, t.Use)]
    for again in uses[1:]:
        message = f"a scenario is about one file of rules, and line {uses[0].span.line} names it"
        findings.append(finding("misplaced-statement", message, again.span, advice=("take this one out",)))
    if not uses:
        if not tree.broken:
            where = tree.statements[0].span if tree.statements else Span(tree.source, 0, 0)
            advice = (
                "give their file on the command line with --rules FILE",
                'or write for example: use rules "osier", for a file osier.alert beside it',
            )
            message = "the scenario does not say for which rules it is"
            findings.append(finding("missing-file", message, where, advice=advice))
        return Loaded(tree.source.path, None, None, ())
    loading = Loading(tree.source.path, search)
    # The rules count as the file that was asked for, so that they stand at depth 0.
    user = Origin("scenario", "", 0, tree.source.path, -1)
    take_in(loading, uses[0], folder, user, -1)
    return rules_in(loading)
