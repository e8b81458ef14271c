"""Which place in the heading feeds what: by the column map, or without one by the names."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NoReturn

from alertlang.logs.column_map import ColumnMap, ColumnName, Feed, Hold, SwitchFeed, TimeFeed
from alertlang.logs.dialect import bracketed
from alertlang.logs.log_error import LogError
from alertlang.logs.looks import time_look
from alertlang.logs.tally import Tally
from alertlang.logs.time_units import TIME_UNITS, unit_in_name
from alertlang.logs.wanted import Wanted, WantedSwitch
from alertlang.text.suggest import nearest
from alertlang.units.unit import Unit, convert, convert_difference

Cells = Callable[[int], Sequence[str]]
"""What stands in a column, by its place, in the first rows."""

TIME_NAMES = ("time", "t", "seconds", "elapsed", "elapsed time", "run time")


@dataclass(frozen=True, slots=True)
class Binding:
    """A quantity (or an element of an array) fed by a column, by its place from 0. `low` and `high`: its range,
    in its own unit. The value in its unit is `scale` times the number, plus `offset`."""

    name: str
    place: int
    column: str
    unit: Unit
    scale: Fraction
    offset: Fraction
    low: Fraction
    high: Fraction


@dataclass(frozen=True, slots=True)
class Bindings:
    """All that is read of a log. `time` none: a row `every` so many seconds; `time_beside`: columns whose text comes
    after its own. `holds` by the name of a reading or switch."""

    time: int | None
    time_name: str
    time_unit: Unit
    time_format: str | None
    every: Fraction | None
    mark: int | None
    numbers: tuple[Binding, ...]
    switches: Mapping[str, tuple[int, Mapping[str, int]]]
    inputs: Mapping[str, int]
    time_line: int | None = None
    names: tuple[str, ...] = field(default=())
    time_beside: tuple[int, ...] = ()
    since: str | None = None
    to: Fraction | None = None
    holds: Mapping[str, Hold] = field(default_factory=dict)

    @property
    def unused(self) -> tuple[str, ...]:
        """The names of the columns of which nothing is read."""
        used = {self.time, self.mark, *self.time_beside, *(number.place for number in self.numbers),
                *(place for place, _ in self.switches.values()), *self.inputs.values()}  # fmt: skip
        return tuple(name for place, name in enumerate(self.names) if name and place not in used)


def bind(
    names: tuple[str, ...],
    units: Mapping[int, Unit],
    column_map: ColumnMap | None,
    wanted: Wanted,
    shown: str,
    tally: Tally,
    cells: Cells = lambda place: (),
) -> Bindings:
    """LogError if there is no time, or nothing that feeds a quantity or switch."""
    for name in dict.fromkeys(names):
        if name and names.count(name) > 1:
            words = "columns have one name: say which is meant by its number, {number = 3}"
            tally.add("duplicate-column", names.count(name) - 1, None, name, words)
    return _ColumnBinder(names, units, column_map, wanted, shown, tally, cells).bind()


class _ColumnBinder:
    def __init__(
        self,
        names: tuple[str, ...],
        units: Mapping[int, Unit],
        column_map: ColumnMap | None,
        wanted: Wanted,
        shown: str,
        tally: Tally,
        cells: Cells,
    ) -> None:
        self.cells = cells
        self.names, self.units, self.wanted, self.shown, self.tally = names, units, wanted, shown, tally
        self.map = column_map
        self.fed = {reading.name: reading for reading in wanted.readings}
        self.switches = {switch.name: switch for switch in wanted.switches}

    def bind(self) -> Bindings:
        self._known()
        numbers = tuple(self._numbers())
        switches = dict(self._switches())
        if not numbers and not switches:
            raise LogError(
                self.shown,
                f"none of its columns feeds a quantity of the rules; it has {_some(self.names)}",
                "name the columns in a map; alertlang columns LOG --rules RULES proposes one",
            )
        time = self._time()
        place = None if time.column is None else self._place(time.column, "time", time.line)
        beside = tuple(self._place(column, "time", time.line) for column in time.beside)
        unit = time.unit or TIME_UNITS["s"] if place is None else self._time_unit(time, place)
        form = time.format
        if place is not None and form is None and time.unit is None:
            form = self._time_format(place)
        self._doubts(time, self.names[place] if place is not None else None)
        self._twice([*([] if place is None else [("time", place)]), *((key.name, key.place) for key in numbers),
                     *((name, at) for name, (at, _) in switches.items())])  # fmt: skip
        for name in self.fed:
            if not any(binding.name == name for binding in numbers):
                self.tally.add("no-column", 1, None, name, "no column feeds it: it is failed throughout")
        for name in self.switches:
            if name not in switches:
                self.tally.add("no-column", 1, None, name, "no column feeds it: its position is unknown throughout")
        return Bindings(
            place,
            " ".join(self.names[at] for at in (place, *beside)) if place is not None else "",
            unit,
            form,
            time.every,
            self._place(self.map.mark, "mark", None) if self.map and self.map.mark else None,
            numbers,
            switches,
            {key: self._place(column_name, key, None) for key, column_name in self.map.inputs.items()}
            if self.map
            else {},
            time.line,
            self.names,
            beside,
            time.since,
            time.to,
            self._holds(),
        )

    def _time_unit(self, time: TimeFeed, place: int) -> Unit:
        """As the map says, else the log, else seconds."""
        name, said = self.names[place], self.units.get(place)
        if said is not None and said.dimension != "time":
            if time.unit is None:
                words = f"the log gives its time in {said.name}, which is no unit of time: read as seconds"
                self.tally.add("time-doubtful", 1, None, name, words)
            said = None
        said = said or unit_in_name(bracketed(name)[0])
        if time.unit is not None and said is not None and said.factor != time.unit.factor:
            words = f"the log says {said.name}, the map {time.unit.name}: the map was taken"
            self.tally.add("unit-differs", 1, None, name, words)
        if time.unit is None and said is None and (odd := _odd_brackets(name)):
            words = f"the log gives its time in {odd}, which is no unit of time that is known: read as seconds"
            self.tally.add("time-doubtful", 1, None, name, words)
        return time.unit or said or TIME_UNITS["s"]

    def _time_format(self, place: int) -> str | None:
        """How the column is written, if it holds dates or times of day by their look."""
        look = time_look(self.cells(place))
        if look is None or not look.clocked:
            return None
        if look.doubt is not None:
            self.tally.add("time-doubtful", 1, None, self.names[place], look.doubt)
        return look.format

    def _doubts(self, time: TimeFeed, column: str | None) -> None:
        """What the map itself says is not sure."""
        if self.map is None:
            return
        if time.doubt is not None:
            self.tally.add("time-doubtful", 1, None, column, f"the map says: {time.doubt}")
        for key, doubt in self.map.open.items():
            self.tally.add("map-doubtful", 1, None, key, f"no column feeds {key}, and the map says: {doubt}")
        for table in (self.map.columns, self.map.switches):
            for key, feed in table.items():
                if feed.doubt is not None:
                    name = self.names[self._place(feed.column, key, feed.line)]
                    self.tally.add("map-doubtful", 1, None, name, f"of {key} the map says: {feed.doubt}")

    def _twice(self, fed: list[tuple[str, int]]) -> None:
        for place in dict.fromkeys(place for _, place in fed):
            keys = [key for key, at in fed if at == place]
            if len(keys) > 1:
                words = f"one column feeds {' and '.join(keys)}: one of them is likely to be another column"
                self.tally.add("column-twice", len(keys) - 1, None, self.names[place], words)

    def _holds(self) -> dict[str, Hold]:
        if self.map is None:
            return {}
        feeds: list[tuple[str, Feed | SwitchFeed]] = [*self.map.columns.items(), *self.map.switches.items()]
        return {key: feed.hold for key, feed in feeds if feed.hold is not None}

    def _known(self) -> None:
        if self.map is None:
            return
        for key in self.map.open:
            if key not in self.fed and key not in self.switches:
                close = nearest(key, [*self.fed, *self.switches])
                hint = f"did you mean {close}?" if close else "take it out"
                self._fail(f"the rules have no quantity and no switch {key}", hint, None)
        for table, known in ((self.map.columns, self.fed), (self.map.switches, self.switches)):
            for key, feed in table.items():
                if key in known:
                    continue
                if key in self.wanted.computed:
                    self._fail(
                        f"{key} is worked out from other quantities", "take its column out of the map", feed.line
                    )
                if key in self.wanted.arrays:
                    self._fail(f"{key} is an array", f'write "{key}[1]" for its first element', feed.line)
                close = nearest(key, known)
                kind = "quantity" if table is self.map.columns else "switch"
                hint = f"did you mean {close}?" if close else f"there are {_some(tuple(known))}"
                self._fail(f"the rules have no {kind} {key}", hint, feed.line)

    def _numbers(self) -> Iterator[Binding]:
        if self.map is not None:
            for key, feed in self.map.columns.items():
                place = self._place(feed.column, key, feed.line)
                said = self.units.get(place)
                if feed.unit is not None and said is not None and said != feed.unit:
                    words = f"the log says {said.name}, the map {feed.unit.name}: the map was taken"
                    self.tally.add("unit-differs", 1, None, self.names[place], words)
                yield self._number(key, place, feed.unit or said, feed.line)
            return
        for name in self.fed:
            named = self._named(name)
            if named is not None:
                yield self._number(name, named, self.units.get(named), None)

    def _number(self, name: str, place: int, unit: Unit | None, line: int | None) -> Binding:
        wanted = self.fed[name]
        own = wanted.unit
        unit = unit or own
        if unit.dimension != own.dimension:
            self._fail(
                f"{name} is a {own.dimension} ({own.name or 'a plain number'}), and the column {self.names[place]} is "
                f"in {unit.name}",
                f"write a unit of {own.dimension}",
                line,
            )
        change = convert_difference if wanted.difference else convert
        zero = change(Fraction(0), unit, own)
        return Binding(
            name,
            place,
            self.names[place],
            unit,
            change(Fraction(1), unit, own) - zero,
            zero,
            wanted.low,
            wanted.high,
        )

    def _switches(self) -> Iterator[tuple[str, tuple[int, Mapping[str, int]]]]:
        if self.map is not None:
            for key, feed in self.map.switches.items():
                switch = self.switches[key]
                table = dict(feed.positions) or {position: position for position in switch.positions}
                yield key, (self._place(feed.column, key, feed.line), self._positions(switch, table, feed.line))
            return
        for name, switch in self.switches.items():
            place = self._named(name)
            if place is not None:
                yield name, (place, {text: i for i, text in enumerate(switch.positions)})

    def _positions(self, switch: WantedSwitch, table: Mapping[str, str], line: int | None) -> dict[str, int]:
        for position in table.values():
            if position not in switch.positions:
                close = nearest(position, switch.positions)
                hint = f"did you mean {close}?" if close else f"there are {', '.join(switch.positions)}"
                self._fail(f"{switch.name} has no position {position}", hint, line)
        return {text: switch.positions.index(position) for text, position in table.items()}

    def _time(self) -> TimeFeed:
        if self.map is not None and self.map.time is not None:
            return self.map.time
        found = time_named(self.names)
        if found is not None:
            return TimeFeed(ColumnName(None, found + 1))
        raise LogError(
            self.shown,
            f"no column is the time; it has {_some(self.names)}",
            'say it in the column map: time = {column = "NAME", unit = "s"}, or {every = "0.2 s"}',
        )

    def _named(self, name: str) -> int | None:
        """The place of the only column of exactly this name, a unit in brackets after it or not."""
        found = [i for i, column in enumerate(self.names) if column == name or bracketed(column)[0] == name]
        return found[0] if len(found) == 1 else None

    def _place(self, column: ColumnName, key: str, line: int | None) -> int:
        if column.number is not None:
            if column.number > len(self.names):
                self._fail(
                    f"{key} wants column {column.number}, and the log has {len(self.names)}", "count again", line
                )
            return column.number - 1
        found = [i for i, name in enumerate(self.names) if name == (column.name or "").strip()]
        if len(found) == 1:
            return found[0]
        if found:
            numbers = " or ".join(f"{{number = {i + 1}}}" for i in found)
            self._fail(f"the log has {len(found)} columns {column.name}", f"say which for {key}: {numbers}", line)
        close = nearest(column.name or "", self.names)
        hint = f"did you mean {close}?" if close else f"it has {_some(self.names)}"
        raise LogError(*self._place_of(f"{self.shown} has no column {column.name} for {key}", hint, line))

    def _fail(self, message: str, advice: str, line: int | None) -> NoReturn:
        raise LogError(*self._place_of(message, advice, line))

    def _place_of(self, message: str, advice: str, line: int | None) -> tuple[str, str, str, int | None]:
        return self.map.path if self.map else self.shown, message, advice, line


def time_named(names: Sequence[str]) -> int | None:
    """The place of the only column that is named as the time, a unit in brackets after it or not."""
    plain = [_before_brackets(name).casefold() for name in names]
    return next((plain.index(wanted) for wanted in TIME_NAMES if plain.count(wanted) == 1), None)


def _before_brackets(name: str) -> str:
    """Without what stands in brackets at its end, whether or not it is a unit."""
    return re.sub(r"\s*[(\[][^()\[\]]*[)\]]\s*$", "", name) or name


def _odd_brackets(name: str) -> str | None:
    """What stands in brackets at the end of a name."""
    match = re.search(r"[(\[]\s*([^()\[\]]*?)\s*[)\]]\s*$", name)
    return match[1] if match else None


def _some(names: tuple[str, ...]) -> str:
    listed = [name for name in names if name]
    return ", ".join(listed[:8]) + (f" and {len(listed) - 8} more" if len(listed) > 8 else "")
