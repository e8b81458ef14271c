"""What comparing two rule sets comes to, as text and for JSON."""

from __future__ import annotations

import re

from alertlang.findings.finding import Witness
from alertlang.output.json import NAMED, Json, told
from alertlang.output.style import Line, wrapped
from alertlang.output.text import WIDTH, caution_lines, counted, witness_words
from alertlang.results.comparison import Change, Comparison, Direction
from alertlang.results.report import FileName
from alertlang.units.number import show_number

_STYLES = {Direction.LESS: "error", Direction.MORE: "good", Direction.OTHER: "note"}
_INDENT = "  "


def comparison_lines(found: Comparison, width: int = WIDTH) -> list[Line]:
    """Every difference with an example, then one line that sums up, then the caution."""
    lines: list[Line] = []
    lines += wrapped("dim", f"before: {_file(found.before)}", width, rest="        ")
    lines += wrapped("dim", f"after:  {_file(found.after)}", width, rest="        ")
    lines.append([])
    for change in found.changes:
        lines += [*_change_lines(change, width), []]
    lines += wrapped("good" if found.same else "strong", _conclusion(found), width)
    return [*lines, *caution_lines(width)]


def _change_lines(change: Change, width: int) -> list[Line]:
    style = "error" if change.undecided else _STYLES[change.direction]
    word = "undecided" if change.undecided else change.direction.value
    lines: list[Line] = [[(style, word), ("dim", f" ({change.kind})")]]
    lines += wrapped("strong", change.message, width, _INDENT)
    if change.witness and not change.history:
        lines += wrapped("", f"for example: {_witness(change.witness)}", width, _INDENT, _INDENT + " " * 13)
    if change.history:
        lines += _history(change, width)
    if not change.complete:
        lines += wrapped("dim", "there are more regions like this one, which are not told", width, _INDENT)
    return lines


def _history(change: Change, width: int) -> list[Line]:
    """A recording, sample by sample: what is not told is as before."""
    lines = wrapped("", "for example, recorded one after the other:", width, _INDENT)
    before: Witness = {}
    for moment in change.history:
        changed = {name: fact for name, fact in moment.facts.items() if before.get(name) != fact}
        said = [new_words(witness_words({name: fact})) for name, fact in changed.items()]
        said += [f"{name} failed" for name in moment.failed]
        said += ["acknowledged"] if moment.acknowledged else []
        time = show_number(moment.time)
        lines += wrapped("", f"{time} s: {', '.join(said) or 'the same'}", width, _INDENT * 2, _INDENT * 4)
        before = moment.facts
    return lines


def new_words(text: str) -> str:
    """Names that only the second rule set has, for people: `cold (after)` is the new cold."""
    return re.sub(r"(\w+)(?: \(after\))+(\[\d+\])?", r"the new \1\2", text)


def truth_words(name: str, holds: bool) -> str:
    """What one moment leaves open, for people: `overspeed has not lasted long enough for its alert yet`."""
    sensors = re.search(r" \(told without (.*)\)$", name)
    name = name[: sensors.start()] if sensors else name
    missing = "" if sensors is None else f" while {_some_of(sensors[1].split(', '))}"
    for end, yes, no in (
        (" due", "has lasted long enough for its alert", "has not lasted long enough for its alert yet"),
        (" kept up", "is still up, not acknowledged", "is not up from before"),
        (" kept by its deadband", "is kept by its deadband", "is not kept by its deadband"),
        (" failed", "has failed", "works"),
    ):
        if name.endswith(end):
            return f"{new_words(name.removesuffix(end))} {yes if holds else no}{missing}"
    if " for more than " in name:
        label, time = name.split(" for more than ")
        return f"{new_words(label)} has {'' if holds else 'not '}lasted more than {time}{missing}"
    said = name if holds else f"not ({name})" if " for " in name else f"not {name}"
    return new_words(said) + missing


def _some_of(sensors: list[str]) -> str:
    return f"{sensors[0]} is missing" if len(sensors) == 1 else "sensors are missing"


def _witness(witness: Witness) -> str:
    plain = [
        truth_words(name, fact) if isinstance(fact, bool) else new_words(witness_words({name: fact}))
        for name, fact in witness.items()
    ]
    return ", ".join(plain)


def _conclusion(found: Comparison) -> str:
    rested = f"{len(found.identical)} gauges and alerts are the same formulas on both sides"
    asked = f"{len(found.asked)} were asked about in {counted(found.questions, 'question')} to the solver"
    if found.same:
        return f"no difference, which is proved: {rested}, {asked}"
    counts = ", ".join(f"{count} {word}" for word, count in found.counts.items() if count)
    if found.shows_the_same:
        counts = f"{counts}, and what is shown is proved to be the same"
    more = "" if found.complete else "; not every region is told"
    return f"{counts}{more}; {rested}, {asked}"


def summary_lines(found: Comparison) -> list[Line]:
    """One line for a change log."""
    return [[("", found.summary)]]


def comparison_data(found: Comparison) -> Json:
    return {
        "before": told(found.before, NAMED),
        "after": told(found.after, NAMED),
        **told(found, "same shows_the_same less_strict undecided complete summary"),
        "changes": [_change_data(change) for change in found.changes],
        **told(found, "identical asked questions"),
    }


def _change_data(change: Change) -> Json:
    return {
        **told(change, "kind subject direction message before after witness region"),
        "history": [
            # Times here are as Python writes a fraction.
            {"time": str(moment.time), **told(moment, "state=facts failed acknowledged")}
            for moment in change.history
        ],
        **told(change, "undecided complete"),
    }


def _file(file: FileName) -> str:
    return f'{file.kind} "{file.name}" version {file.version} ({file.path})'
