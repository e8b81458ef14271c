"""A draft from a profile's limits shows what the published marking table shows, at every edge and between each two.

Source: Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, page 2-9, Rev. 1, 15 March 2011 (read in an online
reprint of the page): the table of `test_da40ng_marking_table`.

The partial tables are those of these documents, as far as their figures were read: Cessna T210M handbook, 1978 model;
Cessna 182Q handbook, 1980 model, Section 7 (the carburettor gauge: 182 Owner's Manual, 1973 model); Cessna 150M
handbook, 1976 model, Section 2; Cirrus SR22 Information Manual, page 3-18, March 2010; a checklist file that cites the
Beechcraft A36TC handbook (second hand). Some arcs of the 150M and the SR22 are from memory. Where the draft departs:

- T210M fuel flow: white for climb, 120 to 162 lb/h, and nothing up to the red line at 186. No statement of a profile
  says white there, so the draft has a yellow that it asks about, or nothing in that style.
- 150M oil temperature: the red line of the handbook is at 240 F, older data have 225 F, and the tighter is in force.
- Yellow where a profile adds a precaution by common practice: around the normal oil pressure and below the normal oil
  temperature, and between 2600 and 2700 rpm or 35 and 36.5 inHg of the T210M (takeoff, 5 min).
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from itertools import pairwise

import pytest

from alertlang.api import draft, loads
from alertlang.drafting.style import Style
from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.model.ruleset import Colour, RuleSet
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


# Profile, quantity, style, and the dial from its low end on: each colour, and where it ends.
DIALS: list[tuple[str, str, str, list[tuple[str, str | None]]]] = [
    ("continental-tsio-520-r", "manifold_pressure", "yellow",
     [("unmarked", "35"), ("yellow", "36.5"), ("red", None)]),
    ("continental-tsio-520-r", "fuel_flow", "yellow",
     [("unmarked", "36"), ("green", "120"), ("yellow", "186"), ("red", None)]),
    ("continental-tsio-520-r", "fuel_flow", "unmarked",
     [("unmarked", "36"), ("green", "120"), ("unmarked", "186"), ("red", None)]),
    ("continental-tsio-520-r", "fuel_pressure", "yellow", [("red", "3"), ("unmarked", "19.5"), ("red", None)]),
    ("continental-tsio-520-r", "suction", "yellow", [("unmarked", "4.6"), ("green", "5.4"), ("unmarked", None)]),
    ("continental-o-470-u", "rpm", "yellow", [("unmarked", "2100"), ("green", "2400"), ("red", None)]),
    ("continental-o-470-u", "manifold_pressure", "yellow",
     [("unmarked", "15"), ("green", "23"), ("unmarked", None)]),
    ("continental-o-470-u", "carburettor_temp", "yellow",
     [("unmarked", "-15"), ("yellow", "5"), ("unmarked", None)]),
    ("continental-o-200-a", "oil_temp", "yellow", [("below", "100"), ("green", "225"), ("red", None)]),
    ("continental-o-200-a", "oil_pressure", "yellow",
     [("red", "10"), ("yellow", "30"), ("green", "60"), ("yellow", "100"), ("red", None)]),
    ("continental-o-200-a", "rpm", "yellow", [("unmarked", "2000"), ("green", "2750"), ("red", None)]),
    ("continental-io-550-n", "rpm", "yellow", [("unmarked", "2700"), ("red", None)]),
    ("continental-io-550-n", "oil_temp", "yellow", [("below", "100"), ("green", "240"), ("red", None)]),
    ("continental-io-550-n", "oil_pressure", "yellow",
     [("red", "10"), ("yellow", "30"), ("green", "60"), ("yellow", "100"), ("red", None)]),
    ("continental-io-550-n", "cht", "yellow",
     [("unmarked", "240"), ("green", "420"), ("yellow", "460"), ("red", None)]),
    ("continental-tsio-520-ub", "manifold_pressure", "yellow", [("unmarked", "36"), ("red", None)]),
    ("continental-tsio-520-ub", "rpm", "yellow", [("unmarked", "2700"), ("red", None)]),
    ("continental-tsio-520-ub", "tit", "yellow", [("unmarked", "1650"), ("red", None)]),
    ("continental-tsio-520-ub", "cht", "yellow", [("unmarked", "238"), ("red", None)]),
    ("continental-tsio-520-ub", "oil_pressure", "yellow",
     [("red", "10"), ("yellow", "30"), ("green", "60"), ("yellow", "100"), ("red", None)]),
    ("continental-tsio-520-ub", "fuel_flow", "yellow", [("unmarked", "34.2"), ("red", None)]),
]  # fmt: skip


@cache
def drafted(profile: str, between: str) -> RuleSet:
    return loads(draft((profile,), style=Style(between=between)).text).model


@pytest.mark.parametrize(("profile", "quantity", "between", "dial"), DIALS)
def test_a_partial_table(profile: str, quantity: str, between: str, dial: list[tuple[str, str | None]]) -> None:
    """The number where two colours meet belongs to yellow before green, to green before unmarked, and to no red and to
    no yellow that is only `below` it."""
    rules = drafted(profile, between)
    one = rules.quantities[quantity]
    ends = [Fraction(end) for _, end in dial if end is not None]
    assert all(one.low < end < one.high for end in ends)
    edges = {n for band in rules.bands_by_quantity[quantity] for n in band.region.numbers if one.low < n < one.high}
    cuts = sorted({one.low, one.high, *ends, *edges})
    rank = {"red": 0, "below": 0, "unmarked": 1, "green": 2, "yellow": 3}
    index = None if one.size is None else 1
    given = [q for q in rules.quantities.values() if not q.is_computed]
    reads: dict[str, Fraction] = {m.variable(q.name, i): q.low for q in given for i in q.indexes}
    # Warm, and running, at idle: none of the dials below depends on more.
    reads["rpm"] = Fraction(1000)
    if "oil_temp" in reads:
        reads["oil_temp"] = Fraction(80)
    if "oil_pressure" in reads:
        reads["oil_pressure"] = Fraction(45)
    for value in sorted({*cuts, *((a + b) / 2 for a, b in pairwise(cuts))}):
        lows = [one.low, *ends]
        highs = [*ends, one.high]
        cells = [c for (c, _), low, high in zip(dial, lows, highs, strict=True) if low <= value <= high]
        shown = Instant(rules, State({**reads, m.variable(quantity, index): value}, {})).colour(quantity, index)
        wanted = max(cells, key=rank.__getitem__)
        assert (shown.word if shown else "unmarked") == ("yellow" if wanted == "below" else wanted), value
