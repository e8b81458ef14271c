"""The ground-test card as a page and on paper."""

from __future__ import annotations

import re

from alertlang.documents.html import page
from alertlang.documents.typeset import typeset
from alertlang.groundtest.card import Card, seconds
from alertlang.groundtest.words import SIGN, TITLE, how, numbers
from alertlang.output.text import CAUTION
from alertlang.text.resources import tool_version


def as_html(card: Card) -> str:
    """One self-contained page."""
    data = {"card": card, "title": TITLE, "lines": numbers(card), "how": how(card), "sign": SIGN, "seconds": seconds}
    return page("card.html.j2", {**data, "tool": tool_version(), "caution": CAUTION})


def _breakable(text: str) -> str:
    """Names that are too long for a line get places to break."""
    return re.sub(r"\w{20,}", lambda word: word[0].replace("_", "_\u200b"), text)


def as_pdf(card: Card, *, size: str = "a4") -> bytes:
    """`size`: a4 or us-letter."""
    steps = [
        {
            "number": str(step.number),
            "hold": seconds(step.hold),
            "lead": ": move" if step.moves else "" if step.press is not None else ": set",
            "set": [_breakable(change) for change in step.changes],
            "shows": _breakable("; ".join(step.shows)),
            "lines": [
                [
                    str(expectation.number),
                    seconds(expectation.after),
                    _breakable(expectation.item),
                    f"still {expectation.seen}" if expectation.early else expectation.seen,
                    "",
                    "",
                ]
                for expectation in step.expected
            ],
        }
        for step in card.steps
    ]
    data = {
        "title": TITLE,
        "name": card.name,
        "version": card.version,
        "digest": card.digest,
        "lines": numbers(card),
        "tool": tool_version(),
        "caution": CAUTION,
        "how": how(card),
        "sign": SIGN,
        "names": [[_breakable(name), called] for name, called in card.names],
        "steps": steps,
        "lists": [
            ["Cannot be shown (proved, under the assumptions of the rules)", list(card.impossible)],
            ["Not shown by this card: test it in another way", list(card.open)],
        ],
    }
    return typeset("card.typ", "card", data, paper=size)[0]
