"""Changes of what stands on the panel: lamps, gauges, how switches are wired."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from alertlang.comparison.joint import Joint
from alertlang.comparison.written import ALL
from alertlang.model import ruleset as m
from alertlang.results.comparison import Change, Direction
from alertlang.units.number import say_value

_LESS, _MORE, _OTHER = Direction.LESS, Direction.MORE, Direction.OTHER


def panel_changes(joint: Joint) -> list[Change]:
    """In the order of the statements of the first rule set, then of the second."""
    return [*_lamps(joint), *_gauges(joint.first, joint.second), *_inputs(joint.first, joint.second)]


def _said(text: str, way: Direction, subject: str, key: str = "", part: str = ALL) -> Change:
    """`key` and `part`: the statement that it tells of, and which part."""
    return Change("statement", subject, way, text, text, covers=frozenset(((key, part),) if key else ()))


# ---- lamps


def _lamps(joint: Joint) -> list[Change]:
    # A statement that was only named anew lights what it lit; one that the first rule set does not have keeps its name.
    labels = {theirs.own.label: mine.own.label for mine, theirs in joint.pairs}
    mine = {lamp.text: lamp for lamp in joint.first.lamps}
    theirs = {lamp.text: lamp for lamp in joint.second.lamps}
    found: list[Change] = []
    for text, lamp in mine.items():
        other = theirs.get(text)
        if other is None:
            shown = _listed([*(level.word for level in lamp.levels), *lamp.labels])
            found.append(_said(f'there is no lamp "{text}" any more; it showed {shown}', _LESS, text, f"lamp {text}"))
        else:
            found += _lamp(lamp, other, labels)
    return found + [_said(f'lamp "{text}" is new', _MORE, text, f"lamp {text}") for text in theirs if text not in mine]


def _lamp(lamp: m.PanelLamp, other: m.PanelLamp, labels: Mapping[str, str]) -> list[Change]:
    name = f'lamp "{lamp.text}"'
    shows = [level.word for level in lamp.levels], [level.word for level in other.levels]
    named = list(lamp.labels), [labels.get(label, label) for label in other.labels]
    # A statement may come from the level as well as by its name: only what the lamp shows no more by either is lost.
    before, after = ([*shows[i], *named[i]] for i in (0, 1))
    lost = [word for word in before if word not in after]
    more = [word for word in after if word not in before]
    found: list[Change] = []
    key = f"lamp {lamp.text}"
    if lost:
        found.append(_said(f"{name} no longer shows {_listed(lost)}", _LESS, lamp.text, key, "shows"))
    if more:
        found.append(_said(f"{name} now shows {_listed(more)} too", _MORE, lamp.text, key, "shows"))
    if lamp.lock_in != other.lock_in:
        text = "now keeps" if other.lock_in else "no longer keeps"
        said = f"{name} {text} an alert lit that goes away before it is acknowledged"
        found.append(_said(said, _MORE if other.lock_in else _LESS, lamp.text, key, "sequence"))
    if lamp.sequence is not other.sequence:
        # Leaving A adds a reset or a ringback, going back to it takes that away.
        plain = lamp.sequence is m.Sequence.A, other.sequence is m.Sequence.A
        way = _MORE if plain[0] else _LESS if plain[1] else _OTHER
        said = f"{name} follows sequence {other.sequence.value} instead of {lamp.sequence.value}"
        found.append(_said(said, way, lamp.text, key, "sequence"))
    for word, one, now in (
        ("acknowledged", lamp.acknowledge, other.acknowledge),
        ("reset", lamp.reset, other.reset),
    ):
        if one != now:
            said = f"{name} is {word} by {now or 'nothing'} instead of by {one or 'nothing'}"
            found.append(_said(said, _OTHER, lamp.text, key, f"{word}_by"))
    return found


# ---- gauges and inputs


def _gauges(first: m.RuleSet, second: m.RuleSet) -> list[Change]:
    mine = {gauge.quantity: _gauge(gauge, first) for gauge in first.gauges}
    theirs = {gauge.quantity: _gauge(gauge, second) for gauge in second.gauges}
    return [*_differing("gauge of", mine, theirs), *_moved(list(mine), list(theirs))]


def _gauge(gauge: m.PanelGauge, rules: m.RuleSet) -> dict[str, str]:
    unit = gauge.unit or rules.quantities[gauge.quantity].unit
    return {
        "label": gauge.label or "none",
        "shape": gauge.shape or "not said",
        "unit": unit.name,
        "resolution": "not said" if gauge.resolution is None else say_value(gauge.resolution, unit),
        "sensor": gauge.sensor or "not said",
        "channels": _listed(gauge.channels) if gauge.channels else "not said",
    }


def _moved(mine: list[str], theirs: list[str]) -> list[Change]:
    common = [name for name in mine if name in theirs], [name for name in theirs if name in mine]
    if common[0] == common[1]:
        return []
    return [_said(f"gauges stand in another order: {', '.join(theirs)}", _OTHER, "gauges", "gauges", "order")]


def _inputs(first: m.RuleSet, second: m.RuleSet) -> list[Change]:
    return _differing(
        "input of", *({button.switch: _input(button) for button in rules.inputs} for rules in (first, second))
    )


def _input(button: m.PanelInput) -> dict[str, str]:
    return {
        "label": button.label or "none",
        "wired to": button.wired or "not said",
        "wired at position": button.position or "not said",
        "channel": button.channel or "not said",
    }


# The parts of a statement that are told by other words.
_PART_OF = {
    "shape": "drawn",
    "unit": "drawn",
    "resolution": "drawn",
    "wired to": "wired",
    "wired at position": "wired",
}


def _differing(
    what: str, mine: Mapping[str, Mapping[str, str]], theirs: Mapping[str, Mapping[str, str]]
) -> list[Change]:
    found: list[Change] = []
    for name in dict.fromkeys((*mine, *theirs)):
        one, other = mine.get(name), theirs.get(name)
        key = f"{what.split()[0]} {name}"
        if one is None or other is None:
            found.append(_said(f"{what} {name} is {'new' if one is None else 'no longer stated'}", _OTHER, name, key))
            continue
        for word, was in one.items():
            if other[word] != was:
                found.append(
                    _said(
                        f"{what} {name}, {word}: {other[word]} instead of {was}",
                        _OTHER,
                        name,
                        key,
                        _PART_OF.get(word, word),
                    )
                )
    return found


def _listed(words: Iterable[str]) -> str:
    return " and ".join(words)
