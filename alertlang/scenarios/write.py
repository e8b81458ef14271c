"""A scenario as text: what is read and what is expected, in the words of the grammar."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping
from fractions import Fraction

from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m
from alertlang.scenarios import scenario as s
from alertlang.units.number import show_number, show_value

_WIDTH = 110


def time_text(seconds: Fraction) -> str:
    return f"{show_number(seconds)} s"


def input_texts(
    rules: m.RuleSet, readings: Mapping[str, Fraction | None], positions: Mapping[str, str | None]
) -> list[str]:
    """What is read, in the order of declaration: values by reading, positions by switch, none where failed.

    An array whose elements are all given and all alike is said at once.
    """
    found: list[str] = []
    for quantity in rules.quantities.values():
        names: list[str] = [m.variable(quantity.name, index) for index in quantity.indexes]
        given = {name: readings[name] for name in names if name in readings}
        if quantity.size is not None and len(given) == quantity.size and len(set(given.values())) == 1:
            given = {f"every {quantity.name}": next(iter(given.values()))}
        for name, value in given.items():
            found.append(f"{name} {'failed' if value is None else show_value(value, quantity.unit)}")
    for name in rules.switches:
        if name in positions:
            position = positions[name]
            found.append(f"{name} {'failed' if position is None else position}")
    return found


def ramp_text(rules: m.RuleSet, reading: str, first: Fraction, last: Fraction, until: Fraction) -> str:
    """A reading on its way from one value to another."""
    unit = rules.quantities[m.ReadingId(reading).quantity].unit
    return f"{reading} {show_number(first)} to {show_value(last, unit)} by {time_text(until)}"


def shown_text(what: s.What, shown: Shown) -> list[str]:
    """What is shown of something, as expectations that hold: for each gauge its colour, and so on."""
    match what:
        case s.GaugeShows():
            colours = {m.variable(*gauge): shown.colours[gauge] for gauge in what.gauges}
            return [f"{name} {'blank' if colour is None else colour.word}" for name, colour in colours.items()]
        case s.AlertIsUp():
            is_up = any(place in shown.alerts for place in what.raised_by)
            return [f'{"" if is_up else "no "}{what.level.word} "{what.text}"']
        case s.IsQuiet():
            return ["quiet"] if all(a.level < m.Level.CAUTION for a in shown.alerts.values()) else []
        case s.ConditionHolds():
            return [what.name if shown.conditions[what.name] else f"not {what.name}"]
        case s.LampShows():
            return [f'lamp "{what.lamp}" {shown.lamps[what.lamp].light}']


def line_text(time: Fraction, inputs: Iterable[str], expected: Iterable[str]) -> str:
    """A line of the scenario, over several lines of text where it is long."""
    said, wanted = list(inputs), list(expected)
    text = f"at {time_text(time)}" + (f": {', '.join(said)}" if said else "")
    arrow = f"-> {', '.join(wanted)}" if wanted else ""
    if len(text) + len(arrow) < _WIDTH:
        return f"{text} {arrow}".rstrip()
    return "\n".join([*_wrapped(text, "  "), *(f"  {part}" for part in _wrapped(arrow, "  "))])


def _wrapped(text: str, indent: str) -> list[str]:
    """Broken after commas only, so that no text and no value is torn apart."""
    found: list[str] = []
    line = ""
    for i, part in enumerate(text.split(", ")):
        piece = part if i == 0 else f", {part}"
        if line and len(line) + len(piece) > _WIDTH - len(indent):
            found.append(f"{line},")
            line = indent + part
        else:
            line += piece
    return [*found, line] if line else found


def comment_text(text: str) -> str:
    """Lines of comment."""
    lines = textwrap.wrap(text, _WIDTH - 2, break_long_words=False, break_on_hyphens=False) or [""]
    return "".join(f"# {line}\n" for line in lines)
