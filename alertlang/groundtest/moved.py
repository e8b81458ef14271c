"""What there is to see while readings move, and when it is sure to be seen by somebody who is not exact."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from alertlang.lamps.machine import LampState
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m

# A person with a watch is so exact.
MARGIN = Fraction(1, 2)
_AFTER = Fraction(1)


@dataclass(frozen=True, slots=True)
class Seen:
    """All there is to see at one moment."""

    colours: Mapping[tuple[str, int | None], m.Colour | None]
    alerts: frozenset[tuple[m.Level, str]]
    lamps: Mapping[str, LampState]


def seen_in(shown: Shown) -> Seen:
    return Seen(dict(shown.colours), frozenset((a.level, a.text) for a in shown.alerts.values()), dict(shown.lamps))


# What the reference shows at each of its samples, by the seconds since the ramp began.
Track = tuple[tuple[Fraction, Shown], ...]


@dataclass(frozen=True, slots=True)
class Moved:
    """A ramp and `hold` seconds of it. `tracks`: as it should be, a little quicker and a little slower. `sure`: so long
    it moves in all of them. `latched`: alerts that stay though their cause may go."""

    hold: Fraction
    tracks: tuple[Track, ...]
    sure: Fraction
    latched: bool

    def around(self, time: Fraction) -> Iterator[Shown]:
        """All that may be shown when somebody looks at a time: from the sample before to the one after."""
        for track in self.tracks:
            first = max(place for place, (at, _) in enumerate(track) if at <= time - MARGIN)
            last = next(place for place, (at, _) in enumerate(track) if at >= time + MARGIN)
            yield from (shown for _, shown in track[first : last + 1])

    def times(self) -> list[Fraction]:
        """When to look, on half seconds: well before and well after each sample, while it moves for sure."""
        found = {self.sure - MARGIN}
        for track in self.tracks:
            for at, _ in track:
                found |= {Fraction(math.floor((at - MARGIN) * 2), 2), Fraction(math.ceil((at + MARGIN) * 2), 2)}
        return sorted(time for time in found if MARGIN <= time <= self.sure - MARGIN)

    def last_look(self, wait: Fraction) -> Fraction | None:
        """The last time, some delays being over, at which there is but one thing to see; none if there is no such."""
        for time in reversed(self.times()):
            if time < wait + _AFTER:
                return None
            seen = [seen_in(shown) for shown in self.around(time)]
            if all(one == seen[0] for one in seen):
                return time
        return None

    def is_met(self, is_met: Callable[[Shown], bool], wait: Fraction) -> bool:
        """Whether what has to be shown is, when it is looked at last."""
        last = self.last_look(wait)
        return last is not None and all(is_met(shown) for shown in self.around(last))
