"""What the cells of a switch's column are proposed to mean: by the words in them and in the column's name, or asked."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from alertlang.logs.holds import is_on_change
from alertlang.logs.wanted import WantedSwitch

# Words for the two sides of a switch that does something or does not.
_ON = frozenset((
    "on", "true", "yes", "1", "active", "enabled", "engaged", "armed", "online", "running", "pressed", "high", "y",
    "t",
))  # fmt: skip
_OFF = frozenset((
    "off", "false", "no", "0", "inactive", "disabled", "disengaged", "disarmed", "offline", "stopped", "low", "n",
    "f",
))  # fmt: skip
# So many different texts are looked at; a switch has fewer positions.
MOST_TEXTS = 12
_BY_NAME = "the positions by their names"


@dataclass(frozen=True, slots=True)
class SwitchGuess:
    """`positions`: what is written, and the position it stands for; none: it must be asked. `on_change`: it is written
    where it changes, and at no other row. `by_name`: each is named like its position."""

    positions: Mapping[str, str]
    why: str
    doubt: str | None
    on_change: bool
    by_name: bool = False


def propose_switch(switch: WantedSwitch, column: str, texts: Sequence[str]) -> SwitchGuess:
    """`texts`: what stands in the first rows of the column."""
    written = [text for text in dict.fromkeys(texts) if text]
    if not written or len(written) > MOST_TEXTS:
        seen = "nothing is written in it" if not written else f"{len(written)} different texts are written in it"
        return SwitchGuess({}, seen, None, False)
    shown = ", ".join(written)
    blank = "" in texts
    found, why, doubt = _meant(switch, column, written)
    if not found:
        return SwitchGuess({}, f"it holds {shown}", None, False)
    left = [text for text in written if text not in found]
    if left:
        doubt = f"nothing says what {', '.join(left)} stands for"
    on_change = blank and is_on_change(texts, [bool(text) for text in texts])
    if blank and not on_change and len(set(found.values())) == 1 and len(switch.positions) == 2:
        # A state that is marked where it is so, and left blank where it is not.
        (other,) = (position for position in switch.positions if position not in found.values())
        return SwitchGuess(
            {**found, "": other}, f"{why}; empty for the other position", f"an empty cell is taken for {other}", False
        )
    return SwitchGuess(found, f"it holds {shown}: {why}", doubt, on_change, why == _BY_NAME)


def _meant(switch: WantedSwitch, column: str, written: Sequence[str]) -> tuple[dict[str, str], str, str | None]:
    """What each text stands for, why, and what is in doubt."""
    named = {text: position for text in written if (position := _named(text, switch.positions)) is not None}
    if len(named) == len(written):
        return named, _BY_NAME, None
    sides = _sides(switch, column)
    if sides is not None and all(_side(text) is not None for text in written):
        (off, on), ground, doubt = sides
        return {text: on if _side(text) else off for text in written}, ground, doubt
    if named:
        return named, _BY_NAME, None
    numbers = {text: int(float(text)) for text in written if re.fullmatch(r"\d(?:\.0*)?", text)}
    if len(numbers) == len(written) and max(numbers.values()) < len(switch.positions):
        order = {str(number): position for number, position in enumerate(switch.positions)}
        ground = "numbers from 0, in the order in which the rules name the positions"
        return order, ground, "the numbers are taken in the order of the rules"
    return {}, "", None


def _named(text: str, positions: Sequence[str]) -> str | None:
    """The position that a text is: its name, the beginning of one name alone, or its consonants in their order."""
    bare = _bare(text)
    if not bare or bare.isdigit():
        return None
    bares = {position: _bare(position) for position in positions}
    several = len(bare) > 1
    for found in (
        [position for position, name in bares.items() if name == bare],
        [position for position, name in bares.items() if several and name.startswith(bare)],
        [position for position, name in bares.items() if several and name[0] == bare[0] and _in_order(bare, name)],
    ):
        if len(found) == 1:
            return found[0]
    return None


def _sides(switch: WantedSwitch, column: str) -> tuple[tuple[str, str], str, str | None] | None:
    """Which position of two is off and which is on, why, and what is in doubt."""
    if len(switch.positions) != 2:
        return None
    words = set(re.findall(r"[a-z]+", re.sub(r"(?<=[a-z])(?=[A-Z])", " ", column).casefold()))
    called = [position for position in switch.positions if _bare(position) in words]
    if len(called) == 1:
        (other,) = (position for position in switch.positions if position != called[0])
        return (other, called[0]), f"the column is named for {called[0]}", None
    first, second = switch.positions
    for off, on in ((first, second), (second, first)):
        if _bare(on) in _ON and _bare(off) in _OFF:
            return (off, on), f"on is {on}", None
    return (first, second), f"off taken for {first}, which the rules name first", f"on is taken for {second}"


def _side(text: str) -> bool | None:
    """Whether a text says on, or off; none where it says neither."""
    bare = re.sub(r"\.0*$", "", text.casefold().strip())
    return True if bare in _ON else False if bare in _OFF else None


def _bare(text: str) -> str:
    return re.sub(r"[^a-z0-9]", "", text.casefold())


def _in_order(letters: str, name: str) -> bool:
    rest = iter(name)
    return all(letter in rest for letter in letters)
