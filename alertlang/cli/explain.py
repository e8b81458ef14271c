"""`alertlang explain`."""

from __future__ import annotations

from typing import Annotated

import typer

from alertlang.api import pages
from alertlang.api.explained import BY_NAME, CODES, FAMILIES, RETIRED, find_word, page_of, words
from alertlang.cli.common import stop, width
from alertlang.cli.completion import explained_names
from alertlang.output.style import Line, write
from alertlang.output.text import index_lines, page_lines, table_lines, word_lines
from alertlang.text.suggest import nearest


def command(
    name: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="NAME",
            help="A check by name or code, for example gap or AL201; or a word, for example until or except for; "
            "without one: the list.",
            autocompletion=explained_names,
        ),
    ] = None,
) -> None:
    """Explain a check (what it finds, why it matters, an example before and after, how it is decided) or a word of the
    language or the trade (what it means, an example)."""
    if not name:
        write(_list())
        return
    asked = " ".join(name)
    # People write `lost guard` for the check lost-guard.
    entry = CODES.get(asked.upper()) or BY_NAME.get("-".join(asked.lower().split()))
    if entry is not None:
        write(page_lines(entry.code, entry.name, entry.severity.word, pages()[entry.name], width()))
        return
    word = find_word(asked)
    if word is not None:
        write(word_lines(word.name, word.topic, page_of(word), width()))
        return
    old = next((retired for retired in RETIRED if asked.lower() in {retired.code.lower(), retired.name}), None)
    if old is not None:
        stop(f"{old.code} {old.name} is not given any more: {old.why}")
    close = nearest(asked, [*CODES, *BY_NAME, *words()])
    hint = f"did you mean {close}?" if close else "alertlang explain lists them all"
    stop(f"there is no check {asked} and no such word: {hint}")


def _list() -> list[Line]:
    """Checks by family, each with its line; then the words by topic."""
    lines: list[Line] = []
    for family, title in FAMILIES.items():
        lines.append([("strong", title)])
        codes = [code for code in CODES.values() if code.code.startswith(family)]
        rows = [(f"  {c.code}", c.name, c.severity.word, pages()[c.name].strip().split("\n")[0]) for c in codes]
        lines += [*table_lines(rows, (9, 24, 9)), []]
    for topic in dict.fromkeys(word.topic for word in words().values() if word.topic):
        lines += index_lines(topic, (word.name for word in words().values() if word.topic == topic), width())
    return lines
