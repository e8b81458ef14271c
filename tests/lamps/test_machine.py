"""Lamps: what the published tables do not tell, because they have one alarm and one button, and what is our choice."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model.load import parse_ruleset
from alertlang.replay.engine import ReplayEngine
from tests.outside.test_isa_sequences import TABLES, WORDS, Row, from_table, replayed, ruleset_of, stepped

RULES = """rules "t" version 1
quantity rpm from 0 to 3000 rpm
quantity cht[2] from 0 to 600 F
rpm above 2000 is red with warning "HIGH"
hot: cht above 400 is red with warning "CHT {n} HOT" latched
lamp "W" shows warning, sequence SEQ
"""

# Informed by tables that makers reprint, second hand; whether the standard has it so is not known: with M what comes
# back before its reset stays acknowledged, and R's ringback is a slow flash with a sound of its own.
OURS: dict[str, dict[str, Row]] = {
    "M, acknowledged by ack, reset by rst": {"AKn": ("steady", "silent", "AK", "-", "AKn", "N")},
    "R, acknowledged by ack, reset by rst": {"RB": ("slow flashing", "ringback", "AL", "-", "RB", "N")},
}


@pytest.mark.parametrize("sequence", OURS)
def test_what_the_standard_leaves_open_here_is_our_choice(sequence: str) -> None:
    table, ruleset = {**TABLES[sequence], **OURS[sequence]}, ruleset_of(sequence)
    engine = ReplayEngine(ruleset)
    for word in WORDS:
        wanted = [table[state][:2] for state in from_table(table, word)]
        assert len(wanted) == len(word)
        assert stepped(ruleset, word) == wanted, word
        assert replayed(ruleset, engine, word) == wanted, word


def _lights(sequence: str, *steps: tuple[int, int, int, str]) -> list[str]:
    """The lamp at samples of rpm, the two cht, and the button that is down."""
    text = RULES.replace("SEQ", sequence)
    ruleset = parse_ruleset(text.encode(), shown="t.alert", folder=Path()).ruleset
    assert ruleset is not None
    stepper, found = Stepper(ruleset), []
    for time, (rpm, one, two, button) in enumerate(steps):
        readings = {"rpm": Fraction(rpm), "cht[1]": Fraction(one), "cht[2]": Fraction(two)}
        pressed = frozenset({button}) if button else frozenset()
        found.append(stepper.step(Sample(Fraction(time), readings, {}, pressed=pressed)).lamps["W"].light)
    return found


@pytest.mark.parametrize(
    "sequence",
    ["A, acknowledged by ack", "A without lock-in, acknowledged by ack", "R, acknowledged by ack, reset by rst"],
)
def test_a_new_alert_lights_an_acknowledged_lamp_again(sequence: str) -> None:
    steps = [(2500, 300, 300, ""), (2500, 300, 300, "ack"), (2500, 300, 450, ""), (2500, 300, 450, "ack")]
    assert _lights(sequence, *steps) == ["flashing", "steady", "flashing", "steady"]


def test_a_press_is_not_for_what_comes_up_with_it() -> None:
    steps = [(2500, 300, 300, ""), (2500, 450, 300, "ack")]
    assert _lights("A, acknowledged by ack", *steps) == ["flashing", "flashing"]


def test_a_held_button_is_one_press() -> None:
    steps = [(2500, 300, 300, ""), (2500, 300, 300, "ack"), (2500, 450, 300, "ack"), (2500, 450, 300, "ack")]
    assert _lights("A, acknowledged by ack", *steps) == ["flashing", "steady", "flashing", "flashing"]


def test_the_button_of_a_lamp_acknowledges_a_latched_alert() -> None:
    steps = [(1000, 450, 300, ""), (1000, 300, 300, ""), (1000, 300, 300, "ack"), (1000, 300, 300, "")]
    assert _lights("A without lock-in, acknowledged by ack", *steps) == ["flashing", "flashing", "off", "off"]


def test_an_unknown_button_is_refused() -> None:
    with pytest.raises(ValueError, match="no button zzz"):
        _lights("A, acknowledged by ack", (1000, 300, 300, "zzz"))
