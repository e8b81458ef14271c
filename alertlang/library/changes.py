"""What differs between two states of an entry: statement by statement, and by meaning."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang.library.entry import FILES
from alertlang.library.errors import LibraryError
from alertlang.library.store import RESTORE
from alertlang.model.grades import numbers_by_grade

if TYPE_CHECKING:
    from alertlang.model.ruleset import RuleSet


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a change does. `same`: proved to do nothing; `less_strict`: somewhere it shows or says less than before;
    `summary`: in one line. `known` false: it could not be found out, and `summary` says why."""

    same: bool
    less_strict: bool
    summary: str
    known: bool = True


def rules_in(folder: Path, name: str) -> RuleSet:
    """The rule set in a folder of an entry; LibraryError if it cannot be read."""
    from alertlang.model.load import load_ruleset

    loaded = load_ruleset(folder / f"{name}.alert", shown=f"{name}.alert")
    if loaded.ruleset is None:
        raise LibraryError(f"the rules of {name} cannot be read", RESTORE, loaded.findings)
    return loaded.ruleset


def graded(root: Path, name: str) -> Mapping[str, int]:
    """How many numbers of an entry have which grade of source."""
    return numbers_by_grade(rules_in(root / "entries" / name / FILES, name))


def by_meaning(before: RuleSet, after: RuleSet, work_limit: int | None = None) -> Meaning:
    """What the second rule set does otherwise than the first."""
    from alertlang.comparison.compare import compare
    from alertlang.logic.solver import WORK_LIMIT

    found = compare(before, after, work_limit=WORK_LIMIT if work_limit is None else work_limit)
    return Meaning(found.same, found.less_strict, found.summary)


def meaning_of_folders(before: Path, after: Path, name: str, work_limit: int | None = None) -> Meaning:
    """The same for two folders of an entry's files; unknown where one of them cannot be read."""
    try:
        old, new = rules_in(before, name), rules_in(after, name)
    except LibraryError as problem:
        why = f": {problem.findings[0].message}" if problem.findings else ""
        return Meaning(False, False, f"what it does is not known: {problem.message}{why}", known=False)
    return by_meaning(old, new, work_limit)
