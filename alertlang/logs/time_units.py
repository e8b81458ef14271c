"""Units and beginnings that times of a log are counted in: more of them than a rule ever needs."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime
from fractions import Fraction
from types import MappingProxyType

from alertlang.units.unit import UNITS, Unit

TIME_UNITS: Mapping[str, Unit] = MappingProxyType(
    {
        "ns": Unit("ns", "time", Fraction(1, 10**9)),
        "us": Unit("us", "time", Fraction(1, 10**6)),
        "ms": Unit("ms", "time", Fraction(1, 1000)),
        "s": UNITS["s"],
        "min": UNITS["min"],
        "h": UNITS["h"],
        "d": Unit("d", "time", Fraction(86_400)),
    }
)
"""Every unit of time that a column map may name."""

_WORDS = {
    "ns": "ns nsec nanos nanosecond nanoseconds",
    "us": "us µs μs usec usecs micros microsec microsecs microsecond microseconds",
    "ms": "ms msec msecs millis millisec millisecs millisecond milliseconds",
    "s": "s sec secs second seconds",
    "min": "min mins minute minutes",
    "h": "h hr hrs hour hours",
    "d": "d day days",
}
_MEANT = {word: name for name, words in _WORDS.items() for word in words.split()}
# Words that end a name and are its unit: `timestamp_ms`, `elapsed seconds`. One letter is too little to go by, but for
# that of the second.
_ENDS = {word: name for word, name in _MEANT.items() if len(word) > 1 or word == "s"}

MIDNIGHT = "midnight"
JULIAN = "julian"
DAY = Fraction(86_400)
# Noon of 1 January 4713 before the common era is 2440587.5 days before 1970: the definition of the Julian date, as in
# the Explanatory Supplement to the Astronomical Almanac. Status: from memory; tests hold it against published dates.
_JULIAN = -Fraction(4_881_175, 2) * DAY


def time_unit(text: str) -> Unit | None:
    """The unit of time that people write so; none if it is none."""
    name = _MEANT.get(text.strip().strip(".").casefold())
    return None if name is None else TIME_UNITS[name]


def unit_in_name(name: str) -> Unit | None:
    """The unit that the last word of a column's name says: `timestamp_ms`, `Run time min`. Of a name that is nothing
    but a unit that one: `seconds`."""
    words = re.findall(r"[^\W\d_]+", re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name))
    found = _ENDS.get(words[-1].casefold()) if words else None
    return None if found is None else TIME_UNITS[found]


def since_seconds(text: str) -> Fraction | None:
    """A beginning to count from, in seconds since 1970 (UTC): a date, a date and time, or `julian`. None for what is no
    such beginning; `midnight` is no date and is asked about before."""
    if text == JULIAN:
        return _JULIAN
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    whole = found if found.tzinfo is not None else found.replace(tzinfo=UTC)
    gone = whole - datetime(1970, 1, 1, tzinfo=UTC)
    return gone.days * DAY + gone.seconds + Fraction(gone.microseconds, 10**6)
