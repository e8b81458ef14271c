"""Why a statement could not be read, in words for people."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

from alertlang.findings.finding import Finding, finding
from alertlang.text.lists import listed
from alertlang.text.resources import grammar_dir
from alertlang.text.source import Span
from alertlang.text.suggest import nearest
from alertlang.units.unit import UNITS, nearest_unit

_LAST = re.compile(r'"[^"\n]*"|#[^\n]*|[A-Za-z0-9_.%/°]+|\S')


@dataclass(frozen=True, slots=True)
class BrokenStatement:
    """Where and how a statement broke.

    `kind` is the kind of word found: NAME, COLOUR, LEVEL, DIGIT, TEXT, `$END` where the statement ended, otherwise
    the word or sign itself; `after` is the kind of the word before it. Of the word right before the place, `previous`
    is it if it is a name, `bad_unit` if it was read as a unit and is none, `no_position` if it was read as the
    position of a switch and was not meant as one. `keywords` gives the text of each terminal that is a word of the
    language, `reserved` all words that cannot be names.
    """

    span: Span
    kind: str
    after: str
    accepts: frozenset[str]
    statement: Span
    previous: Span | None
    bad_unit: Span | None
    no_position: Span | None
    keywords: Mapping[str, str]
    reserved: frozenset[str]

    @property
    def slip(self) -> tuple[frozenset[str], str, str, bool]:
        """What it has in common with the same slip in other statements."""
        # `drop` and `accept` break alike where their reason is missing, and want other examples.
        return self.accepts, self.kind, self.after, self.statement.text.startswith("drop ")

    @property
    def on_new_line(self) -> bool:
        """Whether only blanks stand before the place on its line, and it is not the statement's first line."""
        line_start = self.span.source.text.rfind("\n", 0, self.span.start) + 1
        before = self.span.source.text[line_start : self.span.start]
        return line_start > self.statement.start and not before.strip()


@dataclass(frozen=True, slots=True)
class Mistake:
    message: str
    way_out: str
    examples: tuple[str, ...]


@lru_cache(maxsize=1)
def mistakes() -> tuple[Mistake, ...]:
    """The catalogue of common slips."""
    data = tomllib.loads((grammar_dir() / "mistakes.toml").read_text(encoding="utf-8"))
    return tuple(Mistake(m["message"], m["way_out"], tuple(m["examples"])) for m in data["mistake"])


@dataclass(frozen=True, slots=True)
class TerminalWords:
    """What terminals are called; `groups` stand for all their members, `instead` gives the word for a foreign one."""

    groups: Mapping[str, tuple[str, ...]]
    words: Mapping[str, str]
    instead: Mapping[str, tuple[str, str]]


@lru_cache(maxsize=1)
def words() -> TerminalWords:
    data = tomllib.loads((grammar_dir() / "words.toml").read_text(encoding="utf-8"))
    groups = {title: tuple(members) for title, members in data["group"].items()}
    instead = {word: (name, shown) for word, (name, shown) in data["instead"].items()}
    return TerminalWords(groups, data["word"], instead)


def explain(broken: BrokenStatement, known: tuple[str, str] | None) -> Finding:
    """The one finding for a broken statement. `known`: message and way out of the slip, if it is a common one."""
    expected = in_words(broken.accepts, broken.keywords)
    found = broken.span.text

    if broken.no_position is not None:
        return finding(
            "syntax",
            f"the position is missing before `{broken.no_position.text}`",
            broken.no_position,
            advice=(f"write for example: canopy is open {broken.no_position.text} ...",),
        )
    if broken.on_new_line and "$END" in broken.accepts and broken.kind != "$END":
        return finding(
            "syntax",
            f"{_shown(found)} does not continue the statement above, and an indented line does",
            broken.span,
            advice=("a new statement starts in the first column: take away the spaces before it",),
        )
    other = _another_way(broken)
    if other is not None:
        return other
    if broken.bad_unit is not None:
        return _no_unit(broken, broken.bad_unit)
    foreign = _foreign(broken)
    if foreign is not None:
        return foreign
    if broken.kind == "NAME" and known is not None and known[0].startswith("`then` is missing") and broken.previous:
        rest = broken.span.source.text[broken.span.end : broken.statement.end]
        if re.search(r"\bthen\b", rest):
            # The `then` is there: what is missing stands between the two names.
            first = broken.previous.text
            every = {"all": "every", "each": "every", "both": "every", "some": "any", "either": "any"}.get(first)
            way_out = (
                f"write {every} {found}" if every else f"a switch: {first} is {found}; a quantity: {first} above ..."
            )
            return finding(
                "syntax", f"something is missing between {first} and {found}", broken.span, advice=(way_out,)
            )
    if known is not None:
        message, way_out = known
        return finding("syntax", message, visible(broken), advice=(way_out,))
    return (
        _first_of_several(broken)
        or _reserved(broken, expected)
        or _misspelt(broken, expected)
        or _plain(broken, expected)
    )


_JOINED_ALERT = re.compile(r"(?:and|,)\s+(?:with\s+)?(?:warning|caution|advisory)\s*\"")
_HYPHENED = re.compile(r"([A-Za-z_]\w*(?:-\w+)+)\s*:")


def _another_way(broken: BrokenStatement) -> Finding | None:
    """What other languages, or a person in a hurry, write otherwise: capitals, hyphens in labels, strokes."""
    statement = broken.statement
    label = _HYPHENED.match(statement.text)
    if label is not None:
        where = Span(statement.source, statement.start, statement.start + len(label[1]))
        way_out = f"write {label[1].replace('-', '_')}:"
        return finding("syntax", "a label is made of letters, digits and _, without a hyphen", where, advice=(way_out,))
    if _JOINED_ALERT.match(statement.source.text, broken.span.start, statement.end):
        message = "the alert of a band follows its colour after `with`, without a comma or `and` between"
        return finding("syntax", message, broken.span, advice=('write for example: is red with warning "OVERSPEED"',))
    if statement.source.text.startswith("//", broken.span.start):
        where = Span(statement.source, broken.span.start, broken.span.start + 2)
        return finding("syntax", "a comment begins with `#`", where, advice=("write # in place of //",))
    for span in (broken.previous, broken.span):
        if span is not None and span.text not in broken.reserved and span.text.lower() in broken.reserved:
            return finding("syntax", f"words of the language are in small letters: write {span.text.lower()}", span)
    return None


def _no_unit(broken: BrokenStatement, unit: Span) -> Finding:
    close = nearest(unit.text, _accepted_words(broken)) or nearest_unit(unit.text)
    hint = f"did you mean {close}?" if close else f"the units are {', '.join(UNITS)}"
    return finding("syntax", f"{unit.text} is neither a unit nor a word that can stand here", unit, advice=(hint,))


def _foreign(broken: BrokenStatement) -> Finding | None:
    """A word that says in other languages, or in plain English, what another word says in this one."""
    for span in (broken.span, broken.previous):
        if span is None or (entry := words().instead.get(span.text.casefold())) is None:
            continue
        name, shown = entry
        # As the first word it passed for the name of a quantity, and the statement broke one word later.
        opens = span.start == broken.statement.start and name in {"WHEN", "USE", "PROVE"}
        if name in broken.accepts or (span is broken.previous and opens):
            return finding("syntax", f"{span.text} does not say it here: write {shown}", span)
    return None


def _first_of_several(broken: BrokenStatement) -> Finding | None:
    """The first word of several that only mean something together."""
    found = broken.span.text
    several = [words().words[n] for n in sorted(broken.accepts) if words().words.get(n, "").startswith(f"`{found} ")]
    if several and broken.kind != "$END":
        return finding("syntax", f"`{found}` is not enough here: write {' or '.join(several)}", broken.span)
    return None


def _reserved(broken: BrokenStatement, expected: str) -> Finding | None:
    found = broken.span.text
    if found not in broken.reserved:
        return None
    if broken.span.start == broken.statement.start:
        return finding(
            "syntax",
            f"no statement starts with `{found}`",
            broken.span,
            advice=("indent the line if it continues the statement above", f"or start with {expected}"),
        )
    if broken.accepts <= {"NAME", "SOURCE_NAME", "STRING"} and "NAME" in broken.accepts:
        return finding(
            "syntax",
            f"{found} is a word of the language and cannot be a name",
            broken.span,
            advice=(f"choose another name, for example {found}_1",),
        )
    return None


def _misspelt(broken: BrokenStatement, expected: str) -> Finding | None:
    """A misspelt word: the one that broke the statement, or the one before it that passed for a name."""
    found = broken.span.text
    if broken.kind == "NAME" or found in broken.reserved:
        close = nearest(found, _accepted_words(broken))
        if close is not None:
            advice = (f"expected {expected}",)
            return finding("syntax", f"unexpected {found}: did you mean {close}?", broken.span, advice=advice)
    if broken.previous is None:
        return None
    word = broken.previous.text
    # Closer than usual: the word may well be a name.
    matches = get_close_matches(word, sorted(broken.keywords.values()), n=1, cutoff=0.75)
    if not matches:
        return None
    return finding(
        "syntax",
        f"{word} does not fit here: did you mean {matches[0]}?",
        broken.previous,
        advice=(f"or, if {word} is meant: after it stands {expected}",),
    )


def _plain(broken: BrokenStatement, expected: str) -> Finding:
    if broken.kind == "$END":
        return finding("syntax", f"the statement ends too early: expected {expected}", visible(broken))
    return finding("syntax", f"unexpected {_shown(broken.span.text)}: expected {expected}", broken.span)


def _accepted_words(broken: BrokenStatement) -> list[str]:
    """The words that could have stood there; of several that belong together, all."""
    others = (words().words.get(name, "") for name in broken.accepts)
    written = (text.strip("`") for text in others if text.startswith("`"))
    single = (broken.keywords[name] for name in broken.accepts if name in broken.keywords)
    return sorted({*single, *(text for text in written if text.replace(" ", "").isalpha())})


def _shown(found: str) -> str:
    """A word as it is, a sign in back quotes so that it is seen."""
    return found if found[:1].isalnum() or found[:1] in '"_' else f"`{found}`"


def in_words(accepts: frozenset[str], keywords: Mapping[str, str]) -> str:
    """A list for people of what could have stood in a place."""
    left = {name for name in accepts if not name.startswith("$")}
    said: list[str] = []
    for title, members in words().groups.items():
        if left.issuperset(members):
            said.append(title)
            left.difference_update(members)
            if title == "a statement":
                left.clear()
    said.extend(words().words.get(name) or f"`{keywords[name]}`" for name in sorted(left))
    if "$END" in accepts:
        said.append("the end of the statement")
    return listed(said, "or")


def visible(broken: BrokenStatement) -> Span:
    """A place one can point at: the end of a statement is shown on its last word."""
    if broken.span.start < broken.span.end:
        return broken.span
    source, start = broken.span.source, broken.statement.start
    last, end = start, broken.statement.end
    for match in _LAST.finditer(source.text, start, broken.statement.end):
        if not match.group().startswith("#"):
            last, end = match.span()
    return Span(source, last, end)
