"""The column map: which column of a log feeds which quantity, switch and button. Written in TOML."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any, NoReturn

from alertlang.logs.log_error import LogError
from alertlang.logs.time_units import JULIAN, MIDNIGHT, TIME_UNITS, since_seconds, time_unit
from alertlang.text.short import Short
from alertlang.text.suggest import nearest
from alertlang.units.number import parse_number
from alertlang.units.unit import UNITS, Unit, nearest_unit

SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", "space": " "}
REPEATS = ("last", "spread")
_TOP = ("time", "mark", "columns", "switches", "inputs", "options")
_NAMES = ("column", "number")
_OPTIONS = ("separator", "decimal", "thousands", "encoding", "heading", "units_row", "comment", "repeats")


@dataclass(frozen=True, slots=True)
class ColumnName:
    """A column by its name, or by its number from 1 where names will not do."""

    name: str | None
    number: int | None = None

    def __str__(self) -> str:
        return self.name if self.name is not None else f"number {self.number}"


@dataclass(frozen=True, slots=True)
class Hold:
    """An empty cell stands for what the column held last: for so many `seconds` at most, or for any time (none)."""

    seconds: Fraction | None


@dataclass(frozen=True, slots=True)
class Feed:
    """The column of a quantity; `unit` none: as the log says, else the quantity's own. `doubt`: what the map itself
    says is not sure yet."""

    column: ColumnName
    unit: Unit | None
    line: int | None = None
    hold: Hold | None = None
    doubt: str | None = None


@dataclass(frozen=True, slots=True)
class SwitchFeed:
    """The column of a switch; `positions`: what is written in it, and the position it stands for."""

    column: ColumnName
    positions: Mapping[str, str] = field(hash=False)
    line: int | None = None
    hold: Hold | None = None
    doubt: str | None = None


@dataclass(frozen=True, slots=True)
class TimeFeed:
    """Where time comes from: a column in a unit of time (none: as the log says, else seconds), a column of dates in a
    `format`, or a row `every` so many seconds. `beside`: columns whose text comes after that of the first, with a blank
    between. `since`: what numbers count from, a date, `julian` or `midnight`. `to`: times are rounded to whole ones of
    so many seconds. `doubt`: what the map itself says is not sure yet."""

    column: ColumnName | None = None
    unit: Unit | None = None
    format: str | None = None
    every: Fraction | None = None
    line: int | None = None
    beside: tuple[ColumnName, ...] = ()
    since: str | None = None
    to: Fraction | None = None
    doubt: str | None = None


@dataclass(frozen=True, slots=True)
class LogOptions:
    """How the file is written; what is none is found out. `heading`: the line with the names, from 1. `repeats`: of
    rows that share one time the "last" counts, or they are "spread" up to the next time."""

    separator: str | None = None
    decimal: str | None = None
    thousands: str | None = None
    encoding: str | None = None
    heading: int | None = None
    units_row: bool | None = None
    comment: str = "#"
    repeats: str = "last"


@dataclass(frozen=True, slots=True, repr=False)
class ColumnMap(Short):
    """A map that was read. `columns` by `rpm`, `cht[2]`. `open`: what no column is named for, and what is not sure
    of that."""

    path: str
    time: TimeFeed | None = None
    mark: ColumnName | None = None
    columns: Mapping[str, Feed] = field(default_factory=dict, hash=False)
    switches: Mapping[str, SwitchFeed] = field(default_factory=dict, hash=False)
    inputs: Mapping[str, ColumnName] = field(default_factory=dict, hash=False)
    options: LogOptions = field(default_factory=LogOptions)
    open: Mapping[str, str] = field(default_factory=dict, hash=False)


def load_column_map(path: Path, shown: str | None = None) -> ColumnMap:
    """The map in a file. LogError with place and way out if it cannot be read or says what is not known."""
    name = shown or str(path)
    try:
        data = path.read_bytes()
    except OSError as problem:
        raise LogError(name, f"cannot be read: {(problem.strerror or str(problem)).lower()}") from None
    return parse_column_map(data, name)


def parse_column_map(data: bytes, shown: str) -> ColumnMap:
    """The same for the bytes of a file."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise LogError(shown, "the column map is not UTF-8", "save it as UTF-8") from None
    try:
        whole = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as problem:
        line = re.search(r"at line (\d+)", str(problem))
        raise LogError(shown, f"is not TOML: {problem}", "", int(line[1]) if line else None) from None
    return _Reader(shown, text).whole(whole)


class _Reader:
    def __init__(self, shown: str, text: str) -> None:
        self.shown = shown
        self.lines = text.splitlines()

    def whole(self, raw: Mapping[str, Any]) -> ColumnMap:
        self._keys(raw, _TOP, "the column map")
        for key in ("columns", "switches", "inputs", "options"):
            if not isinstance(raw.get(key, {}), dict):
                self._fail(key, f"{key} must be a table", f"write [{key}] on a line of its own")
        columns, switches = raw.get("columns", {}), raw.get("switches", {})
        unsure = {
            key: self._doubt(value, key, table) or ""
            for table, feeds in (("columns", columns), ("switches", switches))
            for key, value in feeds.items()
            if isinstance(value, dict) and list(value) == ["doubt"]
        }
        return ColumnMap(
            self.shown,
            self._time(raw["time"]) if "time" in raw else None,
            self._name(raw["mark"], "mark", _NAMES) if "mark" in raw else None,
            {key: self._feed(key, value) for key, value in columns.items() if key not in unsure},
            {key: self._switch(key, value) for key, value in switches.items() if key not in unsure},
            {key: self._name(value, key, _NAMES, "inputs") for key, value in raw.get("inputs", {}).items()},
            self._options(raw.get("options", {})),
            unsure,
        )

    def _time(self, raw: Any) -> TimeFeed:
        line = self._line("time")
        if isinstance(raw, dict) and "every" in raw:
            self._keys(raw, ("every",), "time with `every`")
            every = self._seconds(raw["every"])
            if every is None:
                self._fail("every", "`every` is no time above 0", 'write for example every = "0.2 s"')
            return TimeFeed(every=every, line=line)
        if not isinstance(raw, dict):
            return TimeFeed(self._name(raw, "time", _NAMES), line=line)
        self._keys(raw, ("column", "number", "columns", "unit", "format", "since", "to", "doubt"), "time")
        form, since, to = raw.get("format"), raw.get("since"), raw.get("to")
        if form is not None and (not isinstance(form, str) or "%" not in form):
            self._fail("format", "the format is none", 'write for example format = "%Y-%m-%d %H:%M:%S"')
        if form is not None and any(key in raw for key in ("unit", "since", "to")):
            self._fail("time", "time has a unit and a format", "a number has a unit, a date has a format: take one out")
        column, *beside = self._time_columns(raw)
        if beside and form is None:
            self._fail("time", "time in several columns has no format", 'write format = "%Y-%m-%d %H:%M:%S"')
        if since is not None and since != MIDNIGHT and (not isinstance(since, str) or since_seconds(since) is None):
            example = f'write since = "1970-01-01", "{MIDNIGHT}" or "{JULIAN}"'
            self._fail("since", "`since` says nothing that times could count from", example)
        rounded = None if to is None else self._seconds(to)
        if to is not None and rounded is None:
            self._fail("to", "`to` is no time above 0", 'write for example to = "0.001 s"')
        doubt = self._doubt(raw, "time")
        return TimeFeed(column, self._time_unit(raw), form, None, line, tuple(beside), since, rounded, doubt)

    def _time_columns(self, raw: Mapping[str, Any]) -> list[ColumnName]:
        if "columns" not in raw:
            return [self._name({key: raw[key] for key in ("column", "number") if key in raw}, "time", _NAMES)]
        several = raw["columns"]
        if not isinstance(several, list) or not several or "column" in raw or "number" in raw:
            self._fail("time", "the columns of time are no list", 'write columns = ["Date", "Time"]')
        return [self._name(text, "time", _NAMES) for text in several]

    def _time_unit(self, raw: Mapping[str, Any]) -> Unit | None:
        text = raw.get("unit")
        if text is None:
            return None
        if not isinstance(text, str) or text not in TIME_UNITS:
            meant = time_unit(text) if isinstance(text, str) else None
            hint = f"did you mean {meant.name}?" if meant is not None else f"write {', '.join(TIME_UNITS)}"
            self._fail("time", f"{text} is no unit of time", hint)
        return TIME_UNITS[text]

    def _seconds(self, raw: Any) -> Fraction | None:
        """`0.2 s` in seconds; none if it is no time above 0."""
        match = re.fullmatch(r"\s*(\S+)\s+(\S+)\s*", raw) if isinstance(raw, str) else None
        unit = TIME_UNITS.get(match[2]) if match else None
        try:
            number = parse_number(match[1]) if match else Fraction(0)
        except ValueError:
            number = Fraction(0)
        return None if unit is None or number <= 0 else number * unit.factor

    def _hold(self, raw: Any, key: str, table: str) -> Hold | None:
        if not isinstance(raw, dict) or "hold" not in raw:
            return None
        if raw["hold"] == "until changed":
            return Hold(None)
        seconds = self._seconds(raw["hold"])
        if seconds is None:
            self._fail(key, f"the hold of {key} is no time above 0", 'write hold = "2 s" or "until changed"', table)
        return Hold(seconds)

    def _doubt(self, raw: Any, key: str, table: str | None = None) -> str | None:
        found = raw.get("doubt") if isinstance(raw, dict) else None
        if found is not None and not isinstance(found, str):
            self._fail(key, f"the doubt about {key} is no text", "say in words what is not sure, or take it out", table)
        return found or None

    def _feed(self, key: str, raw: Any) -> Feed:
        column = self._name(raw, key, (*_NAMES, "unit", "hold", "doubt"), "columns")
        hold, doubt = self._hold(raw, key, "columns"), self._doubt(raw, key, "columns")
        return Feed(column, self._unit(raw, key), self._line(key, "columns"), hold, doubt)

    def _switch(self, key: str, raw: Any) -> SwitchFeed:
        column = self._name(raw, key, (*_NAMES, "positions", "hold", "doubt"), "switches")
        table = raw.get("positions", {}) if isinstance(raw, dict) else {}
        if not isinstance(table, dict) or not all(isinstance(one, str) for one in table.values()):
            self._fail(key, f"the positions of {key} are no table", 'write positions = {"0" = "up", "1" = "down"}')
        hold, doubt = self._hold(raw, key, "switches"), self._doubt(raw, key, "switches")
        return SwitchFeed(column, dict(table), self._line(key, "switches"), hold, doubt)

    def _name(self, raw: Any, key: str, known: tuple[str, ...], table: str | None = None) -> ColumnName:
        if isinstance(raw, str):
            return ColumnName(raw)
        if not isinstance(raw, dict):
            self._fail(key, f"{key} names no column", f'write {key} = {{column = "NAME"}}', table)
        self._keys(raw, known, key)
        name, number = raw.get("column"), raw.get("number")
        if (name is None) == (number is None):
            self._fail(key, f"{key} needs a column by name or by number", f'write {key} = {{column = "NAME"}}', table)
        if name is not None and not isinstance(name, str):
            self._fail(key, f"the column of {key} is no text", "put its name in quotes", table)
        if number is not None and (isinstance(number, bool) or not isinstance(number, int) or number < 1):
            self._fail(key, f"the column number of {key} is no whole number from 1", "count from the left", table)
        return ColumnName(name, number)

    def _unit(self, raw: Any, key: str) -> Unit | None:
        text = raw.get("unit") if isinstance(raw, dict) else None
        if text is None:
            return None
        if not isinstance(text, str) or text not in UNITS:
            close = nearest_unit(text) if isinstance(text, str) else None
            hint = f"did you mean {close}?" if close else f"there are {', '.join(UNITS)}"
            self._fail(key, f"{text} is no unit", hint)
        return UNITS[text]

    def _options(self, raw: Mapping[str, Any]) -> LogOptions:
        self._keys(raw, _OPTIONS, "options")
        for key, value in raw.items():
            wanted: type = {"heading": int, "units_row": bool}.get(key, str)
            if not isinstance(value, wanted) or (
                isinstance(value, int) and wanted is int and (isinstance(value, bool) or value < 1)
            ):
                self._fail(key, f"the option {key} has a value that is none", _EXAMPLES[key])
        separator = raw.get("separator")
        if separator is not None:
            separator = SEPARATORS.get(separator, separator)
            if len(separator) != 1 or not separator.isascii() or separator in '"\r\n0123456789.-+':
                self._fail("separator", "the separator is no single character", _EXAMPLES["separator"])
        decimal, thousands = raw.get("decimal"), raw.get("thousands")
        if decimal not in (None, ".", ","):
            self._fail("decimal", "the decimal sign is a point or a comma", _EXAMPLES["decimal"])
        if thousands is not None and (thousands not in (".", ",", " ", "'") or thousands == (decimal or ".")):
            self._fail("thousands", f"{thousands!r} cannot part thousands here", _EXAMPLES["thousands"])
        encoding = raw.get("encoding")
        if encoding is not None:
            try:
                "0".encode(encoding)
            except (LookupError, UnicodeError):
                self._fail("encoding", f"{encoding} is no encoding", _EXAMPLES["encoding"])
        repeats = raw.get("repeats", "last")
        if repeats not in REPEATS:
            self._fail("repeats", f"{repeats!r} says nothing about rows that share one time", _EXAMPLES["repeats"])
        heading, units_row, comment = raw.get("heading"), raw.get("units_row"), raw.get("comment", "#")
        return LogOptions(separator, decimal, thousands, encoding, heading, units_row, comment, repeats)

    def _keys(self, raw: Mapping[str, Any], known: tuple[str, ...], where: str) -> None:
        for key in raw:
            if key not in known:
                close = nearest(key, known)
                hint = f"did you mean {close}?" if close else f"there are {', '.join(known)}"
                self._fail(key, f"{key} is not known in {where}", hint)

    def _fail(self, key: str, message: str, advice: str, table: str | None = None) -> NoReturn:
        raise LogError(self.shown, message, advice, self._line(key, table))

    def _line(self, key: str, table: str | None = None) -> int | None:
        """The line a key stands on, as well as a search can tell: tomllib keeps no places."""
        start = 0
        if table is not None:
            heads = [i for i, text in enumerate(self.lines) if text.strip().startswith(f"[{table}")]
            start = heads[0] if heads else 0
        wanted = re.compile(rf"(?:^|[\s{{,.\[])[\"']?{re.escape(key)}[\"']?\s*[=\].]")
        for number, line in enumerate(self.lines[start:], start + 1):
            if wanted.search(line):
                return number
        return None


_EXAMPLES = {
    "separator": 'write separator = ";" or "tab"',
    "decimal": 'write decimal = ","',
    "thousands": 'write thousands = ","',
    "encoding": 'write encoding = "utf-16-le"',
    "heading": "write heading = 3, the line with the names",
    "units_row": "write units_row = true",
    "comment": 'write comment = "#"',
    "repeats": 'write repeats = "spread", or "last"',
}
