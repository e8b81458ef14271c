"""Lamps against the annunciator sequences A, M and R of ANSI/ISA-18.1 (1979, reaffirmed 1992 and 2004).

The standard itself was read only to its preface. The tables are those that makers of industrial annunciators reprint:
sequence A with and without lock-in and sequence M as in the two-page tables of such manuals, ringback with a slow flash
on return to normal and a sound of its own. Second hand, then: to be confirmed in the standard. From memory: what is
pressed without effect, A locked in and abnormal again, R locked in and acknowledged, R ringback and abnormal again.
In the table of M the acknowledged line covers "abnormal or normal", so that what comes back before the reset does not
sound again.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from pathlib import Path

import pytest

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model import ruleset as m
from alertlang.model.load import parse_ruleset

Row = tuple[str, str, str, str, str, str]

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
    "AKn": ("steady", "silent", "AK", "-", "AKn", "N"),
}
R_RINGBACK: dict[str, Row] = {
    "N": ("off", "silent", "AL", "-", "N", "N"),
    "AL": ("flashing", "alarm", "-", "AL'", "AK", "AL"),
    "AL'": ("flashing", "alarm", "AL", "-", "RB", "AL'"),
    "AK": ("steady", "silent", "-", "RB", "AK", "AK"),
    "RB": ("slow flashing", "ringback", "AL", "-", "RB", "N"),
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
    "A, acknowledged by ack": A_LOCK_IN,
    "M, acknowledged by ack, reset by rst": M_MANUAL,
    "R, acknowledged by ack, reset by rst": R_RINGBACK,
}


def _ruleset(sequence: str) -> m.RuleSet:
    text = RULES.format(sequence=sequence, reset="rst")
    loaded = parse_ruleset(text.encode(), shown="t.alert", folder=Path())
    assert loaded.ruleset is not None, loaded.findings
    return loaded.ruleset


def _lamps(ruleset: m.RuleSet, word: tuple[str, ...]) -> list[tuple[str, str]]:
    """What the lamp shows after each event of a word; between two presses the button is let go."""
    stepper, time, rpm = Stepper(ruleset), Fraction(0), Fraction(1000)
    stepper.step(Sample(time, {"rpm": rpm}, {}))
    seen: list[tuple[str, str]] = []
    for event in word:
        rpm = {"up": Fraction(2500), "dn": Fraction(1000)}.get(event, rpm)
        pressed = {"ACK": frozenset({"ack"}), "RST": frozenset({"rst"})}.get(event, frozenset())
        for held in (pressed, frozenset()):
            time += 1
            shown = stepper.step(Sample(time, {"rpm": rpm}, {}, pressed=held))
        state = shown.lamps["IT"]
        seen.append((state.light, state.sound))
    return seen


def _words(length: int) -> list[tuple[str, ...]]:
    """All words of events in which the process goes abnormal only from normal, and back only from abnormal."""
    found = []
    for word in product(EVENTS, repeat=length):
        turns = [event for event in word if event in {"up", "dn"}]
        if all(event == ("up", "dn")[i % 2] for i, event in enumerate(turns)):
            found.append(word)
    return found


@pytest.mark.parametrize("sequence", TABLES)
def test_every_word_of_up_to_six_inputs(sequence: str) -> None:
    table, ruleset = TABLES[sequence], _ruleset(sequence)
    reached: set[str] = set()
    # Each shorter word is the beginning of one of these.
    words = _words(6)
    assert len(words) == 3**6
    for word in words:
        state, wanted = "N", []
        for event in word:
            state = table[state][2 + EVENTS.index(event)]
            reached.add(state)
            wanted.append(table[state][:2])
        assert _lamps(ruleset, word) == wanted, word
    assert reached == set(table)


def test_the_tables_differ() -> None:
    # So that a lamp that ignored its sequence could not pass.
    shown = {
        tuple(tuple(_lamps(_ruleset(sequence), word)) for word in _words(4))
        for sequence in TABLES
        if sequence != "A, acknowledged by ack"
    }
    assert len(shown) == 4
