"""Proposing a column map for a log: by name, and by the unit in which the values fit the sensor's range."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang.logs.dialect import bracketed
from alertlang.logs.holds import steady_hold
from alertlang.logs.propose_switch import propose_switch
from alertlang.logs.propose_time import TimeGuess, named, propose_time, quoted
from alertlang.logs.readings import FEW, MOST
from alertlang.logs.sample import LogSample, look_at
from alertlang.logs.wanted import Wanted, WantedReading, WantedSwitch
from alertlang.units.number import show_number
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
    """One line of the map. `share`: how alike the names are, 0 to 1. `doubt`: what else the unit could be."""

    name: str
    unit: Unit
    share: float
    why: str
    doubt: str | None

    @property
    def sure(self) -> str:
        if self.doubt:
            return "doubtful"
        return "sure" if self.share >= _SURE else "likely" if self.share >= 0.75 else "a guess"


def propose(path: Path, wanted: Wanted, shown: str, *, heading: int | None = None) -> str:
    """The text of a map with the reason for each line. `heading`: the line with the names, from 1. LogError if the log
    cannot be read."""
    sample = look_at(path, shown, heading)
    names = sample.names
    taken: set[int] = set()
    lines = [
        "# A column map, proposed by the names and values of the log. Read every line before you rely on it; where one",
        "# says `doubt`, find out and take that out: as long as it stands there, no replay with this map is trusted.",
        "",
    ]
    time = propose_time(sample)
    if time is None:
        lines += ["# No column looks like the time. Name it, or say how often a row was written:"]
        lines += ['# time = {column = "NAME", unit = "s"}', '# time = {every = "1 s"}']
    else:
        taken.update(time.places)
        lines += [f"# time: {_plain(time.why)}", time.text]
    lines += ["", "[columns]"]
    known = _known(wanted)
    values = {place: numbers for place in range(len(names)) if (numbers := sample.values(place)) is not None}
    guesses = dict(_guesses(names, sample.units, values, wanted, taken, known))
    for name in (reading.name for reading in wanted.readings):
        key = name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else quoted(name)
        if name not in guesses:
            lines += _unfed(name, key, "it would be failed throughout", wanted)
            continue
        place, guess = guesses[name]
        parts = [named(names, place), *([f"unit = {quoted(guess.unit.name)}"] if guess.unit.name else [])]
        hold, why = _hold(sample, place, time)
        parts += [f"hold = {quoted(hold)}"] if hold else []
        doubt = guess.doubt or ("its name is only a little like it" if guess.sure == "a guess" else None)
        parts += [f"doubt = {quoted(doubt)}"] if doubt else []
        lines += [f"# {guess.sure}: {guess.why}{why}", f"{key} = {{{', '.join(parts)}}}"]
    if wanted.switches:
        lines += ["", "[switches]"]
    for switch in wanted.switches:
        lines += _switch_lines(switch, sample, taken, known, time, wanted)
    left = [text for i, text in enumerate(names) if i not in taken and text]
    if left:
        lines += ["", "# Not used:", *(f"#   {_plain(text)}" for text in left)]
    if heading is not None:
        lines += ["", "[options]", f"heading = {heading}"]
    return "\n".join(lines) + "\n"


def _unfed(name: str, key: str, otherwise: str, wanted: Wanted) -> list[str]:
    """What no column looks like; where an alert or a limit goes by it somebody must say that it is not recorded."""
    if name not in wanted.judged:
        return [f"# {name}: no column looks like it; {otherwise}"]
    return [
        f"# {name}: no column looks like it; {otherwise}. Name one, or take this line out if it is not recorded:",
        f"{key} = {{doubt = {quoted('no column looks like it')}}}",
    ]


def _switch_lines(
    switch: WantedSwitch,
    sample: LogSample,
    taken: set[int],
    known: frozenset[str],
    time: TimeGuess | None,
    wanted: Wanted,
) -> list[str]:
    name, names = switch.name, sample.names
    table = ", ".join(f"{quoted('...')} = {quoted(position)}" for position in switch.positions)
    title = f"{name} {switch.title or ''}"
    found = _best(title, names, taken, known) or _best(" ".join((title, *switch.positions)), names, taken, known)
    if found is None:
        return [
            *_unfed(name, name, "its position would be unknown throughout", wanted),
            f'# {name} = {{column = "NAME", positions = {{{table}}}}}',
        ]
    place = found[0]
    taken.add(place)
    texts = sample.texts(place)
    guess = propose_switch(switch, names[place], texts)
    if not guess.positions:
        return [
            f"# {name}: {_plain(names[place])}, by its name; {_plain(guess.why)}. Which stands for what? Say it:",
            f"# {name} = {{{named(names, place)}, positions = {{{table}}}}}",
            f"{name} = {{doubt = {quoted(f'what the column {names[place]} says is not known')}}}",
        ]
    positions = ", ".join(f"{quoted(text)} = {quoted(position)}" for text, position in guess.positions.items())
    hold, why = ("until changed", "; written where it changes") if guess.on_change else ("", "")
    if not guess.on_change and "" not in guess.positions:
        hold, why = _hold(sample, place, time)
    parts = [named(names, place), f"positions = {{{positions}}}", *([f"hold = {quoted(hold)}"] if hold else [])]
    parts += [f"doubt = {quoted(guess.doubt)}"] if guess.doubt else []
    said = guess.why if guess.doubt is None else f"{guess.why}. In doubt: {guess.doubt}"
    return [f"# {name}: by its name; {_plain(said)}{why}", f"{name} = {{{', '.join(parts)}}}"]


def _hold(sample: LogSample, place: int, time: TimeGuess | None) -> tuple[str, str]:
    """How long a value is proposed to stand for the empty cells after it, and why: as long as from one to the next,
    where these come as regularly as rows do. Nothing where hardly a cell is empty, or they are without a pattern."""
    import numpy as np

    if time is None or time.seconds is None or not sample.height:
        return "", ""
    found = steady_hold(time.seconds, np.array([bool(text) for text in sample.texts(place)], np.bool_))
    if found is None:
        return "", ""
    hold, usual = found
    return f"{show_number(hold)} s", f"; a value every {show_number(usual)} s, cells between are empty"


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


def _unit(wanted: WantedReading, said: Unit | None, values: NDArray[np.float64] | None) -> tuple[Unit, str, str | None]:
    """The unit of a column, why, and what is in doubt: the log's own word, else the unit in which most values are
    inside the sensor's range; of those that in which most make sense."""
    if said is not None:
        return said, f"the name is like it; the log says {said.name}", None
    same = [one for one in UNITS.values() if one.dimension == wanted.unit.dimension]
    if values is None or not len(values) or len(same) < 2 or wanted.difference:
        doubt = "no unit is said, and nothing tells which it is" if len(same) > 1 else None
        return wanted.unit, "the name is like it; the unit is the quantity's own", doubt
    inside = {one.name: _inside(values, ((wanted.low, wanted.high),), wanted.unit, one) for one in same}
    best = max(inside.values())
    fitting = [one for one in same if inside[one.name] == best]
    sensible = {one.name: _inside(values, wanted.sensible, wanted.unit, one) for one in fitting}
    most = max(sensible.values())
    chosen = [one for one in fitting if sensible[one.name] == most]
    unit = wanted.unit if wanted.unit in chosen else chosen[0]
    span = f"values {values.min():g} to {values.max():g}"
    why = f"the name is like it; {span} are inside the range for {best:.0%} in {unit.name}"
    # Another unit is out of the question where hardly a value would make sense in it, as for a doubtful unit.
    others = [one.name for one in fitting if one is not unit and (most < MOST or sensible[one.name] > FEW)]
    if not others:
        return unit, why, None
    doubt = f"{', '.join(others)} would fit too"
    return unit, f"{why}; {doubt}: find out which it is", doubt


def _inside(
    values: NDArray[np.float64], stretches: Iterable[tuple[Fraction | float, Fraction | float]], own: Unit, unit: Unit
) -> float:
    """The share of the values that are in one of the stretches, which are given in the quantity's `own` unit, if the
    column is in `unit`."""
    import numpy as np

    inside = np.zeros(len(values), np.bool_)
    for ends in stretches:
        low, high = (float(convert(Fraction(end), own, unit)) for end in ends)
        inside |= (values >= low) & (values <= high)
    return float(inside.mean())


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


def _plain(text: str) -> str:
    return "".join(word if word.isprintable() else "?" for word in text)
