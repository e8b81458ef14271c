"""Which quantities and switches are recognised as which instrument: by what they measure and words of their name."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from alertlang.model import ruleset as m

_WORD = re.compile(r"[a-z0-9]+")


@dataclass(frozen=True, slots=True)
class Instrument:
    """`names`: each a set of words that must all stand in the name, or all in the title. `never`: words that rule it
    out. `dimensions`: what it may measure; none for the position of something, which is a switch. `begins`: a word with
    which a title may begin instead, and what it may measure then."""

    title: str
    dimensions: frozenset[str]
    names: tuple[str, ...]
    never: tuple[str, ...] = ()
    begins: tuple[str, frozenset[str]] | None = None

    def begins_title(self, dimension: str, title: str | None) -> bool:
        """Whether a quantity is this instrument by the first word of its title and what it measures."""
        words = _WORD.findall((title or "").casefold())
        if self.begins is None or any(word in words for word in self.never):
            return False
        return words[:1] == [self.begins[0]] and dimension in self.begins[1]

    def fits(self, name: str, title: str | None) -> bool:
        """Whether the words of a name or title say that it is this instrument."""
        texts = [frozenset(_WORD.findall(text.casefold())) for text in (name.replace("_", " "), title or "")]
        if any(word in text for word in self.never for text in texts):
            return False
        return any(text.issuperset(one.split()) for one in self.names for text in texts)


def _instrument(title: str, dimensions: str, names: str, never: str = "") -> Instrument:
    parts = frozenset(part.strip() for part in dimensions.split(",") if part.strip())
    return Instrument(title, parts, tuple(text.strip() for text in names.split(",")), tuple(never.split()))


AIRSPEED = _instrument("an airspeed indicator", "speed", "airspeed, air speed, ias, kias, cas, kcas")
ALTIMETER = _instrument("an altimeter", "length", "altimeter, altitude, alt", "radio radar density terrain")
DIRECTION = _instrument("a magnetic direction indicator", "angle", "compass, heading, magnetic", "wind")
TACHOMETER = _instrument(
    "a tachometer",
    "rotational speed, ratio",
    "rpm, tachometer, engine speed, propeller speed, n1, n2, ng, np",
    "rotor",
)
OIL_PRESSURE = _instrument("an oil pressure gauge", "pressure", "oil pressure, oil press", "gearbox transmission")
COOLANT = _instrument("a coolant temperature gauge", "temperature", "coolant, water temp, water temperature")
OIL_TEMPERATURE = _instrument(
    "an oil temperature gauge", "temperature", "oil temp, oil temperature", "gearbox transmission"
)
MANIFOLD = _instrument("a manifold pressure gauge", "pressure", "manifold pressure, manifold press, map, mp")
FUEL = replace(
    _instrument(
        "a fuel quantity gauge",
        "volume, mass, ratio",
        "fuel quantity, fuel qty, fuel level, fuel contents",
        # What was used and what is still needed are no contents of a tank, nor is that there is little left.
        "used flow burned burnt required needed low",
    ),
    begins=("fuel", frozenset({"volume", "mass"})),
)
GEAR = _instrument("a landing gear position indicator", "", "gear, undercarriage")
FUEL_PRESSURE = _instrument("a fuel pressure gauge", "pressure", "fuel pressure, fuel press")
OIL_QUANTITY = _instrument("an oil quantity gauge", "volume, mass, ratio", "oil quantity, oil qty, oil level")
# A switch, or whatever a level sensor measures; that the pressure of the fuel is low is another thing.
LOW_FUEL = _instrument("a low-fuel sensor", "", "low fuel", "pressure press flow temp temperature filter")
GAS_TEMPERATURE = _instrument(
    "a gas temperature gauge",
    "temperature",
    "itt, tgt, egt, tit, tot, gas temp, gas temperature, turbine temp, turbine temperature",
)
TORQUE = _instrument("a torque gauge", "torque, ratio, pressure", "torque, trq")
CYLINDER_HEAD = _instrument("a cylinder head temperature gauge", "temperature", "cht, cylinder head")


def recognised(ruleset: m.RuleSet, instrument: Instrument) -> tuple[str, ...]:
    """Names of the quantities (for a position also of the switches) that are this instrument. What is computed from
    other readings is none."""
    found = [
        quantity.name
        for quantity in ruleset.quantities.values()
        if quantity.derived is None
        and (not instrument.dimensions or quantity.unit.dimension in instrument.dimensions)
        and (
            instrument.fits(quantity.name, quantity.title)
            or instrument.begins_title(quantity.unit.dimension, quantity.title)
        )
    ]
    if not instrument.dimensions:
        found += [s.name for s in ruleset.switches.values() if instrument.fits(s.name, s.title)]
    return tuple(found)
