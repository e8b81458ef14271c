"""What a recording is read for: readings and positions that somebody wants, without what they are wanted for."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from alertlang.units.unit import Unit


@dataclass(frozen=True, slots=True)
class WantedReading:
    """One reading of a sensor: `rpm`, or `cht[2]` of the quantity cht. `low`, `high`: the sensor's range; `sensible`:
    stretches where it is when all is well; all in its `unit`. `difference`: zero is zero in every unit."""

    name: str
    quantity: str
    title: str | None
    unit: Unit
    low: Fraction
    high: Fraction
    difference: bool
    sensible: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class WantedSwitch:
    """A switch and its positions."""

    name: str
    title: str | None
    positions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Everything that columns can feed. `computed`: what is worked out from others and is fed by none; `arrays`: names
    that are fed by element; `judged`: readings and switches without which an alert or a limit cannot be judged."""

    readings: tuple[WantedReading, ...]
    switches: tuple[WantedSwitch, ...]
    computed: frozenset[str]
    arrays: frozenset[str]
    judged: frozenset[str] = frozenset()
