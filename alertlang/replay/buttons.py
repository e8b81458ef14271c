"""Which buttons are pressed at which rows of a log.

An input of the column map feeds the button of its name. The inputs `acknowledge` and `reset` hold down every button
that acknowledges, or resets; a rule set without lamps has no other.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from alertlang.logs.table import Segment
from alertlang.model import ruleset as m

ACKNOWLEDGE, RESET = "acknowledge", "reset"

# The button of a rule set that names none; no name of the language is empty.
GENERAL = ""


class Buttons:
    """Takes the chunks of one segment as they come. `begin` anew before each segment."""

    def __init__(self, ruleset: m.RuleSet, acknowledge: str = ACKNOWLEDGE) -> None:
        self._wired: dict[str, tuple[str, ...]] = {GENERAL: (acknowledge,)}
        self._wired |= {name: (name, acknowledge) for name in ruleset.acknowledge_inputs}
        self._wired |= {name: (name, RESET) for name in ruleset.reset_inputs if name not in self._wired}
        self._acknowledging = (GENERAL, *ruleset.acknowledge_inputs)
        self._before: dict[str, bool] = {}

    def begin(self) -> None:
        self._before = {}

    def pressed(self, chunk: Segment) -> dict[str, NDArray[np.int64]]:
        """By button the rows at which it is held down and was not at the row before."""
        found: dict[str, NDArray[np.int64]] = {}
        for button, names in self._wired.items():
            held = [chunk.inputs[name] for name in dict.fromkeys(names) if name in chunk.inputs]
            if not held:
                continue
            down = held[0] if len(held) == 1 else np.logical_or.reduce(held)
            rows = np.flatnonzero(down[1:] & ~down[:-1]) + 1
            if down[0] and not self._before.get(button, False):
                rows = np.concatenate([np.zeros(1, np.int64), rows])
            found[button] = rows
            self._before[button] = bool(down[-1])
        return found

    def acknowledging(self, pressed: dict[str, NDArray[np.int64]]) -> NDArray[np.int64]:
        """The rows at which any button that acknowledges is pressed, rising."""
        rows = [pressed[button] for button in self._acknowledging if button in pressed]
        if not rows:
            return np.zeros(0, np.int64)
        return rows[0] if len(rows) == 1 else np.unique(np.concatenate(rows))
