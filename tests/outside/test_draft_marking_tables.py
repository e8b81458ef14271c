"""A draft from a profile's limits shows what the published marking table shows, at every edge and between each two.

Source: Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, page 2-9, Rev. 1, 15 March 2011 (read in an online
reprint of the page): the table of `test_da40ng_marking_table`.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from alertlang.api import draft, loads
from alertlang.meaning.instant import Instant, State
from alertlang.model.ruleset import Colour
from tests.outside.test_da40ng_marking_table import TABLE, Band

MODEL = loads(draft(("austro-ae300",)).text).model
RANK = {"green": 0, "yellow": 1, "red": 2}


def printed(bands: list[Band], value: Fraction) -> str:
    """The worst colour of the cells that hold a value."""
    found = []
    for band in bands:
        low = None if band.low is None else Fraction(band.low.split()[0])
        high = None if band.high is None else Fraction(band.high.split()[0])
        at_end = value in (low, high)
        if (low is None or value >= low) and (high is None or value <= high) and not (at_end and band.open):
            found.append(band.colour)
    return max(found, key=RANK.__getitem__)


def values(quantity: str, bands: list[Band]) -> list[Fraction]:
    """Every edge of the table and of the draft, the ends of the scale, and a value between each two."""
    one = MODEL.quantities[quantity]
    edges = {Fraction(end.split()[0]) for band in bands for end in (band.low, band.high) if end is not None}
    edges |= {n for band in MODEL.bands_by_quantity[quantity] for n in band.region.numbers}
    cuts = sorted({one.low, one.high, *edges})
    return sorted({*cuts, *((a + b) / 2 for a, b in pairwise(cuts))})


def shown(quantity: str, value: Fraction) -> Colour | None:
    readings = {name: q.low for name, q in MODEL.quantities.items()} | {"rpm": Fraction(1000), quantity: value}
    return Instant(MODEL, State(readings, {})).colour(quantity, None)


@pytest.mark.parametrize("quantity", TABLE)
def test_the_draft_is_the_table(quantity: str) -> None:
    bands = TABLE[quantity]
    for value in values(quantity, bands):
        colour = shown(quantity, value)
        assert (None if colour is None else colour.word) == printed(bands, value), value
