"""Lines of styled text: coloured on a terminal that wants it, plain everywhere else."""

from __future__ import annotations

import os
import sys
import textwrap
from collections.abc import Iterable
from typing import TextIO

from alertlang.text.visible import visible

# A piece of a line: what it is, and its text. The style is one of the keys below or empty.
Piece = tuple[str, str]
Line = list[Piece]

_STYLES = {
    "error": "bold red",
    "warning": "bold yellow",
    "note": "bold cyan",
    "good": "bold green",
    "dim": "dim",
    "strong": "bold",
    "mark": "red",
    "code": "cyan",
}


def wants_colour(stream: TextIO) -> bool:
    """Colour only on a terminal, and never with NO_COLOR (no-color.org) or TERM=dumb."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def write(lines: Iterable[Line], stream: TextIO | None = None) -> None:
    """Writes lines. Nothing in them is read as markup, so that `[psi]` stays `[psi]`, and nothing steers a terminal."""
    target = sys.stdout if stream is None else stream
    if not wants_colour(target):
        for line in lines:
            target.write("".join(visible(text) for _, text in line).rstrip() + "\n")
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(file=target, highlight=False, soft_wrap=True)
    for line in lines:
        text = Text()
        for style, piece in line:
            text.append(visible(piece), style=_STYLES.get(style, ""))
        console.print(text)


def wrapped(style: str, text: str, width: int, first: str = "", rest: str | None = None) -> list[Line]:
    """A text in lines of a width, none of its words broken. `first` stands before it, `rest` before the lines after the
    first; without `rest` the same."""
    folded = textwrap.wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=first if rest is None else rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [[(style, line)] for line in folded]
