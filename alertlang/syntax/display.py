"""Slips in a file that says what a display can hold: its few statements do not begin with words of their own."""

from __future__ import annotations

import re

from alertlang.findings.finding import Finding, finding
from alertlang.syntax.explain import BrokenStatement, visible
from alertlang.text.source import Source, Span
from alertlang.text.suggest import nearest

ENDING = ".display"

# How each statement begins: its first word, what stands after that, and a whole one.
_FORMS = {
    "allows": ("a number", "allows 8 bands per quantity, 6 contexts, 4 timers"),
    "text": ("`up to`", "text up to 12 characters"),
    "labels": ("`up to`", "labels up to 8 characters"),
    "scan": ("`every`", "scan every 0.2 s"),
    "colours": (
        "a colour (red, yellow, green, white or blue)",
        "colours red, yellow, green, white",
    ),
}
_OTHERS = ("about", "source", "display")
_KIND = re.compile(r"(profile|rules|display)\b")
_WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


def is_display(source: Source, start: int, end: int) -> bool:
    """Whether a text is about a display: its first statement says so; where that says nothing, its name."""
    kind = _KIND.match(source.text, start, end)
    return kind[1] == "display" if kind else source.path.endswith(ENDING)


def slip(broken: BrokenStatement) -> Finding | None:
    """The finding for a statement of a display that broke where it begins; none if it broke further on."""
    source, start = broken.statement.source, broken.statement.start
    word = _WORD.match(source.text, start, broken.statement.end)
    if word is None or word.group() in broken.reserved:
        return None
    first = word.group()
    if first in _FORMS:
        if broken.previous is None or broken.previous.start != start:
            return None
        follows, whole = _FORMS[first]
        return finding(
            "syntax", f"after `{first}` stands {follows}", visible(broken), advice=(f"write for example: {whole}",)
        )
    span = Span(source, start, word.end())
    close = nearest(first, [*_FORMS, *_OTHERS])
    if close == "display":
        # The header, which is the same in all files.
        return None
    if close is not None:
        return finding("syntax", f"unexpected {first}: did you mean {close}?", span)
    forms = "; ".join(whole for _, whole in _FORMS.values())
    advice = (f"it may say: {forms}", "and `about` and `source`, as other files do")
    return finding("syntax", f"no statement of a display starts with {first}", span, advice=advice)
