"""Baselines on disk, for `alertlang check`."""

from __future__ import annotations

import os
from pathlib import Path
from typing import NoReturn

from alertlang.api.rules import Report, Verdict
from alertlang.cli.common import not_saved, stop
from alertlang.output.baseline import (
    AgainstBaseline,
    BaselineEntry,
    BaselineError,
    baseline_text,
    compare,
    entries_of,
    read_baseline,
)
from alertlang.text.write_file import reason, refusal


class KnownFindings:
    """The baseline of a call: the one that was given, or the one that is to be written, which is then not read."""

    def __init__(self, given: Path | None, writing: Path | None, *, force: bool) -> None:
        path = writing or given
        assert path is not None
        self._path = path
        self._writing = writing is not None
        self._force = force
        why = refusal(path, force=force, room="{") if self._writing else None
        if why is not None:
            _stop(path, f"it could not be written ({why})")
        listed = () if self._writing else _load(path)
        self._entries: dict[tuple[str, str], BaselineEntry] = {(e.file, e.fingerprint): e for e in listed}

    def compare(self, name: str, report: Report) -> tuple[frozenset[int], list[str]]:
        """The indexes of the findings in a report on a file that are known, and what else there is to say of it."""
        file = file_key(name, self._path)
        more = []
        if self._writing and report.readable:
            self._entries.update({(e.file, e.fingerprint): e for e in entries_of(report, file)})
            more = _not_recorded(report)
        compared = compare(self._entries.values(), report, file)
        return compared.known, [*_notes(compared, self._path.as_posix()), *more]

    def save(self, *, complete: bool) -> None:
        """Writes the baseline; a message and code 2 if that cannot be done. `complete`: every file could be read."""
        if not complete:
            _stop(self._path, "it was not written, for a file could not be read")
        why = not_saved(self._path, baseline_text(self._entries.values()).encode("utf-8"), force=self._force, room="{")
        if why is not None:
            _stop(self._path, f"it could not be written ({why})")


def _load(path: Path) -> tuple[BaselineEntry, ...]:
    """The entries of a baseline; a message and code 2 if there is none that can be used."""
    try:
        return read_baseline(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        _stop(path, "there is no such file; --write-baseline makes one")
    except OSError as problem:
        _stop(path, f"it could not be read ({reason(problem)})")
    except UnicodeDecodeError:
        _stop(path, "it is not UTF-8 text")
    except BaselineError as problem:
        _stop(path, f"{problem}; --write-baseline makes a new one")


def _stop(path: Path, why: str) -> NoReturn:
    stop(f"the baseline {path.as_posix()}: {why}")


def file_key(name: str, baseline: Path) -> str:
    """A checked file as seen from the folder of a baseline, so that it is the same wherever the tool is started."""
    if name == "-":
        return "<standard input>"
    try:
        return os.path.relpath(name, baseline.parent).replace(os.sep, "/")
    except ValueError:
        # On another drive.
        return name.replace(os.sep, "/")


def _notes(compared: AgainstBaseline, shown: str) -> list[str]:
    """What there is to say of a report beside its findings, one line each."""
    said = []
    if compared.known:
        count = len(compared.known)
        said.append(f"{count} known {'finding does' if count == 1 else 'findings do'} not count: see {shown}")
    if compared.worse:
        count = len(compared.worse)
        said.append(
            f"{count} {'finding that is' if count == 1 else 'findings that are'} in {shown} "
            f"{'is' if count == 1 else 'are'} worse than recorded there, and {'counts' if count == 1 else 'count'}"
        )
    said += [f"no longer found, and still in {shown}: {entry.in_words}" for entry in compared.gone]
    return said


def _not_recorded(report: Report) -> list[str]:
    """What a baseline cannot hold of a report."""
    said = []
    undecided = sum(1 for f in report.findings if f.undecided)
    claims = sum(1 for c in report.claims if c.verdict in {Verdict.REFUTED, Verdict.UNDECIDED})
    if undecided:
        said.append(f"{undecided} undecided {'finding is' if undecided == 1 else 'findings are'} not recorded")
    if claims:
        said.append(f"{claims} {'claim is' if claims == 1 else 'claims are'} not proved, which is never recorded")
    return said
