"""Proposing a column map for a log: by name, and by the unit in which the values fit the sensor's range."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang.logs.cells import is_mark
from alertlang.logs.dialect import bracketed
from alertlang.logs.holds import is_on_change, steady_hold
from alertlang.logs.propose_switch import MOST_TEXTS, SwitchGuess, propose_switch
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
_LETTERS = {"p": "pressure", "t": "temperature", "v": "voltage"}
# What a column is called in which somebody marks rows, or writes; and one of a button.
_MARKS = frozenset(("mark", "marks", "marker", "event", "events"))
_NOTES = frozenset(("note", "notes", "remark", "remarks", "comment", "comments"))
_BUTTONS = {"ack": "acknowledge", "acknowledge": "acknowledge", "reset": "reset"}
# A column with more of its rows marked is no column of marks. Common practice, no source.
_SELDOM = Fraction(1, 20)
# Part of a unit or of a number: neither names what is measured.
_NO_NAMES = ("deg", "no")
_SURE, _LIKE, _LIKELY = 0.9, 0.75, 0.6


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
        return "sure" if self.share >= _SURE else "likely" if self.share >= _LIKE else "a guess"


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
    lines += _mark_lines(sample, taken)
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
    columns = _switch_columns(sample, taken, known, wanted)
    for switch in wanted.switches:
        lines += _switch_lines(switch, sample, columns.get(switch.name), time, wanted)
    lines += _button_lines(sample, taken)
    left = [(text, place) for place, text in enumerate(names) if place not in taken and text]
    if left:
        lines += ["", "# Not used:", *(f"#   {_plain(f'{text}: {_content(sample, place)}')}" for text, place in left)]
    if heading is not None:
        lines += ["", "[options]", f"heading = {heading}"]
    return "\n".join(lines) + "\n"


def _unfed(name: str, key: str, otherwise: str, wanted: Wanted) -> list[str]:
    """What no column looks like; where an alert or a limit goes by it somebody must say that it is not recorded."""
    if name not in wanted.judged:
        return [f"# {name}: no column looks like it; {otherwise}"]
    return [
        f"# {name}: no column looks like it; {otherwise}. Name one of those that are not used, see",
        "#   below; only where it is not recorded take this line out: what goes by it is then not judged",
        f"{key} = {{doubt = {quoted('no column looks like it')}}}",
    ]


def _switch_lines(
    switch: WantedSwitch,
    sample: LogSample,
    found: tuple[int, str, str | None] | None,
    time: TimeGuess | None,
    wanted: Wanted,
) -> list[str]:
    name, names = switch.name, sample.names
    table = ", ".join(f"{quoted('...')} = {quoted(position)}" for position in switch.positions)
    if found is None:
        return [
            *_unfed(name, name, "its position would be unknown throughout", wanted),
            f'# {name} = {{column = "NAME", positions = {{{table}}}}}',
            '#   and hold = "until changed" in it, where that column is written only where it changes',
        ]
    place, ground, unlike = found
    texts = sample.texts(place)
    guess = propose_switch(switch, names[place], texts)
    if not guess.positions:
        held = ', hold = "until changed"' if is_on_change(texts, [bool(text) for text in texts]) else ""
        return [
            f"# {name}: {_plain(names[place])}, {ground}; {_plain(guess.why)}. Which stands for what? Say it:",
            f"# {name} = {{{named(names, place)}, positions = {{{table}}}{held}}}",
            f"{name} = {{doubt = {quoted(f'what the column {names[place]} says is not known')}}}",
        ]
    positions = ", ".join(f"{quoted(text)} = {quoted(position)}" for text, position in guess.positions.items())
    hold, why = ("until changed", "; written where it changes") if guess.on_change else ("", "")
    if not guess.on_change and "" not in guess.positions:
        hold, why = _hold(sample, place, time)
    parts = [named(names, place), f"positions = {{{positions}}}", *([f"hold = {quoted(hold)}"] if hold else [])]
    doubt = "; ".join(reason for reason in (unlike, guess.doubt) if reason)
    parts += [f"doubt = {quoted(doubt)}"] if doubt else []
    said = f"{guess.why}. In doubt: {doubt}" if doubt else guess.why
    return [f"# {name}: {ground}; {_plain(said)}{why}", f"{name} = {{{', '.join(parts)}}}"]


def _switch_columns(
    sample: LogSample, taken: set[int], known: frozenset[str], wanted: Wanted
) -> dict[str, tuple[int, str, str | None]]:
    """The column of each switch, on what ground, and what is in doubt: by its name, else by a short form of it in whose
    cells the switch can be read, else by cells alone that are named like the positions."""
    found: dict[str, tuple[int, str, str | None]] = {}

    def take(switch: WantedSwitch, place: int, ground: str, doubt: str | None = None) -> None:
        taken.add(place)
        found[switch.name] = place, ground, doubt

    for switch in wanted.switches:
        title = f"{switch.name} {switch.title or ''}"
        best = _best(title, sample.names, taken, known)
        for text in (switch.name, switch.title or ""):
            other = _best(text, sample.names, taken, known)
            best = best or (other if other is not None and other[1] >= _LIKE else None)
        best = best or _best(" ".join((title, *switch.positions)), sample.names, taken, known)
        if best is not None:
            take(switch, best[0], "by its name")
    for switch in wanted.switches:
        if switch.name not in found:
            read = [place for place in _few_texts(sample, taken) if _guess_in(switch, sample, place).positions]
            words = _words(f"{switch.name} {switch.title or ''}")
            short = [place for place in read if _is_short(sample.names[place], words)]
            if len(short) == 1:
                take(switch, short[0], "by its cells", f"{sample.names[short[0]]} may be short for something else")
    for switch in wanted.switches:
        if switch.name not in found:
            alike = [place for place in _few_texts(sample, taken) if _named_alike(switch, sample, place)]
            if len(alike) == 1:
                take(switch, alike[0], "by its cells", "its name is not like it, only what is written in it")
    return found


def _guess_in(switch: WantedSwitch, sample: LogSample, place: int) -> SwitchGuess:
    """What each text of a column would stand for; whether it is written on change is not looked at."""
    return propose_switch(switch, sample.names[place], sample.different(place))


def _few_texts(sample: LogSample, taken: set[int]) -> list[int]:
    """Columns that nothing is fed by and in which as few different texts are as a switch may have."""
    if sample.table is None:
        return []
    free = (place for place, name in enumerate(sample.names) if name and place not in taken)
    return [place for place in free if sample.table[f"c{place}"].n_unique() <= MOST_TEXTS + 1]


def _is_short(name: str, words: Iterable[str]) -> bool:
    """Whether a word of the name is the beginning of one of the words."""
    return any(len(word) >= 3 and whole.startswith(word) for word in _words(name) for whole in words)


def _named_alike(switch: WantedSwitch, sample: LogSample, place: int) -> bool:
    """Whether two or more texts are in the column, each a position by its name."""
    guess = _guess_in(switch, sample, place)
    return guess.by_name and guess.doubt is None and len(set(guess.positions.values())) >= 2


def _mark_lines(sample: LogSample, taken: set[int]) -> list[str]:
    """Where the pilot may have marked rows: by the name, and where it is only like one as a proposal to look at."""
    for place, name in enumerate(sample.names):
        words = set(_words(name))
        if place in taken or not words & (_MARKS | _NOTES):
            continue
        count = sum(map(is_mark, sample.texts(place)))
        if count > sample.height * _SELDOM:
            continue
        said = f"{count} of the first {sample.height} rows marked"
        if words & _MARKS:
            taken.add(place)
            return ["", f"# marks of the pilot, by its name; {said}", f"mark = {{{named(sample.names, place)}}}"]
        if count:
            return ["", f"# {said} in {_plain(name)}: where these are marks of the pilot, take the # away:",
                    f"# mark = {{{named(sample.names, place)}}}"]  # fmt: skip
    return []


def _button_lines(sample: LogSample, taken: set[int]) -> list[str]:
    """Buttons are never proposed outright: a press can take a warning away."""
    found: dict[str, int] = {}
    for place, name in enumerate(sample.names):
        button = next((_BUTTONS[word] for word in _words(name) if word in _BUTTONS), None)
        if place not in taken and button is not None:
            found.setdefault(button, place)
    if not found:
        return []
    said = [
        "",
        "# Buttons, by their names; a press can take a warning away. Take the # away where they are:",
        "# [inputs]",
    ]
    return [*said, *(f"# {button} = {{{named(sample.names, place)}}}" for button, place in found.items())]


def _content(sample: LogSample, place: int) -> str:
    """What stands in the first rows of a column."""
    values = sample.values(place)
    if values is not None and len(values):
        return (
            f"{values.min():g} to {values.max():g}" if values.min() < values.max() else f"{values.min():g} throughout"
        )
    texts = sample.texts(place)
    written = [text for text in texts if text]
    if not written:
        return "dates or times" if place in sample.moments else "empty"
    different = list(dict.fromkeys(written))
    shown = f"words {', '.join(different[:4])}" + (f" and {len(different) - 4} more" if len(different) > 4 else "")
    if is_on_change(texts, [bool(text) for text in texts]) and len(different) > 1:
        return f'{shown}; written only where it changes (hold = "until changed")'
    return shown if len(written) == len(texts) else f"{shown}; {len(written)} of {len(texts)} cells filled"


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
