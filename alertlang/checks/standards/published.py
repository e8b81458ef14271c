"""The published rules of which something is looked at, and how `follow` names them.

Each paragraph says how its text was read. What was not read in the rule itself is never shown without a word on that.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from alertlang.model import ruleset as m
from alertlang.text.suggest import nearest

READ = ""
FROM_MEMORY = "text not read, from memory"
OLD_EDITION = "read in an edition of the 1960s"

_CFR = "14 CFR "
_MILITARY = "MIL-STD-411F"


@dataclass(frozen=True, slots=True)
class Clause:
    """A paragraph of a published rule; `paragraph` empty: the rule as a whole. `status` is empty for a text read."""

    rule: str
    paragraph: tuple[str, ...]
    status: str = READ

    @property
    def name(self) -> str:
        """For example `14 CFR 25.1549(b)`."""
        if self.rule == _MILITARY:
            return " ".join((self.rule, *self.paragraph))
        return self.rule + "".join(f"({part})" for part in self.paragraph)


def _clauses(rule: str, *paragraphs: str, status: str = READ) -> list[Clause]:
    return [Clause(rule, tuple(paragraph.split()), status) for paragraph in paragraphs or ("",)]


CLAUSES: tuple[Clause, ...] = (
    *_clauses(_CFR + "23.1322"),
    *_clauses(_CFR + "23.1545", "b 1", "b 2", "b 3", "b 4", status=OLD_EDITION),
    *_clauses(_CFR + "23.1549", "a", "b", "c", "d", status=FROM_MEMORY),
    *_clauses(_CFR + "25.1322", "a 3", "c 2"),
    *_clauses(_CFR + "25.1322", "e", status=FROM_MEMORY),
    *_clauses(_CFR + "25.1549", "a", "b", "c", "d"),
    *_clauses(_CFR + "25.1553"),
    *_clauses(_CFR + "27.1305"),
    *_clauses(_CFR + "27.1322"),
    *_clauses(_CFR + "27.1549", "a", "b", "c", "d"),
    *_clauses(_CFR + "27.1553", status="text not read, taken to be that of 25.1553"),
    *_clauses(_CFR + "29.1553"),
    *_clauses(_CFR + "91.205", *(f"b {number}" for number in range(1, 11))),
    *_clauses(_MILITARY, "5.2.5.4"),
)
RULES: tuple[str, ...] = tuple(dict.fromkeys(clause.rule for clause in CLAUSES))
_BY_NAME = {clause.name: clause for clause in CLAUSES}


def clauses(*names: str) -> tuple[Clause, ...]:
    """Entries of the table by name; KeyError for one that is not in it."""
    return tuple(_BY_NAME[name] for name in names)


@dataclass(frozen=True, slots=True)
class Named:
    """What a `follow` text names: a rule, as a whole or one paragraph of it."""

    rule: str
    paragraph: tuple[str, ...]

    def covers(self, clause: Clause) -> bool:
        return self.rule == clause.rule and clause.paragraph[: len(self.paragraph)] == self.paragraph


_FEDERAL = re.compile(r"(?:14cfr|cfr14|far)?(?:part|section|sec\.?)?(\d{1,3}\.\d+)((?:\([a-z0-9]+\))*)")
_MILITARY_TEXT = re.compile(r"mil-?std-?411f,?(?:para(?:graph)?\.?)?(\d+(?:\.\d+)*)?")


def read_name(text: str) -> Named | None:
    """The rule that a text names, whether it is known here or not; None if it is not formed like one.

    Case, blanks, section signs and a leading `14 CFR` or `FAR` do not count.
    """
    plain = re.sub(r"[\s§]", "", text.casefold())
    federal = _FEDERAL.fullmatch(plain)
    if federal is not None:
        return Named(_CFR + federal[1], tuple(re.findall(r"[a-z0-9]+", federal[2])))
    military = _MILITARY_TEXT.fullmatch(plain)
    if military is not None:
        return Named(_MILITARY, (military[1],) if military[1] else ())
    return None


def known(text: str) -> Named | None:
    """What a `follow` text names, if anything of that is looked at."""
    named = read_name(text)
    return named if named is not None and any(named.covers(clause) for clause in CLAUSES) else None


def asked(ruleset: m.RuleSet, wanted: Iterable[Clause]) -> tuple[Clause, ...]:
    """Those of some paragraphs that the rule set follows."""
    named = [one for one in (known(follow.rule) for follow in ruleset.follows) if one is not None]
    return tuple(clause for clause in wanted if any(one.covers(clause) for one in named))


def statement_for(ruleset: m.RuleSet, wanted: Iterable[Clause]) -> m.Follow | None:
    """The first `follow` that names one of some paragraphs."""
    wanted = tuple(wanted)
    for follow in ruleset.follows:
        named = known(follow.rule)
        if named is not None and any(named.covers(clause) for clause in wanted):
            return follow
    return None


def nearest_names(text: str) -> tuple[str, ...]:
    """Known names that a text was probably meant to be, the most likely first; empty if none is like it."""
    named = read_name(text)
    if named is not None and named.rule in RULES:
        return tuple(clause.name for clause in CLAUSES if clause.rule == named.rule)
    written = text if named is None else Clause(named.rule, ()).name
    # Also without what all of them begin with, so that `25.1594` is like 25.1549.
    short = {name.removeprefix(_CFR): name for name in RULES}
    close = (nearest(written, RULES), nearest(written.removeprefix(_CFR), short))
    return tuple(dict.fromkeys(short.get(one, one) for one in close if one is not None))


def cited(some: Iterable[Clause]) -> str:
    """Paragraphs in words: `14 CFR 25.1549(b), 27.1549(b)`, with how far each was read."""
    said: list[str] = []
    for clause in some:
        name = clause.name
        if said and name.startswith(_CFR):
            name = name.removeprefix(_CFR)
        said.append(f"{name} [{clause.status}]" if clause.status else name)
    return ", ".join(said)
