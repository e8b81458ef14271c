"""Lamps over time: the annunciator sequences A, M and R of ANSI/ISA-18.1, as their tables are reprinted (second hand).

Two places are our choice, informed by some of these reprints: with M what comes back before its reset stays
acknowledged, and R's ringback is a slow flash with a sound of its own. Whether the standard's own tables
have it so is not known.

A lamp looks at all its alerts together: the process is abnormal while one of them is up. At each sample first come the
buttons, acknowledge before reset, on what the lamp was at the sample before (nobody has seen anything newer); then the
alerts of this sample.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from enum import Enum

from alertlang.model import ruleset as m


class Annunciation(Enum):
    """What a lamp is doing."""

    NORMAL = "normal"
    ALARM = "alarm"
    LOCKED_IN = "locked in"
    ACKNOWLEDGED = "acknowledged"
    CLEARED = "cleared"
    RINGBACK = "ringback"


@dataclass(frozen=True, slots=True)
class LampState:
    """`state`, and what there is to see (`light`: off, flashing, steady, slow flashing) and to hear (`sound`: silent,
    alarm, ringback).

    `locked in`: the alert is gone and nobody has acknowledged it. `cleared`, of M: it is acknowledged and gone, and
    waits for the reset. `ringback`, of R: the same, with a slow flash.
    """

    state: Annunciation
    light: str
    sound: str


_SEEN_AND_HEARD = {
    Annunciation.NORMAL: ("off", "silent"),
    Annunciation.ALARM: ("flashing", "alarm"),
    Annunciation.LOCKED_IN: ("flashing", "alarm"),
    Annunciation.ACKNOWLEDGED: ("steady", "silent"),
    Annunciation.CLEARED: ("steady", "silent"),
    Annunciation.RINGBACK: ("slow flashing", "ringback"),
}

STATES = {state: LampState(state, *seen) for state, seen in _SEEN_AND_HEARD.items()}
"""What there is to see and to hear in each state."""


class LampRun:
    """One lamp over the samples of one stretch, in order."""

    def __init__(self, lamp: m.PanelLamp) -> None:
        self.lamp = lamp
        self.state = Annunciation.NORMAL
        self._up: frozenset[Hashable] = frozenset()
        # Alerts that have lit the lamp since it was last off, and those of them that have been acknowledged.
        self._shown: frozenset[Hashable] = frozenset()
        self._acknowledged: frozenset[Hashable] = frozenset()

    def step(self, up: frozenset[Hashable], pressed: frozenset[str]) -> LampState:
        """The lamp at the next sample. `up`: its alerts that are up; `pressed`: buttons pressed since the last one."""
        if self.lamp.acknowledge in pressed:
            self._acknowledge()
        if self.lamp.reset in pressed and self.state in {Annunciation.CLEARED, Annunciation.RINGBACK}:
            self._off()
        new = up - self._up
        # Our choice: with M what comes back before the reset stays acknowledged; in the others it is a new alarm.
        if self.lamp.sequence is m.Sequence.M:
            new -= self._acknowledged
        if new:
            self.state = Annunciation.ALARM
        elif up:
            self._still_or_again_up()
        else:
            self._all_gone()
        self._up = up
        self._shown |= up
        return STATES[self.state]

    def _off(self) -> None:
        self.state = Annunciation.NORMAL
        self._shown = self._acknowledged = frozenset()

    def _acknowledge(self) -> None:
        self._acknowledged |= self._shown
        if self.state is Annunciation.ALARM:
            self.state = Annunciation.ACKNOWLEDGED
        elif self.state is Annunciation.LOCKED_IN:
            match self.lamp.sequence:
                case m.Sequence.A:
                    self._off()
                case m.Sequence.M:
                    self.state = Annunciation.CLEARED
                case m.Sequence.R:
                    self.state = Annunciation.RINGBACK

    def _still_or_again_up(self) -> None:
        if self.state is Annunciation.CLEARED:
            self.state = Annunciation.ACKNOWLEDGED
        elif self.state is Annunciation.LOCKED_IN:
            self.state = Annunciation.ALARM

    def _all_gone(self) -> None:
        if self.state is Annunciation.ALARM:
            if self.lamp.lock_in:
                self.state = Annunciation.LOCKED_IN
            else:
                self._off()
        elif self.state is Annunciation.ACKNOWLEDGED:
            match self.lamp.sequence:
                case m.Sequence.A:
                    self._off()
                case m.Sequence.M:
                    self.state = Annunciation.CLEARED
                case m.Sequence.R:
                    self.state = Annunciation.RINGBACK
