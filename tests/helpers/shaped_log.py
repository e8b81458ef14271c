"""One invented flight, written as recorders write: every way to tell time, to code a switch and to lay out a file.

The flight is that of an invented piston aircraft: fifty minutes at a row a second, in whose first ten minutes six kinds
of alerts come up, and come again later. Columns that a slow recorder writes every other second change at even seconds
alone, so that a value held over the empty cells is the value that was there.
"""

from __future__ import annotations

import gzip
import io
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, timezone
from fractions import Fraction
from itertools import pairwise

RULES = """rules "willow" version 1
source S common practice
quantity rpm "Engine speed" from 0 to 3500 rpm
quantity cht[2] "Cylinder head temperature" from -40 to 600 F
quantity oil_temp "Oil temperature" from -40 to 300 F
quantity oil_pressure "Oil pressure" from 0 to 120 psi
quantity volts "Bus voltage" from 0 to 20 V
quantity airspeed "Indicated airspeed" from 0 to 200 kt
quantity fuel "Fuel quantity" from 0 to 30 gal
switch flaps "Flaps" up, takeoff, landing
switch door "Cabin door" closed, open
switch alternator "Alternator" offline, online
condition running means rpm above 400 rpm, set after 3 s, cleared after 2 s
cht from 240 to 420 F is green
oil_temp from 100 to 220 F is green
cht_hot: cht above 460 F is red with warning "CHT {n} HOT"
oil_low: when running then oil_pressure below 10 psi is red with warning "OIL PRESS LOW" after 3 s
low_volts: when alternator is online then volts below 12.5 V is red with caution "LOW VOLTS"
flap_speed: when flaps is landing then airspeed above 85 kt is red with caution "FLAPS 85 KT"
door_open: when door is open and rpm above 1500 rpm then warning "DOOR OPEN"
fast: rpm above 2600 rpm for more than 20 s is red with caution "SPEED"
low_fuel: when running then fuel below 4 gal is yellow with advisory "LOW FUEL"
hot_limit: limit cht at most 460 F, source S
oil_limit: when running limit oil_pressure at least 10 psi except for 5 s, source S
"""

LAST = 3000
START = datetime(2026, 5, 3, 23, 52, 30, tzinfo=UTC)
"""Midnight is passed after 450 s."""

Points = Sequence[tuple[int, float]]
"""(second, value): straight lines between, flat beyond."""

_POINTS: Mapping[str, Points] = {
    "rpm": [(0, 0), (9, 0), (12, 900), (60, 900), (64, 1800), (80, 1800), (90, 2700), (130, 2700), (140, 2400),
            (520, 2400), (530, 1900), (700, 2400), (1500, 2650), (1540, 2650), (1560, 2400), (2700, 2400), (2800, 1200),
            (2970, 900), (2980, 0)],
    "cht[1]": [(0, 60), (60, 260), (300, 380), (2900, 360), (3000, 300)],
    "cht[2]": [(0, 60), (60, 265), (300, 440), (330, 472), (360, 445), (1000, 400), (1520, 466), (1560, 400),
               (3000, 300)],
    "oil_temp": [(0, 60), (300, 180), (2900, 190)],
    "oil_pressure": [(0, 0), (20, 0), (24, 55), (200, 55), (204, 6), (220, 6), (224, 52), (2960, 40), (2990, 0)],
    "volts": [(0, 12.6), (30, 14.2), (240, 14.2), (246, 11.8), (256, 11.8), (262, 14.1), (2000, 14.1), (2010, 12.1),
              (2200, 12.1)],
    "airspeed": [(0, 0), (140, 0), (170, 70), (400, 105), (540, 105), (560, 80), (700, 80), (720, 110), (2600, 110),
                 (2660, 92), (2700, 70), (2900, 0)],
    "fuel": [(0, 9), (400, 5), (480, 3.6), (500, 3.6), (510, 8), (2400, 4.2), (2900, 3.4)],
}  # fmt: skip
_POSITIONS: Mapping[str, Sequence[tuple[int, str]]] = {
    "flaps": [(0, "up"), (50, "takeoff"), (200, "up"), (530, "landing"), (600, "up"), (2640, "landing")],
    "door": [(0, "open"), (72, "closed"), (2990, "open")],
    "alternator": [(0, "offline"), (30, "online"), (2300, "offline")],
}
SLOW = ("oil_temp", "fuel", "cht[1]", "cht[2]")
DIGITS = {"rpm": 0, "volts": 1, "airspeed": 0, "fuel": 1, "oil_pressure": 0}
UNITS = {
    "rpm": "rpm", "cht[1]": "F", "cht[2]": "F", "oil_temp": "F", "oil_pressure": "psi", "volts": "V", "airspeed": "kt",
    "fuel": "gal",
}  # fmt: skip
NAMES = {
    "rpm": "Engine speed", "cht[1]": "CHT 1", "cht[2]": "CHT 2", "oil_temp": "Oil temp", "oil_pressure": "Oil press",
    "volts": "Bus voltage", "airspeed": "IAS", "fuel": "Fuel qty", "flaps": "Flaps", "door": "Cabin door",
    "alternator": "Alternator",
}  # fmt: skip
BROKEN = "---"
"""What the recorder writes where a probe is dead."""


@dataclass(frozen=True)
class Flight:
    """Seconds of the rows, none where the clock was not read; and of each column what it held, none where it was
    broken."""

    seconds: tuple[Fraction | None, ...]
    columns: Mapping[str, tuple[Fraction | str | None, ...]]

    def __len__(self) -> int:
        return len(self.seconds)


def flight(last: int = LAST) -> Flight:
    seconds = range(last + 1)
    columns: dict[str, tuple[Fraction | str | None, ...]] = {}
    for name, points in _POINTS.items():
        places = DIGITS.get(name, 1)
        columns[name] = tuple(_at(points, second // 2 * 2 if name in SLOW else second, places) for second in seconds)
    for name, changes in _POSITIONS.items():
        columns[name] = tuple([what for since, what in changes if since <= second][-1] for second in seconds)
    return Flight(tuple(Fraction(second) for second in seconds), columns)


def _at(points: Points, second: int, places: int) -> Fraction:
    value = Fraction(str(points[0][1] if second < points[0][0] else points[-1][1]))
    for (t0, v0), (t1, v1) in pairwise(points):
        if t0 <= second <= t1:
            first, last = Fraction(str(v0)), Fraction(str(v1))
            value = first + (last - first) * (second - t0) / (t1 - t0)
            break
    return Fraction(round(value * 10**places), 10**places)


# ---- how times are written: the names of the columns, and their cells at a time

Cells = Callable[[Fraction], tuple[str, ...]]


@dataclass(frozen=True)
class TimeShape:
    names: tuple[str, ...]
    cells: Cells


def _number(name: str, of: Callable[[Fraction], Fraction], places: int = 0) -> TimeShape:
    return TimeShape((name,), lambda second: (_decimal(of(second), places),))


def _moment(names: tuple[str, ...], *forms: str, zone: int = 0) -> TimeShape:
    local = timezone(timedelta(hours=zone))

    def cells(second: Fraction) -> tuple[str, ...]:
        moment = (START + timedelta(microseconds=round(second * 1_000_000))).astimezone(local)
        return tuple(moment.strftime(form) for form in forms)

    return TimeShape(names, cells)


_EPOCH = Fraction(round(START.timestamp()))
_DAY = Fraction(86_400)
TIMES: Mapping[str, TimeShape] = {
    "seconds": _number("Time (s)", lambda s: s),
    "seconds, no unit": _number("Time", lambda s: s + 7),
    "milliseconds": _number("Time (ms)", lambda s: s * 1000),
    "milliseconds, no unit": _number("Time", lambda s: s * 1000),
    "milliseconds by the name's end": _number("elapsed_ms", lambda s: s * 1000),
    "microseconds": _number("Time (us)", lambda s: s * 1_000_000),
    "minutes": _number("Run time (min)", lambda s: s / 60, 4),
    "minutes, two decimals": _number("Run time (min)", lambda s: s / 60, 2),
    "hours": _number("Time (hours)", lambda s: s / 3600, 6),
    "days": _number("Time (days)", lambda s: s / _DAY, 8),
    "epoch s": _number("timestamp", lambda s: s + _EPOCH),
    "epoch s, parts": _number("timestamp", lambda s: s + _EPOCH + Fraction(1, 4), 2),
    "epoch ms": _number("timestamp_ms", lambda s: (s + _EPOCH) * 1000),
    "epoch us": _number("unix_time", lambda s: (s + _EPOCH) * 1_000_000 + 7),
    "epoch ns": _number("time_ns", lambda s: (s + _EPOCH) * 1_000_000_000 + 7),
    "ISO with Z": _moment(("time",), "%Y-%m-%dT%H:%M:%SZ"),
    "ISO with an offset": _moment(("Timestamp",), "%Y-%m-%dT%H:%M:%S.000+02:00", zone=2),
    "ISO with a blank": _moment(("Local time",), "%Y-%m-%d %H:%M:%S.000"),
    "day first": _moment(("Date/time",), "%d.%m.%Y %H:%M:%S"),
    "month first": _moment(("Time",), "%m/%d/%Y %I:%M:%S %p"),
    "day first, strokes": _moment(("Time",), "%d/%m/%Y %H:%M:%S"),
    "date and time": _moment(("Date", "Time"), "%Y-%m-%d", "%H:%M:%S"),
    "date and time in digits": _moment(("UTC date", "UTC time"), "%Y%m%d", "%H%M%S"),
    "clock of day": _moment(("Clock",), "%H:%M:%S"),
    "clock of day with parts": _moment(("Time",), "%H:%M:%S.250"),
    "Julian days": _number("Julian date", lambda s: (s + _EPOCH) / _DAY + Fraction(4_881_175, 2), 8),
    "modified Julian days": _number("MJD", lambda s: (s + _EPOCH) / _DAY + 40587, 8),
    "spreadsheet days": _number("Time", lambda s: (s + _EPOCH) / _DAY + 25569, 9),
    "seconds of the day": _number("UTC (s)", lambda s: (s + _EPOCH) % _DAY),
}

# ---- how a switch is written: for each position a text; none: only what is not the position before is written

SWITCHES: Mapping[str, tuple[Mapping[str, Mapping[str, str]], Mapping[str, str], bool]] = {
    # Texts by switch and position, other names of columns, whether written on change only.
    "words": ({}, {}, False),
    "capitals": (
        {name: {word: word.upper() for _, word in changes} for name, changes in _POSITIONS.items()}, {}, False,
    ),
    "0, 1, 2": (
        {"flaps": {"up": "0", "takeoff": "1", "landing": "2"}, "door": {"closed": "0", "open": "1"},
         "alternator": {"offline": "0", "online": "1"}},
        {"door": "Door open"}, False,
    ),
    "0.0 and 1.0": (
        {"door": {"closed": "0.0", "open": "1.0"}, "alternator": {"offline": "0.0", "online": "1.0"}},
        {"door": "Door open"}, False,
    ),
    "ON and OFF": (
        {"door": {"closed": "OFF", "open": "ON"}, "alternator": {"offline": "OFF", "online": "ON"}},
        {"door": "Door open"}, False,
    ),
    "a name that is unlike": ({}, {"door": "Canopy latch"}, False),
    "TRUE and FALSE": (
        {"door": {"closed": "FALSE", "open": "TRUE"}, "alternator": {"offline": "FALSE", "online": "TRUE"}},
        {"door": "Cabin door open"}, False,
    ),
    "short words": (
        {"flaps": {"up": "UP", "takeoff": "T/O", "landing": "LDG"}, "door": {"closed": "CLSD", "open": "OPN"}},
        {}, False,
    ),
    "blank": ({"door": {"closed": "", "open": "OPEN"}, "alternator": {"offline": "", "online": "ON"}}, {}, False),
    "on change": ({}, {}, True),
    "numbers without a meaning": ({"door": {"closed": "17", "open": "23"}}, {}, False),
    "1 is closed": ({"door": {"closed": "1", "open": "0"}}, {"door": "Cabin door"}, False),
}  # fmt: skip


@dataclass(frozen=True)
class Shape:
    """How a file is laid out. `units`: where they are told (`brackets`, `row` or `nowhere`). `mixed`: slow columns are
    written every other second. `above`: lines before the heading. `again`: rows after which it stands again."""

    time: str = "seconds"
    switches: str = "words"
    units: str = "brackets"
    types: bool = False
    mixed: bool = False
    above: tuple[str, ...] = ()
    again: int | None = None
    separator: str = ","
    decimal: str = "."
    encoding: str = "utf-8"
    ends: str = "\n"
    trailing: bool = False
    packed: str = ""
    celsius: bool = False

    def written(self, what: Flight) -> bytes:
        data = self._text(what).encode(self.encoding)
        if self.packed == "gz":
            return gzip.compress(data)
        if self.packed == "zip":
            out = io.BytesIO()
            with zipfile.ZipFile(out, "w") as archive:
                archive.writestr("log.csv", data)
            return out.getvalue()
        return data

    def _text(self, what: Flight) -> str:
        time = TIMES[self.time]
        texts, names, on_change = SWITCHES[self.switches]
        heading, units, types = list(time.names), ["s"] * len(time.names), ["float"] * len(time.names)
        if self.units == "row" and "(" in heading[0]:
            heading[0], _, unit = heading[0].rstrip(")").partition(" (")
            units[0] = unit
        columns: list[list[str]] = []
        for name in what.columns:
            called = names.get(name, NAMES[name])
            unit = "C" if self.celsius and UNITS.get(name) == "F" else UNITS.get(name, "")
            heading.append(f"{called} ({unit})" if unit and self.units == "brackets" else called)
            units.append(unit)
            types.append("float" if unit else "string")
            columns.append(self._cells(name, what, texts.get(name, {}), on_change and not unit))
        head = [heading]
        head += [units] if self.units == "row" else []
        head += [types] if self.types else []
        blank = [""] * len(time.names)
        rows = [
            [
                *(blank if second is None else [text.replace(".", self._point(text)) for text in time.cells(second)]),
                *cells,
            ]
            for second, *cells in zip(what.seconds, *columns, strict=True)
        ]
        if self.again is not None:
            rows[self.again : self.again] = head
        lines = [self.separator.join(row) + self.separator * self.trailing for row in [*head, *rows]]
        above = [line.format(pad=self.separator * (len(heading) - line.count("{s}") - 1), s=self.separator)
                 for line in self.above]  # fmt: skip
        return self.ends.join([*above, *lines]) + self.ends

    def _point(self, text: str) -> str:
        """The decimal sign of a number; a date keeps its own."""
        return self.decimal if text.replace(".", "", 1).lstrip("-").isdigit() else "."

    def _cells(self, name: str, what: Flight, texts: Mapping[str, str], on_change: bool) -> list[str]:
        cells = []
        before: str | None = None
        for second, value in zip(what.seconds, what.columns[name], strict=True):
            if value is None:
                cells.append(BROKEN)
                before = None
            elif isinstance(value, str):
                text = texts.get(value, value)
                cells.append("" if on_change and text == before else text)
                before = text
            elif self.mixed and name in SLOW and (second is None or second % 2):
                cells.append("")
            elif self.celsius and UNITS[name] == "F":
                cells.append(_decimal((value - 32) * 5 / 9, 2).replace(".", self.decimal))
            else:
                cells.append(_decimal(value, DIGITS.get(name, 1)).replace(".", self.decimal))
        return cells


PLAIN = Shape()
MAP = """time = {column = "Time (s)", unit = "s"}
[columns]
rpm = {column = "Engine speed (rpm)", unit = "rpm"}
"cht[1]" = {column = "CHT 1 (F)", unit = "F"}
"cht[2]" = {column = "CHT 2 (F)", unit = "F"}
oil_temp = {column = "Oil temp (F)", unit = "F"}
oil_pressure = {column = "Oil press (psi)", unit = "psi"}
volts = {column = "Bus voltage (V)", unit = "V"}
airspeed = {column = "IAS (kt)", unit = "kt"}
fuel = {column = "Fuel qty (gal)", unit = "gal"}
[switches]
flaps = "Flaps"
door = "Cabin door"
alternator = "Alternator"
"""
"""The map of the plain shape, written by hand."""

PADDED = ("Recorder{s}Willow 3{pad}", "Serial{s}0042{pad}", "Date{s}2026-05-03{pad}")
RAGGED = ("Recorder Willow 3", "Serial{s}0042", "", "Flight{s}17{s}2026-05-03 23:20:00")
COMMENTS = ("# Willow recorder", "# serial 0042, 2026-05-03")

SHAPES: Mapping[str, Shape] = {
    **{f"time: {name}": replace(PLAIN, time=name) for name in TIMES},
    **{f"switches: {name}": replace(PLAIN, switches=name) for name in SWITCHES},
    "mixed rates": replace(PLAIN, mixed=True),
    "mixed rates and switches on change": replace(PLAIN, mixed=True, switches="on change"),
    "padded preamble": replace(PLAIN, above=PADDED),
    "ragged preamble": replace(PLAIN, above=RAGGED),
    "comments": replace(PLAIN, above=COMMENTS),
    "units row": replace(PLAIN, units="row"),
    "type row": replace(PLAIN, types=True),
    "units and type row under a preamble": replace(PLAIN, units="row", types=True, above=PADDED),
    "second heading": replace(PLAIN, again=400),
    "second heading with units row": replace(PLAIN, units="row", again=400),
    "UTF-16": replace(PLAIN, encoding="utf-16"),
    "UTF-8 with its mark": replace(PLAIN, encoding="utf-8-sig"),
    "Latin-1": replace(PLAIN, encoding="latin-1", above=("Ger\u00e4t{s}Willow 3",)),
    "decimal commas": replace(PLAIN, separator=";", decimal=","),
    "decimal commas, minutes": replace(PLAIN, separator=";", decimal=",", time="minutes"),
    "tabs": replace(PLAIN, separator="\t"),
    "line ends of two": replace(PLAIN, ends="\r\n"),
    "line ends of carriage returns": replace(PLAIN, ends="\r"),
    "separator at the end": replace(PLAIN, trailing=True),
    "Celsius": replace(PLAIN, celsius=True),
    "Celsius, no units": replace(PLAIN, celsius=True, units="nowhere"),
    "no units": replace(PLAIN, units="nowhere"),
    "gzip": replace(PLAIN, packed="gz"),
    "zip": replace(PLAIN, packed="zip"),
}


def _decimal(value: Fraction, places: int) -> str:
    whole = round(value * 10**places)
    sign, whole = ("-" if whole < 0 else ""), abs(whole)
    return f"{sign}{whole // 10**places}" + (f".{whole % 10**places:0{places}}" if places else "")
