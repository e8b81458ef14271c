"""What a lamp shows, told from everything that has happened so far and not from a state that is carried along.

A second telling of the annunciator sequences, for many alerts and two buttons: it shares nothing with the lamp of
`alertlang/meaning` but the declaration.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence

from alertlang.model import ruleset as m

Seen = tuple[str, str]

OFF: Seen = ("off", "silent")
FLASHING: Seen = ("flashing", "alarm")
STEADY: Seen = ("steady", "silent")
RINGING: Seen = ("slow flashing", "ringback")


class PlainLamp:
    """One lamp over some samples. `up`: its alerts that are up at each; `pressed`: the buttons pressed since the one
    before, a button that is held down only once."""

    def __init__(
        self, lamp: m.PanelLamp, up: Sequence[frozenset[Hashable]], pressed: Sequence[frozenset[str | None]]
    ) -> None:
        self.lamp = lamp
        self.up = up
        self.acknowledged = [lamp.acknowledge is not None and lamp.acknowledge in one for one in pressed]
        self.reset = [lamp.reset is not None and lamp.reset in one for one in pressed]
        self.resets: list[int] = []
        self.alarms: list[int] = []
        self.lights = [self._light(now) for now in range(len(up))]

    def _light(self, now: int) -> Seen:
        # In this order: a press is for what was there before, and acknowledging counts before resetting.
        if self.reset[now] and now and not self.up[now - 1] and not self._unacknowledged(now) and self._lit_before(now):
            self.resets.append(now)
        if any(self._is_alarm(place, now) for place in self.up[now]):
            self.alarms.append(now)
        if self._unacknowledged(now) and (self.lamp.lock_in or self.up[now]):
            return FLASHING
        if self.up[now]:
            return STEADY
        if self.lamp.sequence is m.Sequence.A or not self._lit_before(now + 1):
            return OFF
        return STEADY if self.lamp.sequence is m.Sequence.M else RINGING

    def _is_alarm(self, place: Hashable, now: int) -> bool:
        """Whether an alert comes up now, and not as one of M that has been acknowledged and not reset since."""
        if now and place in self.up[now - 1]:
            return False
        if self.lamp.sequence is not m.Sequence.M:
            return True
        last = max(self.resets, default=0)
        return not any(place in self.up[k] and any(self.acknowledged[k + 1 : now + 1]) for k in range(last, now))

    def _unacknowledged(self, now: int) -> bool:
        """Whether some alarm up to now has not been acknowledged since."""
        return any(not any(self.acknowledged[alarm + 1 : now + 1]) for alarm in self.alarms)

    def _lit_before(self, now: int) -> bool:
        """Whether an alert was up since the last reset."""
        return any(self.up[max(self.resets, default=0) : now])
