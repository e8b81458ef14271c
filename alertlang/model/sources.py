"""Where the numbers of the shipped profiles come from, and what other documents say of them: `sources.toml`."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from hashlib import sha256
from typing import Any

from alertlang.model.files import shipped_profiles
from alertlang.model.ruleset import Origin, RuleSet
from alertlang.text.resources import profiles_dir

FILE = "sources.toml"
_QUOTED = re.compile(r'"[^"\n]*"')
OUTCOMES = ("agrees", "supports", "disagrees")


@dataclass(frozen=True, slots=True)
class Document:
    """What source lines of profiles stand for. `cited_as`: profile/NAME. `read_at`: addresses, none where it was read
    nowhere. `read_on`: the day of the last reading, where it was written down."""

    title: str
    grade: str
    cited_as: tuple[str, ...]
    edition: str = ""
    page: str = ""
    read_at: tuple[str, ...] = ()
    read_on: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class SourceComparison:
    """What another document says of some numbers of a profile: by label, as they are written in the statement.

    `outcome`: one of OUTCOMES. Only what agrees confirms; what supports is on a sister model or goes back to the same
    document.
    """

    profile: str
    document: str
    outcome: str
    numbers: Mapping[str, tuple[str, ...]]
    read_at: str = ""
    note: str = ""

    def standing(self, ruleset: RuleSet) -> list[tuple[str, str]]:
        """The labels and numbers of it that a profile still has."""
        # What a source line quotes is not what the statement says.
        texts = {declared.label: _QUOTED.sub("", declared.span.text) for declared in ruleset.ranges}
        return [
            (label, number)
            for label, some in self.numbers.items()
            for number in some
            if re.search(rf"(?<![\w.-]){re.escape(number)}(?![\w.])", texts.get(label, ""))
        ]

    @property
    def in_words(self) -> str:
        """For example `itt_limit 805 C, itt_start 1090 C: a copy of the data sheet (its address)`."""
        numbers = ", ".join(f"{label} {' and '.join(some)}" for label, some in self.numbers.items())
        where = f" ({self.read_at})" if self.read_at else ""
        return f"{numbers}: {self.document}{where}" + (f". {self.note}" if self.note else "")


@lru_cache
def _table() -> dict[str, Any]:
    return tomllib.loads((profiles_dir() / FILE).read_text(encoding="utf-8"))


def is_shipped(ruleset: RuleSet) -> bool:
    """Whether it is the very file that is shipped under its name: of another one the table says nothing."""
    path = shipped_profiles().get(ruleset.origin.name)
    return path is not None and sha256(path.read_bytes()).hexdigest() == ruleset.origin.sha256


def shipped_as(origin: Origin) -> bytes | None:
    """The shipped profile whose name and version a file bears; none if there is none, or if it is that very file."""
    path = shipped_profiles().get(origin.name)
    if origin.kind != "profile" or path is None:
        return None
    data = path.read_bytes()
    header = re.match(rb'profile "[^"\n]*" version (\d+)', data)
    same = header is not None and int(header[1]) == origin.version
    return data if same and sha256(data).hexdigest() != origin.sha256 else None


def searched(ruleset: RuleSet) -> date | None:
    """The day on which no other document was found for a shipped profile; none where one was, or nobody looked."""
    if not is_shipped(ruleset):
        return None
    return next((one["on"] for one in _table()["search"] if ruleset.origin.name in one["found_nothing_for"]), None)


@lru_cache
def sources() -> tuple[tuple[Document, ...], tuple[SourceComparison, ...]]:
    """All documents and all comparisons of the shipped profiles."""
    table = _table()
    documents = tuple(Document(**{key: _fixed(value) for key, value in row.items()}) for row in table["document"])
    return documents, tuple(_comparison(row) for row in table["comparison"])


def _fixed(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


def _comparison(row: dict[str, Any]) -> SourceComparison:
    numbers = {label: tuple(some) for label, some in row["numbers"].items()}
    rest = {key: value for key, value in row.items() if key not in {"numbers", "with"}}
    return SourceComparison(document=row["with"], numbers=numbers, **rest)


def document_of(ruleset: RuleSet, name: str) -> Document | None:
    """What a source line of a shipped profile stands for; none of a profile that is not shipped."""
    line = f"{ruleset.origin.name}/{name}"
    return (
        next((document for document in sources()[0] if line in document.cited_as), None)
        if is_shipped(ruleset)
        else None
    )


def comparisons_of(ruleset: RuleSet) -> list[SourceComparison]:
    """Those on a shipped profile; none of a profile that is not shipped."""
    return (
        [comparison for comparison in sources()[1] if comparison.profile == ruleset.origin.name]
        if is_shipped(ruleset)
        else []
    )


def count_of(ruleset: RuleSet, outcome: str) -> int:
    """How many numbers of a profile other documents agree with, or disagree with; each number of a statement once."""
    found = {
        pair
        for comparison in comparisons_of(ruleset)
        if comparison.outcome == outcome
        for pair in comparison.standing(ruleset)
    }
    return len(found)
