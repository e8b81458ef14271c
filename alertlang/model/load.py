"""One call from a path to a rule set."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.model.display import LoadedDisplay, asked_for, finish_display, wrong_kind
from alertlang.model.files import LoadedFile, Loading, load_files, load_text, shown_path
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
    name = shown if shown is not None else shown_path(path)
    return finish_ruleset(load_files(path, name, search), name)


def parse_ruleset(data: bytes, *, shown: str, folder: Path, search: Iterable[Path] = ()) -> Loaded:
    """The same for a text; `folder` is where it looks for what it uses."""
    return finish_ruleset(load_text(data, shown, folder, search), shown)


def load_any(path: Path, *, shown: str | None = None, search: Iterable[Path] = ()) -> Loaded | LoadedDisplay:
    """Whatever is in a file: a rule set, a profile or a display."""
    name = shown if shown is not None else shown_path(path)
    return _any(load_files(path, name, search), name)


def parse_any(data: bytes, *, shown: str, folder: Path, search: Iterable[Path] = ()) -> Loaded | LoadedDisplay:
    """The same for a text."""
    return _any(load_text(data, shown, folder, search), shown)


def _any(loading: Loading, shown: str) -> Loaded | LoadedDisplay:
    file = asked_for(loading)
    if file is not None and file.origin.kind == "display":
        return finish_display(loading, shown)
    return finish_ruleset(loading, shown)


def finish_ruleset(loading: Loading, shown: str) -> Loaded:
    file = asked_for(loading)
    origin = None if file is None else file.origin
    findings = list(loading.findings)
    ruleset: RuleSet | None = None
    if file is not None and file.origin.kind == "display":
        if file.origin.name:
            way_out = "name a file of rules or a profile; `alertlang check` reads a display by itself"
            findings.append(wrong_kind(file, "a file of rules or a profile", way_out))
    elif origin is not None:
        ruleset, more = resolve(loading.files, loading.incomplete)
        findings += more
    if any(f.severity is Severity.ERROR for f in findings):
        ruleset = None
    findings.sort(key=lambda f: f.sort_key)
    return Loaded(shown, origin, ruleset, tuple(findings), tuple(loading.files))


def rewritten(loaded: Loaded, texts: Mapping[str, str]) -> Loaded:
    """What was loaded, some of its files with another text, by the path they are shown under. Nothing is read again.

    A text must keep its header and its `use` statements.
    """
    loading = Loading(())
    for file in loaded.files:
        path = file.origin.path
        if path in texts:
            tree, findings = parse(Source(path, texts[path]))
            loading.findings += findings
            file = replace(file, origin=replace(file.origin, text=texts[path]), tree=tree)
        loading.files.append(file)
    loading.done = {file.path: file.uses for file in loading.files}
    return finish_ruleset(loading, loaded.path)
