"""Alerts that came and went and came again, told as one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from alertlang.results.replay import AlertUp

AGAIN = Fraction(60)
"""Seconds from the end of an alert within which its next coming belongs to the same burst. Common practice, no source:
the published definition of chattering looks at a minute."""


@dataclass(frozen=True, slots=True)
class Burst:
    """One alert of one statement and element in one segment, up once or several times: at least one, in the order of
    time."""

    ups: tuple[AlertUp, ...]

    @property
    def alert(self) -> AlertUp:
        """The first of them, which says what they all are."""
        return self.ups[0]

    @property
    def span(self) -> Fraction:
        """Seconds from the first coming to the last going."""
        return self.ups[-1].start + self.ups[-1].seconds - self.ups[0].start

    @property
    def seconds(self) -> Fraction:
        """Seconds that it was up in all."""
        return sum((up.seconds for up in self.ups), Fraction(0))

    @property
    def deepest(self) -> AlertUp | None:
        """The one with the worst reading; none where no reading is known of any."""
        known = [up for up in self.ups if up.worst is not None]
        return max(known, key=lambda up: up.worst.past if up.worst is not None else Fraction(0), default=None)


def bursts(alerts: Iterable[AlertUp]) -> tuple[Burst, ...]:
    """All alerts in order of time, those that came again soon together with the first of them."""
    open_: dict[tuple[int, str, int | None], list[AlertUp]] = {}
    found: list[list[AlertUp]] = []
    for up in sorted(alerts, key=lambda up: (up.segment, up.start)):
        key = up.segment, up.statement, up.element
        last = open_.get(key)
        if last is not None and up.start - (last[-1].start + last[-1].seconds) <= AGAIN:
            last.append(up)
        else:
            open_[key] = [up]
            found.append(open_[key])
    return tuple(Burst(tuple(ups)) for ups in found)
