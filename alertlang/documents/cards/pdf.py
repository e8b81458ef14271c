"""The card as PDF."""

from __future__ import annotations

from alertlang.documents.cards.card import Card, seconds
from alertlang.documents.cards.words import HOW, about
from alertlang.documents.paper import paper

_BODY = """
#for one in data.how { par(one) }
#for step in data.steps {
  block(above: 4mm, below: 1.5mm, sticky: true)[
    #text(size: 12pt, weight: "bold")[Step #step.number, #step.hold] \\
    #strong(step.set)
  ]
  table(columns: (11mm, 16mm, 1.2fr, 1fr, 26mm, 18mm), stroke: 0.4pt, inset: 1.2mm,
    table.header(..("line", "after", "look at", "must be seen", "seen", "initials").map(h => strong(h))),
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


def as_pdf(card: Card, *, size: str = "a4") -> bytes:
    """`size`: a4 or us-letter."""
    steps = [
        {
            "number": str(step.number),
            "hold": seconds(step.hold),
            "set": "; ".join(step.changes) or "nothing changes",
            "shows": "; ".join(step.shows),
            "lines": [
                [str(one.number), seconds(one.after), one.item, f"still {one.seen}" if one.early else one.seen, "", ""]
                for one in step.expected
            ],
        }
        for step in card.steps
    ]
    lists = [
        ["Cannot be shown (proved, under the assumptions of the rules)", list(card.impossible)],
        ["Not shown by this card: test it in another way", list(card.open)],
    ]
    return paper(about(card), _BODY, {"how": list(HOW), "steps": steps, "lists": lists}, size=size)
