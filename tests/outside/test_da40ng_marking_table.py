"""A published marking table, written as rules band for band, against the shipped profile of the engine.

Source: Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, page 2-9, Rev. 1, 15 March 2011 (read in an online
reprint of the page; the figures below are those printed there). Which level an alert has is not in the table, nor how
long takeoff speed may last: 5 minutes (second hand), so a rule for that stands beside the table.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import pytest

from alertlang.api import Rules, loads
from alertlang.findings.codes import Severity
from alertlang.units.number import show_number


@dataclass(frozen=True)
class Band:
    """One cell of the table. An end of None reaches to the end of the scale; `open` ends leave their number out."""

    colour: str
    low: str | None
    high: str | None
    open: bool = False

    def region(self) -> str:
        if self.low is None:
            return f"{'below' if self.open else 'at most'} {self.high}"
        if self.high is None:
            return f"{'above' if self.open else 'at least'} {self.low}"
        return f"from {self.low} to {self.high}"


def cells(*edges: str | None) -> list[Band]:
    """A row: where red low, yellow low, green, yellow high and red high meet; None where the table has no such range.

    Red is printed as "less than" or "more than" its number, everything else as "from ... to" or "up to".
    """
    red_low, yellow_low, yellow_high, red_high = edges
    bands = []
    if red_low is not None:
        bands.append(Band("red", None, red_low, open=True))
    if yellow_low is not None:
        bands.append(Band("yellow", red_low, yellow_low))
    bands.append(Band("green", yellow_low if yellow_low is not None else red_low, yellow_high))
    bands.append(Band("yellow", yellow_high, red_high))
    bands.append(Band("red", red_high, None, open=True))
    return bands


TABLE: dict[str, list[Band]] = {
    # instrument, unit as printed: red low | yellow low | green | yellow high | red high
    "rpm": cells(None, None, "2100 rpm", "2300 rpm"),
    "oil_pressure": cells("0.9 bar", "2.5 bar", "6.0 bar", "6.5 bar"),
    "oil_temp": cells("-30 C", "50 C", "135 C", "140 C"),
    "coolant_temp": cells("-30 C", "60 C", "95 C", "105 C"),
    "gearbox_temp": cells("-30 C", "35 C", "115 C", "120 C"),
    "fuel_temp": cells("-25 C", "-20 C", "55 C", "60 C"),
    "amps": cells(None, None, "60 A", "70 A"),
    "volts": cells("24.1 V", "25 V", "30 V", "32 V"),
    # No red: up to 92 %, then 92 to 100 %.
    "load": [Band("green", None, "92 %"), Band("yellow", "92 %", "100 %")],
    # In US gallons, no yellow and nothing above.
    "fuel_quantity": [Band("red", None, "1 gal", open=True), Band("green", "1 gal", "14 gal")],
}
TAKEOFF_TIME = 'takeoff_time: rpm above 2100 rpm for more than 5 min is red with caution "RPM TIME"'
STEPS = {
    "rpm": "10 rpm", "oil_pressure": "0.1 bar", "oil_temp": "1 C", "coolant_temp": "1 C", "gearbox_temp": "1 C",
    "fuel_temp": "1 C", "amps": "1 A", "volts": "0.1 V", "load": "1 %", "fuel_quantity": "0.1 gal",
}  # fmt: skip
NAGGING = {("nuisance", quantity) for quantity in TABLE}
# A step one way and the other.
DIRECTIONS = (1, -1)


def moved(text: str, quantity: str, by: int) -> str:
    number, unit = text.split()
    return f"{show_number(Fraction(number) + by * Fraction(STEPS[quantity].split()[0]))} {unit}"


def rules(table: dict[str, list[Band]]) -> Rules:
    lines = ['rules "table" version 1', 'use profile "austro-ae300"']
    for quantity, bands in table.items():
        for number, band in enumerate(bands):
            alert = f' with warning "{quantity.upper()} {number}"' if band.colour == "red" else ""
            lines.append(f"{quantity} {band.region()} is {band.colour}{alert}")
    if "rpm" in table:
        lines.append(TAKEOFF_TIME)
    return loads("\n".join(lines) + "\n", name="table.alert")


def found(table: dict[str, list[Band]]) -> set[tuple[str, str | None]]:
    """All errors and warnings, by name and instrument. That an alert comes with the engine stopped is not counted: the
    table marks its lower ends red at any time."""
    findings = rules(table).check().findings
    return {(f.code.name, f.quantity) for f in findings if f.severity >= Severity.WARNING} - NAGGING


def found_in_row(quantity: str, bands: list[Band]) -> set[str]:
    """Those of one row that stands by itself."""
    return {name for name, instrument in found({quantity: bands}) if instrument == quantity}


def changed(quantity: str, number: int, **ends: Any) -> list[Band]:
    """A row with some ends of one band changed."""
    bands = list(TABLE[quantity])
    bands[number] = replace(bands[number], **ends)
    return bands


ENDS = [
    (quantity, number, end, by)
    for quantity, bands in TABLE.items()
    for number, band in enumerate(bands)
    for end in ("low", "high")
    if getattr(band, end) is not None
    for by in DIRECTIONS
]
# Where two neighbours meet.
SEAMS = [(quantity, number) for quantity, bands in TABLE.items() for number in range(len(bands) - 1)]


def test_the_table_is_clean() -> None:
    assert found(TABLE) == set()


def test_the_table_alone_does_not_time_takeoff_speed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(f"{__name__}.TAKEOFF_TIME", "")
    assert found(TABLE) == {("unguarded-limit", "rpm"), ("missing-alert", "rpm")}


def test_the_profile_has_the_steps_that_edges_are_moved_by() -> None:
    shown = {
        name: f"{show_number(q.step)} {q.unit.name}"
        for name, q in rules(TABLE).model.quantities.items()
        if q.step is not None
    }
    assert shown == STEPS


def test_every_row_by_itself_is_clean() -> None:
    assert {quantity: found_in_row(quantity, bands) for quantity, bands in TABLE.items()} == {q: set() for q in TABLE}


@pytest.mark.alike
@pytest.mark.parametrize(("quantity", "number", "end", "by"), ENDS)
def test_one_end_moved_by_one_step_is_found(quantity: str, number: int, end: str, by: int) -> None:
    """A band typed wrong at one end: it reaches into its neighbour or past the scale, or it leaves a gap. A gap of one
    step between two numbers that both belong to a range holds nothing that the gauge can read."""
    bands = TABLE[quantity]
    last = end == "high" and number == len(bands) - 1
    if by > 0 if end == "high" else by < 0:
        expected = "beyond-sensor" if last else "conflict"
    else:
        neighbour = None if last else bands[number + 1 if end == "high" else number - 1]
        between = neighbour is not None and not neighbour.open and not bands[number].open
        expected = "hairline-gap" if between else "gap"
    text = moved(getattr(bands[number], end), quantity, by)
    assert expected in found_in_row(quantity, changed(quantity, number, **{end: text}))


@pytest.mark.parametrize(("quantity", "number"), SEAMS)
def test_a_seam_moved_towards_the_worse_range_is_found(quantity: str, number: int) -> None:
    """Both neighbours typed alike from a wrong number. Moved the other way the marking is stricter than the table and
    still keeps every limit and precaution."""
    lower, upper = TABLE[quantity][number : number + 2]
    rank = {"green": 0, "yellow": 1, "red": 2}
    worse_above = rank[upper.colour] > rank[lower.colour]
    assert lower.high is not None
    text = moved(lower.high, quantity, 1 if worse_above else -1)
    bands = changed(quantity, number, high=text)
    bands[number + 1] = replace(upper, low=text)
    worse = upper.colour if worse_above else lower.colour
    # The rule on takeoff speed turns rpm red too, but minutes late.
    unguarded = "late-alert" if quantity == "rpm" else "unguarded-limit"
    assert (unguarded if worse == "red" else "unmarked-precaution") in found_in_row(quantity, bands)


@pytest.mark.parametrize("quantity", TABLE)
def test_a_row_left_out_is_found(quantity: str) -> None:
    """Every row of the table is asked for. Load has no red, so only its precaution asks."""
    left = {name: bands for name, bands in TABLE.items() if name != quantity}
    names = {name for name, _ in found(left)}
    assert names == {"unmarked-precaution" if quantity == "load" else "unwatched-quantity"}
