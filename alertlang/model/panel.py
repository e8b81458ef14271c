"""What the panel has: lamps and how they behave, gauges in their order, and how switches are wired."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import TYPE_CHECKING

from alertlang.text.source import Span
from alertlang.units.unit import Unit

if TYPE_CHECKING:
    from alertlang.model.ruleset import Level, Origin


class Sequence(Enum):
    """The annunciator sequences of ANSI/ISA-18.1: automatic reset, manual reset, ringback."""

    A = "A"
    M = "M"
    R = "R"


@dataclass(frozen=True, slots=True)
class PanelLamp:
    """A light that is lit by every alert of its `levels` and by those of the statements named in `labels`.

    `lock_in`: an alert that goes away unacknowledged stays lit (M and R always do). `acknowledge` and `reset` are names
    of buttons, none where the sequence has no use for one.
    """

    text: str
    levels: tuple[Level, ...]
    labels: tuple[str, ...]
    sequence: Sequence
    lock_in: bool
    acknowledge: str | None
    reset: str | None
    span: Span
    origin: Origin

    def shows(self, label: str, level: Level) -> bool:
        """Whether an alert of a statement lights it."""
        return level in self.levels or label in self.labels


@dataclass(frozen=True, slots=True)
class PanelGauge:
    """How a quantity stands on the panel. None, or no channels, where the statement does not say it.

    `shape` is dial, bar or digits; `resolution`, in `unit` (none: the quantity's own), the steps in which values are
    shown and edges keyed in; `channels` one for each element.
    """

    quantity: str
    label: str | None
    shape: str | None
    unit: Unit | None
    resolution: Fraction | None
    sensor: str | None
    channels: tuple[str, ...]
    span: Span
    origin: Origin


@dataclass(frozen=True, slots=True)
class PanelInput:
    """How a switch is wired: at `position` its input is connected to `wired` (ground or supply)."""

    switch: str
    label: str | None
    wired: str | None
    position: str | None
    channel: str | None
    span: Span
    origin: Origin
