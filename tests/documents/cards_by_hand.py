"""A card's CSV done by a person who knows nothing but the text of it, at a panel that is the reference."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from alertlang.meaning.stepper import Sample, Shown, Stepper
from alertlang.model import ruleset as m


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


def not_as_expected(ruleset: m.RuleSet, text: str) -> Iterator[tuple[Line, str]]:
    """Every line at which the panel does something else, with what it does."""
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
        named: set[str] = set()
        for part in lines[0].stimulus.split("; "):
            if part.startswith("press "):
                pressed = part.removeprefix("press ")
                continue
            if part == "change nothing":
                continue
            name, value = part.split(" = ")
            named.add(f"gauge {name}")
            if name in ruleset.switches:
                positions[name] = value
            elif value == "disconnected":
                readings.pop(name, None)
            else:
                readings[name] = Fraction(value.split()[0])
        times = {Fraction(0), Fraction(1, 20)}
        for line in lines:
            times |= {line.after, line.after - Fraction(9, 20)}
        times |= {time for time in scans if time < lines[0].hold}
        seen: dict[Fraction, Shown] = {}
        for time in sorted(times):
            press = pressed if not time else None
            buttons = frozenset((press,)) if press in ruleset.buttons else frozenset[str]()
            sample = Sample(
                start + time,
                dict(readings),
                dict(positions),
                press is not None and not buttons,
                buttons,  # type: ignore[arg-type]
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
