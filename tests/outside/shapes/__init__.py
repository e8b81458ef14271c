"""Published operating limits of every shape, each with rules that guard it and slips that must be found.

How far a figure can be trusted stands in its `source` line: a plain text names the document in which it was read,
`second hand` somebody's copy, `from memory` none. What no document gives (the reach of a sensor, the level of an alert,
a figure that a published shape leaves open) is `common practice` and says so.
"""

from __future__ import annotations

from tests.outside.shapes.airframes import AIRFRAMES
from tests.outside.shapes.clock import CLOCK
from tests.outside.shapes.marks import MARKS
from tests.outside.shapes.moving import MOVING
from tests.outside.shapes.shape import Shape, Slip
from tests.outside.shapes.starts import STARTS
from tests.outside.shapes.steps import STEPS
from tests.outside.shapes.tiers import TIERS

SHAPES: tuple[Shape, ...] = (*STEPS, *MOVING, *TIERS, *CLOCK, *STARTS, *MARKS, *AIRFRAMES)

__all__ = ["SHAPES", "Shape", "Slip"]
