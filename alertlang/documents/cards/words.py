"""What a card says besides its steps; the same on every kind of it."""

from __future__ import annotations

from alertlang.documents.cards.card import Card
from alertlang.documents.page import About
from alertlang.model.ruleset import in_seconds

TITLE = "Ground-test card"
HOW = (
    "Every value is simulated at the sensor's input, with the engine stopped and the aircraft secured. Never bring the "
    "engine or the aircraft itself to a value of this card: many of them are beyond its limits.",
    "Set all that a step names at the same moment, start the watch, and look at each line after its time; what is "
    "not named stays as it is. A time is from the moment the step is set. What is looked at half a second before it "
    "is due must not be there yet. Go on only when the step's time is over.",
    "All alerts: exactly these are up, no other. Other gauges: all that the step does not name show what they did.",
)


def about(card: Card) -> About:
    return About(TITLE, card.name, card.version, card.digest, numbers(card))


def numbers(card: Card) -> tuple[str, ...]:
    lines = sum(len(step.expected) for step in card.steps)
    return (
        f"{len(card.steps)} steps with {lines} lines show {card.shown} things; {card.changes} settings are changed "
        f"after the first step. The steps take {in_seconds(card.time)} to hold.",
        f"That fewer steps would do is not ruled out: the steps were put together greedily. At least {card.least} are "
        "needed, for one stimulus has to take so many values.",
        f"{card.pairs} conditions are shown to decide alone, all others as they are; {card.masked} with another one "
        "changing too.",
    )


def told(card: Card) -> list[str]:
    """The card in a few lines: its steps, and what it does not show."""
    found = [f'{TITLE} of rules "{card.name}" version {card.version}', *(f"  {line}" for line in numbers(card)), ""]
    for step in card.steps:
        found.append(f"{step.number:>4}  {'; '.join(step.changes) or 'nothing changes'}")
        ends = [one.seen for one in step.expected if one.item == "all alerts"]
        found.append(f"      held {in_seconds(step.hold)}; alerts: {ends[-1]}")
    for head, lines in (("Cannot be shown, proved:", card.impossible), ("Not shown by this card:", card.open)):
        if lines:
            found += ["", head, *(f"  {line}" for line in lines)]
    return found
