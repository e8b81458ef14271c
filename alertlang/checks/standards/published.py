"""The published rules of which something is looked at, and how `follow` names them.

Each paragraph says how its text was read, and when that text held. What was not read in the rule itself is
never shown without a word on that.
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
SECOND_HAND = "text read second hand"

KNOWN_TO = "2026-11-29"
"""What was amended after this day is not known here."""

_CFR = "14 CFR "
_MILITARY = "MIL-STD-411F"


@dataclass(frozen=True, slots=True)
class Clause:
    """A paragraph of a published rule in one of its texts; `paragraph` empty: the rule as a whole.

    `status` is empty for a text read. The text held from the day `since` to the day before `until`, ISO dates; empty
    where that is not known, `until` also for a text in force. `amendment`: what brought it. `superseded`: another text
    of the same paragraph came after it.
    """

    rule: str
    paragraph: tuple[str, ...]
    status: str = READ
    since: str = ""
    until: str = ""
    amendment: str = ""
    superseded: bool = False

    @property
    def name(self) -> str:
        """For example `14 CFR 25.1549(b)`."""
        if self.rule == _MILITARY:
            return " ".join((self.rule, *self.paragraph))
        return self.rule + "".join(f"({part})" for part in self.paragraph)

    @property
    def key(self) -> str:
        """The name, of an earlier text with its end: `14 CFR 27.1549(b) until 2023-02-10`."""
        return f"{self.name} until {self.until}" if self.superseded else self.name

    def held_on(self, day: str) -> bool:
        """Whether the text held then, as far as its days are known."""
        return self.since <= day and (not self.until or day < self.until)


# The small-aeroplane rules of before Amdt 23-64; the day on which that came into force is from memory.
_OLD_PART_23 = "2017-08-30"


def _clauses(
    rule: str,
    *paragraphs: str,
    status: str = READ,
    since: str = "",
    until: str = "",
    amendment: str = "",
    superseded: bool = False,
) -> list[Clause]:
    return [
        Clause(rule, tuple(paragraph.split()), status, since, until, amendment, superseded)
        for paragraph in paragraphs or ("",)
    ]


# Days are those on which an amendment was published, as the rules name them; of 25.1322 that on which it came into
# force. The texts of 91.205 and 27.1549 were read in editions that name these amendments as their last.
CLAUSES: tuple[Clause, ...] = (
    *_clauses(_CFR + "23.1322", since="1993-04-09", until=_OLD_PART_23, amendment="Amdt 23-43"),
    *_clauses(_CFR + "23.1545", "b 1", "b 2", "b 3", "b 4", status=OLD_EDITION, until=_OLD_PART_23),
    *_clauses(_CFR + "23.1549", "a", "b", "c", "d", status=FROM_MEMORY, until=_OLD_PART_23),
    *_clauses(_CFR + "25.1322", "a 3", "c 2", since="2011-01-03", amendment="Amdt 25-131"),
    *_clauses(_CFR + "25.1322", "e", status=SECOND_HAND, since="2011-01-03", amendment="Amdt 25-131"),
    *_clauses(_CFR + "25.1549", "a", "b", "c", "d", since="1977-03-17", amendment="Amdt 25-40"),
    *_clauses(_CFR + "25.1553"),
    *_clauses(_CFR + "27.1305", *"bcdehijklno"),
    *_clauses(_CFR + "27.1322", since="1976-12-20", amendment="Amdt 27-11"),
    # Amdt 27-51 has other words for (a), (c) and (d), and asks for the same; what was read is the older one.
    *_clauses(_CFR + "27.1549", "a", "c", "d", since="1994-09-16", amendment="Amdt 27-29"),
    *_clauses(_CFR + "27.1549", "b", since="1994-09-16", until="2023-02-10", amendment="Amdt 27-29", superseded=True),
    *_clauses(_CFR + "27.1549", "b", status=SECOND_HAND, since="2023-02-10", amendment="Amdt 27-51"),
    *_clauses(_CFR + "27.1553", status=SECOND_HAND),
    *_clauses(_CFR + "29.1553"),
    *_clauses(
        _CFR + "91.205", *(f"b {number}" for number in range(1, 11)), since="2009-08-21", amendment="Amdt 91-309"
    ),
    *_clauses(_MILITARY, "5.2.5.4", since="1997-03-10"),
)
RULES: tuple[str, ...] = tuple(dict.fromkeys(clause.rule for clause in CLAUSES))
_BY_KEY = {clause.key: clause for clause in CLAUSES}


def clauses(*keys: str) -> tuple[Clause, ...]:
    """Entries of the table by key; KeyError for one that is not in it."""
    return tuple(_BY_KEY[key] for key in keys)


@dataclass(frozen=True, slots=True)
class NamedRule:
    """What a `follow` text names: a rule, as a whole or one paragraph of it."""

    rule: str
    paragraph: tuple[str, ...]

    def covers(self, clause: Clause) -> bool:
        return self.rule == clause.rule and clause.paragraph[: len(self.paragraph)] == self.paragraph


_FEDERAL = re.compile(r"(?:14cfr|cfr14|far)?(?:part|section|sec\.?)?(\d{1,3}\.\d+)((?:\([a-z0-9]+\))*)")
_MILITARY_TEXT = re.compile(r"mil-?std-?411f,?(?:para(?:graph)?\.?)?(\d+(?:\.\d+)*)?")


def read_name(text: str) -> NamedRule | None:
    """The rule that a text names, whether it is known here or not; None if it is not formed like one.

    Case, blanks, section signs and a leading `14 CFR` or `FAR` do not count.
    """
    plain = re.sub(r"[\s§]", "", text.casefold())
    federal = _FEDERAL.fullmatch(plain)
    if federal is not None:
        return NamedRule(_CFR + federal[1], tuple(re.findall(r"[a-z0-9]+", federal[2])))
    military = _MILITARY_TEXT.fullmatch(plain)
    if military is not None:
        return NamedRule(_MILITARY, (military[1],) if military[1] else ())
    return None


def known(text: str) -> NamedRule | None:
    """What a `follow` text names, if anything of that is looked at."""
    named = read_name(text)
    return named if named is not None and any(named.covers(clause) for clause in CLAUSES) else None


def texts(follow: m.Follow) -> tuple[Clause, ...]:
    """The paragraphs that a `follow` names, each in the text that held on its day; without a day in the last one."""
    named = known(follow.rule)
    if named is None:
        return ()
    day = follow.as_of
    return tuple(
        clause
        for clause in CLAUSES
        if named.covers(clause) and (not clause.superseded if day is None else day <= KNOWN_TO and clause.held_on(day))
    )


def asked(ruleset: m.RuleSet, wanted: Iterable[Clause]) -> tuple[Clause, ...]:
    """Those of some paragraphs that the rule set follows."""
    followed = {clause for follow in ruleset.follows for clause in texts(follow)}
    return tuple(clause for clause in wanted if clause in followed)


def statement_for(ruleset: m.RuleSet, wanted: Iterable[Clause]) -> m.Follow | None:
    """The first `follow` that names one of some paragraphs."""
    wanted = set(wanted)
    return next((follow for follow in ruleset.follows if not wanted.isdisjoint(texts(follow))), None)


def nearest_names(text: str) -> tuple[str, ...]:
    """Known names that a text was probably meant to be, the most likely first; empty if none is like it."""
    named = read_name(text)
    if named is not None and named.rule in RULES:
        return tuple(dict.fromkeys(clause.name for clause in CLAUSES if clause.rule == named.rule))
    written = text if named is None else Clause(named.rule, ()).name
    # Also without what all of them begin with, so that `25.1594` is like 25.1549.
    short = {name.removeprefix(_CFR): name for name in RULES}
    close = (nearest(written, RULES), nearest(written.removeprefix(_CFR), short))
    return tuple(dict.fromkeys(short.get(word, word) for word in close if word is not None))


def cited(some: Iterable[Clause]) -> str:
    """Paragraphs in words: `14 CFR 25.1549(b), 27.1549(b)`, with how far each was read, and of one whose text changed
    which of its texts."""
    said: list[str] = []
    for clause in some:
        name = clause.name
        if said and name.startswith(_CFR):
            name = name.removeprefix(_CFR)
        remarks = ", ".join(remark for remark in (clause.status, which_text(clause)) if remark)
        said.append(f"{name} [{remarks}]" if remarks else name)
    return ", ".join(said)


def which_text(clause: Clause) -> str:
    """Which text it is of a paragraph that has several here: `Amdt 27-51, published 2023-02-10`."""
    if all(other is clause or other.name != clause.name for other in CLAUSES):
        return ""
    until = f" until {clause.until}" if clause.until else ""
    return f"{clause.amendment}, published {clause.since}{until}"
