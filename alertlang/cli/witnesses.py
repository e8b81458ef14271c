"""`check --save-witnesses`: each finding with a witness as a scenario in a folder."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

from alertlang.api.rules import Report, Rules, UnreadableError, witness_scenarios
from alertlang.cli.common import complain, option, read, stop
from alertlang.text.write_file import reason, save

SaveWitnesses = Annotated[
    Path | None,
    option(
        "--save-witnesses",
        "FOLDER",
        "Save the witness of each finding and of each refuted claim as a scenario in this folder. A file that is "
        "there already is left as it is.",
    ),
]


def save_witnesses(folder: Path, files: list[str], search: list[Path], reports: list[Report]) -> None:
    """Writes the scenarios of some files, each with its report, and says so on the error stream; ends with code 2 if
    they cannot be written. Of several files each puts its name before those of its scenarios."""
    for name, report in zip(files, reports, strict=True):
        if not report.readable:
            continue
        try:
            rules = read(name, search)
            _save(folder, name, rules, report, f"{rules.name}-" if len(files) > 1 else "")
        except UnreadableError:
            continue
        except OSError as problem:
            stop(f"no witness could be saved in {folder}: {reason(problem)}")


def _save(folder: Path, name: str, rules: Rules, report: Report, prefix: str) -> None:
    scenarios = witness_scenarios(rules, report, named=_is_named(rules, Path(name)), prefix=prefix)
    left: list[str] = []
    if scenarios:
        folder.mkdir(parents=True, exist_ok=True)
    for saved in scenarios:
        path = folder / f"{saved.name}.scenario"
        if os.path.lexists(path):
            left.append(path.name)
        else:
            save(path, saved.text.encode("utf-8"))
    _say(folder, name, len(scenarios), left, [f"{saved.name}.scenario" for saved in scenarios if not saved.shows])


def _is_named(rules: Rules, path: Path) -> bool:
    """Whether `use rules` would find the file: it is called as it calls itself."""
    return rules.kind == "rules" and path.name == f"{rules.name}.alert"


def _say(folder: Path, name: str, count: int, left: list[str], open_: list[str]) -> None:
    said = f"{count - len(left)} witness{'es' if count - len(left) != 1 else ''} of {name} saved in {folder}"
    complain(f"{said}")
    if left:
        complain(f"there already, and left as they are: {', '.join(left)}")
    to_do = [text for text in open_ if text not in left]
    if to_do:
        complain(f"to be completed by hand, as their comments say: {', '.join(to_do)}")
