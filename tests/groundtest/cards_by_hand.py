"""A card's CSV done by a person who knows nothing but the text of it, at a panel that is the reference."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from alertlang.meaning.stepper import Sample, Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.units.unit import convert, convert_difference, find_unit


@dataclass(frozen=True)
class Line:
    number: int
    step: int
    stimulus: str
    hold: Fraction
    after: Fraction
    item: str
    expected: str


def lines_of(text: str) -> list[Line]:
    rows = list(csv.reader(io.StringIO(text, newline="")))
    return [Line(int(r[0]), int(r[1]), r[2], Fraction(r[3]), Fraction(r[4]), r[5], r[6]) for r in rows[3:]]


def ramp_of(ruleset: m.RuleSet, words: str) -> tuple[str, tuple[Fraction, Fraction, Fraction]]:
    """`cht[1]: from 400 F down to 340 F, evenly, in 60 s`: what is moved; from where, to where, for how long."""
    found = re.fullmatch(r"(\S+): from (\S+(?: \S+)?) (up|down) to (\S+(?: \S+)?), evenly, in (\d+) s", words)
    assert found is not None, words
    begin, end = (value_of(ruleset, found[1], found[place]) for place in (2, 4))
    assert (found[3] == "up") is (begin < end)
    return found[1], (begin, end, Fraction(found[5]))


def value_of(ruleset: m.RuleSet, name: str, words: str) -> Fraction:
    """What is set, in the unit of the quantity."""
    number, _, unit = words.partition(" ")
    quantity = ruleset.quantities[name.split("[")[0]]
    written = find_unit(unit)
    if written is None or written == quantity.unit:
        return Fraction(number)
    return (convert_difference if quantity.difference else convert)(Fraction(number), written, quantity.unit)


def not_as_expected(ruleset: m.RuleSet, text: str, pace: Fraction = Fraction(1)) -> Iterator[tuple[Line, str]]:
    """Every line at which the panel does something else, with what it does. `pace`: so many times as fast as written
    every reading is moved."""
    stepper = Stepper(ruleset)
    steps: dict[int, list[Line]] = {}
    for line in lines_of(text):
        steps.setdefault(line.step, []).append(line)
    scans = scanned(ruleset)
    readings: dict[str, Fraction] = {}
    positions: dict[str, str] = {}
    start = Fraction(0)
    before: dict[str, str] = {}
    for lines in steps.values():
        pressed: str | None = None
        moving: dict[str, tuple[Fraction, Fraction, Fraction]] = {}
        named: set[str] = set()
        for part in lines[0].stimulus.split("; "):
            if part.startswith("press "):
                pressed = part.removeprefix("press ")
                continue
            if part == "change nothing":
                continue
            if ": from " in part:
                name, ramp = ramp_of(ruleset, part)
                named.add(f"gauge {name}")
                assert readings[name] == ramp[0], f"{part}: the step before leaves it at {readings[name]}"
                moving[name] = ramp
                continue
            name, value = part.split(" = ")
            named.add(f"gauge {name}")
            if name in ruleset.switches:
                positions[name] = value
            elif value == "disconnected":
                readings.pop(name, None)
            else:
                readings[name] = value_of(ruleset, name, value)
        times = {Fraction(0), Fraction(1, 20)}
        for line in lines:
            times |= {line.after, line.after - Fraction(9, 20)}
        times |= {time for time in scans if time < lines[0].hold}
        if moving:
            # A simulator moves all the time.
            times |= {Fraction(tick) for tick in range(0, int(lines[0].hold), 2)}
        seen: dict[Fraction, Shown] = {}
        for time in sorted(times):
            press = pressed if not time else None
            for name, (begin, end, long) in moving.items():
                readings[name] = begin + (end - begin) * min(time * pace / long, Fraction(1))
            buttons = frozenset((press,)) if press in ruleset.buttons else frozenset[str]()
            sample = Sample(
                start + time,
                dict(readings),
                dict(positions),
                press is not None and not buttons,
                buttons,
            )
            seen[time] = stepper.step(sample)
        for line in lines:
            if line.item == "other gauges":
                named |= {one.item for one in lines}
                now = {k: v for k, v in gauges(ruleset, seen[line.after]).items() if k not in named}
                if any(before.get(gauge, colour) != colour for gauge, colour in now.items()):
                    yield line, "another gauge changed"
            elif (found := what_is_seen(ruleset, line.item, seen[line.after])) != line.expected:
                yield line, found
        before = gauges(ruleset, seen[max(times)])
        start += lines[0].hold


def scanned(ruleset: m.RuleSet) -> set[Fraction]:
    """A panel looks all the time; here, just after each delay is over, and two of them one after the other."""
    delays = {c.set_after for c in ruleset.conditions.values()} | {c.cleared_after for c in ruleset.conditions.values()}
    delays |= {rule.held for rule in ruleset.rules} | {rule.after for rule in ruleset.rules}
    delays |= {p.duration for f in ruleset.formulas for p in m.parts_of(f) if isinstance(p, m.Held)}
    known = {delay for delay in delays if delay}
    return {one + Fraction(1, 20) for one in known} | {a + b + Fraction(1, 10) for a in known for b in known}


def gauges(ruleset: m.RuleSet, shown: Shown) -> dict[str, str]:
    banded = {band.quantity for band in ruleset.bands}
    return {
        f"gauge {m.variable(name, index)}": "no colour" if colour is None else colour.word
        for (name, index), colour in shown.colours.items()
        if name in banded
    }


def what_is_seen(ruleset: m.RuleSet, item: str, shown: Shown) -> str:
    up = {(alert.level.word, alert.text) for alert in shown.alerts.values()}
    if item == "all alerts":
        rank = {"warning": 0, "caution": 1, "advisory": 2}
        return "; ".join(" ".join(one) for one in sorted(up, key=lambda a: (rank[a[0]], a[1]))) or "none"
    if item.startswith("alert "):
        text, level = item.removeprefix("alert ").removesuffix(")").rsplit(" (", 1)
        return "up" if (level, text) in up else "not up"
    if item.startswith("lamp "):
        lamp = shown.lamps[item.removeprefix("lamp ")]
        return lamp.light if lamp.sound == "silent" else f"{lamp.light}, sound {lamp.sound}"
    return gauges(ruleset, shown)[item]
