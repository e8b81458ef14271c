"""Units of measurement with exact conversion factors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from alertlang.text.suggest import nearest


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: a value in it, times `factor`, plus `offset`, is the value in the dimension's base unit.

    `dimension` is a noun phrase that can stand in a message. Only temperatures have an offset; their
    base unit is the kelvin.
    """

    name: str
    dimension: str
    factor: Fraction
    offset: Fraction = Fraction(0)


# Definitions that everything below is built from: international yard and pound (1959), standard
# acceleration of free fall (1901), US gallon of 231 cubic inches, as in NIST SP 811:2008 App. B.
# Status: from memory; the products agree with the check values in tests/outside.
_INCH = Fraction(254, 10_000)  # m, exact by definition
_FOOT = 12 * _INCH  # m, 0.3048 exactly
_MILE = 5280 * _FOOT  # m, statute mile
_NAUTICAL_MILE = Fraction(1852)  # m, exact by definition (1929)
_POUND = Fraction(45_359_237, 100_000_000)  # kg, exact by definition
_GRAVITY = Fraction(980_665, 100_000)  # m/s2, exact by definition
_POUND_FORCE = _POUND * _GRAVITY  # N
_MERCURY = Fraction(135_951, 10)  # kg/m3, the conventional density at 0 degrees Celsius
_GALLON = 231 * _INCH**3  # m3
_LITRE = Fraction(1, 1000)  # m3, exact by definition
_MINUTE = Fraction(60)  # s
_HOUR = Fraction(3600)  # s
_ONE = Fraction(1)

_ICE_POINT = Fraction(27_315, 100)  # K at 0 degrees Celsius, exact by definition of that scale
_RANKINE = Fraction(5, 9)  # K, one degree of the Fahrenheit scale
_FAHRENHEIT_ZERO = Fraction(45_967, 100) * _RANKINE  # K at 0 degrees Fahrenheit: 459.67 of its degrees

PLAIN = Unit("", "ratio", _ONE)
"""No unit: a plain number."""

_ALL = (
    # The only unit of its dimension, so it is its own base; likewise V, A and deg. An angle in
    # radians would be irrational.
    Unit("rpm", "rotational speed", _ONE),
    Unit("F", "temperature", _RANKINE, _FAHRENHEIT_ZERO),
    Unit("C", "temperature", _ONE, _ICE_POINT),
    Unit("K", "temperature", _ONE),
    # Base Pa.
    Unit("psi", "pressure", _POUND_FORCE / _INCH**2),
    Unit("bar", "pressure", Fraction(100_000)),
    Unit("kPa", "pressure", Fraction(1000)),
    Unit("hPa", "pressure", Fraction(100)),
    Unit("mbar", "pressure", Fraction(100)),
    # The conventional inch of mercury (0 degrees Celsius, standard gravity): 3386.388640341 Pa. The
    # one at 60 degrees Fahrenheit is 0.28 % smaller and is not used for manifold pressure.
    Unit("inHg", "pressure", _MERCURY * _GRAVITY * _INCH),
    # Base m/s.
    Unit("kt", "speed", _NAUTICAL_MILE / _HOUR),
    Unit("mph", "speed", _MILE / _HOUR),
    Unit("km/h", "speed", 1000 / _HOUR),
    Unit("m/s", "speed", _ONE),
    Unit("ft/min", "speed", _FOOT / _MINUTE),
    # The load factor: how many times the standard acceleration of free fall.
    Unit("g", "acceleration", _GRAVITY),
    Unit("ft", "length", _FOOT),
    Unit("m", "length", _ONE),
    Unit("V", "voltage", _ONE),
    Unit("A", "current", _ONE),
    Unit("%", "ratio", Fraction(1, 100)),
    Unit("deg", "angle", _ONE),
    # Base m3 and m3/s.
    Unit("gal", "volume", _GALLON),
    Unit("L", "volume", _LITRE),
    Unit("gal/h", "volume flow", _GALLON / _HOUR),
    Unit("L/h", "volume flow", _LITRE / _HOUR),
    Unit("L/min", "volume flow", _LITRE / _MINUTE),
    # Base kg and kg/s: a fuel flow in pounds is a flow of mass.
    Unit("lb", "mass", _POUND),
    Unit("kg", "mass", _ONE),
    Unit("lb/h", "mass flow", _POUND / _HOUR),
    Unit("kg/h", "mass flow", 1 / _HOUR),
    # Base N m.
    Unit("Nm", "torque", _ONE),
    Unit("lbft", "torque", _POUND_FORCE * _FOOT),
    # Base W and J: a torque is no energy, though both are newtons times metres.
    Unit("kW", "power", Fraction(1000)),
    Unit("kWh", "energy", 1000 * _HOUR),
    Unit("s", "time", _ONE),
    Unit("min", "time", _MINUTE),
    Unit("h", "time", _HOUR),
)

UNITS: Mapping[str, Unit] = MappingProxyType({unit.name: unit for unit in _ALL})
"""Every unit that can be written, by its name."""

# What people write instead, without case, spaces, dots, hyphens and degree signs, " per " as a stroke.
# A rate is also found part by part: "gallons per hour" needs no entry.
_OTHER_WORDS = {
    "rpm": "rpms rev/min revs/min r/min revolutions/minute",
    "F": "degf degreef degreesf fahrenheit degreesfahrenheit",
    "C": "degc degreec degreesc celsius centigrade degreescelsius",
    "K": "degk kelvin kelvins",
    "psi": "psig psia psid lb/in2 lbf/in2 lb/in² lbf/in² pounds/squareinch",
    "bar": "bars",
    "kPa": "kilopascal kilopascals",
    "hPa": "hectopascal hectopascals",
    "mbar": "mb millibar millibars",
    "inHg": "inmercury inchmercury inchesmercury inchofmercury inchesofmercury inchhg incheshg",
    "kt": "kts kn kias kcas ktas knot knots",
    "mph": "mi/h mi/hr mile/hour miles/hour",
    "km/h": "kmh kph kmph km/hr km/hour kilometres/hour kilometers/hour",
    "m/s": "mps",
    "ft/min": "fpm",
    "g": "gs gforce gunit gunits",
    "ft": "foot feet",
    "m": "metre metres meter meters",
    "V": "volt volts vdc vac",
    "A": "amp amps ampere amperes",
    "%": "pct percent percentage",
    "deg": "degree degrees",
    "gal": "gals gallon gallons usg usgal",
    "L": "ltr ltrs litre litres liter liters",
    "gal/h": "gph usgph galh",
    "L/h": "lph",
    "L/min": "lpm",
    "lb/h": "pph lbh",
    "kg/h": "kgph kgh",
    "Nm": "newtonmetre newtonmetres newtonmeter newtonmeters",
    "lbft": "ftlb ftlbs ftlbf lbsft lbfft footpound footpounds poundfoot poundfeet",
    "kW": "kilowatt kilowatts",
    "kWh": "kilowatthour kilowatthours",
    "s": "sec secs second seconds",
    "min": "mins minute minutes",
    "h": "hr hrs hour hours",
    "lb": "lbs lbm pound pounds",
    "kg": "kgs kilo kilos kilogram kilograms kilogramme kilogrammes",
}
_MEANT = {word: name for name, words in _OTHER_WORDS.items() for word in (name.casefold(), *words.split())}
_DEGREE_SIGNS = "°º˚"
_NOT_COUNTED = str.maketrans("", "", _DEGREE_SIGNS + " .-_·*^")

# Units of other things, one slip away from a name above: to offer that name would mislead.
_ELSEWHERE = frozenset({"nmi", "lbf", "kgf"})


def find_unit(name: str) -> Unit | None:
    """The unit of exactly this name, or None. A plain number's unit has no name to find it by."""
    return UNITS.get(name)


def nearest_unit(name: str) -> str | None:
    """The name of the unit that `name` was probably meant to be, or None."""
    if name.strip() in tuple(_DEGREE_SIGNS):
        return "deg"
    word = name.casefold().replace(" per ", "/").translate(_NOT_COUNTED)
    if word in _MEANT:
        return _MEANT[word]
    if "/" in word:
        # Part by part, for as a whole "ft/min" is more like "rev/min" than it ought to be.
        above, _, below = word.partition("/")
        rate = f"{_nearest_simple(above)}/{_nearest_simple(below)}"
        return rate if rate in UNITS else None
    return _nearest_simple(word)


def _nearest_simple(word: str) -> str | None:
    """The unit that a word without a stroke was meant to be."""
    if word in _MEANT:
        return _MEANT[word]
    # Words of one or two letters are one slip away from everything: "in", "hp" and "mi" are units of
    # their own, not misspelt "min" or "hPa".
    if len(word) < 3 or word in _ELSEWHERE:
        return None
    found = nearest(word, (known for known in _MEANT if "/" not in known))
    return None if found is None else _MEANT[found]


def convert(value: Fraction, source: Unit, target: Unit) -> Fraction:
    """The same value in another unit, exactly. ValueError if the dimensions differ."""
    _same_dimension(source, target)
    return (value * source.factor + source.offset - target.offset) / target.factor


def convert_difference(value: Fraction, source: Unit, target: Unit) -> Fraction:
    """The same difference (spread, rate, deadband) in another unit, exactly.

    A difference of temperatures has no offset: 9 F are 5 C. ValueError if the dimensions differ.
    """
    _same_dimension(source, target)
    return value * source.factor / target.factor


def _same_dimension(source: Unit, target: Unit) -> None:
    if source.dimension != target.dimension:
        raise ValueError(f"{_described(source)} cannot be converted to {_described(target)}")


def _described(unit: Unit) -> str:
    return f"{unit.dimension} ({unit.name})" if unit.name else f"a plain number ({unit.dimension})"
