"""A rule set made of the lines of a sheet alone, as text of the language: what the box does that holds them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.keying.columns import SheetLine
from alertlang.keying.edges import held_edge, number_of, seconds_of
from alertlang.model.formula import in_seconds
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
        for one in self.lines:
            try:
                self._gather(one)
            except ValueError as problem:
                raise LineError(one.number, str(problem)) from None
        written = [f'rules "{name}" version {version}', "# Made of the lines of a sheet."]
        numbers = [0, 0]
        for one in self.lines:
            try:
                statement = self._statement(one)
            except ValueError as problem:
                raise LineError(one.number, str(problem)) from None
            if statement:
                written.append(statement)
                numbers += [one.number] * (statement.count("\n") + 1)
        return "\n".join(written) + "\n", tuple(numbers)

    def _gather(self, one: SheetLine) -> None:
        """What other lines need of this one."""
        match one.what:
            case "context":
                self.contexts[one.get("name")] = _formula(one, "formula")
            case "condition":
                self.contexts[one.get("name")] = one.get("name")
            case "gauge":
                resolution = number_of(one.get("resolution")) if one.get("resolution") else None
                if resolution is not None and resolution <= 0:
                    raise ValueError("the resolution must be more than 0")
                sensor = self.sensors.setdefault(one.get("gauge"), _Sensor(_unit(one)))
                sensor.unit, sensor.resolution = _unit(one), resolution
            case "sensor" | "computed":
                own = _unit(one)
                sensor = self.sensors.setdefault(one.get("gauge"), _Sensor(own))
                sensor.own, sensor.difference = own, one.get("where") == "difference"

    def _statement(self, one: SheetLine) -> str:
        match one.what:
            case "gauge":
                return self._gauge(one)
            case "sensor":
                return self._sensor(one)
            case "computed":
                formula = _formula(one, "formula")
                name = _name(one, "gauge")
                return f"curve {name} {formula}" if formula.startswith("over ") else f"let {name} = {formula}"
            case "band":
                return self._band(one)
            case "alert":
                alert = self._alert(one)
                if not alert:
                    raise ValueError("an alert needs its level and its text")
                return (
                    f"{_name(one, 'name')}: when {self._context(one, 'when')}{_held(one)} then {alert}{self._tail(one)}"
                )
            case "context":
                return ""
            case "condition":
                until = f" until {_formula(one, 'until')}" if one.get("until") else ""
                times = "".join(
                    f", {word} after {time}"
                    for word, time in (("set", _time(one, "set_after")), ("cleared", _time(one, "cleared_after")))
                    if time
                )
                return f"condition {_name(one, 'name')} means {_formula(one, 'formula')}{until}{times}"
            case "switch":
                return self._switch(one)
            case "lamp":
                return self._lamp(one)
        raise ValueError(f"{one.what!r} is no line of a sheet")

    # ---- gauges and bands

    def _gauge(self, one: SheetLine) -> str:
        parts = [f"gauge {_name(one, 'gauge')}"]
        if one.get("text"):
            parts[0] += f" labelled {_text(one, 'text')}"
        if one.get("drawn"):
            unit = _unit(one).name
            resolution = f" to {show_number(number_of(one.get('resolution')))}" if one.get("resolution") else ""
            parts.append(f"drawn as {_word(one, 'drawn')}{f' in {unit}' if unit else ''}{resolution}")
        if one.get("sensor"):
            parts.append(f"sensor {_text(one, 'sensor')}")
        if one.get("channel"):
            parts.append("channels " + ", ".join(_quoted(part.strip()) for part in one.get("channel").split(";")))
        return ", ".join(parts)

    def _sensor(self, one: SheetLine) -> str:
        unit = _unit(one)
        low, high = (show_number(number_of(one.get(side))) for side in ("from", "to"))
        size = ""
        if one.get("elements"):
            size = f"[{show_number(number_of(one.get('elements')))}]"
        deadband = f", deadband {_words(one, 'deadband')}" if one.get("deadband") else ""
        return f"quantity {_name(one, 'gauge')}{size} from {low} to {f'{high} {unit.name}'.strip()}{deadband}"

    def _band(self, one: SheetLine) -> str:
        place = _PLACE.fullmatch(one.get("gauge"))
        if place is None:
            raise ValueError(f"{one.get('gauge')!r} is no gauge")
        when = f"when {self._context(one, 'when')} then " if one.get("when") else ""
        alert = self._alert(one)
        return (
            f"{_name(one, 'name')}: {when}{place[0]} {self._region(one, place[1])}{_held(one)}"
            f" is {_word(one, 'colour')}{f' with {alert}' if alert else ''}{self._tail(one)}"
        )

    def _region(self, one: SheetLine, quantity: str) -> str:
        where = _word(one, "where")
        ends = [bool(one.get(side)) for side in ("from", "to")]
        if where == "failed":
            if any(ends):
                raise ValueError("a failed sensor has no edges")
            return "failed"
        included = tuple(_yes(one, f"{side}_included") if one.get(side) else None for side in ("from", "to"))
        first = self._edge(one, "from", quantity) if ends[0] else ""
        second = self._edge(one, "to", quantity) if ends[1] else ""
        match where, included:
            case "inside", (True, True):
                return f"from {first} to {second}"
            case "inside", (True, None):
                return f"at least {first}"
            case "inside", (False, None):
                return f"above {first}"
            case "inside", (None, True):
                return f"at most {second}"
            case "inside", (None, False):
                return f"below {second}"
            case "outside", (False, False):
                return f"outside {first} to {second}"
        raise ValueError("edges that are taken in and left out like this cannot be said in rules")

    def _edge(self, one: SheetLine, side: str, quantity: str) -> str:
        cell = one.get(side)
        if _NAME.fullmatch(cell):
            return cell
        sensor = self.sensors.get(quantity)
        unit = _unit(one)
        resolution = None if sensor is None else sensor.resolution
        own = unit if sensor is None else sensor.own
        difference = sensor is not None and sensor.difference
        return held_edge(cell, one.get(f"exact_{side}"), own, unit, resolution, difference)

    # ---- what bands and alerts share

    def _context(self, one: SheetLine, column: str) -> str:
        name = one.get(column)
        if name not in self.contexts:
            raise ValueError(f"{column} is {name!r}, and no line has a context of that name")
        return self.contexts[name]

    def _alert(self, one: SheetLine) -> str:
        if not one.get("level") and not one.get("text"):
            return ""
        return f"{_word(one, 'level')} {_text(one, 'text')}"

    def _tail(self, one: SheetLine) -> str:
        time = _time(one, "after")
        tail = f" after {time}" if time else ""
        if one.get("latched") and _yes(one, "latched"):
            tail += " latched"
        if one.get("unless"):
            tail += f" unless {self._context(one, 'unless')}"
        return tail

    # ---- switches and lamps

    def _switch(self, one: SheetLine) -> str:
        name = _name(one, "name")
        parts = [f"input {name}"]
        if one.get("text"):
            parts[0] += f" labelled {_text(one, 'text')}"
        if one.get("wired"):
            parts.append(f"wired to {_words(one, 'wired')}")
        if one.get("channel"):
            parts.append(f"channel {_text(one, 'channel')}")
        said = f"switch {name} {_words(one, 'positions')}"
        return said if parts == [f"input {name}"] else f"{said}\n{', '.join(parts)}"

    def _lamp(self, one: SheetLine) -> str:
        parts = [f"lamp {_text(one, 'text')} shows {_words(one, 'shows')}", f"sequence {_words(one, 'sequence')}"]
        if one.get("acknowledge"):
            parts.append(f"acknowledged by {_name(one, 'acknowledge')}")
        if one.get("reset"):
            parts.append(f"reset by {_name(one, 'reset')}")
        return ", ".join(parts)


def _unit(one: SheetLine) -> Unit:
    name = one.get("unit")
    unit = PLAIN if not name else find_unit(name)
    if unit is None:
        raise ValueError(f"{name!r} is no unit: write it as on the sheet")
    return unit


def _name(one: SheetLine, column: str) -> str:
    if _NAME.fullmatch(one.get(column)) is None:
        raise ValueError(f"{column} is {one.get(column)!r}, which is no name")
    return one.get(column)


_WORD = re.compile(r"[A-Za-z]+")
_PLAIN_WORDS = re.compile(r"[A-Za-z0-9_ ,.\-]+")


def _word(one: SheetLine, column: str) -> str:
    if _WORD.fullmatch(one.get(column)) is None:
        raise ValueError(f"{column} is {one.get(column)!r}, and one word must stand there")
    return one.get(column).lower()


def _words(one: SheetLine, column: str) -> str:
    if _PLAIN_WORDS.fullmatch(one.get(column)) is None:
        raise ValueError(f"{column} is {one.get(column)!r}, which cannot be read")
    return one.get(column)


def _formula(one: SheetLine, column: str) -> str:
    text = one.get(column)
    if not text or '"' in text or "#" in text or "\n" in text or "\r" in text:
        raise ValueError(f"{column} is {text!r}, which cannot be read")
    return text


def _text(one: SheetLine, column: str) -> str:
    return _quoted(one.get(column), column)


def _quoted(text: str, column: str = "channel") -> str:
    if not text or '"' in text or "\n" in text or "\r" in text:
        raise ValueError(f"{column} is {text!r}, which cannot be a text")
    return f'"{text}"'


def _yes(one: SheetLine, column: str) -> bool:
    said: Mapping[str, bool] = {"yes": True, "no": False}
    word = one.get(column).lower()
    if word not in said:
        raise ValueError(f"{column} is {one.get(column)!r}: write yes or no")
    return said[word]


def _time(one: SheetLine, column: str) -> str:
    if not one.get(column):
        return ""
    seconds = seconds_of(one.get(column))
    if seconds < 0:
        raise ValueError(f"{column} is less than nothing")
    return in_seconds(seconds) if seconds else ""


def _held(one: SheetLine) -> str:
    if not one.get("for_more_than"):
        return ""
    total = " in total" if one.get("in_total") and _yes(one, "in_total") else ""
    return f" for more than {_time(one, 'for_more_than') or '0 s'}{total}"
