"""The pilot's card on paper: on one page as long as it can be read there."""

from __future__ import annotations

from typing import NamedTuple

from alertlang.documents.pilot_card import PilotCard
from alertlang.documents.typeset import page_count, typeset

SMALLEST = 8.0
"""Points. Print of this font is then 1.2 mm high without ascenders (common practice, no source)."""

_TEMPLATE = "pilot_card.typ"
# Size of the type, and whether what an alert means has a line of its own; the largest first.
_LAYOUTS = (
    *((float(size), "yes") for size in (13, 12, 11, 10, 9)),
    *((size, "no") for size in (9.5, 9.0, 8.5, SMALLEST)),
)
_SEVERAL = (9.0, "yes")


class CardPages(NamedTuple):
    """`pages` more than one: all of it does not fit on one page, and each page says so."""

    pdf: bytes
    pages: int


def card_pages(card: PilotCard, *, paper: str = "a4") -> CardPages:
    """The card in the largest type with which it is one page; what an alert means is on a line of its own if it can.

    Never in type smaller than SMALLEST and never with anything left out: rather on several pages.
    """
    data = card.data()

    def count(size: float, loose: str) -> int:
        return page_count(_TEMPLATE, "card", data, paper=paper, settings={"size": str(size), "loose": loose})

    pages, chosen = 1, _LAYOUTS[-1]
    if count(*chosen) > 1:
        chosen = _SEVERAL
        pages = count(*chosen)
    else:
        # What fits fits in every smaller layout; if not quite, a smaller one than need be is chosen, which fits too.
        low, high = 0, len(_LAYOUTS) - 1
        while low < high:
            middle = (low + high) // 2
            if count(*_LAYOUTS[middle]) == 1:
                high = middle
            else:
                low = middle + 1
        chosen = _LAYOUTS[high]
    size, loose = chosen
    (pdf,) = typeset(_TEMPLATE, "card", data, paper=paper, settings={"size": str(size), "loose": loose})
    return CardPages(pdf, pages)
