"""One call from a path to a rule set."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.model.display import LoadedDisplay, display_in
from alertlang.model.files import LoadedFile, Loading, load_files
from alertlang.model.resolve import resolve
from alertlang.model.ruleset import Origin, RuleSet
from alertlang.syntax.parse import parse
from alertlang.text.source import Source


@dataclass(frozen=True, slots=True)
class Loaded:
    """What a file came to. `ruleset` is none if the file could not be read, parsed or resolved; then `findings`
    says why. Otherwise `findings` holds what is no error. `origin` names the file as far as its header was read.
    `files`: what it was made of, the file itself last."""

    path: str
    origin: Origin | None
    ruleset: RuleSet | None
    findings: tuple[Finding, ...]
    files: tuple[LoadedFile, ...] = ()


def load_ruleset(path: Path, *, shown: str | None = None, search: Iterable[Path] = ()) -> Loaded:
    """The rule set (or profile) in a file, with all it uses."""
    return rules_in(load_files(path, shown, search))


def parse_ruleset(data: bytes, *, shown: str, folder: Path, search: Iterable[Path] = ()) -> Loaded:
    """The same for a text; `folder` is where it looks for what it uses."""
    return rules_in(load_files(folder / "-", shown, search, data))


def load_any(
    path: Path, *, text: bytes | None = None, shown: str | None = None, search: Iterable[Path] = ()
) -> Loaded | LoadedDisplay:
    """Whatever is in a file: a rule set, a profile or a display. `text`: what is in it, where it is not to be read."""
    loading = load_files(path, shown, search, text)
    return display_in(loading) if loading.is_display else rules_in(loading)


def rules_in(loading: Loading) -> Loaded:
    """The rule set that some files make up."""
    file, findings = loading.asked, loading.findings
    ruleset: RuleSet | None = None
    if file is not None and loading.is_display:
        way_out = "name a file of rules or a profile; `alertlang check` reads a display by itself"
        findings = findings + loading.wrong_kind(file, "a file of rules or a profile", way_out)
    elif file is not None:
        ruleset, more = resolve(loading.files, loading.incomplete)
        findings = findings + more
    if any(finding.severity is Severity.ERROR for finding in findings):
        ruleset = None
    findings = sorted(findings, key=lambda finding: finding.sort_key)
    origin = None if file is None else file.origin
    return Loaded(loading.shown, origin, ruleset, tuple(findings), tuple(loading.files))


def rewritten(loaded: Loaded, texts: Mapping[str, str]) -> Loaded:
    """What was loaded, some of its files with another text, by the path they are shown under. Nothing is read again.

    A text must keep its header and its `use` statements.
    """
    loading = Loading(loaded.path)
    for file in loaded.files:
        path = file.origin.path
        if path in texts:
            tree, findings = parse(Source(path, texts[path]))
            loading.findings += findings
            file = replace(file, origin=replace(file.origin, text=texts[path]), tree=tree)
        loading.files.append(file)
    loading.done = {file.path: file.uses for file in loading.files}
    return rules_in(loading)
