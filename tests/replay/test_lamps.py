"""Lamps over any recording: the stepper sample by sample, the replay of a log, and a telling from history alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import numpy as np
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from alertlang.logs.table import Segment
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m
from alertlang.replay.engine import ReplayEngine
from alertlang.replay.one_segment import SegmentReplay
from tests.helpers.plain_lamps import FLASHING, PlainLamp, Seen
from tests.helpers.timed import load, stepped, timed_rulesets, traces
from tests.replay.test_engine import chunks, in_columns, in_samples

Lights = list[dict[str, Seen]]


def in_log(ruleset: m.RuleSet, samples: Sequence[Sample]) -> tuple[Segment, list[Sample]]:
    """A recording as a log with its buttons, and what the numbers of that log say."""
    segment = in_columns(ruleset, samples)
    held = {name: np.array([name in one.pressed for one in samples], np.bool_) for name in ruleset.buttons}
    exact = in_samples(ruleset, segment)
    exact = [replace(one, pressed=own.pressed) for one, own in zip(exact, samples, strict=True)]
    return replace(segment, inputs={**segment.inputs, **held}), exact


def replayed(ruleset: m.RuleSet, segment: Segment, sizes: Sequence[int]) -> Lights:
    """What the replay says of each row, and that its intervals say the same."""
    replay = SegmentReplay(ruleset)
    for trace in chunks(ReplayEngine(ruleset), segment, sizes):
        replay.feed(trace)
    run = replay.done()
    found = [{text: (one.light, one.sound) for text, one in run.lamps_at(k).items()} for k in range(len(segment))]
    for text, intervals in run.lamps.items():
        said: list[Seen] = []
        for one in intervals:
            assert one.start_row == len(said)
            assert one.start == segment.seconds(one.start_row)
            assert one.end == (None if one.end_row is None else segment.seconds(one.end_row))
            end = len(segment) if one.end_row is None else one.end_row
            said += [(one.state.light, one.state.sound)] * (end - one.start_row)
        assert said == [row[text] for row in found]
    return found


def in_steps(shown: Sequence[Shown]) -> Lights:
    return [{text: (state.light, state.sound) for text, state in one.lamps.items()} for one in shown]


def lit_by(ruleset: m.RuleSet, lamp: m.PanelLamp, shown: Sequence[Shown]) -> list[frozenset[object]]:
    """The alerts of a lamp that are up at each sample."""
    shows = {rule.label: rule.alert is not None and lamp.shows(rule.label, rule.alert.level) for rule in ruleset.rules}
    return [frozenset(place for place in one.alerts if shows[place[0]]) for one in shown]


def pressed(ruleset: m.RuleSet, samples: Sequence[Sample]) -> list[frozenset[str | None]]:
    found, before = [], frozenset[str]()
    for one in samples:
        held = one.pressed | (set(ruleset.acknowledge_inputs) if one.acknowledge else set())
        found.append(frozenset[str | None](held - before))
        before = frozenset(held)
    return found


def from_history(ruleset: m.RuleSet, samples: Sequence[Sample], shown: Sequence[Shown]) -> Lights:
    presses = pressed(ruleset, samples)
    lamps = {lamp.text: PlainLamp(lamp, lit_by(ruleset, lamp, shown), presses) for lamp in ruleset.lamps}
    return [{text: lamp.lights[k] for text, lamp in lamps.items()} for k in range(len(samples))]


@settings(max_examples=40, phases=[Phase.explicit, Phase.generate])
@given(st.data())
def test_any_lamps_any_recording_any_chunks(data: st.DataObject) -> None:
    ruleset = load(data.draw(timed_rulesets(lamps=True, limits=(0, 0))))
    segment, samples = in_log(ruleset, data.draw(traces(ruleset, longest=16)))
    shown = stepped(ruleset, samples)
    wanted = in_steps(shown)
    assert replayed(ruleset, segment, data.draw(st.lists(st.integers(1, 6), min_size=1, max_size=3))) == wanted
    assert from_history(ruleset, samples, shown) == wanted
    for lamp in ruleset.lamps:
        up = lit_by(ruleset, lamp, shown)
        for k, now in enumerate(up):
            new = now - up[k - 1] if k else now
            # Only of M is there something that comes back without an alarm: what it has shown before.
            if lamp.sequence is m.Sequence.M:
                new -= frozenset().union(*up[:k])
            assert not new or wanted[k][lamp.text] == FLASHING


# Alerts that come and go at will and two lamps of each sequence: here words are long enough for all that there is.
RULES = """rules "lamps" version 1
quantity x[3] from 0 to 2
a: x[1] above 1 is red with warning "A"
b: x[2] above 1 is red with warning "B"
c: x[3] above 1 is yellow with caution "C"
lamp "A" shows warning and c, sequence A, acknowledged by ack
lamp "A2" shows warning, sequence A without lock-in, acknowledged by ack
lamp "A3" shows warning and caution, sequence A without lock-in
lamp "M" shows warning, sequence M, acknowledged by ack, reset by rst
lamp "M2" shows warning and caution, sequence M, acknowledged by other, reset by rst
lamp "R" shows warning and caution, sequence R, acknowledged by ack, reset by rst
lamp "R2" shows b, sequence R, acknowledged by other, reset by rst_too
"""
BUTTONS = ("ack", "other", "rst", "rst_too")
_row = st.tuples(st.lists(st.sampled_from((0, 0, 2)), min_size=3, max_size=3), st.sets(st.sampled_from(BUTTONS)))


def recorded(rows: Sequence[tuple[Sequence[int], set[str]]]) -> list[Sample]:
    return [
        Sample(Fraction(k), {f"x[{n}]": Fraction(one) for n, one in enumerate(x, 1)}, {}, False, frozenset(held))
        for k, (x, held) in enumerate(rows)
    ]


@settings(max_examples=60, phases=[Phase.explicit, Phase.generate])
@given(st.lists(_row, min_size=1, max_size=20))
def test_alerts_that_come_and_go_and_two_of_each_button(rows: list[tuple[list[int], set[str]]]) -> None:
    ruleset = load(RULES)
    segment, samples = in_log(ruleset, recorded(rows))
    shown = stepped(ruleset, samples)
    assert replayed(ruleset, segment, [7]) == in_steps(shown) == from_history(ruleset, samples, shown)


def test_the_recordings_reach_every_state() -> None:
    """So that the agreement above is about something: one recording in which each lamp shows all that it can."""
    ruleset = load(RULES)
    up, down, nothing = [2, 2, 2], [0, 0, 0], set[str]()
    both, resets = {"ack", "other"}, {"rst", "rst_too"}
    rows = [(up, nothing), (down, nothing), (down, both), (down, resets), (up, nothing), (up, both), (down, nothing)]
    segment, samples = in_log(ruleset, recorded(rows))
    found = replayed(ruleset, segment, [2])
    states = Counter(len({row[lamp.text] for row in found}) for lamp in ruleset.lamps)
    # A without a button is lit or not; M and A have three looks, ringback four.
    assert states == {2: 1, 3: 4, 4: 2}
    assert from_history(ruleset, samples, stepped(ruleset, samples)) == found
