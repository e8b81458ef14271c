"""Labels, and the texts of alerts: short, and each for one thing alone."""

from __future__ import annotations

from fractions import Fraction

from alertlang.drafting.world import Gauge
from alertlang.model import ruleset as m
from alertlang.units.number import show_number

_SHORT = {
    "temp": "TEMP", "temperature": "TEMP", "pressure": "PRESS", "quantity": "QTY", "airspeed": "SPEED",
    "volts": "VOLTS", "alternator": "ALT", "battery": "BATT", "manifold": "MAN", "exhaust": "EXH", "difference": "DIFF",
    "deviation": "DEV", "turbine": "TURB", "inlet": "INLET", "supply": "SUPPLY", "coolant": "COOL",
    "gearbox": "GEAR BOX",
    "generator": "GEN", "fuel": "FUEL", "propeller": "PROP", "torque": "TORQUE", "vacuum": "VAC", "altitude": "ALT",
}  # fmt: skip
_SHORTER = {
    "TEMP": "T", "PRESS": "P", "FUEL": "F", "COOL": "CLNT", "GEAR BOX": "GBOX", "LEFT": "L", "RIGHT": "R",
    "SUPPLY": "SUP", "TORQUE": "TRQ", "VOLTS": "V", "AMPS": "A",
}  # fmt: skip


class Texts:
    """Gives no label and no text twice. `taken` are the labels that the profiles have."""

    def __init__(self, taken: frozenset[str], longest: int) -> None:
        self._labels = set(taken)
        self._texts: set[str] = set()
        self._longest = longest

    def label(self, base: str) -> str:
        wanted, number = base, 1
        while wanted in self._labels:
            number += 1
            wanted = f"{base}_{number}"
        self._labels.add(wanted)
        return wanted

    def text(self, gauge: Gauge, word: str, region: m.Region | None) -> str:
        """For example `OIL T HIGH`; a second one on the same end of a gauge names its number."""
        tails = [word]
        if region is not None:
            tails += [f"{short} {_digits(n)}" for n in region.numbers for short in (word, word[:2])]
        tails += [f"{word[:2]} {number}" for number in range(2, 1000)]
        for tail in tails:
            said = self._fitting(gauge, tail)
            if said not in self._texts:
                self._texts.add(said)
                return said
        raise AssertionError(f"no text is left for {gauge.subject}")

    def _fitting(self, gauge: Gauge, tail: str) -> str:
        words = [_SHORT.get(word, word.upper()) for word in gauge.quantity.name.split("_")]
        mark = f" {gauge.index}" if gauge.index is not None else " {n}" if gauge.quantity.size is not None else ""
        # `{n}` becomes the number of an element.
        room = self._longest - len(tail) - 1 - (len(mark) if gauge.index is not None else len(mark) and 3)
        for shorten in range(len(words) + 1):
            said = " ".join(_SHORTER.get(w, w[:4]) if i >= len(words) - shorten else w for i, w in enumerate(words))
            if len(said) <= room:
                return f"{said}{mark} {tail}"
        return f"{''.join(word[:2] for word in words)[: max(1, room)]}{mark} {tail}"


def _digits(number: Fraction) -> str:
    return show_number(number) if "/" not in show_number(number) else show_number(Fraction(round(number)))
