"""A rule set made of the lines of a sheet alone, as text of the language: what the box does that holds them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.keying.columns import SheetLine
from alertlang.keying.edges import held_edge, number_of, seconds_of
from alertlang.model.formula import RegionKind, in_seconds
from alertlang.units.number import show_number
from alertlang.units.unit import PLAIN, Unit, find_unit

_NAME = re.compile(r"[a-z_][a-z0-9_]*")
_PLACE = re.compile(r"([a-z_][a-z0-9_]*)(?:\[([0-9]+)\])?")


class LineError(ValueError):
    """A line from which no rules can be made. `number` is the sheet's."""

    def __init__(self, number: int, message: str) -> None:
        super().__init__(message)
        self.number = number


def rebuilt(name: str, version: int, lines: Sequence[SheetLine]) -> tuple[str, tuple[int, ...]]:
    """The text of a rule set, and for every line of it the number of the sheet's line that it is made of, 0 for the
    heading. LineError for the first line that cannot be read."""
    return _Rebuilding(lines).text(name, version)


@dataclass(slots=True)
class _Sensor:
    unit: Unit
    resolution: Fraction | None = None
    own: Unit = PLAIN
    difference: bool = False


@dataclass(slots=True)
class _Rebuilding:
    lines: Sequence[SheetLine]
    contexts: dict[str, str] = field(default_factory=dict)
    sensors: dict[str, _Sensor] = field(default_factory=dict)

    def text(self, name: str, version: int) -> tuple[str, tuple[int, ...]]:
        for line in self.lines:
            try:
                self._gather(line)
            except ValueError as problem:
                raise LineError(line.number, str(problem)) from None
        written = [f'rules "{name}" version {version}', "# Made of the lines of a sheet."]
        numbers = [0, 0]
        for line in self.lines:
            try:
                statement = self._statement(line)
            except ValueError as problem:
                raise LineError(line.number, str(problem)) from None
            if statement:
                written.append(statement)
                numbers += [line.number] * (statement.count("\n") + 1)
        return "\n".join(written) + "\n", tuple(numbers)

    def _gather(self, line: SheetLine) -> None:
        """What other lines need of this one."""
        match line.what:
            case "context":
                self.contexts[line.get("name")] = _formula(line, "formula")
            case "condition":
                self.contexts[line.get("name")] = line.get("name")
            case "gauge":
                resolution = number_of(line.get("resolution")) if line.get("resolution") else None
                if resolution is not None and resolution <= 0:
                    raise ValueError("the resolution must be more than 0")
                sensor = self.sensors.setdefault(line.get("gauge"), _Sensor(_unit(line)))
                sensor.unit, sensor.resolution = _unit(line), resolution
            case "sensor" | "computed":
                own = _unit(line)
                sensor = self.sensors.setdefault(line.get("gauge"), _Sensor(own))
                sensor.own, sensor.difference = own, line.get("where") == "difference"

    def _statement(self, line: SheetLine) -> str:
        match line.what:
            case "gauge":
                return self._gauge(line)
            case "sensor":
                return self._sensor(line)
            case "computed":
                formula = _formula(line, "formula")
                name = _name(line, "gauge")
                return f"curve {name} {formula}" if formula.startswith("over ") else f"let {name} = {formula}"
            case "band":
                return self._band(line)
            case "alert":
                alert = self._alert(line)
                if not alert:
                    raise ValueError("an alert needs its level and its text")
                when = self._context(line, "when")
                return f"{_name(line, 'name')}: when {when}{_held(line)} then {alert}{self._tail(line)}"
            case "context":
                return ""
            case "condition":
                until = f" until {_formula(line, 'until')}" if line.get("until") else ""
                times = "".join(
                    f", {word} after {time}"
                    for word, time in (("set", _time(line, "set_after")), ("cleared", _time(line, "cleared_after")))
                    if time
                )
                return f"condition {_name(line, 'name')} means {_formula(line, 'formula')}{until}{times}"
            case "switch":
                return self._switch(line)
            case "lamp":
                return self._lamp(line)
        raise ValueError(f"{line.what!r} is no line of a sheet")

    # ---- gauges and bands

    def _gauge(self, line: SheetLine) -> str:
        parts = [f"gauge {_name(line, 'gauge')}"]
        if line.get("text"):
            parts[0] += f" labelled {_text(line, 'text')}"
        if line.get("drawn"):
            unit = _unit(line).name
            resolution = f" to {show_number(number_of(line.get('resolution')))}" if line.get("resolution") else ""
            parts.append(f"drawn as {_word(line, 'drawn')}{f' in {unit}' if unit else ''}{resolution}")
        if line.get("sensor"):
            parts.append(f"sensor {_text(line, 'sensor')}")
        if line.get("channel"):
            parts.append("channels " + ", ".join(_quoted(part.strip()) for part in line.get("channel").split(";")))
        return ", ".join(parts)

    def _sensor(self, line: SheetLine) -> str:
        unit = _unit(line)
        low, high = (show_number(number_of(line.get(side))) for side in ("from", "to"))
        size = ""
        if line.get("elements"):
            size = f"[{show_number(number_of(line.get('elements')))}]"
        deadband = f", deadband {_words(line, 'deadband')}" if line.get("deadband") else ""
        return f"quantity {_name(line, 'gauge')}{size} from {low} to {f'{high} {unit.name}'.strip()}{deadband}"

    def _band(self, line: SheetLine) -> str:
        place = _PLACE.fullmatch(line.get("gauge"))
        if place is None:
            raise ValueError(f"{line.get('gauge')!r} is no gauge")
        when = f"when {self._context(line, 'when')} then " if line.get("when") else ""
        alert = self._alert(line)
        return (
            f"{_name(line, 'name')}: {when}{place[0]} {self._region(line, place[1])}{_held(line)}"
            f" is {_word(line, 'colour')}{f' with {alert}' if alert else ''}{self._tail(line)}"
        )

    def _region(self, line: SheetLine, quantity: str) -> str:
        where = _word(line, "where")
        ends = [bool(line.get(side)) for side in ("from", "to")]
        if where == "failed":
            if any(ends):
                raise ValueError("a failed sensor has no edges")
            return "failed"
        low, high = (_yes(line, f"{side}_included") if line.get(side) else None for side in ("from", "to"))
        said = [self._edge(line, side, quantity) for side in ("from", "to") if line.get(side)]
        if where not in ("inside", "outside") or not said or (where == "outside" and len(said) < 2):
            raise ValueError("edges that are taken in and left out like this cannot be said in rules")
        return RegionKind.of(low, high, where == "outside").words.format(*said)

    def _edge(self, line: SheetLine, side: str, quantity: str) -> str:
        cell = line.get(side)
        if _NAME.fullmatch(cell):
            return cell
        sensor = self.sensors.get(quantity)
        unit = _unit(line)
        resolution = None if sensor is None else sensor.resolution
        own = unit if sensor is None else sensor.own
        difference = sensor is not None and sensor.difference
        return held_edge(cell, line.get(f"exact_{side}"), own, unit, resolution, difference)

    # ---- what bands and alerts share

    def _context(self, line: SheetLine, column: str) -> str:
        name = line.get(column)
        if name not in self.contexts:
            raise ValueError(f"{column} is {name!r}, and no line has a context of that name")
        return self.contexts[name]

    def _alert(self, line: SheetLine) -> str:
        if not line.get("level") and not line.get("text"):
            return ""
        return f"{_word(line, 'level')} {_text(line, 'text')}"

    def _tail(self, line: SheetLine) -> str:
        time = _time(line, "after")
        tail = f" after {time}" if time else ""
        if line.get("latched") and _yes(line, "latched"):
            tail += " latched"
        if line.get("unless"):
            tail += f" unless {self._context(line, 'unless')}"
        return tail

    # ---- switches and lamps

    def _switch(self, line: SheetLine) -> str:
        name = _name(line, "name")
        parts = [f"input {name}"]
        if line.get("text"):
            parts[0] += f" labelled {_text(line, 'text')}"
        if line.get("wired"):
            parts.append(f"wired to {_words(line, 'wired')}")
        if line.get("channel"):
            parts.append(f"channel {_text(line, 'channel')}")
        said = f"switch {name} {_words(line, 'positions')}"
        return said if parts == [f"input {name}"] else f"{said}\n{', '.join(parts)}"

    def _lamp(self, line: SheetLine) -> str:
        parts = [f"lamp {_text(line, 'text')} shows {_words(line, 'shows')}", f"sequence {_words(line, 'sequence')}"]
        if line.get("acknowledge"):
            parts.append(f"acknowledged by {_name(line, 'acknowledge')}")
        if line.get("reset"):
            parts.append(f"reset by {_name(line, 'reset')}")
        return ", ".join(parts)


def _unit(line: SheetLine) -> Unit:
    name = line.get("unit")
    unit = PLAIN if not name else find_unit(name)
    if unit is None:
        raise ValueError(f"{name!r} is no unit: write it as on the sheet")
    return unit


def _name(line: SheetLine, column: str) -> str:
    if _NAME.fullmatch(line.get(column)) is None:
        raise ValueError(f"{column} is {line.get(column)!r}, which is no name")
    return line.get(column)


_WORD = re.compile(r"[A-Za-z]+")
_PLAIN_WORDS = re.compile(r"[A-Za-z0-9_ ,.\-]+")


def _word(line: SheetLine, column: str) -> str:
    if _WORD.fullmatch(line.get(column)) is None:
        raise ValueError(f"{column} is {line.get(column)!r}, and one word must stand there")
    return line.get(column).lower()


def _words(line: SheetLine, column: str) -> str:
    if _PLAIN_WORDS.fullmatch(line.get(column)) is None:
        raise ValueError(f"{column} is {line.get(column)!r}, which cannot be read")
    return line.get(column)


def _formula(line: SheetLine, column: str) -> str:
    text = line.get(column)
    if not text or '"' in text or "#" in text or "\n" in text or "\r" in text:
        raise ValueError(f"{column} is {text!r}, which cannot be read")
    return text


def _text(line: SheetLine, column: str) -> str:
    return _quoted(line.get(column), column)


def _quoted(text: str, column: str = "channel") -> str:
    if not text or '"' in text or "\n" in text or "\r" in text:
        raise ValueError(f"{column} is {text!r}, which cannot be a text")
    return f'"{text}"'


def _yes(line: SheetLine, column: str) -> bool:
    said: Mapping[str, bool] = {"yes": True, "no": False}
    word = line.get(column).lower()
    if word not in said:
        raise ValueError(f"{column} is {line.get(column)!r}: write yes or no")
    return said[word]


def _time(line: SheetLine, column: str) -> str:
    if not line.get(column):
        return ""
    seconds = seconds_of(line.get(column))
    if seconds < 0:
        raise ValueError(f"{column} is less than nothing")
    return in_seconds(seconds) if seconds else ""


def _held(line: SheetLine) -> str:
    if not line.get("for_more_than"):
        return ""
    total = " in total" if line.get("in_total") and _yes(line, "in_total") else ""
    return f" for more than {_time(line, 'for_more_than') or '0 s'}{total}"
