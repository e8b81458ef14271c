"""The sheet as a person reads it: the same for the page and for paper."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from alertlang.gauges.plain_words import condition_words, formula_words, title_of
from alertlang.keying.columns import Sheet, SheetLine, is_off_step, is_rounded
from alertlang.keying.edges import near
from alertlang.keying.lines import Contexts, display_unit
from alertlang.keying.used import used_quantities
from alertlang.model import ruleset as m
from alertlang.model.grades import numbers_by_grade
from alertlang.output.basis import weak_numbers
from alertlang.output.text import CAUTION

WARNING = (
    "Key in exactly what stands here and tick each line only after it was read back off the box. A line that is not"
    " ticked counts as not done."
)

_HELD = re.compile(r"for (?:at least|less than) [0-9.]+ [a-z]+")


def sheet_data(ruleset: m.RuleSet, sheet: Sheet, *, tool: str) -> dict[str, Any]:
    """For a template: text alone, in sections of lines."""
    words = _words(ruleset)
    timers = list(_timers(sheet))
    rounded = [line.number for line in sheet.lines if is_rounded(line)]
    unsettled = [line.number for line in sheet.lines if line.unsettled]
    return {
        "title": f"Installer's sheet: {sheet.name}, version {sheet.version}",
        "mark": sheet.mark,
        "digest": sheet.digest,
        "profiles": ", ".join(sheet.profiles) or "none",
        "lines": len(sheet.lines),
        "weak": weak_numbers(numbers_by_grade(ruleset)),
        "warning": WARNING,
        "rounded": _lines_of(rounded),
        "unsettled": _lines_of(unsettled),
        "worst": _worst_first(),
        "numbered": _numbered(sheet),
        "sections": list(_sections(ruleset, sheet, words)),
        "timers": timers,
        "caution": CAUTION,
        "foot": f"{tool}; {sheet.mark}",
    }


def _lines_of(numbers: Sequence[int]) -> str:
    """`line 4`, `lines 4, 7`; nothing for none."""
    if not numbers:
        return ""
    return f"line{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"


def _worst_first() -> str:
    """The colours by rank, those of one rank together."""
    ranks = sorted({colour.rank for colour in m.Colour}, reverse=True)
    return "; ".join(", ".join(one.word for one in reversed(m.Colour) if one.rank == rank) for rank in ranks)


def _numbered(sheet: Sheet) -> str:
    """What {n} is, with a text of the sheet as the example; nothing if none has it."""
    text = next((line.get("text") for line in sheet.lines if "{n}" in line.get("text")), "")
    if not text:
        return ""
    return f"{{n}} in a text is the number of the element, e.g. {text.replace('{n}', '1')} for the first."


def _words(ruleset: m.RuleSet) -> dict[str, str]:
    """Contexts in words, by what they are called on the sheet."""
    contexts = Contexts()
    # In the order in which the lines meet them, so that the numbers are the same.
    for name in used_quantities(ruleset):
        for band in ruleset.bands:
            if band.quantity == name:
                contexts.name(band.when)
                contexts.name(band.unless)
    for alert in ruleset.alerts:
        contexts.name(alert.when)
        contexts.name(alert.unless)
    found = {name: formula_words(ruleset, formula) for name, formula in contexts.formulas.items()}
    found.update({name: condition_words(ruleset, condition) for name, condition in ruleset.conditions.items()})
    return found


def _sections(ruleset: m.RuleSet, sheet: Sheet, words: dict[str, str]) -> Iterator[dict[str, Any]]:
    title, lines = "", list[dict[str, Any]]()
    for line in sheet.lines:
        now = _title(ruleset, line)
        if now != title and lines:
            yield {"title": title, "lines": lines}
            lines = []
        title = now
        lines.append(_line(ruleset, line, words))
    if lines:
        yield {"title": title, "lines": lines}


def _title(ruleset: m.RuleSet, line: SheetLine) -> str:
    match line.what:
        case "gauge" | "sensor" | "computed" | "band":
            name = m.ReadingId(line.get("gauge")).quantity
            title = title_of(ruleset, name)
            label = next((gauge.label for gauge in ruleset.gauges if gauge.quantity == name and gauge.label), None)
            return f"{title[0].upper()}{title[1:]} ({name})" + (f' "{label}"' if label else "")
        case "alert":
            return "Alerts of no gauge"
        case "context" | "condition":
            return "Contexts"
        case "switch":
            return "Switches"
    return "Lamps"


def _line(ruleset: m.RuleSet, line: SheetLine, words: dict[str, str]) -> dict[str, Any]:
    return {
        "number": line.number,
        "item": line.what,
        "name": line.get("name") or (line.get("gauge") if "[" in line.get("gauge") else ""),
        "value": _value(ruleset, line),
        "shows": _shows(line),
        "when": _when(line, words),
        "note": line.note,
        "flag": is_off_step(line),
    }


def _value(ruleset: m.RuleSet, line: SheetLine) -> str:
    match line.what:
        case "gauge":
            drawn = f"drawn as {line.get('drawn')}" if line.get("drawn") else ""
            unit = f"unit {line.get('unit')}" if line.get("unit") else "no unit"
            step = f"in steps of {line.get('resolution')}" if line.get("resolution") else ""
            label = f'label "{line.get("text")}"' if line.get("text") else ""
            return "; ".join(part for part in (label, drawn, unit, step) if part)
        case "sensor":
            deadband = f"; deadband {line.get('deadband')}" if line.get("deadband") else ""
            each = f"; {line.get('elements')} elements" if line.get("elements") else ""
            return _reads(ruleset, line) + each + deadband
        case "computed" | "context":
            return line.get("formula")
        case "condition":
            until = f" until {line.get('until')}" if line.get("until") else ""
            return line.get("formula") + until
        case "switch":
            label = f'label "{line.get("text")}"; ' if line.get("text") else ""
            return f"{label}positions {line.get('positions')}"
        case "lamp":
            shown = line.get("shows").split(" and ")
            return f'"{line.get("text")}" lit by {"any of: " if len(shown) > 1 else ""}{", ".join(shown)}'
        case "band":
            return _edges(line)
    return ""


def _reads(ruleset: m.RuleSet, line: SheetLine) -> str:
    """The range of a sensor in the unit of the display, with that of the rules if it is another."""
    quantity = ruleset.quantities[line.get("gauge")]
    unit, resolution = display_unit(ruleset, line.get("gauge"))
    exact = f"{line.get('from')} to {line.get('to')} {quantity.unit.name}".strip()
    if unit == quantity.unit:
        return f"reads from {exact}"
    low, high = (near(value, quantity, unit, resolution) for value in (quantity.low, quantity.high))
    return f"reads from {low} to {high} {unit.name} (in the rules {exact})"


def _edges(line: SheetLine) -> str:
    element = f"{line.get('gauge')}: " if "[" in line.get("gauge") else ""
    if line.get("where") == "failed":
        return element + "sensor failed"
    said = []
    for side in ("from", "to"):
        if line.get(side):
            # With a blank that does not break: it is one word about one number.
            owns = "edge\u00a0in" if line.get(f"{side}_included") == "yes" else "edge\u00a0out"
            # The value of a curve has its unit already.
            unit = line.get("unit") if line.get(side)[0] in "-0123456789" else ""
            said.append(f"{side} {line.get(side)} {unit} ({owns})".replace("  ", " "))
    word = "outside: " if line.get("where") == "outside" else ""
    return element + word + " ".join(said)


def _shows(line: SheetLine) -> str:
    match line.what:
        case "gauge":
            said = (("sensor", line.get("sensor")), ("channel", line.get("channel")))
            return "; ".join(f"{word} {text}" for word, text in said if text)
        case "switch":
            wired = f"wired to {line.get('wired')}" if line.get("wired") else ""
            channel = f"channel {line.get('channel')}" if line.get("channel") else ""
            return "; ".join(part for part in (wired, channel) if part)
        case "lamp":
            pressed = (("acknowledge", line.get("acknowledge")), ("reset", line.get("reset")))
            buttons = [f"{word}: {text}" for word, text in pressed if text]
            return "; ".join((f"sequence {line.get('sequence')}", *buttons))
    alert = f'{line.get("level")} "{line.get("text")}"' if line.get("level") else ""
    return "; ".join(part for part in (line.get("colour"), alert) if part)


def _when(line: SheetLine, words: dict[str, str]) -> str:
    if line.what == "context":
        return words.get(line.get("name"), "")
    said = [] if line.what != "condition" else [words.get(line.get("name"), "").partition(" (set")[0]]
    said += [f"{column} {line.get(column)}" for column in ("when", "unless") if line.get(column)]
    if line.get("for_more_than"):
        total = " in total" if line.get("in_total") == "yes" else ""
        said.append(f"for more than {line.get('for_more_than')}{total}")
    for column, word in (("after", "alert after"), ("set_after", "set after"), ("cleared_after", "cleared after")):
        if line.get(column):
            said.append(f"{word} {line.get(column)}")
    if line.get("latched") == "yes":
        said.append("latched")
    return "; ".join(part for part in said if part)


def _timers(sheet: Sheet) -> Iterator[dict[str, Any]]:
    """Every time that the box has to count, with its line."""
    words = {
        "for_more_than": "must have lasted for more than",
        "after": "alert held back",
        "set_after": "set after",
        "cleared_after": "cleared after",
    }
    for line in sheet.lines:
        for column, word in words.items():
            if line.get(column) not in {"", "0 s"}:
                total = ", in total" if column == "for_more_than" and line.get("in_total") == "yes" else ""
                yield {
                    "number": line.number,
                    "name": line.get("name"),
                    "words": f"{word} {line.get(column)}{total}",
                }
        for column in ("formula", "until"):
            for held in _HELD.findall(line.get(column)):
                yield {"number": line.number, "name": line.get("name"), "words": held}
