"""What a card says besides its steps; the same on every kind of it."""

from __future__ import annotations

import re
from fractions import Fraction
from math import ceil
from textwrap import wrap

from alertlang.groundtest.card import Card
from alertlang.model.ruleset import in_seconds

TITLE = "Ground-test card"
HOW = (
    "Every value is simulated at the sensor's input, with the engine stopped and the aircraft secured. Never bring the "
    "engine or the aircraft itself to a value of this card: many of them are beyond its limits.",
    "The test is done as the approved manuals of the aircraft and of the panel say, by somebody who may do it and sign "
    "for it. It shows what the panel does with these values, not that the sensors or the limits are right.",
    "Set all that a step names at the same moment and start the watch; what is not named stays as it is. Look at a "
    "line once its time has come, not before: what it says must be there then, and must stay until a later line of the "
    'step says something else of the same thing. "Still" is looked at half a second before it may change. Go on only '
    "when the step's time is over.",
    "Values are in the unit of the gauge. Edges are those of the installer's sheet: where the display cannot hold an "
    "exact number, the rounded one.",
    'Under "seen" goes ok if it is as it must be, else what was seen; initials on every line that was looked at.',
    "All alerts: exactly these are up, no other. Other gauges: all that the step does not name show what they did. "
    "Disconnected: the sensor is taken off, as if it had failed. No colour: the gauge shows none.",
)
# Said only where a reading is moved.
_MOVES = (
    "From, to, evenly: the simulator has the first value already. Start the watch as it begins to move, and let it "
    "move at the same rate up to the last value, where it stays. A tenth quicker or slower does no harm. How a panel "
    "works out a rate (how often, over how long) is not in the rules: here the rate of each moment counts.",
)
SIGN = (
    "Aircraft",
    "Display and its software",
    "Rules keyed in and read back by",
    "Tested by, licence",
    "Date, signature",
)


def how(card: Card) -> tuple[str, ...]:
    """How a card is used."""
    return (*HOW, *_MOVES) if any(step.moves for step in card.steps) else HOW


def numbers(card: Card) -> tuple[str, ...]:
    """How large the card is, and what is to be said of its numbers."""
    weak = (f"This rule set {card.weak}.",) if card.weak else ()
    lines = sum(len(step.expected) for step in card.steps)
    return (
        f"{len(card.steps)} steps with {lines} lines show {card.shown} things; {card.changes} settings are changed "
        f"after the first step. The steps take {_long(card.time)} to hold.",
        "No fewer steps would do."
        if len(card.steps) <= card.least
        else f"At least {card.least} steps are needed: one to begin with, one for each sensor that fails alone, one "
        "for each value that some one stimulus has to take. That fewer than these here would do is not ruled out.",
        f"{card.pairs} conditions are shown to decide alone, all others as they are; {card.masked} with another one "
        "changing too.",
        *weak,
    )


def _long(time: Fraction) -> str:
    return in_seconds(time) if time < 120 else f"{ceil(time / 60)} min"


def told(card: Card, width: int) -> list[str]:
    """The card in a few lines: its steps, and what it does not show."""
    lines = (f"  {line}" for line in numbers(card))
    found = [f'{TITLE} of rules "{card.name}" version {card.version}', *lines, ""]
    for step in card.steps:
        found.append(f"{step.number:>4}  {'; '.join(step.changes)}")
        ends = [expectation.seen for expectation in step.expected if expectation.item == "all alerts"]
        found.append(f"      held {in_seconds(step.hold)}; alerts: {ends[-1]}")
    for head, left in (
        ("Cannot be shown, proved under the assumptions of the rules:", card.impossible),
        ("Not shown by this card:", card.open),
    ):
        if left:
            found += ["", head, *(f"  {line}" for line in left)]
    return [part for line in found for part in _folded(line, width)]


def _folded(line: str, width: int) -> list[str]:
    """One line in as many as it takes, those after the first set in."""
    start = re.match(r" *(\d+  )?", line)
    assert start is not None
    return wrap(line, width, subsequent_indent=" " * (start.end() + 2), break_on_hyphens=False) or [""]
