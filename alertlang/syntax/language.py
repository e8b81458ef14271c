"""The words of the language and of the trade, as LANGUAGE.md explains them: its text is the only one. What is found in
a log, as LOGS.md does.

`index.toml` says under which headings a word is explained. The table under the heading "Words of the trade" is an
index of its own: each row is an explanation, and its first link leads to the section that has the example.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from alertlang.text.resources import grammar_dir

TRADE = "Words of the trade"
LOGS = "What is found in a log"
MAP = "What stands in a column map"

_HEADING = re.compile(r"^#{2,4} (.+)$", re.MULTILINE)
_FENCE = re.compile(r"(?:^<!--[ ]*(?P<tag>[^>\n]*?)[ ]*-->\n\n?)?^```\w+\n(?P<code>.*?)^```$", re.MULTILINE | re.DOTALL)
_LINK = re.compile(r"\[([^\]]+)\]\(([^)]*)\)")
_CODE = re.compile(r"`([^`]*)`")


@dataclass(frozen=True, slots=True)
class Word:
    """A word by its topic, and the headings of LANGUAGE.md under which it is explained; `whole`: they are about it."""

    name: str
    topic: str
    headings: tuple[str, ...]
    whole: bool = False


@lru_cache(maxsize=1)
def words() -> Mapping[str, Word]:
    """All words, in the order of their topics; at the end the sections of LANGUAGE.md themselves, by heading."""
    index = tomllib.loads((grammar_dir() / "index.toml").read_text(encoding="utf-8"))
    found: dict[str, Word] = {}
    for topic, headings in index.items():
        for heading, listed in headings.items():
            for entry in listed:
                name = entry.removesuffix("*")
                old = found.get(name)
                before = () if old is None else old.headings
                found[name] = Word(name, topic if old is None else old.topic, (*before, heading), entry.endswith("*"))
    for name in _trade():
        found.setdefault(name, Word(name, TRADE, (TRADE,)))
    for name in _kinds():
        found.setdefault(name, Word(name, LOGS, (LOGS,)))
    for name in _map_keys():
        found.setdefault(name, Word(name, MAP, (MAP,)))
    for heading in _sections():
        found.setdefault(heading.casefold(), Word(heading.casefold(), "", (heading,), whole=True))
    return found


def find_word(name: str) -> Word | None:
    """The word, in any spelling of case, blanks and hyphens (`except-for`); None if there is none like it."""
    return next((word for text, word in words().items() if _plain(text) == _plain(name)), None)


def page_of(word: Word) -> str:
    """What LANGUAGE.md says of the word, and an example that has it, in the form of the pages of the checks."""
    if word.headings == (TRADE,) and not word.whole:
        return _trade_page(word)
    if word.headings == (LOGS,):
        return _kind_page(word)
    if word.headings == (MAP,):
        return _map_page(word)
    told: list[str] = []
    for heading in word.headings:
        if len(word.headings) > 1:
            told.append(f"## {heading}")
        told += _said(word, heading)
    return _page(told, _example(word), word.headings)


def _page(told: list[str], example: str, headings: tuple[str, ...]) -> str:
    shown = ["## Example", example] if example else []
    all_of_it = " and ".join(f'`alertlang explain "{heading.casefold()}"`' for heading in headings)
    return "\n\n".join([*told, *shown, "## More", f"grammar/LANGUAGE.md; {all_of_it}."])


def _said(word: Word, heading: str) -> list[str]:
    """The blocks of a section that are about the word: all, or those that name it in code, else in prose; with what the
    section begins with where only forms do."""
    blocks = list(_blocks(_sections()[heading]))
    if word.whole:
        return _joined(shown for _, shown in blocks)
    named = _pattern(word.name)
    found = [block for block in blocks if named.search(block[0])] or [
        block for block in blocks if named.search(block[1])
    ]
    if all(shown.startswith(" ") for _, shown in found):
        found += [block for block in blocks if not block[1].startswith(" ")][:1]
    return _joined(shown for _, shown in found)


def _joined(blocks: Iterable[str]) -> list[str]:
    """Items that follow one another are one block."""
    found: list[str] = []
    for block in blocks:
        if found and block.startswith("- ") and found[-1].startswith("- "):
            found[-1] += f"\n{block}"
        else:
            found.append(block)
    return found


def _blocks(section: str) -> Iterator[tuple[str, str]]:
    """Paragraphs, items, rows and forms of a section, not its fences: the code by which each is found, and its text."""
    for block in re.split(r"\n\n+", _FENCE.sub("", section)):
        text = re.sub(r"^<!--.*?-->\n?", "", block, flags=re.MULTILINE).strip("\n")
        if not text.strip() or "<!-- samples -->" in block:
            continue
        if text.startswith("    "):
            yield text, text
        elif text.startswith("|"):
            yield from _rows(text)
        else:
            for item in re.split(r"\n(?=- )", text):
                yield " ".join(_CODE.findall(item)), _unlinked(item)


def _rows(table: str) -> Iterator[tuple[str, str]]:
    """Each row as an item; it is found by its first cell."""
    head, _, *rows = ([cell.strip() for cell in line.strip("|").split(" | ")] for line in table.splitlines())
    for first, *cells in rows:
        said = cells[0] if len(cells) == 1 else "; ".join(f"{h}: {c}" for h, c in zip(head[1:], cells, strict=True))
        yield " ".join(_CODE.findall(first)), _unlinked(f"- {first}: {said}")


def _example(word: Word) -> str:
    """The first good example that has the word, its own sections' before others; of a section as a whole its first."""
    own = [code for heading in word.headings for code in _good(_sections()[heading])]
    every = [code for section in _sections().values() for code in _good(section)]
    named = _pattern(word.name)
    with_it = (code for code in (own if word.whole else (*own, *every)) if named.search(re.sub(r"#.*", "", code)))
    found = next(with_it, own[0] if own else "")
    return "\n".join(f"    {line}" if line else "" for line in found.strip("\n").splitlines())


def _good(section: str) -> list[str]:
    return [m["code"] for m in _FENCE.finditer(section) if m["tag"] and not m["tag"].startswith(("error", "reserved"))]


@lru_cache(maxsize=1)
def _sections() -> Mapping[str, str]:
    """The text under each heading, up to the next of any depth; without the contents and what has no text itself."""
    text = (grammar_dir() / "LANGUAGE.md").read_text(encoding="utf-8")
    _, *parts = _HEADING.split(text)
    found = dict(zip(parts[::2], parts[1::2], strict=True))
    return {heading: body for heading, body in found.items() if body.strip() and heading != "Contents"}


@lru_cache(maxsize=1)
def _trade() -> Mapping[str, str]:
    """The rows of the trade's words: what each says, by every word of its first cell."""
    rows = re.findall(r"^\| (.+?) \| (.+) \|$", _sections()[TRADE], re.MULTILINE)
    return {name: said for cell, said in rows if cell != "word" for name in cell.split(", ")}


def _trade_page(word: Word) -> str:
    said = _trade()[word.name]
    anchors = [target.removeprefix("#") for _, target in _LINK.findall(said)]
    headings = tuple(heading for heading in _sections() if _anchor(heading) in anchors)
    first = next(heading for heading in headings if _anchor(heading) == anchors[0])
    return _page(
        [_unlinked(said)], _example(Word((_CODE.findall(said) or [word.name])[0], TRADE, (first,), True)), headings
    )


@lru_cache(maxsize=1)
def _log_page() -> str:
    return (grammar_dir() / "LOGS.md").read_text(encoding="utf-8")


def _kinds() -> Mapping[str, str]:
    """What LOGS.md says of each kind of thing that is found in a log."""
    return dict(re.findall(r"^\| `([a-z-]+)` \| (.+) \|$", _log_page(), re.MULTILINE))


def _log_section(heading: str) -> str:
    """The text under a heading of LOGS.md, its fences as code that is set in."""
    text = _log_page().partition(f"## {heading}\n\n")[2].partition("\n\n## ")[0]
    return _FENCE.sub(lambda fence: "\n".join(f"    {line}" for line in fence["code"].splitlines()), text)


@lru_cache(maxsize=1)
def _map_keys() -> Mapping[str, str]:
    """What LOGS.md says of each key of a column map, and of the map as a whole."""
    whole = _log_section("The column map")
    items = re.findall(r"^(- `\[?([a-z]+)\]?` .+?)(?=\n- |\n\n|\Z)", whole, re.MULTILINE | re.DOTALL)
    found = {name: item for item, name in items}
    return {"column map": whole, "map": whole, **found, "options": whole, "heading": whole}


def _map_page(word: Word) -> str:
    told = [_unlinked(_map_keys()[word.name])]
    told += ["## Empty cells", _log_section("Empty cells")] if word.name == "hold" else []
    return "\n\n".join([*told, "## More", "grammar/LOGS.md; `alertlang explain map`."])


def _kind_page(word: Word) -> str:
    first = _log_page().partition("## What is told first\n\n")[2].partition("\n\n")[0]
    empty = _log_section("Empty cells")
    told = [_unlinked(_kinds()[word.name])]
    if f"`{word.name}`" in empty:
        told += ["## Empty cells", empty]
    if f"`{word.name}`" in first:
        told += ["## It is told first", first]
    return "\n\n".join([*told, "## More", "grammar/LOGS.md."])


def _anchor(heading: str) -> str:
    return re.sub(r"[^a-z0-9 -]", "", heading.lower()).replace(" ", "-")


def _pattern(name: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![\w-]){re.escape(name)}(?![\w-])")


def _unlinked(text: str) -> str:
    return _LINK.sub(r"\1", text).replace("**", "")


def _plain(name: str) -> str:
    return " ".join(re.split(r"[\s_-]+", name.casefold().strip()))
