"""Lamps against the annunciator sequences A, M and R of ANSI/ISA-18.1 (1979, reaffirmed 1992 and 2004).

The standard itself was read only to its preface. The tables are those that makers of industrial annunciators reprint:
sequence A with and without lock-in, M and R. Second hand, then: to be confirmed in the standard. From memory: what is
pressed without effect, A locked in and abnormal again, R locked in and acknowledged, R ringback and abnormal again.

Two things that some reprints tell are left open here, for nothing shows that the standard's own tables have them: what
M does when an alarm that was acknowledged comes back before its reset, and what is seen and heard of R's ringback. What
a lamp does there is our choice: `tests/meaning/test_lamps.py`.

Every word of up to six inputs is gone through twice: sample by sample, and as a log that is replayed.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from alertlang.logs.table import Column, Segment
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model import ruleset as m
from alertlang.model.load import parse_ruleset
from alertlang.replay.engine import ReplayEngine
from alertlang.replay.one_segment import SegmentReplay

Row = tuple[str, str, str, str, str, str]

OPEN = "open"
"""Nothing is taken from the reprints there. Of R's ringback only that there is one: that says the sequence's name."""

# State: what there is to see and to hear, then the state after the process goes abnormal, goes back to normal, the
# acknowledge button, the reset button. A dash: it cannot happen there.
A_LOCK_IN: dict[str, Row] = {
    "N": ("off", "silent", "AL", "-", "N", "N"),
    "AL": ("flashing", "alarm", "-", "AL'", "AK", "AL"),
    "AL'": ("flashing", "alarm", "AL", "-", "N", "AL'"),
    "AK": ("steady", "silent", "-", "N", "AK", "AK"),
}
# Option 4, no lock-in: what is seen and heard goes with the process, acknowledged or not.
A_NO_LOCK_IN: dict[str, Row] = {
    "N": ("off", "silent", "AL", "-", "N", "N"),
    "AL": ("flashing", "alarm", "-", "N", "AK", "AL"),
    "AK": ("steady", "silent", "-", "N", "AK", "AK"),
}
M_MANUAL: dict[str, Row] = {
    "N": ("off", "silent", "AL", "-", "N", "N"),
    "AL": ("flashing", "alarm", "-", "AL'", "AK", "AL"),
    "AL'": ("flashing", "alarm", "AL", "-", "AKn", "AL'"),
    "AK": ("steady", "silent", "-", "AKn", "AK", "AK"),
    "AKn": ("steady", "silent", OPEN, "-", "AKn", "N"),
}
R_RINGBACK: dict[str, Row] = {
    "N": ("off", "silent", "AL", "-", "N", "N"),
    "AL": ("flashing", "alarm", "-", "AL'", "AK", "AL"),
    "AL'": ("flashing", "alarm", "AL", "-", "RB", "AL'"),
    "AK": ("steady", "silent", "-", "RB", "AK", "AK"),
    "RB": (OPEN, OPEN, "AL", "-", "RB", "N"),
}
EVENTS = ("up", "dn", "ACK", "RST")

# A lamp of sequence A has no reset button; the second lamp gives the rule set one, which must not touch the first.
RULES = """rules "lamps" version 1
quantity rpm from 0 to 3000 rpm
rpm above 2000 is red with warning "HIGH"
when rpm above 2900 then advisory "OTHER"
lamp "IT" shows warning, sequence {sequence}
lamp "OTHER" shows advisory, sequence M, acknowledged by other, reset by {reset}
"""
TABLES = {
    "A with lock-in, acknowledged by ack": A_LOCK_IN,
    "A without lock-in, acknowledged by ack": A_NO_LOCK_IN,
    "M, acknowledged by ack, reset by rst": M_MANUAL,
    "R, acknowledged by ack, reset by rst": R_RINGBACK,
}


def ruleset_of(sequence: str) -> m.RuleSet:
    text = RULES.format(sequence=sequence, reset="rst")
    loaded = parse_ruleset(text.encode(), shown="t.alert", folder=Path())
    assert loaded.ruleset is not None, loaded.findings
    return loaded.ruleset


def _steps(word: tuple[str, ...]) -> list[tuple[int, str]]:
    """Engine speed and the button that is held down, at the samples of a word: one before it, and two for each input,
    as between two presses the button is let go."""
    rpm, found = 1000, [(1000, "")]
    for event in word:
        rpm = {"up": 2500, "dn": 1000}.get(event, rpm)
        found += [(rpm, {"ACK": "ack", "RST": "rst"}.get(event, "")), (rpm, "")]
    return found


def stepped(ruleset: m.RuleSet, word: tuple[str, ...]) -> list[tuple[str, str]]:
    """What the lamp shows after each input of a word, sample by sample."""
    stepper, seen = Stepper(ruleset), []
    for time, (rpm, button) in enumerate(_steps(word)):
        pressed = frozenset({button} if button else ())
        state = stepper.step(Sample(Fraction(time), {"rpm": Fraction(rpm)}, {}, pressed=pressed)).lamps["IT"]
        seen.append((state.light, state.sound))
    return seen[2::2]


def replayed(ruleset: m.RuleSet, engine: ReplayEngine, word: tuple[str, ...]) -> list[tuple[str, str]]:
    """The same of a log in columns, in two chunks."""
    steps = _steps(word)
    rpm = np.array([float(value) for value, _ in steps])
    held = {name: np.array([button == name for _, button in steps], np.bool_) for name in ("ack", "rst")}
    replay = SegmentReplay(ruleset)
    for start, end in ((0, 4), (4, len(steps))):
        rows = np.arange(start, end)
        inputs = {name: one[start:end] for name, one in held.items()}
        none = np.zeros(end - start, np.bool_)
        chunk = Segment(rows, Fraction(1), rows + 1, {"rpm": Column(rpm[start:end])}, {}, inputs, none)
        replay.feed(engine.feed(chunk, continues=start > 0))
    run = replay.done()
    seen = [run.lamps_at(row)["IT"] for row in range(len(steps))]
    return [(state.light, state.sound) for state in seen][2::2]


def words_of(length: int) -> list[tuple[str, ...]]:
    """All words of events in which the process goes abnormal only from normal, and back only from abnormal."""
    found = []
    for word in product(EVENTS, repeat=length):
        turns = [event for event in word if event in {"up", "dn"}]
        if all(event == ("up", "dn")[i % 2] for i, event in enumerate(turns)):
            found.append(word)
    return found


def from_table(table: dict[str, Row], word: tuple[str, ...]) -> list[str]:
    """The state after each input of a word, up to where the table leaves it open."""
    state, found = "N", []
    for event in word:
        state = table[state][2 + EVENTS.index(event)]
        if state == OPEN:
            break
        found.append(state)
    return found


def agree(shown: list[tuple[str, str]], table: dict[str, Row], states: list[str]) -> bool:
    """Whether what a lamp shows is what the table has, wherever it has something."""
    for seen, state in zip(shown, states, strict=False):
        is_open = OPEN in table[state][:2]
        if seen == ("off", "silent") if is_open else seen != table[state][:2]:
            return False
    return True


# Each shorter word is the beginning of one of these.
WORDS = words_of(6)


def test_the_words_are_all_there_are() -> None:
    """At each input one of three can come: the process turns, or one of the two buttons is pressed."""
    assert len(set(WORDS)) == len(WORDS) == 3**6
    for length in range(1, 6):
        assert {word[:length] for word in WORDS} == set(words_of(length))
        assert len(words_of(length)) == 3**length


@pytest.mark.parametrize("sequence", TABLES)
def test_every_word_of_up_to_six_inputs(sequence: str) -> None:
    table, ruleset = TABLES[sequence], ruleset_of(sequence)
    reached: set[str] = set()
    for word in WORDS:
        states = from_table(table, word)
        reached |= set(states)
        assert agree(stepped(ruleset, word), table, states), word
    assert reached == set(table)


@pytest.mark.parametrize("sequence", TABLES)
def test_every_word_of_up_to_six_inputs_in_a_log(sequence: str) -> None:
    table, ruleset = TABLES[sequence], ruleset_of(sequence)
    engine = ReplayEngine(ruleset)
    for word in WORDS:
        assert agree(replayed(ruleset, engine, word), table, from_table(table, word)), word


def test_the_tables_differ() -> None:
    # So that a lamp that ignored its sequence could not pass. What tells M from R is left open.
    words = words_of(4)
    for sequence in TABLES:
        shown = [stepped(ruleset_of(sequence), word) for word in words]
        for other, table in TABLES.items():
            if sequence != other and {sequence[0], other[0]} == {"M", "R"}:
                continue
            same = [agree(one, table, from_table(table, word)) for one, word in zip(shown, words, strict=True)]
            assert all(same) is (other == sequence)


def test_plain_a_has_lock_in() -> None:
    """Option 4, no lock-in, is what must be asked for."""
    (plain, _), (locked, _) = ruleset_of("A, acknowledged by ack").lamps, ruleset_of(next(iter(TABLES))).lamps
    assert locked.lock_in
    assert replace(plain, span=locked.span, origin=locked.origin) == locked
