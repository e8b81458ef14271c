"""Proposing a column map for a log: by name, and by the unit in which the values fit the sensor's range."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang.logs.bind import TIME_NAMES
from alertlang.logs.cells import NumericColumns
from alertlang.logs.column_map import LogOptions
from alertlang.logs.csv_rows import csv_blocks
from alertlang.logs.dialect import bracketed, read_head
from alertlang.logs.parquet import is_parquet, parquet_blocks, parquet_names
from alertlang.logs.tally import Tally
from alertlang.logs.wanted import Wanted, WantedReading
from alertlang.units.unit import UNITS, Unit, convert

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# The trade's short words for what a quantity's title spells out.
_WORDS = {
    "rpm": "engine speed", "cht": "cylinder head temperature", "egt": "exhaust gas temperature", "temp": "temperature",
    "press": "pressure", "pres": "pressure", "volts": "voltage", "volt": "voltage", "amps": "current", "amp": "current",
    "mp": "manifold pressure", "map": "manifold pressure", "ff": "fuel flow", "qty": "quantity",
    "oat": "outside air temperature", "ias": "indicated airspeed", "alt": "altitude", "cyl": "cylinder",
    "tit": "turbine inlet temperature",
}  # fmt: skip
# What one letter stands for beside a word that is known.
_LETTERS = {"p": "pressure", "t": "temperature"}
# Part of a unit or of a number: neither names what is measured.
_NO_NAMES = ("deg", "no")
_SURE, _LIKELY = 0.9, 0.6


@dataclass(frozen=True, slots=True)
class Guess:
    """One line of the map. `share`: how alike the names are, 0 to 1. `doubt`: the values fit more than one unit."""

    name: str
    unit: Unit
    share: float
    why: str
    doubt: bool

    @property
    def sure(self) -> str:
        if self.doubt:
            return "doubtful"
        return "sure" if self.share >= _SURE else "likely" if self.share >= 0.75 else "a guess"


def propose(path: Path, wanted: Wanted, shown: str) -> str:
    """The text of a map with the reason for each line. LogError if the log cannot be read."""
    names, units, values = _looked_at(path, shown)
    taken: set[int] = set()
    lines = ["# A column map, proposed by the names and values of the log. Read every line before you rely on it.", ""]
    time = _time(names, values)
    if time is None:
        lines += ["# No column looks like the time. Name it, or say how often a row was written:"]
        lines += ['# time = {column = "NAME", unit = "s"}', '# time = {every = "1 s"}']
    else:
        place, why = time
        taken.add(place)
        unit = units[place] if place in units and units[place].dimension == "time" else UNITS["s"]
        lines += [f"# time: {why}", f"time = {{{_column(names, place)}, unit = {_quoted(unit.name)}}}"]
    lines += ["", "[columns]"]
    known = _known(wanted)
    guesses = dict(_guesses(names, units, values, wanted, taken, known))
    for name in (reading.name for reading in wanted.readings):
        key = name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _quoted(name)
        if name not in guesses:
            lines += [f"# {name}: no column looks like it; it would be failed throughout"]
            continue
        place, guess = guesses[name]
        unit_part = f", unit = {_quoted(guess.unit.name)}" if guess.unit.name else ""
        lines += [f"# {guess.sure}: {guess.why}", f"{key} = {{{_column(names, place)}{unit_part}}}"]
    if wanted.switches:
        lines += ["", "[switches]"]
    for switch in wanted.switches:
        name = switch.name
        found = _best(f"{name} {switch.title or ''}", names, taken, known)
        table = ", ".join(f"{_quoted(position)} = {_quoted(position)}" for position in switch.positions)
        if found is None:
            lines += [f"# {name}: no column looks like it; its position would be unknown throughout"]
            lines += [f'# {name} = {{column = "NAME", positions = {{{table}}}}}']
        else:
            taken.add(found[0])
            lines += [f"# {name}: by its name; say what the column holds for each position"]
            lines += [f"{name} = {{{_column(names, found[0])}, positions = {{{table}}}}}"]
    left = [text for i, text in enumerate(names) if i not in taken and text]
    if left:
        lines += ["", "# Not used:", *(f"#   {_plain(text)}" for text in left)]
    return "\n".join(lines) + "\n"


def _looked_at(path: Path, shown: str) -> tuple[tuple[str, ...], Mapping[int, Unit], Mapping[int, NDArray[np.float64]]]:
    """Names, units and the first values of all columns."""
    import numpy as np
    import polars as pl

    tally = Tally()
    head = None
    if is_parquet(path):
        names = parquet_names(path, shown)
        blocks = parquet_blocks(path, shown, names, set(range(len(names))), set(), 100_000)
        units = {i: unit for i, name in enumerate(names) if (unit := bracketed(name)[1]) is not None}
    else:
        head = read_head(path, shown, LogOptions(), tally)
        names, units = head.names, head.units
        blocks = csv_blocks(path, shown, head, dict.fromkeys(range(len(names)), pl.Float64), tally, 1 << 23)
    block = next(iter(blocks), None)
    if block is None:
        return names, units, {}
    cells = NumericColumns(head.decimal if head else ".", None, tally)
    values = {}
    for i in range(len(names)):
        if block.table[f"c{i}"].dtype == pl.Float64:
            numbers = cells.read(block, i, names[i], None)
            values[i] = numbers[np.isfinite(numbers)]
    return names, units, values


def _time(names: tuple[str, ...], values: Mapping[int, NDArray[np.float64]]) -> tuple[int, str] | None:
    import numpy as np

    plain = [_split(bracketed(name)[0]).replace("_", " ").strip() for name in names]
    for wanted in TIME_NAMES:
        if plain.count(wanted) == 1:
            return plain.index(wanted), "by its name"
    for i in range(len(names)):
        found = values.get(i)
        if found is not None and len(found) > 1 and bool((np.diff(found) >= 0).all()) and found[-1] > found[0]:
            alike = re.search(r"time|run|elapsed|second|clock", plain[i]) is not None
            if alike or i == 0:
                return i, "its numbers only rise" + (", and its name says so" if alike else "")
    return None


def _guesses(
    names: tuple[str, ...],
    units: Mapping[int, Unit],
    values: Mapping[int, NDArray[np.float64]],
    wanted: Wanted,
    taken: set[int],
    known: frozenset[str],
) -> Iterator[tuple[str, tuple[int, Guess]]]:
    """Each quantity with the column most like it; the best pairs first, each column once."""
    pairs = []
    for order, reading in enumerate(wanted.readings):
        index = re.search(r"\[(\d+)\]$", reading.name)
        texts = {_expanded(reading.quantity, known), _expanded(reading.title or reading.quantity, known)}
        for place, column in enumerate(names):
            if place in taken or not column:
                continue
            number = re.findall(r"\d+", column)
            if index is not None and number[-1:] != [index[1]]:
                continue
            if place in units and units[place].dimension != reading.unit.dimension:
                continue
            if place in values and not len(values[place]):
                continue
            said = _expanded(bracketed(column)[0], known)
            share = max(_share(text, said) for text in texts)
            if share >= _LIKELY:
                pairs.append((-share, order, place, reading))
    used: set[str] = set()
    for negative, _, place, reading in sorted(pairs, key=lambda pair: pair[:3]):
        name = reading.name
        if name in used or place in taken:
            continue
        used.add(name)
        taken.add(place)
        unit, why, doubt = _unit(reading, units.get(place), values.get(place))
        yield name, (place, Guess(name, unit, -negative, why, doubt))


def _unit(wanted: WantedReading, said: Unit | None, values: NDArray[np.float64] | None) -> tuple[Unit, str, bool]:
    """The unit of a column: the log's own word, else that in which most values are inside the sensor's range."""
    if said is not None:
        return said, f"the name is like it; the log says {said.name}", False
    same = [one for one in UNITS.values() if one.dimension == wanted.unit.dimension]
    if values is None or not len(values) or len(same) < 2 or wanted.difference:
        return wanted.unit, "the name is like it; the unit is the quantity's own", len(same) > 1
    shares = {}
    for one in same:
        low, high = (float(convert(end, wanted.unit, one)) for end in (wanted.low, wanted.high))
        shares[one.name] = float(((values >= low) & (values <= high)).mean())
    best = max(shares.values())
    fitting = [one for one in same if shares[one.name] == best]
    unit = wanted.unit if wanted.unit in fitting else fitting[0]
    span = f"values {values.min():g} to {values.max():g}"
    others = ", ".join(one.name for one in fitting if one is not unit)
    doubt = f"; {others} would fit too: find out which it is" if others else ""
    return unit, f"the name is like it; {span} are inside the range for {best:.0%} in {unit.name}{doubt}", bool(others)


def _best(title: str, names: tuple[str, ...], taken: set[int], known: frozenset[str]) -> tuple[int, float] | None:
    wanted = _expanded(title, known)
    found = [(-_share(wanted, _expanded(text, known)), i) for i, text in enumerate(names) if i not in taken and text]
    if not found or -min(found)[0] < _LIKELY:
        return None
    return min(found)[1], -min(found)[0]


def _split(name: str) -> str:
    """`OilTemp` is two words, which is seen before case is folded."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name).casefold()


def _words(name: str) -> list[str]:
    return [word for word in re.findall(r"[a-z]+", _split(name)) if word not in _NO_NAMES]


def _known(wanted: Wanted) -> frozenset[str]:
    """The words that the rules call things by, and those of the trade."""
    named = [f"{reading.quantity} {reading.title or ''}" for reading in wanted.readings]
    named += [f"{switch.name} {switch.title or ''}" for switch in wanted.switches]
    named += wanted.computed
    return frozenset(_words(" ".join((*_WORDS, *_WORDS.values(), *named))))


def _expanded(name: str, known: frozenset[str]) -> str:
    words = _words(name)
    said = []
    for place, word in enumerate(words):
        beside = known.intersection(words[:place][-1:] + words[place + 1 : place + 2])
        said.append(_LETTERS[word] if word in _LETTERS and beside else _WORDS.get(word, word))
    return " ".join(said)


def _share(text: str, other: str) -> float:
    """How alike two names are: by their words, or by their letters."""
    if not text or not other:
        return 0.0
    first, second = set(text.split()), set(other.split())
    words = 2 * len(first & second) / (len(first) + len(second))
    if first <= second:
        words = max(words, 0.75)
    return max(words, SequenceMatcher(None, text, other, autojunk=False).ratio() - 0.1)


def _column(names: tuple[str, ...], place: int) -> str:
    if names.count(names[place]) == 1:
        return f"column = {_quoted(names[place])}"
    return f"number = {place + 1}"


def _quoted(text: str) -> str:
    """A TOML string; JSON's escapes are TOML's, but for the one character that TOML wants escaped too."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _plain(text: str) -> str:
    return "".join(word if word.isprintable() else "?" for word in text)
