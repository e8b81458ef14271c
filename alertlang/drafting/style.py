"""Where the trade marks in more than one way: what was chosen."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

SCAN_ROOM = Fraction(1, 2)
"""Seconds that a delay leaves of what a limit allows, half of it at most: a display sees what is broken only at its
next scan (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Style:
    """`delay` seconds hold back every alert, as far as its limit allows. `start_delay`: a lower limit of a running
    engine uses all the time it gives, so that a start raises nothing. `between` is yellow or unmarked: the colour
    between a normal range and a limit, where the profiles say nothing. `high_cautions`: a caution on entering a
    precaution range above the normal one. `failed_cautions`: one for each sensor that has failed. `text` is the
    longest text of an alert, in characters. `follow`: state the published rules that hold with no finding."""

    delay: Fraction = Fraction(0)
    start_delay: bool = True
    between: str = "yellow"
    high_cautions: bool = False
    failed_cautions: bool = False
    claims: bool = True
    text: int = 12
    follow: bool = False
