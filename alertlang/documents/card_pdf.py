"""The card as PDF."""

from __future__ import annotations

import re

from alertlang.documents.card_html import about
from alertlang.documents.paper import paper
from alertlang.groundtest.card import Card, seconds
from alertlang.groundtest.words import SIGN, how

_BODY = """
#for one in data.how { par(one) }
#block(above: 4mm, below: 2mm, sticky: true, text(size: 12pt, weight: "bold", "To sign"))
#table(columns: (60mm, 1fr), rows: 9mm, stroke: 0.4pt, ..data.sign.map(one => (one, "")).flatten())
#block(above: 4mm, below: 2mm, sticky: true, text(size: 12pt, weight: "bold", "The stimuli"))
#table(columns: (60mm, 1fr), stroke: 0.4pt, inset: 1.2mm, ..data.names.flatten().map(cell => text(size: 9pt, cell)))
#for step in data.steps {
  block(above: 5mm, below: 1.5mm, sticky: true)[
    #text(size: 12pt, weight: "bold")[Step #step.number, #step.hold long#step.lead]
  ]
  block(below: 1.5mm, sticky: true, grid(columns: (4.5mm, 1fr, 4.5mm, 1fr), row-gutter: 1.5mm,
    ..step.set.map(one => (box(stroke: 0.5pt, width: 3mm, height: 3mm), strong(one))).flatten()))
  table(columns: (11mm, 21mm, 1.2fr, 1fr, 26mm, 18mm), stroke: 0.4pt, inset: 1.2mm,
    table.header(..("line", "look after", "look at", "must be seen", "seen", "initials").map(h => strong(h))),
    ..step.lines.flatten().map(cell => text(size: 9pt, cell)))
  par(text(size: 7.5pt, "shows: " + step.shows))
}
#for (head, lines) in data.lists {
  if lines.len() > 0 {
    block(above: 5mm, sticky: true, text(size: 12pt, weight: "bold", head))
    list(..lines.map(one => text(size: 9pt, one)))
  }
}
"""


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
            "set": [_breakable(one) for one in step.changes],
            "shows": _breakable("; ".join(step.shows)),
            "lines": [
                [
                    str(one.number),
                    seconds(one.after),
                    _breakable(one.item),
                    f"still {one.seen}" if one.early else one.seen,
                    "",
                    "",
                ]
                for one in step.expected
            ],
        }
        for step in card.steps
    ]
    names = [[_breakable(name), called] for name, called in card.names]
    lists = [
        ["Cannot be shown (proved, under the assumptions of the rules)", list(card.impossible)],
        ["Not shown by this card: test it in another way", list(card.open)],
    ]
    return paper(
        about(card),
        _BODY,
        {"how": list(how(card)), "sign": list(SIGN), "names": names, "steps": steps, "lists": lists},
        size=size,
    )
