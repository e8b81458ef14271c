"""Labels, and the texts of alerts: short, and each for one thing alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import product

from alertlang.drafting.profile_queries import LimitedReading
from alertlang.model import ruleset as m
from alertlang.units.number import show_number

# Words of a quantity's name and how they are abbreviated in the trade, the best first. A temperature or pressure that
# a thing has alone is called by the thing.
_ABBREVIATIONS: dict[str, tuple[str, ...]] = {
    "airspeed": ("AIRSPEED", "SPEED", "IAS"),
    "alternator": ("ALT",),
    "altitude": ("ALTITUDE", "ALT"),
    "amps": ("AMPS", "A"),
    "back": ("BACK", "BK"),
    "battery": ("BATT", "BAT"),
    "bus": ("BUS",),
    "cabin": ("CABIN", "CAB"),
    "carburettor": ("CARB",),
    "coolant_temp": ("COOLANT", "CLNT T"),
    "coolant": ("COOLANT", "CLNT"),
    "current": ("AMPS", "A"),
    "cylinder_head_temperature": ("CHT",),
    "deviation": ("DEV",),
    "difference": ("DIFF", "GAP"),
    "engine": ("ENGINE", "ENG"),
    "exhaust": ("EXH",),
    "exhaust_back_pressure": ("EXH BACK P", "EXH P"),
    "exhaust_gas_temperature": ("EGT",),
    "flow": ("FLOW",),
    "fuel": ("FUEL", "F"),
    "fuel_left": ("FUEL L",),
    "fuel_right": ("FUEL R",),
    "fuel_flow": ("FUEL FLOW", "F FLOW", "FF"),
    "fuel_pressure": ("FUEL PRESS", "FUEL P", "F PR"),
    "fuel_quantity": ("FUEL QTY", "FUEL Q", "FQ"),
    "fuel_temp": ("FUEL TEMP", "FUEL T"),
    "gearbox_temp": ("GEARBOX", "GBOX T"),
    "gearbox": ("GEARBOX", "GBOX"),
    "generator": ("GEN",),
    "hydraulic": ("HYD",),
    "inlet": ("INLET", "IN"),
    "intake": ("INTAKE", "INTK"),
    "left": ("LEFT", "L"),
    "manifold_pressure": ("MAN PRESS", "MAP"),
    "manifold": ("MAN",),
    "oil_pressure": ("OIL PRESS", "OIL P"),
    "oil_quantity": ("OIL QTY", "OIL Q"),
    "oil_temp": ("OIL TEMP", "OIL T"),
    "pressure": ("PRESS", "P"),
    "prop_rpm": ("PROP RPM", "PROP"),
    "prop": ("PROP",),
    "propeller": ("PROP",),
    "quantity": ("QTY", "Q"),
    "right": ("RIGHT", "R"),
    "speed": ("SPEED", "SPD"),
    "suction": ("SUCTION", "SUCT"),
    "supply": ("SUPPLY", "SUP"),
    "temp": ("TEMP", "T"),
    "temperature": ("TEMP", "T"),
    "torque": ("TORQUE", "TRQ", "TQ"),
    "total": ("TOTAL", "TOT"),
    "turbine_inlet_temperature": ("TIT",),
    "vacuum": ("VACUUM", "VAC"),
    "vibration": ("VIB",),
    "volts": ("VOLTS", "V"),
    "voltage": ("VOLTS", "V"),
}
_SHORT_WORDS = {"HIGH": "HI", "LOW": "LO", "RANGE": "RNG"}
# So long is the usual word with its blank: a gauge is called alike in all its alerts where that has room.
_USUAL = len(" HIGH")


class Texts:
    """Gives no label and no text twice. `taken` are the labels that the profiles have."""

    def __init__(self, taken: frozenset[str], longest: int) -> None:
        self._labels = set(taken)
        self._texts: set[str] = set()
        self._numbered: set[tuple[str, str, str]] = set()
        self._longest = longest

    def label(self, base: str) -> str:
        wanted, number = base, 1
        while wanted in self._labels:
            number += 1
            wanted = f"{base}_{number}"
        self._labels.add(wanted)
        return wanted

    def text(self, gauge: LimitedReading, word: str, region: m.Region | None, context: Iterable[str] = ()) -> str:
        """For example `OIL T HIGH`; a second one on the same end of a gauge names its number: `OIL T HI 110`; a second
        one with that number a name of its `context`: `IAS GEAR 137`."""
        for said in self._possible(gauge, word, region, context):
            # `{n}` becomes the number of an element, of two digits at most.
            if len(said.replace("{n}", "99")) <= self._longest and said not in self._texts:
                self._texts.add(said)
                self._numbered |= {(gauge.subject, word, n) for n in _numbers(region) if said.endswith(n)}
                return said
        raise AssertionError(f"no text is left for {gauge.subject}")

    def _possible(
        self, gauge: LimitedReading, word: str, region: m.Region | None, context: Iterable[str]
    ) -> Iterator[str]:
        mark = f" {gauge.index}" if gauge.index is not None else " {n}" if gauge.quantity.size is not None else ""
        room = self._longest - len(mark.replace("{n}", "99"))
        names = [name for name in _names(gauge.quantity.name) if len(name) + _USUAL <= room]
        short = _SHORT_WORDS.get(word, word)
        numbers = _numbers(region)
        # One number under two names would be two alerts that nobody can tell apart.
        free = [n for n in numbers if (gauge.subject, word, n) not in self._numbered]
        yield from (f"{name}{mark} {word}" for name in names[:1])
        yield from (f"{name}{mark} {said}{number}" for name in names for number in free for said in (word, short))
        whys = [why for text in context for why in _names(text)]
        yield from (f"{name}{mark} {why}{number}" for number in (*numbers, "") for name in names for why in whys)
        # No room: a name that nobody abbreviates, or many alerts on one gauge.
        letters = "".join(part[:2].upper() for part in gauge.quantity.name.split("_"))
        names += [letters[: max(1, room - _USUAL - 3)], letters[:2]]
        tails = [*(f"{said}{number}" for number in numbers for said in (word, short)), word, short]
        yield from (f"{name}{mark} {tail}" for name in names for tail in tails)
        yield from (f"{name}{mark} {short[:2]} {number}" for number in range(2, 1000) for name in names)


def _names(name: str) -> list[str]:
    """What a gauge or a switch may be called, the longest first."""
    words = name.split("_")
    parts: list[tuple[str, ...]] = []
    while words:
        known = (n for n in range(len(words), 0, -1) if "_".join(words[:n]) in _ABBREVIATIONS)
        n = next(known, 0)
        whole = words[0].upper()
        parts.append(_ABBREVIATIONS["_".join(words[:n])] if n else tuple(dict.fromkeys((whole, whole[:4]))))
        words = words[max(n, 1) :]
    said = dict.fromkeys(" ".join(chosen) for chosen in product(*parts))
    return sorted(said, key=len, reverse=True)


def _numbers(region: m.Region | None) -> list[str]:
    """As they end a text; `-30` without a blank before it, there is no room to lose."""
    return [] if region is None else [f" {_digits(n)}".replace(" -", "-") for n in region.numbers]


def _digits(number: Fraction) -> str:
    return show_number(number) if "/" not in show_number(number) else show_number(Fraction(round(number)))
