"""Finding and reading the files that a rule set is made of."""

from __future__ import annotations

import os
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding, finding
from alertlang.model.header import A_FILE_OF, ENDING, read_header
from alertlang.model.ruleset import Origin
from alertlang.syntax import tree as t
from alertlang.syntax.parse import parse
from alertlang.syntax.read import read_bytes, read_file
from alertlang.text.resources import examples_dir, profiles_dir
from alertlang.text.source import Source, Span
from alertlang.text.suggest import nearest

# A file that uses one that uses one, and so on: nobody has written more than three.
DEEPEST_USE = 250


@dataclass(frozen=True, slots=True)
class LoadedFile:
    """One file with all it uses, directly or through others; `path` is where it really is."""

    origin: Origin
    tree: t.File
    path: Path
    uses: frozenset[Path]


@dataclass(slots=True)
class Loading:
    """Files in the order their statements count, and what was wrong on the way.

    `shown`: how findings name the file that was asked for. `done` holds every file that was tried, with all it uses.
    `incomplete`: some file could not be taken in, so any name may be in it.
    """

    shown: str
    search: tuple[Path, ...] = ()
    files: list[LoadedFile] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    open: list[tuple[str, Path]] = field(default_factory=list)
    done: dict[Path, frozenset[Path]] = field(default_factory=dict)
    incomplete: bool = False

    @property
    def asked(self) -> LoadedFile | None:
        """The file that was asked for, if its header could be made out."""
        return next((file for file in self.files if file.origin.depth == 0), None)

    @property
    def is_display(self) -> bool:
        """Whether a display was asked for."""
        return self.asked is not None and self.asked.origin.kind == "display"

    def wrong_kind(self, file: LoadedFile, wanted: str, way_out: str) -> list[Finding]:
        """That a whole file is of another kind than the one that is wanted, as far as its header was read."""
        if not file.origin.name:
            return []
        header = next((statement for statement in file.tree.statements if isinstance(statement, t.Header)), None)
        where = header.span if header is not None else Span(file.tree.source, 0, 0)
        message = f'"{file.origin.name}" is {A_FILE_OF[file.origin.kind]}, and {wanted} is asked for'
        return [finding("wrong-kind", message, where, advice=(way_out,))]


def shipped_profiles() -> dict[str, Path]:
    """The profiles that come with the tool, by name, in order of name."""
    return dict(_shipped())


@lru_cache(maxsize=1)
def _shipped() -> tuple[tuple[str, Path], ...]:
    return tuple(sorted((path.stem, path) for path in profiles_dir().rglob("*.profile")))


def shipped_displays() -> dict[str, Path]:
    """The displays that come with the tool, by name, in order of name."""
    return {path.stem: path for path in sorted(profiles_dir().rglob("*.display"))}


def load_files(path: Path, shown: str | None, search: Iterable[Path], text: bytes | None = None) -> Loading:
    """A file and all it uses. `shown` is how findings name it, none as it was reached. `text`: what is in it, where it
    is not to be read."""
    loading = Loading(shown_path(path) if shown is None else shown, tuple(search))
    source = read_file(path, loading.shown) if text is None else read_bytes(text, loading.shown)
    _load(loading, source, path, None, 0)
    return loading


def _load(loading: Loading, source: Source | Finding, path: Path, use: t.Use | None, depth: int) -> None:
    if isinstance(source, Finding):
        loading.findings.append(source)
        loading.incomplete = True
        return
    tree, findings = parse(source)
    origin, wrong = read_header(tree, depth, use)
    findings = [*findings, *wrong]
    if any(found.severity is Severity.ERROR for found in findings) and _leads_out(path):
        # Its words may be none of whoever reads the error: a link in a shared folder can point at anything.
        findings = [_unquoted(source.path)]
        origin = None
    loading.findings.extend(findings)
    if origin is None:
        loading.incomplete = True
        return
    resolved = path.resolve()
    uses: set[Path] = set()
    loading.open.append((origin.name, resolved))
    for statement in tree.statements:
        # A display uses nothing: that is said where it is read.
        if isinstance(statement, t.Use) and origin.kind != "display":
            used = take_in(loading, statement, path.parent, origin, depth)
            if used is None:
                loading.incomplete = True
            else:
                uses |= {used, *loading.done[used]}
    loading.open.pop()
    loading.done[resolved] = frozenset(uses)
    loading.files.append(LoadedFile(origin, tree, resolved, loading.done[resolved]))


def _leads_out(path: Path) -> bool:
    return path.is_symlink() and not path.resolve().is_relative_to(path.parent.resolve())


def _unquoted(shown: str) -> Finding:
    message = "this is a link to a file elsewhere, which cannot be read as rules: nothing of it is quoted"
    return finding("unreadable-file", message, None, path=shown, advice=("name that file itself to see what is wrong",))


def take_in(loading: Loading, use: t.Use, folder: Path, user: Origin, depth: int) -> Path | None:
    """Takes a used file in, if it can be found; its path."""

    def wrong(code: str, message: str, where: Span, *advice: str) -> None:
        loading.findings.append(finding(code, message, where, advice=advice))

    name = use.name.text
    if user.kind == "profile" and use.kind == "rules":
        advice = "a profile may use other profiles; rules use profiles, not the other way round"
        wrong("misplaced-statement", "a profile cannot use rules", use.span, advice)
        return None
    if not name.strip() or name != Path(name).name or name in {".", ".."} or "\\" in name:
        wrong(
            "missing-file",
            f'"{name}" is not the name of a file: names have no folders in them',
            use.name.span,
            "write the name alone, and give its folder on the command line with --path",
        )
        return None
    found, looked = _find(use.kind, name, folder, loading.search)
    if found is None:
        hints = [*_meant(use.kind, name, folder, loading.search), f"looked in: {', '.join(looked)}"]
        wrong("missing-file", f"there is no {name}{ENDING[use.kind]}", use.name.span, *hints)
        return None
    if len(loading.open) >= DEEPEST_USE:
        wrong(
            "circular-use",
            f"these files use each other more than {DEEPEST_USE} deep",
            use.span,
            "let one file use the others side by side",
        )
        return None
    resolved = found.resolve()
    chain = [opened for _, opened in loading.open]
    if resolved in chain:
        names = [opened for opened, _ in loading.open][chain.index(resolved) :]
        wrong(
            "circular-use",
            f"these files use each other in a circle: {' -> '.join([*names, name])}",
            use.span,
            "move what both need into a file that uses neither",
        )
        return None
    if resolved not in loading.done:
        loading.done[resolved] = frozenset()
        _load(loading, read_file(found, shown_path(found)), found, use, depth + 1)
    return resolved


def _meant(kind: str, name: str, folder: Path, search: tuple[Path, ...]) -> list[str]:
    """What a name of no file was probably meant to be."""
    ending = ENDING[kind]
    if name.endswith(ending):
        return [f'leave the ending away: use {kind} "{name.removesuffix(ending)}"']
    close = nearest(name, _candidates(kind, folder, search))
    if close is not None:
        return [f'did you mean "{close}"?']
    beside = any(_is_there(place / (name + ENDING["display"])) for place in _folders(kind, folder, search))
    if beside or name in shipped_displays():
        return [f"{name}{ENDING['display']} is a display, and no file uses a display"]
    other = "rules" if kind == "profile" else "profile"
    if _find(other, name, folder, search)[0] is not None:
        return [f'did you mean: use {other} "{name}"?']
    return []


def shown_path(found: Path) -> str:
    """How findings name a file: as it was reached, never with more of the machine than was asked for."""
    for name, folder in (("stdlib_profiles", profiles_dir()), ("examples", examples_dir())):
        try:
            inside = found.resolve().relative_to(folder.resolve())
        except ValueError:
            continue
        return f"{name}/{inside.as_posix()}"
    return os.path.normpath(found).replace(os.sep, "/")


def _folders(kind: str, folder: Path, search: tuple[Path, ...]) -> list[Path]:
    inner = {"profile": "profiles", "rules": "rules"}[kind]
    places = [folder, folder / inner]
    if kind == "rules":
        places.append(folder / "..")
    return [*places, *search]


def _find(kind: str, name: str, folder: Path, search: tuple[Path, ...]) -> tuple[Path | None, list[str]]:
    file_name = name + ENDING[kind]
    looked: list[str] = []
    for place in _folders(kind, folder, search):
        candidate = place / file_name
        looked.append(place.as_posix())
        if _is_there(candidate):
            return candidate, looked
    if kind == "profile":
        looked.append("the shipped profiles")
        shipped = shipped_profiles().get(name)
        if shipped is not None:
            return shipped, looked
    return None, looked


def _is_there(path: Path) -> bool:
    """Whether something of that name is there, be it readable or not; a name no system could have is not."""
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def _candidates(kind: str, folder: Path, search: tuple[Path, ...]) -> list[str]:
    names: list[str] = []
    for place in _folders(kind, folder, search):
        with suppress(OSError):
            names.extend(path.stem for path in place.glob("*" + ENDING[kind]))
    if kind == "profile":
        names.extend(shipped_profiles())
    return names
