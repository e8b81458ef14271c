"""A recording and what the reference stepper shows over it, written as a scenario."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m

COLOURS = ("red", "yellow", "green", "white", "blue", "unmarked", "blank")


def number(value: Fraction) -> str:
    """A fraction where no decimal comes out even; the reader takes both."""
    return str(value)


def inputs(rules: m.RuleSet, sample: Sample) -> list[str]:
    """Everything that is read, each by itself; what is missing or beyond its sensor is said to have failed."""
    found: list[str] = []
    for quantity in rules.quantities.values():
        for index in quantity.indexes if quantity.derived is None else ():
            name = m.variable(quantity.name, index)
            value = sample.readings.get(name)
            there = value is not None and quantity.low <= value <= quantity.high
            found.append(
                f"{name} {number(value)} {quantity.unit.name}" if there and value is not None else f"{name} failed"
            )
    found += [f"{name} {sample.positions.get(name, 'failed')}" for name in rules.switches]
    return [*found, "acknowledge"] if sample.acknowledge else found


def texts(rules: m.RuleSet) -> dict[tuple[m.Level, str], list[tuple[str, int | None]]]:
    """Every alert there can be, with the statements and elements that raise it."""
    found: dict[tuple[m.Level, str], list[tuple[str, int | None]]] = {}
    for rule in rules.rules:
        if rule.alert is None:
            continue
        indexes: tuple[int | None, ...] = (None,)
        if isinstance(rule, m.Band):
            indexes = rules.quantities[rule.quantity].indexes if rule.index is None else (rule.index,)
        for index in indexes:
            text = rule.alert.text if index is None else rule.alert.text.replace("{n}", str(index))
            found.setdefault((rule.alert.level, text), []).append((rule.label, index))
    return found


def expectations(rules: m.RuleSet, shown: Shown) -> list[str]:
    """All that is shown: every gauge, every alert up or not, every condition, and quiet where it is."""
    found: list[str] = []
    for (name, index), colour in shown.colours.items():
        found.append(f"{m.variable(name, index)} {'blank' if colour is None else colour.word}")
    for (level, text), places in texts(rules).items():
        up = any(place in shown.alerts for place in places)
        found.append(f'{"" if up else "no "}{level.word} "{text}"')
    found += [name if holds else f"not {name}" for name, holds in shown.conditions.items()]
    if all(alert.level < m.Level.CAUTION for alert in shown.alerts.values()):
        found.append("quiet")
    return found


def flipped(expected: str) -> str:
    """The opposite of an expectation, or another colour."""
    if expected.startswith("no "):
        return expected.removeprefix("no ")
    if expected.startswith(("warning", "caution", "advisory")):
        return f"no {expected}"
    if expected.startswith("not "):
        return expected.removeprefix("not ")
    name, _, colour = expected.partition(" ")
    if not colour:
        return f"not {expected}"
    return f"{name} {COLOURS[(COLOURS.index(colour) + 1) % len(COLOURS)]}"


def text_of(lines: Sequence[tuple[Fraction, list[str], list[str]]], spacing: str) -> str:
    """A scenario; each line by its time, what is read, what is expected. One statement a line of text."""
    head = f'scenario "trace" version 1\nsample every {spacing}\n'
    said = []
    for time, read, expected in lines:
        arrow = f" -> {', '.join(expected)}" if expected else ""
        said.append(f"at {number(time)} s: {', '.join(read)}{arrow}\n")
    return head + "".join(said)
