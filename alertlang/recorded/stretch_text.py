"""The text of a scenario that was made of a recording."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from fractions import Fraction

from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m
from alertlang.recorded.thin import About, ThinRow
from alertlang.scenarios.scenario import DEFAULT_SPACING
from alertlang.scenarios.write import comment_text, input_texts, line_text, time_text
from alertlang.why.subject import alert_places, gauges_of


def scenario_text(
    about: About,
    name: str,
    named: bool,
    comments: Sequence[str],
    rows: Sequence[ThinRow],
    first: Fraction,
    spacing: Fraction,
) -> str:
    """`rows` are lines, from 0 s on; what is expected goes from `first`, a time of the log, to the last of them."""
    rules, begins = about.ruleset, rows[0].sample.time
    text = f'scenario "{name}" version 1\n'
    if named:
        text += f'use rules "{rules.name}"\n'
    text += "\n" + "".join(comment_text(line) for line in comments)
    if not named:
        text += comment_text(
            f'It is about the rules "{rules.name}", which it does not name: give their file with --rules.'
        )
    text += "\n"
    if spacing != DEFAULT_SPACING:
        text += f"sample every {time_text(spacing)}\n\n"
    expected = _expected(about, [row.shown for row in rows if row.sample.time >= first], begins)
    for row in rows:
        time = row.sample.time
        text += line_text(time - begins, _read(rules, row), expected.get(time, ())) + "\n"
    return text


def _read(rules: m.RuleSet, row: ThinRow) -> list[str]:
    readings = {name: value for name, value in row.write.items() if not isinstance(value, str)}
    positions = {
        name: value for name, value in row.write.items() if name in rules.switches and not isinstance(value, Fraction)
    }
    found = input_texts(rules, {name: v for name, v in readings.items() if name not in rules.switches}, positions)
    if row.sample.acknowledge:
        found.append("acknowledge")
    return found + [f"{name} pressed" for name in rules.buttons if name in row.sample.pressed]


def _expected(about: About, shown: Sequence[Shown], begins: Fraction) -> dict[Fraction, list[str]]:
    """By the time of the log what is expected from then on: every gauge, every lamp, every alert that is up meanwhile,
    and quiet where no caution and no warning is."""
    rules, found = about.ruleset, dict[Fraction, list[str]]()
    last = shown[-1].time

    def add(words: Callable[[Hashable], str | None], states: Sequence[Hashable]) -> None:
        for state, start, end in _spans(states, [one.time for one in shown]):
            said = words(state)
            if said is None:
                continue
            if end is not None or start != last:
                until = last if end is None else end
                found.setdefault(start, []).append(f"{said} until {time_text(until - begins)}")
            if end is None:
                # `until` leaves out its own time.
                found.setdefault(last, []).append(said)

    for gauge in gauges_of(rules):
        name = m.variable(*gauge)
        add(
            lambda colour, name=name: f"{name} {colour.word if isinstance(colour, m.Colour) else 'blank'}",  # type: ignore[misc]
            [one.colours[gauge] for one in shown],
        )
    for alert in dict.fromkeys(text for _, _, text in alert_places(rules)):
        up = [alert in one.alerts.values() for one in shown]
        if any(up):
            said = f'{alert.level.word} "{alert.text}"'
            add(lambda is_up, said=said: said if is_up else f"no {said}", up)  # type: ignore[misc]
    calm = [all(alert.level < m.Level.CAUTION for alert in one.alerts.values()) for one in shown]
    if about.may_be_quiet:
        add(lambda quiet: "quiet" if quiet else None, calm)
    for lamp in about.lamps:
        add(
            lambda light, text=lamp.text: f'lamp "{text}" {light}',  # type: ignore[misc]
            [one.lamps[lamp.text].light for one in shown],
        )
    return found


def _spans(
    states: Sequence[Hashable], times: Sequence[Fraction]
) -> Iterator[tuple[Hashable, Fraction, Fraction | None]]:
    """Each state that lasts, from when to when; no end: to the last."""
    start = 0
    for k in range(1, len(states) + 1):
        if k == len(states):
            yield states[start], times[start], None
        elif states[k] != states[start]:
            yield states[start], times[start], times[k]
            start = k
